package site

import (
	"path"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"

	"wattsheet/generator/formula"
)

// The methodology page has each word of the glossary at an address of its own, with its source,
// and leads to a place that is there; no word is there that no other page uses. From a unit's
// page and from the front page one tap leads there.
func TestWords(t *testing.T) {
	_, outputs := demo()
	all := map[string]string{}
	used := ""
	for _, o := range outputs {
		if path.Ext(o.Path) != ".html" {
			continue
		}
		all[o.Path] = string(o.Bytes)
		if o.Path != "methodology/index.html" {
			used += strings.ToLower(content(parse(t, o.Bytes))) + "\n"
		}
	}
	doc := parse(t, []byte(all["methodology/index.html"]))
	for _, term := range formula.Glossary() {
		entry := cascadia.Query(doc, cascadia.MustCompile("#words + .words > #word-"+term.ID))
		if entry == nil {
			t.Errorf("%q has no place", term.Word)
			continue
		}
		text := content(entry)
		for _, want := range []string{term.Word, term.Means, "Source: " + term.Source + "."} {
			if !strings.Contains(text, squeeze(want)) {
				t.Errorf("%q lacks %q: %s", term.Word, want, text)
			}
		}
		if term.See != "" && (cascadia.Query(doc, cascadia.MustCompile("#"+term.See)) == nil || cascadia.Query(entry, cascadia.MustCompile("a[href='#"+term.See+"']")) == nil) {
			t.Errorf("%q leads to no place: %s", term.Word, term.See)
		}
		word, _, _ := strings.Cut(strings.ToLower(term.Word), ",")
		if !strings.Contains(used, word) {
			t.Errorf("no page uses %q", word)
		}
	}
	for _, page := range []string{"index.html", "units/brindlecask-marlhopper-5/index.html"} {
		if !strings.Contains(all[page], "methodology/index.html#words\"") {
			t.Errorf("%s doesn't lead to the words", page)
		}
	}
}
