package site

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// Links of notes and prose to pages and places that aren't there are told with their places,
// by a check and by each build; what is there is not.
func TestLostLinks(t *testing.T) {
	root := tiny(t, map[string]string{
		"content/units/ottersprocket-20/notes.md": "[a](../nothing/) and [b](nothing.html)\n[c](/units/ottersprocket-20/) [d](#run-r1) [e](../../methodology/index.html#rule) [f](derivation/) [g](https://other.example/x)\n\n[h](/abuot/) [i](../../loads/4-ohm/) [j](/) [k](sheet.json) [l](/units/was/near/) [m](../../../units/ottersprocket-20/index.html)\n\n# A mark\n\n[n](#run-r9) [o](#a-mark) [p](/makers/nobody/) [q](../../loads/3-ohm/index.html) [r](v/3/) [s](near/#nothing) [t](/units/ottersprocket-20/#at-my-load=4)\n",
		"content/prose/about.md":                  "# About\n\n[a](../units/ottersprocket-20/) [b](../units/ottersprocket-20) [c](../compare/#x=y) [d](../feed.atom) [e](/corrections/) [g](/units/ottersprocket-20/#run-r2) [h](#top) [i](/list/2/) [j](/makers/)\n",
		"content/site.toml":                       "title = \"T\"\ntester = \"T\"\n[[moved]]\nfrom = \"/units/was/\"\nto = \"/units/ottersprocket-20/\"\n",
	})
	const page, place = ", and the site has no such page", ", and the page has no such place"
	notes, about := "content/units/ottersprocket-20/notes.md:", "content/prose/about.md:"
	want := []string{
		about + "3:33 this is a link to /units/ottersprocket-20" + page,
		about + "3:122 this is a link to #run-r2 of /units/ottersprocket-20/" + place,
		about + "3:169 this is a link to /list/2/" + page,
		notes + "1:1 this is a link to /units/nothing/" + page,
		notes + "1:22 this is a link to /units/ottersprocket-20/nothing.html" + page,
		notes + "4:1 this is a link to /abuot/" + page,
		notes + "8:1 this is a link to #run-r9 of /units/ottersprocket-20/" + place,
		notes + "8:14 this is a link to #a-mark of /units/ottersprocket-20/" + place,
		notes + "8:27 this is a link to /makers/nobody/" + page,
		notes + "8:48 this is a link to /loads/3-ohm/index.html" + page,
		notes + "8:82 this is a link to /units/ottersprocket-20/v/3/" + page,
		notes + "8:92 this is a link to #nothing of /units/ottersprocket-20/near/" + place,
	}
	same := func(who string, problems record.Problems) {
		t.Helper()
		var got []string
		for _, p := range problems {
			if strings.HasPrefix(p.Summary, "this is a link to ") {
				got = append(got, p.File+":"+itoa(p.Line)+":"+itoa(p.Column)+" "+p.Summary)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: got\n%s\nwant\n%s", who, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	c, err := Check(root, today)
	if err != nil {
		t.Fatal(err)
	}
	same("check", c.Problems)
	for _, who := range []string{"a first build", "a build that changes nothing"} {
		b, err := Build(root, today, filepath.Join(root, "public"))
		if err != nil || b.Problems.Errors() {
			t.Fatal(err, b.Problems)
		}
		same(who, b.Problems)
	}
}

// A way to nowhere that is nearly one to a page is told with that page.
func TestNearestPage(t *testing.T) {
	k := &pagesKnown{shown: map[string]bool{"ottersprocket-20": true, "heronflange-1": true}, pages: map[string]bool{"": true, "about/": true, "loads/4-ohm/": true, "units/ottersprocket-20/": true, "units/ottersprocket-20/near/": true}}
	for way, want := range map[string]string{
		"units/ottersprocket-20": "units/ottersprocket-20/", "units/otersprocket-20/near/": "units/ottersprocket-20/", "units/Heronflange-1/index.html": "units/heronflange-1/",
		"ottersprocket-02/": "units/ottersprocket-20/", "abuot/": "about/", "loads/4-ohms/index.html": "loads/4-ohm/",
		"units/ottersprocket-20/v/3/": "", "units/nothing/": "", "nothing": "", "units/": "", "": "",
	} {
		if got := k.nearest(way); got != want {
			t.Errorf("%q is told as %q, want %q", way, got, want)
		}
	}
}

// Notes aren't parsed for links unless they have one within the site.
func TestMayLead(t *testing.T) {
	for text, want := range map[string]bool{
		"": false, "]": false, "a [b] c": false, "[](value:r1/power) and [x](https://other.example/)": false,
		"[x]( <HTTP://other.example/> )\n\n[y]: mailto:a@b.example": false,
		"[a](https://x.example/) [b](/units/)":                      true, "[a]\n\n[a]: ../": true, "[a](#run-r1)": true, "](": true,
	} {
		if got := mayLead([]byte(text)); got != want {
			t.Errorf("%q: %t", text, got)
		}
	}
}
