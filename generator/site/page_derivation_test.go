package site

import (
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"

	"wattsheet/generator/sheet"
)

// sixDigits is a number as a calculation has it.
var sixDigits = regexp.MustCompile(`[0-9]+(?:\.[0-9]+)?(?:e-?[0-9]+)?`)

// worked adds the numbers of a text that have five significant digits or more.
func worked(numbers map[string]bool, text string) {
	for _, n := range sixDigits.FindAllString(text, -1) {
		mantissa, _, _ := strings.Cut(n, "e")
		if len(strings.TrimLeft(strings.Replace(mantissa, ".", "", 1), "0")) >= 5 {
			numbers[n] = true
		}
	}
}

// TestDerivationsAreWhole: each claim's and each run's derivation is folded on the page
// of derivations. It has every number that the command explain computes, there or where
// it leads: at what all have in common and, for a claim, at its runs. The unit's page
// leads to each, and keeps the address that a claim's derivation had when it stood there.
func TestDerivationsAreWhole(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		unit, steps := document(t, "units/"+sh.Slug+"/index.html"), document(t, "units/"+sh.Slug+"/derivation/index.html")
		common, runs := told(t, steps, "common"), map[string]bool{}
		for _, r := range sh.Runs {
			its := told(t, steps, "run-"+r.ID)
			maps.Copy(runs, its)
			hasWorked(t, sh.Slug+", run "+r.ID, sh.DeriveRun(r), its, common)
			if to := attributesOf(unit, "#run-"+r.ID+" a[href^='derivation/']", "href"); !slices.Equal(to, []string{"derivation/index.html#run-" + r.ID}) {
				t.Errorf("%s: run %s leads to %q for its derivation", sh.Slug, r.ID, to)
			}
		}
		for _, c := range sh.Claims {
			hasWorked(t, sh.Slug+", claim "+c.ID, sh.DeriveClaim(c), told(t, steps, "derived-"+c.ID), runs, common)
			if to := attributesOf(unit, "#claim-"+c.ID+" details #derived-"+c.ID+" a", "href"); !slices.Equal(to, []string{"derivation/index.html#derived-" + c.ID}) {
				t.Errorf("%s: claim %s leads to %q for its derivation", sh.Slug, c.ID, to)
			}
		}
	}
}

// told are the numbers of the one folded derivation of that id.
func told(t *testing.T, doc *html.Node, id string) map[string]bool {
	t.Helper()
	numbers, found := map[string]bool{}, queryAll(doc, "details > section.steps#"+id)
	if len(found) != 1 {
		t.Errorf("%d derivations %s are folded, want one", len(found), id)
	}
	for _, n := range found {
		worked(numbers, content(n))
	}
	return numbers
}

// hasWorked checks that some of the places have every number of a derivation.
func hasWorked(t *testing.T, what string, passages []sheet.Passage, places ...map[string]bool) {
	t.Helper()
	numbers := map[string]bool{}
	for _, p := range passages {
		for _, part := range p.Parts {
			worked(numbers, part.Text)
		}
	}
	var missing []string
	for n := range numbers {
		if !slices.ContainsFunc(places, func(told map[string]bool) bool { return told[n] }) {
			missing = append(missing, n)
		}
	}
	slices.Sort(missing)
	if len(missing) > 0 {
		t.Errorf("%s: of %d numbers the page lacks %q", what, len(numbers), missing)
	}
}

// citation is a formula that is named by its id.
var citation = regexp.MustCompile(`\[([a-z0-9-]+)\]`)

// TestCitedFormulasAreSpelledOut: each formula that a derivation names stands with what
// they have in common, or with itself, and leads to the catalogue from there.
func TestCitedFormulasAreSpelledOut(t *testing.T) {
	s, _ := demo()
	cited := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/derivation/index.html")
		known := map[string]bool{}
		for _, href := range attributesOf(doc, "section.steps a[href*='#formula-']", "href") {
			_, id, _ := strings.Cut(href, "#formula-")
			known[id] = true
		}
		for _, n := range queryAll(doc, "section.steps p") {
			for _, m := range citation.FindAllStringSubmatch(content(n), -1) {
				if cited++; !known[m[1]] {
					t.Errorf("%s: formula %s is nowhere spelled out", sh.Slug, m[1])
				}
			}
		}
		if len(sh.Claims) > 0 && len(attributesOf(doc, "#common a[href$='#formula-carried-to-claim']", "href")) != 1 {
			t.Errorf("%s: the formula that carries isn't spelled out once, for all", sh.Slug)
		}
	}
	if cited < 1000 {
		t.Errorf("only %d formulas are named", cited)
	}
}

// TestClaimDerivationsLeadToTheirRuns: a run named in a claim's derivation is a link
// to its own.
func TestClaimDerivationsLeadToTheirRuns(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/derivation/index.html")
		for _, c := range sh.Claims {
			at := "#derived-" + c.ID
			leads := attributesOf(doc, at+" a[href^='#run-']", "href")
			for _, u := range c.Uses {
				if !slices.Contains(leads, "#run-"+u.Run) {
					t.Errorf("%s, claim %s: run %s is named without a link to its derivation", sh.Slug, c.ID, u.Run)
				}
			}
		}
	}
}

// TestAddressesUnfold: an address that names a derivation unfolds it, and only it
// (HTML Living Standard, "ancestor details revealing algorithm"); on a phone no
// sentence of it is cut, and only its own box scrolls sideways.
func TestAddressesUnfold(t *testing.T) {
	s, dir := published(t)
	ctx := inBrowser(t)
	sh := s.Sheets[0]
	for _, address := range []string{
		"derivation/index.html#derived-" + sh.Claims[0].ID, "derivation/index.html#run-" + sh.Runs[0].ID,
	} {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 800), chromedp.Navigate("about:blank"), chromedp.Navigate("file://"+filepath.Join(dir, "units", sh.Slug)+"/"+address)); err != nil {
			t.Fatal(err)
		}
		if n := js[float64](t, ctx, `document.querySelectorAll('details.derivation[open]').length`); n != 1 {
			t.Errorf("%s: %v derivations are unfolded, want one", address, n)
		}
		cut := js[[]string](t, ctx, `[...document.querySelectorAll('details[open] .steps p')].filter((p) => p.getBoundingClientRect().right > innerWidth || p.scrollWidth > p.clientWidth + 1).map((p) => p.textContent)`)
		for _, text := range cut {
			t.Errorf("%s: cut at 390 px: %q", address, text)
		}
		if scrolls := js[bool](t, ctx, `(() => { const box = document.querySelector('details[open] .steps'); return box.scrollWidth > box.clientWidth && document.documentElement.scrollWidth <= innerWidth && box.tabIndex === 0; })()`); !scrolls {
			t.Errorf("%s: the rows of figures don't scroll in a box that the keyboard reaches", address)
		}
	}
}
