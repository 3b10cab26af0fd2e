package site

import (
	"path/filepath"
	"strings"
	"testing"

	"wattsheet/generator/publication"
)

// While there is a mistake, wherever it is, every page stays what it was when all was right: also those that work through
// the sheet of a unit.
func TestNoPageIsAnotherForAMistake(t *testing.T) {
	root, d := draftedSite(t)
	was := map[string]string{}
	for name := range afresh(t, root, today) {
		if name != publication.ManifestName {
			was[name] = openedAt(t, d, name)
		}
	}
	for _, row := range []struct{ what, name, right, wrong string }{
		{"a method", "content/methods.toml", "dof = 8", `dof = "8"`},
		{"the site", "content/site.toml", "currency = ", "currency currency = "},
		{"the bench", "content/bench.toml", "\n", "\n[\n"},
		{"the unit that the methodology works through", badger + "record.toml", "out_v = ", `out_v = "`},
		{"its notes", badger + "notes.md", "value:r1/", "value:none/"},
		{"another unit", fieldfare + "record.toml", "[unit]", "[[[unit]"},
		{"prose", "content/prose/about.md", "", "[](value:nothing/power)\n\n"},
	} {
		right := tree(t, filepath.Join(root, "content"))[strings.TrimPrefix(row.name, "content/")]
		replaceIn(t, root, row.name, row.right, row.wrong)
		if got := refreshed(t, d, today, row.name); !got.Problems.Errors() {
			t.Fatalf("%s: no mistake is told", row.what)
		}
		for name, text := range was {
			if openedAt(t, d, name) != text {
				t.Errorf("a mistake in %s: %s is another", row.what, name)
			}
		}
		put(t, root, row.name, right)
		refreshed(t, d, today, row.name)
		if rest, err := d.Sweep(nil); err != nil || rest.Problems.Errors() {
			t.Fatal(err, rest.Problems)
		}
	}
}
