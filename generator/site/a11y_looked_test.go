package site

import "strings"

// What axe-core leaves to a person ("incomplete") is looked at here, so that nothing new goes by.
//
// Contrasts are most of it: the checker doesn't know the ground where a cell lies beyond the
// edge of a box that scrolls, where a cell spans several rows, and of letters in drawings; it
// passes over single signs. lookAt computes them by the definition (WCAG 2.2, "contrast
// ratio" and "relative luminance") against the ground of the nearest element that has one,
// or the disc that a callout's number stands on. A colour that isn't opaque stays open.
const lookAt = `const shine = (c) => { const [r, g, b] = c.map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const opaque = (text) => { const n = /^rgb/.test(text) && text.match(/[\d.]+/g).map(Number); return n && (n.length === 3 || n[3] === 1) ? n.slice(0, 3) : null; };
  const ground = (e) => { const disc = e.closest('.callouts') && e.parentNode.querySelector('circle');
    if (disc) return opaque(getComputedStyle(disc).fill);
    for (let at = e; at; at = at.parentElement) { const c = getComputedStyle(at).backgroundColor; if (!/^rgba\(.*, 0\)$/.test(c)) return opaque(c); }
    return [255, 255, 255]; };
  const contrast = (e) => { const own = getComputedStyle(e), a = opaque(e instanceof SVGElement ? own.fill : own.color), b = ground(e);
    if (!a || !b) return 0;
    const [low, high] = [shine(a), shine(b)].sort((x, y) => x - y); return (high + 0.05) / (low + 0.05); };
  const looked = (v, n) => v.id === 'color-contrast' && contrast(n.element) >= 4.5;`

// answered are the others, with what a person found: a rule, and the class of what it is at.
var answered = []struct{ rule, class, found string }{
	{"th-has-data-cells", "beside-table", "heads of groups of rows: their cells stand in the rows below"},
	{"label-content-name-mismatch", "quote", "the sign of quotation marks has no word that its name could begin with"},
}

// unseen are those of what is left to a person that nobody has looked at yet.
func unseen(open []string) (out []string) {
	for _, what := range open {
		seen := false
		for _, l := range answered {
			seen = seen || strings.HasPrefix(what, l.rule+" at "+l.class+" ")
		}
		if !seen {
			out = append(out, what)
		}
	}
	return out
}
