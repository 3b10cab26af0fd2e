package site

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/sheet"
)

// Nominal loads within 1 % share a page, whatever was measured first; others don't.
func TestLoadPagesOfNearLoads(t *testing.T) {
	for ohm, want := range map[float64]string{4: "4-ohm", 0.5: "0.5-ohm", 2.0 * 4 / 3: "2.67-ohm", 16: "16-ohm", 600: "600-ohm", 0.004: "0.004-ohm", 1000: "1000-ohm"} {
		if got := loadFolder(ohm); got != want || !nearLoad(ohmsOf(got), ohm) {
			t.Errorf("%g Ω is on %s, want %s", ohm, got, want)
		}
	}
	got := oneLoad([]string{"3.98-ohm", "4-ohm", "4.02-ohm", "4.2-ohm", "8-ohm", "7.9-ohm", "1.98-ohm"})
	for folder, want := range map[string]string{"3.98-ohm": "4-ohm", "4-ohm": "4-ohm", "4.02-ohm": "4-ohm", "4.2-ohm": "4.2-ohm", "7.9-ohm": "7.9-ohm", "8-ohm": "8-ohm", "1.98-ohm": "1.98-ohm"} {
		if got[folder] != want {
			t.Errorf("%s is on the page %s, want %s", folder, got[folder], want)
		}
	}
}

// A load's page has, of each method, the tables and the rank intervals that ranking the
// whole sheets gives; who has no figure stands apart with the reason.
func TestLoadPagesRankAsSheets(t *testing.T) {
	s, outputs := demo()
	ranksMatch(t, s, outputs)
}

// So it is on a site as it may be after years.
func TestLoadPagesOfManyUnits(t *testing.T) {
	if testing.Short() {
		t.Skip("fifty units: left out in short runs")
	}
	root := t.TempDir()
	if out, err := exec.Command("go", "run", "../../testdata/lifetime/make", "50", root).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	s := loaded(t, root)
	b, problems := s.binder(stillOnly(), nil)
	if problems.Errors() {
		t.Fatal(problems)
	}
	briefs, sides := make([]*brief, len(s.Sheets)), make([][]side, len(s.Sheets))
	for i, sh := range s.Sheets {
		briefs[i] = briefOf(sh, s.Ledger(sh.Slug))
		sides[i] = sidesOf(briefs[i])
	}
	var outputs []Output
	for _, g := range listGroups(briefs, sides) {
		if g.kind == kindLoad {
			made, problems := b.listOutputs(g, s.sheetAt)
			if problems.Errors() {
				t.Fatal(problems)
			}
			outputs = append(outputs, made...)
		}
	}
	ranksMatch(t, s, outputs)
}

// A ranked row says the unit's price, and each of a load's pages leads to the list of all
// units at that load, which a script narrows down by price.
func TestLoadPagesLeadToPrices(t *testing.T) {
	s, _ := demo()
	prices := map[string]string{}
	for _, sh := range s.Sheets {
		prices[sh.Slug] = with(sh.Record.Unit.Price, s.Content.Site.Currency)
	}
	said := 0
	for load, hash := range map[string]string{"1-ohm": "#load=1&sort=power", "8-ohm": "#load=8&sort=power"} {
		doc := document(t, "loads/"+load+"/index.html")
		if href := attributesOf(doc, ".to-find a", "href"); len(href) != 1 || href[0] != "../../index.html"+hash {
			t.Errorf("the page of %s leads to %q", load, href)
		}
		for _, row := range cascadia.QueryAll(doc, cascadia.MustCompile(".ranked-row")) {
			price := prices[strings.Split(attributesOf(row, ".ranked-name a", "href")[0], "/")[3]]
			if facts := oneBlank(content(cascadia.Query(row, cascadia.MustCompile(".ranked-facts")))); price != "" && !strings.HasSuffix(facts, oneBlank(price)) {
				t.Errorf("a row of %s says %q, want the price %s", load, facts, price)
			} else if price != "" {
				said++
			}
		}
	}
	if said == 0 {
		t.Error("no row says a price")
	}
}

// ranksMatch compares the pages of loads with ranks of the whole sheets.
func ranksMatch(t *testing.T, s *Site, outputs []Output) {
	t.Helper()
	rows, pages := 0, map[string][]*html.Node{} // the pages of each load
	for _, o := range outputs {
		if k := kindFor(o.Path); k == kindLoad {
			pages[memberOf(k, o.Path)] = append(pages[memberOf(k, o.Path)], parse(t, o.Bytes))
		}
	}
	for _, at := range sheet.Points(s.Sheets) {
		docs := pages[loadFolder(at.Ohm)]
		if docs == nil {
			t.Fatalf("there is no page for %s", at.Load())
		}
		var got []string
		var apart strings.Builder
		for _, doc := range docs {
			for _, r := range cascadia.QueryAll(doc, cascadia.MustCompile("section[aria-labelledby='by-"+pointID(at)+"'] .ranked-row")) {
				text := func(selector string) string { return content(cascadia.Query(r, cascadia.MustCompile(selector))) }
				got = append(got, strings.TrimPrefix(text(".rank"), "Rank ")+" "+text(".ranked-name")+" "+text(".figure"))
			}
			for _, n := range cascadia.QueryAll(doc, cascadia.MustCompile(".not-ranked")) {
				apart.WriteString(content(n))
			}
		}
		var want []string
		for _, table := range sheet.Rank(s.Sheets, at) {
			var doubtful []string
			for _, r := range table.Rows {
				row := oneBlank(r.Rank + " " + r.Sheet.Name + " " + r.Total.Text)
				if rows++; r.Doubt != "" {
					doubtful = append(doubtful, row)
				} else {
					want = append(want, row)
				}
			}
			want = append(want, doubtful...)
			for _, w := range table.Without {
				if !strings.Contains(apart.String(), oneBlank(sentence(w.Why))) {
					t.Errorf("%s at %s has no figure, and the page doesn't say why: %s", w.Sheet.Slug, at.Title(), w.Why)
				}
			}
		}
		for i := range got {
			got[i] = oneBlank(got[i])
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q\nwant %q", at.Title(), got, want)
		}
	}
	if rows == 0 {
		t.Error("no unit was ranked")
	}
}

func kindFor(path string) kind {
	_, k := kindOfPath(path)
	return k
}

// A load's page follows from what units gave there, and from nothing else of them: an edit
// makes the pages again that it touches.
func TestLoadPagesFollowFromTheirOwnPoints(t *testing.T) {
	root := several(t)
	replaceIn(t, root, badger+"record.toml", "load = \"four\"", "load = \"four\" # as before")
	d := edited(t, root, replaced(fieldfare+"record.toml", "out_v = 23", "out_v = 22"))
	if got := since(t, d, "loads/4-ohm/index.html"); !slices.Equal(got, []class{thePoints}) {
		t.Errorf("the load's page is to be made again for %v", got)
	}
	if got := since(t, d, "loads/index.html"); got != nil {
		t.Errorf("the index of loads is to be made again for %v", got)
	}
	d = edited(t, root, appended(fieldfare+"notes.md", "\nOne more word.\n"))
	if got := since(t, d, "loads/4-ohm/index.html"); got != nil {
		t.Errorf("after a word in the notes the load's page is to be made again for %v", got)
	}
	if _, err := d.Open("loads/3-ohm/index.html"); err == nil {
		t.Error("there is a page of a load at which nothing was measured")
	}
	d = edited(t, root, replaced(fieldfare+"record.toml", "load = \"four\"", "load_ohm = 3"))
	if got := openedAt(t, d, "loads/3-ohm/index.html"); !strings.Contains(got, "Fieldfarelug") {
		t.Error("a new load brings no page")
	}
}
