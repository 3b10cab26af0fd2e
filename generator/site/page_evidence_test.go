package site

import (
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
)

// TestUsualRulesAreFolded: under each claim decided by numbers stands what each of
// the usual rules says, with the site's own marked.
func TestUsualRulesAreFolded(t *testing.T) {
	s, _ := demo()
	several := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			rows := queryAll(doc, "#claim-"+c.ID+" details .other-rules tbody tr")
			if len(rows) != len(c.Rules) {
				t.Errorf("%s, claim %s: %d rules, want %d", sh.Slug, c.ID, len(rows), len(c.Rules))
				continue
			}
			says := map[string]bool{}
			for i, r := range c.Rules {
				says[string(r.Verdict)] = true
				text := content(rows[i])
				if got := strings.Contains(text, "This site's rule"); got != r.Own {
					t.Errorf("%s, claim %s, %s: marked as the site's: %v", sh.Slug, c.ID, r.Name, got)
				}
				if len(queryAll(rows[i], ".verdict."+string(r.Verdict)+" svg.mark")) != 1 || !strings.Contains(text, squeeze(capital(r.Name))) {
					t.Errorf("%s, claim %s: the row of %s reads %q", sh.Slug, c.ID, r.Name, text)
				}
				if r.Own && !strings.HasSuffix(text, c.Word) {
					t.Errorf("%s, claim %s: by its own rule the site says %q, want %q", sh.Slug, c.ID, text, c.Word)
				}
			}
			said := strings.Join(pick(doc, "#claim-"+c.ID+" .other-rules > p"), "")
			if strings.Contains(said, "makes a difference") != (len(says) > 1) {
				t.Errorf("%s, claim %s: the rules say %v, the sentence %q", sh.Slug, c.ID, says, said)
			}
			if len(says) > 1 {
				several++
			}
		}
	}
	if several == 0 {
		t.Error("the demo has no claim on which the usual rules differ")
	}
}

// TestLoadLinesArePrinted: each point of a load line stands in its table with its
// mean, U and how far it lies off; estimates only where the line fits.
func TestLoadLinesArePrinted(t *testing.T) {
	s, _ := demo()
	fits := map[bool]int{}
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		folded := queryAll(doc, "details.load-line")
		if len(folded) != len(sh.Lines) {
			t.Errorf("%s: %d load lines, want %d", sh.Slug, len(folded), len(sh.Lines))
			continue
		}
		for i, l := range sh.Lines {
			fits[l.Fits]++
			tables := queryAll(folded[i], "table")
			if want := map[bool]int{true: 2, false: 1}[l.Fits]; len(tables) != want {
				t.Errorf("%s: a line that fits %v has %d tables, want %d", sh.Slug, l.Fits, len(tables), want)
			}
			rows := queryAll(tables[0], "tbody tr")
			if len(rows) != len(l.Points) {
				t.Fatalf("%s: %d points, want %d", sh.Slug, len(rows), len(l.Points))
			}
			for j, p := range l.Points {
				text := " " + content(rows[j]) + " "
				for _, w := range append([]string{p.Power.ValueText, p.Power.UText, residual(p.ResidualW)}, p.Runs...) {
					if !strings.Contains(text, w) {
						t.Errorf("%s: point %d reads %q, without %q", sh.Slug, j, text, w)
					}
				}
			}
			if said := strings.Join(pick(doc, ".estimates li"), "\n"); !strings.Contains(said, squeeze(l.Text)) {
				t.Errorf("%s: %q isn't said among the estimates", sh.Slug, l.Text)
			}
		}
	}
	if fits[true] == 0 || fits[false] == 0 {
		t.Errorf("the demo has %d lines that fit and %d that don't: both are needed", fits[true], fits[false])
	}
}

// TestBracketingIsExplained: the methodology works through a claim whose runs stood
// off its supply voltage, and every claim that was carried leads there.
func TestBracketingIsExplained(t *testing.T) {
	s, _ := demo()
	doc := document(t, "methodology/index.html")
	section := cascadia.Query(doc, cascadia.MustCompile("section[aria-labelledby='bracketing']"))
	if section == nil || len(queryAll(section, "tbody tr")) < 4 || len(queryAll(section, ".verdict svg.mark")) != 1 {
		t.Fatal("no example is worked through")
	}
	for _, sh := range s.Sheets {
		unit := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			leads := attributesOf(unit, "#claim-"+c.ID+" .bracket a[href$='#bracketing']", "href")
			if (len(leads) == 1) != (len(c.Corners) > 1) {
				t.Errorf("%s, claim %s: %d links to the explanation, %d corners", sh.Slug, c.ID, len(leads), len(c.Corners))
			}
		}
	}
}
