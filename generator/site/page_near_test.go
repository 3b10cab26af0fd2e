package site

import (
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"

	"wattsheet/generator/sheet"
)

// Each unit's page leads to those near it, which says of each what comparing the sheets
// says, and is of the same kind within the ratio.
func TestNearPages(t *testing.T) {
	s, _ := demo()
	bySlug, rows, makers := map[string]*sheet.Sheet{}, 0, 0
	for _, sh := range s.Sheets {
		bySlug[sh.Slug] = sh
	}
	for _, sh := range s.Sheets {
		if !slices.Contains(attributesOf(document(t, "units/"+sh.Slug+"/index.html"), ".nearby a", "href"), "near/index.html") {
			t.Errorf("%s doesn't lead to the units near it", sh.Slug)
		}
		doc, near := document(t, "units/"+sh.Slug+"/near/index.html"), nearBriefOf(sh, standingsOf(sh))
		for _, list := range []string{"like", "maker"} {
			for _, row := range cascadia.QueryAll(doc, cascadia.MustCompile("section[aria-labelledby='"+list+"'] .near-list > li")) {
				href := attributesOf(row, ".ranked-name a", "href")[0]
				other := bySlug[strings.Split(href, "/")[4]]
				theirs := nearBriefOf(other, standingsOf(other))
				if list == "like" {
					rows++
					if ratio := theirs.TotalW / near.TotalW; theirs.Kind != near.Kind || theirs.Load != near.Load || ratio > nearRatio || ratio < 1/nearRatio {
						t.Errorf("%s is no match for %s", other.Slug, sh.Slug)
					}
				} else if makers++; other.Record.Unit.Maker != sh.Record.Unit.Maker {
					t.Errorf("%s is of another maker than %s", other.Slug, sh.Slug)
				}
				for _, at := range sheet.Points([]*sheet.Sheet{sh}) {
					if at.Bridged || at.Method.ID != near.Method || loadFolder(at.Ohm) != near.Load {
						continue
					}
					pair := sheet.Apart(sh, other, at)
					if said := cascadia.Query(row, cascadia.MustCompile(".near-why")); pair.B.Total != nil && (said == nil || oneBlank(content(said)) != oneBlank(pair.Why)) {
						t.Errorf("%s beside %s: want %s", sh.Slug, other.Slug, pair.Why)
					}
				}
			}
		}
	}
	if rows == 0 || makers == 0 {
		t.Errorf("%d units near others, %d of the same maker", rows, makers)
	}
}

// The page of the units near one is made again for an edit of those, and for no other's.
func TestNearPagesFollowFromTheUnitsNear(t *testing.T) {
	root := several(t)
	for _, name := range []string{"badgercog-1", "badgercog-2", "dormouseclutch-1"} {
		replaceIn(t, root, "content/units/"+name+"/record.toml", "[unit]\n", "[unit]\nkind = \"mono\"\n")
	}
	d := edited(t, root, replaced(fieldfare+"record.toml", "out_v = 23", "out_v = 22"))
	for path, want := range map[string][]class{
		"units/fieldfarelug-1/near/index.html": {theNear}, "units/egretspindle-1/near/index.html": {theNear},
		"units/badgercog-1/near/index.html": nil, "units/dormouseclutch-1/near/index.html": nil,
	} {
		if got := since(t, d, path); !slices.Equal(got, want) {
			t.Errorf("%s is to be made again for %v, want %v", path, got, want)
		}
	}
	if got := openedAt(t, d, "units/badgercog-1/near/index.html"); !strings.Contains(got, "Badgercog-2") {
		t.Error("a unit of the same kind isn't near")
	}
	if _, err := d.Why("units/nobody/near/index.html"); err == nil {
		t.Error("there is a page of a unit that there isn't")
	}
}
