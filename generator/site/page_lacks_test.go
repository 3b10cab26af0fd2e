package site

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestIncompleteUncertaintyIsSaid: where a verdict rests on a reading without an
// instrument, or a method without a pool, it says so beside the verdict, at the
// headline, in the list and in the data; else nowhere.
func TestIncompleteUncertaintyIsSaid(t *testing.T) {
	methods := tinyFile(t, "content/methods.toml")
	without, _, found := strings.Cut(methods, "[method.pool]")
	if !found {
		t.Fatal("the tiny site's method has no pool to leave out")
	}
	const lacks = "the method has no pool: its repeatability is not known"
	for name, want := range map[string]bool{methods: false, without: true} {
		root := tiny(t, map[string]string{"content/methods.toml": name})
		s, problems, err := Load(root, today)
		if err != nil || problems.Errors() {
			t.Fatal(err, problems)
		}
		outputs, _, err := s.Outputs()
		if err != nil {
			t.Fatal(err)
		}
		sh := s.Sheets[0]
		for _, o := range outputs {
			switch o.Path {
			case "units/" + sh.Slug + "/index.html":
				doc := parse(t, o.Bytes)
				if got := pick(doc, "h1 + .subline > .lacking"); (len(got) == 1 && strings.Contains(got[0], lacks)) != want {
					t.Errorf("at the headline: %q, want it said: %v", got, want)
				}
				for _, c := range sh.Claims {
					beside := pick(doc, "#claim-"+c.ID+" > .figures .lacks")
					if (len(beside) == 1) != (want && len(c.Channels) > 0) {
						t.Errorf("claim %s: beside the verdict: %q, want it said: %v", c.ID, beside, want)
					}
				}
			case "index.html":
				if got := pick(parse(t, o.Bytes), ".unit > .lacking"); (len(got) == 1) != want {
					t.Errorf("in the list: %q, want it said: %v", got, want)
				}
			case "units/" + sh.Slug + "/sheet.json":
				var told struct {
					Claims []struct{ Incomplete []string }
				}
				if err := json.Unmarshal(o.Bytes, &told); err != nil {
					t.Fatal(err)
				}
				got := 0
				for _, c := range told.Claims {
					if len(c.Incomplete) > 0 && strings.HasPrefix(c.Incomplete[0], lacks) {
						got++
					}
				}
				if (got > 0) != want {
					t.Errorf("sheet.json says it of %d claims, want it said: %v", got, want)
				}
			}
		}
	}
}
