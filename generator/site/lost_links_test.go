package site

import (
	"strings"
	"testing"
)

// Links of notes and prose to pages that aren't there are told with their places; what is
// there, or may be, is not.
func TestLostLinks(t *testing.T) {
	root := tiny(t, map[string]string{
		"content/units/ottersprocket-20/notes.md": "[a](../nothing/) and [b](nothing.html)\n[c](/units/ottersprocket-20/) [d](#run-r1) [e](../../methodology/index.html#rule) [f](derivation/) [g](https://other.example/x)\n\n[h](/abuot/) [i](../../loads/4-ohm/) [j](/) [k](sheet.json) [l](/units/was/near/) [m](../../../units/ottersprocket-20/index.html)\n",
		"content/prose/about.md":                  "# About\n\n[a](../units/ottersprocket-20/) [b](../units/ottersprocket-20) [c](../compare/#x+y) [d](../feed.atom) [e](/corrections/) [f](value:r1/power)\n",
		"content/site.toml":                       "title = \"T\"\ntester = \"T\"\n[[moved]]\nfrom = \"/units/was/\"\nto = \"/units/ottersprocket-20/\"\n",
	})
	problems, err := LostLinks(root)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range problems {
		got = append(got, p.File+":"+itoa(p.Line)+":"+itoa(p.Column)+" "+p.Summary)
	}
	want := []string{
		"content/prose/about.md:3:33 this is a link to /units/ottersprocket-20, and the site has no such page",
		"content/units/ottersprocket-20/notes.md:1:1 this is a link to /units/nothing/, and the site has no such page",
		"content/units/ottersprocket-20/notes.md:1:22 this is a link to /units/ottersprocket-20/nothing.html, and the site has no such page",
		"content/units/ottersprocket-20/notes.md:4:1 this is a link to /abuot/, and the site has no such page",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if problems, err := LostLinks("../.."); err != nil || len(problems) > 0 {
		t.Errorf("the demo: %v %v", problems, err)
	}
}
