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

// TestBoundsAreNotCalledDistortion: a mean that bounds the power on one side says on which, and
// that its distortion is the cause only where a run's reading says so: a run at one frequency of a
// claimed band, a held peak or a supply at its limit may well stand at the claim's.
func TestBoundsAreNotCalledDistortion(t *testing.T) {
	s, _ := demo()
	bounds := map[string]int{}
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			if c.Weakest == nil || c.Weakest.Class == "at" {
				continue
			}
			facts := strings.Join(pick(doc, "#claim-"+c.ID+" .evidence dl > div"), "\n")
			side := map[string]string{"below": "a bound from below: the unit can give at least this", "above": "a bound from above: the unit gives at most this"}[c.Weakest.Class]
			if !strings.Contains(facts, side) || strings.Contains(facts, c.Weakest.Class+" the claim's distortion") {
				t.Errorf("%s, claim %s: %q", sh.Slug, c.ID, facts)
			}
			for _, p := range sh.DeriveClaim(c) {
				for _, line := range p.Lines() {
					if strings.Contains(line, c.Weakest.Class+" the claim's distortion, so at") {
						t.Errorf("%s, claim %s: its derivation calls the bound a matter of distortion: %s", sh.Slug, c.ID, line)
					}
				}
			}
			bounds[c.Weakest.Class]++
		}
	}
	if bounds["below"] == 0 || bounds["above"] == 0 {
		t.Errorf("the demo has no mean that bounds from one side: %v", bounds)
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
