package site

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestVerdictsFollowFromTheirPage: from the carried mean, u and ν of each row of a claim's
// extremes follows the p that stands in it, by Student's t of a general library; so a
// reader can follow it with the page alone.
func TestVerdictsFollowFromTheirPage(t *testing.T) {
	s, _ := demo()
	number := func(text string) float64 {
		if text == "∞" {
			return 1e9 // t is the normal distribution
		}
		x, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(text), "−", "-"), 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	followed := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			for _, row := range queryAll(doc, "#claim-"+c.ID+" .bracket tbody tr") {
				cells := pick(row, "td")
				if strings.ContainsAny(cells[3], "<>…") {
					continue
				}
				y, u, freedom := number(cells[4]), number(cells[5]), number(cells[6])
				p := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.CDF((y - c.LimitW) / u)
				// p has two decimals, never rounded across a bound; u has three digits.
				if math.Abs(p-number(cells[3])) > 0.013 {
					t.Errorf("%s, claim %s: p = %s stands beside y = %v, u = %v, ν = %v, which give %v", sh.Slug, c.ID, cells[3], y, u, freedom, p)
				}
				followed++
			}
		}
	}
	if followed < 20 {
		t.Errorf("only %d rows were followed", followed)
	}
}

// TestRunsSayTheirFrequency: a claim says under which conditions its runs were made, with
// the frequency of each, and a run at another frequency than its method's says so in the table.
func TestRunsSayTheirFrequency(t *testing.T) {
	s, _ := demo()
	others := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, r := range sh.Runs {
			other := r.Method != nil && r.FreqHz > 0 && r.FreqHz != r.Method.FreqHz.Value
			notes := pick(doc, "#run-"+r.ID+" .method .note")
			if got := slices.Contains(notes, "at "+squeeze(hertz(r.FreqHz))); got != other {
				t.Errorf("%s, run %s at %v Hz: %q stand by its method", sh.Slug, r.ID, r.FreqHz, notes)
			}
			if other {
				others++
			}
		}
		for _, c := range sh.Claims {
			facts := strings.Join(pick(doc, "#claim-"+c.ID+" .evidence dl > div"), "\n")
			for _, ch := range c.Channels {
				for _, id := range ch.Runs {
					if f := runOf(sh, id).FreqHz; f > 0 && !strings.Contains(facts, ", "+squeeze(hertz(f))+", ") {
						t.Errorf("%s, claim %s: the %v Hz of run %s aren't among %q", sh.Slug, c.ID, f, id, facts)
					}
				}
			}
		}
	}
	if others == 0 {
		t.Error("the demo has no run at another frequency than its method's")
	}
}

// TestUncertaintiesSayWhatTheyAreMadeOf: beside the mean that decides stand the shares of
// its variance, the largest first.
func TestUncertaintiesSayWhatTheyAreMadeOf(t *testing.T) {
	s, _ := demo()
	said := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			facts := strings.Join(pick(doc, "#claim-"+c.ID+" .evidence dl > div"), "\n")
			if c.Weakest == nil || c.Weakest.Mean == nil {
				continue
			}
			first := c.Weakest.Mean.Shares()[0]
			if !strings.Contains(facts, "What its ± is made of"+first.What+" "+strconv.Itoa(int(math.Round(100*first.Of)))+" %") {
				t.Errorf("%s, claim %s: %v isn't the first of %q", sh.Slug, c.ID, first, facts)
			}
			said++
		}
	}
	if said == 0 {
		t.Error("no claim has a mean")
	}
}

// TestConditionsAreSaidOnce: at which volts and ohms a claim's runs stood is said where they
// stand beside the claim's own, and not again before its extremes. The example on the
// methodology page stands alone, and says it.
func TestConditionsAreSaidOnce(t *testing.T) {
	s, _ := demo()
	said := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			volts, ohms := runsUnder(sh, c).stood()
			extremes := strings.Join(pick(doc, "#claim-"+c.ID+" .bracket > p"), "\n")
			if volts == "" || ohms == "" || extremes == "" {
				continue
			}
			facts := pick(doc, "#claim-"+c.ID+" .evidence dl > div")
			at := slices.IndexFunc(facts, func(f string) bool { return strings.HasPrefix(f, "Conditions of its runs") })
			if at < 1 || !strings.HasPrefix(facts[at-1], "Conditions of the claim") ||
				!strings.HasSuffix(facts[at], squeeze(", "+volts+" supply, "+ohms+" at the unit's terminals")) {
				t.Errorf("%s, claim %s: %q", sh.Slug, c.ID, facts)
			}
			if strings.Contains(extremes, squeeze(volts)) || strings.Contains(extremes, squeeze(ohms)) {
				t.Errorf("%s, claim %s: said once more: %s", sh.Slug, c.ID, extremes)
			}
			said++
		}
	}
	example := strings.Join(pick(document(t, "methodology/index.html"), "section[aria-labelledby='bracketing']"), "\n")
	if said < 20 || !strings.Contains(example, "The runs stood at ") || !strings.Contains(example, " at the unit's terminals; the claim is for ") {
		t.Errorf("%d claims looked at; the example is %q", said, example)
	}
}
