// What html-validate checks: its recommended rules, and no inline style, which the pages' policy would block.
export default {
  root: true,
  extends: ["html-validate:recommended"],
  rules: {
    "no-inline-style": "error",
    // Off: it asks for titles of at most 70 characters, for the sake of lists of search results. A sheet's title is
    // its finding and the unit's name, in full: a cut finding may say the opposite.
    "long-title": "off",
  },
};
