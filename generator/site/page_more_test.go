package site

import (
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/sheet"
)

// attributesOf gives an attribute of everything that a selector finds.
func attributesOf(n *html.Node, selector, name string) []string {
	var out []string
	for _, found := range cascadia.QueryAll(n, cascadia.MustCompile(selector)) {
		out = append(out, attr(found, name))
	}
	return out
}

// TestFiguresLinkToTheirFormulas: each figure of a sheet stands on its page within
// a link to its formula.
func TestFiguresLinkToTheirFormulas(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		linked := map[string]bool{}
		for _, a := range cascadia.QueryAll(doc, cascadia.MustCompile("a[href*='#formula-']")) {
			_, id, _ := strings.Cut(attr(a, "href"), "#formula-")
			linked[id+" "+content(a)] = true
		}
		for _, f := range figuresOfSheet(sh) {
			value := f.Formula + " " + squeeze(f.ValueText)
			if !linked[value] && !linked[value+" ± "+f.UText] && !linked[f.Formula+" "+squeeze(f.Text)] {
				t.Errorf("%s: %s isn't linked to formula %s", sh.Slug, f.Text, f.Formula)
			}
		}
	}
}

// figuresOfSheet are the figures that a unit page prints.
func figuresOfSheet(s *sheet.Sheet) []*sheet.Figure {
	var all []*sheet.Figure
	for _, r := range s.Runs {
		all = append(all, r.SupplyV)
		if r.Valid {
			all = append(all, r.Efficiency, r.Heat, r.SupplyA)
		}
		for _, c := range r.Channels {
			all = append(all, c.Power, c.Distortion)
			if r.Valid {
				all = append(all, c.OutV)
			}
		}
	}
	for _, c := range s.Claims {
		all = append(all, c.Level)
		for _, ch := range c.Channels {
			all = append(all, ch.Mean)
		}
	}
	for _, p := range s.Specs {
		all = append(all, p.Measured)
	}
	for _, th := range s.Thermals {
		for _, p := range th.Points {
			all = append(all, p.TempC, p.Rise)
		}
	}
	for _, r := range s.Ratios {
		all = append(all, r.Figure)
	}
	for _, l := range s.Lines {
		if l.Fits {
			all = append(all, l.E, l.Rs)
		}
	}
	var given []*sheet.Figure
	for _, f := range all {
		if f != nil {
			given = append(given, f)
		}
	}
	return given
}

// TestUnitPageSaysTheRest finds specs, checks, temperatures, pictures, shops and
// opinions on the pages.
func TestUnitPageSaysTheRest(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, p := range sh.Specs {
			got := strings.Join(pick(doc, "tr#spec-"+p.ID), "")
			for _, w := range []string{p.Rec.Name, p.Stated, p.Word, p.PText, p.Limits} {
				if !strings.Contains(got, squeeze(w)) {
					t.Errorf("%s: spec %s doesn't say %q", sh.Slug, p.ID, w)
				}
			}
			if n := len(pick(doc, "tr#spec-"+p.ID+" .verdict > svg.mark")); n != 1 {
				t.Errorf("%s: spec %s has %d shapes beside its verdict", sh.Slug, p.ID, n)
			}
		}
		if got := len(pick(doc, ".functions .result > svg.mark")); got != len(sh.Record.Functions) {
			t.Errorf("%s: %d checks have a shape, want %d", sh.Slug, got, len(sh.Record.Functions))
		}
		if n := len(attributesOf(doc, "tr[id^='thermal-']", "id")); n != len(sh.Thermals) {
			t.Errorf("%s: %d temperatures, want %d", sh.Slug, n, len(sh.Thermals))
		}
		picturesSaid(t, doc, sh)
		shopsSaid(t, doc, sh)
		opinionsApart(t, doc, sh)
	}
}

func picturesSaid(t *testing.T, doc *html.Node, sh *sheet.Sheet) {
	t.Helper()
	alts := attributesOf(doc, "figure.picture img[width][height]", "alt")
	if len(alts) != len(sh.Record.Pictures) {
		t.Errorf("%s: %d pictures with their size, want %d", sh.Slug, len(alts), len(sh.Record.Pictures))
		return
	}
	for i, p := range sh.Record.Pictures {
		at := "#" + pictureID(i)
		if alts[i] != p.Shows {
			t.Errorf("%s: a picture's text is %q, want %q", sh.Slug, alts[i], p.Shows)
		}
		if n := len(pick(doc, at+" svg.callouts circle")); n != len(p.Callouts) || n != len(pick(doc, at+" ol > li")) {
			t.Errorf("%s %s: %d numbers are drawn for %d callouts", sh.Slug, at, n, len(p.Callouts))
		}
		if p.Run.Given() && len(pick(doc, "tr#run-"+p.Run.ID+" th a[href='"+at+"']")) != 1 {
			t.Errorf("%s: run %s doesn't link to its evidence", sh.Slug, p.Run.ID)
		}
	}
}

// shopsSaid: a link that earns says so beside it, and to machines.
func shopsSaid(t *testing.T, doc *html.Node, sh *sheet.Sheet) {
	t.Helper()
	items := cascadia.QueryAll(doc, cascadia.MustCompile(".shops > li"))
	if len(items) != len(sh.Record.Shops) {
		t.Errorf("%s: %d shops, want %d", sh.Slug, len(items), len(sh.Record.Shops))
		return
	}
	for i, shop := range sh.Record.Shops {
		rel := attributesOf(items[i], "a", "rel")[0]
		said := strings.Contains(content(items[i]), "earns the tester money")
		if want := map[bool]string{true: "sponsored noopener", false: "nofollow noopener"}[shop.Earns]; rel != want || said != shop.Earns {
			t.Errorf("%s: the link to %s has rel %q and says that it earns: %v", sh.Slug, shop.Name, rel, said)
		}
	}
}

// opinionsApart: opinions come last, under a head that calls them so, and hold no
// verdict.
func opinionsApart(t *testing.T, doc *html.Node, sh *sheet.Sheet) {
	t.Helper()
	if len(sh.Record.Opinions) == 0 {
		return
	}
	if got := pick(doc, "main > section:last-of-type > h2"); len(got) != 1 || got[0] != "Opinion, not measurement" {
		t.Errorf("%s: the last section is %q", sh.Slug, got)
	}
	if n := len(pick(doc, ".opinions .verdict, .opinions .mark")); n != 0 {
		t.Errorf("%s: %d verdicts stand among the opinions", sh.Slug, n)
	}
	for _, o := range sh.Record.Opinions {
		if got := strings.Join(pick(doc, ".opinions"), ""); !strings.Contains(got, squeeze(o.Text)) {
			t.Errorf("%s: the opinion %q isn't there", sh.Slug, o.Text)
		}
	}
}

// TestMethodologyExplainsEachVerdict: one drawn example a verdict, with words, and
// the check unit day by day.
func TestMethodologyExplainsEachVerdict(t *testing.T) {
	s, _ := demo()
	doc := document(t, "methodology/index.html")
	for _, class := range []string{"met", "short", "open", "untested", "incomparable"} {
		at := ".claims > .claim." + class
		if len(pick(doc, at+" svg.claim-line")) != 1 || len(pick(doc, at+" .verdict svg.mark")) != 1 || len(strings.Join(pick(doc, at+" .claim-says"), "")) < 40 {
			t.Errorf("%s has no example with a drawing, a mark and words", class)
		}
	}
	check := sheet.CheckUnit(s.Content)
	if check == nil {
		t.Fatal("the demo has no check unit")
	}
	rows := strings.Join(pick(doc, "section[aria-labelledby=check-unit] > .table-box"), "")
	for _, d := range check.Days {
		if !strings.Contains(rows, dayOf(d.Date).Text) || !strings.Contains(rows, d.Power.ValueText) {
			t.Errorf("the check unit's day %s isn't there", d.Date)
		}
	}
}
