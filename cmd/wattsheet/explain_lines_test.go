package main

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"wattsheet/generator/sheet"
)

var (
	lineTable     = regexp.MustCompile(`R/Ω f/W r/W w ∂f/∂E ∂f/∂Rs((?: -?[0-9][-0-9.e]*)+) Where`)
	lineSource    = regexp.MustCompile(`\[load-line\] = ([0-9.]+) V,.*?\[load-line\] = ([-0-9.]+) Ω,`)
	exponentTable = regexp.MustCompile(`run Vs/V P/W x y w r((?: [a-z0-9-]+(?: -?[0-9][-0-9.e]*){6})+)`)
	exponentMeans = regexp.MustCompile(`means ([-0-9.]+) and ([-0-9.]+) run`)
	exponentIs    = regexp.MustCompile(`Σ w·x·y/Σ w·x² = ([-0-9.e]+)/([-0-9.e]+) = ([-0-9.e]+), published`)
	chiSquared    = regexp.MustCompile(`χ² = Σ w·r² = ([0-9.e-]+) with`)
	putIn         = regexp.MustCompile(`= ([0-9.]+)²·([0-9.]+)/\(([0-9.]+) \+ ([-0-9.]+)\)² = ([0-9.]+) W, published`)
)

// Every load line of the demo, by hand with the printed numbers: f is E²·R/(R + Rs)²,
// the two conditions of the fit hold, and the residuals give χ².
func TestExplainedLinesCanBeFollowed(t *testing.T) {
	lines := 0
	for _, s := range demo(t).Sheets {
		text := said(t, s.Slug+" lines", s.DeriveLines())
		recomputed(t, s.Slug+" lines", text)
		for _, l := range s.Lines {
			has(t, s.Slug, text, l.E, l.Rs)
		}
		tables, sources, chis := lineTable.FindAllStringSubmatch(text, -1), lineSource.FindAllStringSubmatch(text, -1), chiSquared.FindAllStringSubmatch(text, -1)
		if len(tables) != len(s.Lines) || len(sources) != len(s.Lines) || len(chis) != len(s.Lines) {
			t.Fatalf("%s: %d tables, %d sources and %d χ² of %d lines", s.Slug, len(tables), len(sources), len(chis), len(s.Lines))
		}
		for i, table := range tables {
			lines++
			followLine(t, s.Slug, strings.Fields(table[1]), parsed(t, sources[i][1]), parsed(t, sources[i][2]), parsed(t, chis[i][1]))
		}
	}
	if lines < 3 {
		t.Errorf("only %d lines in the demo", lines)
	}
}

func followLine(t *testing.T, what string, cells []string, e, rs, printed float64) {
	t.Helper()
	var sumE, sumRs, largestE, largestRs, chi2 float64
	for ; len(cells) >= 6; cells = cells[6:] {
		load, f, r, w, byE, byRs := parsed(t, cells[0]), parsed(t, cells[1]), parsed(t, cells[2]), parsed(t, cells[3]), parsed(t, cells[4]), parsed(t, cells[5])
		for name, pair := range map[string][2]float64{
			"f": {f, e * e * load / ((load + rs) * (load + rs))}, "∂f/∂E": {byE, 2 * f / e}, "∂f/∂Rs": {byRs, -2 * f / (load + rs)},
		} {
			if math.Abs(pair[0]-pair[1]) > 3e-5*math.Abs(pair[1]) {
				t.Errorf("%s, %g Ω: %s is %g, the printed numbers give %g", what, load, name, pair[0], pair[1])
			}
		}
		sumE, sumRs, chi2 = sumE+w*r*byE, sumRs+w*r*byRs, chi2+w*r*r
		largestE, largestRs = math.Max(largestE, math.Abs(w*r*byE)), math.Max(largestRs, math.Abs(w*r*byRs))
	}
	if math.Abs(sumE) > 2e-5*largestE || math.Abs(sumRs) > 2e-5*largestRs {
		t.Errorf("%s: the conditions give %g of %g and %g of %g, want 0", what, sumE, largestE, sumRs, largestRs)
	}
	if math.Abs(chi2-printed) > 1e-4*printed {
		t.Errorf("%s: χ² is %g, the printed numbers give %g", what, printed, chi2)
	}
}

// The supply exponents of the demo by hand: x and y are logarithms less their means,
// and k is the quotient of the sums.
func TestExplainedExponentCanBeFollowed(t *testing.T) {
	found := 0
	for _, s := range demo(t).Sheets {
		text := said(t, s.Slug+" lines", s.DeriveLines())
		if s.Exponent == nil {
			if !strings.Contains(text, "Not estimated: no completed runs") {
				t.Errorf("%s doesn't say that it has no exponent", s.Slug)
			}
			continue
		}
		found++
		has(t, s.Slug, text, s.Exponent.K)
		var n, d float64
		means := exponentMeans.FindAllStringSubmatch(text, -1)
		for i, m := range exponentTable.FindAllStringSubmatch(text, -1) {
			for cells := strings.Fields(m[1]); len(cells) >= 7; cells = cells[7:] {
				v, p, x, y, w := parsed(t, cells[1]), parsed(t, cells[2]), parsed(t, cells[3]), parsed(t, cells[4]), parsed(t, cells[5])
				n, d = n+w*x*y, d+w*x*x
				if math.Abs(math.Log(v)-parsed(t, means[i][1])-x) > 1e-5 || math.Abs(math.Log(p)-parsed(t, means[i][2])-y) > 1e-5 {
					t.Errorf("%s: %s is not ln Vs and ln P less the means", s.Slug, cells[0])
				}
			}
		}
		m := exponentIs.FindStringSubmatch(text)
		if m == nil {
			t.Fatalf("%s gives no quotient", s.Slug)
		}
		for name, pair := range map[string][2]float64{"the numerator": {n, parsed(t, m[1])}, "the denominator": {d, parsed(t, m[2])}, "k": {n / d, parsed(t, m[3])}} {
			if math.Abs(pair[0]-pair[1]) > 1e-4*math.Abs(pair[1]) {
				t.Errorf("%s: %s is %g, the printed numbers give %g", s.Slug, name, pair[1], pair[0])
			}
		}
	}
	if found == 0 {
		t.Error("no unit of the demo has a supply exponent")
	}
}

// At a load: the caution first; inside the range each line's figure, which the
// printed numbers give; outside it the reason; and what was measured there.
func TestExplainedLoad(t *testing.T) {
	inside, outside := 0, 0
	for _, s := range demo(t).Sheets {
		for _, ohm := range []float64{0.5, 1, 2, 3.2, 4, 16} {
			passages := s.DeriveAtLoad(ohm)
			if !strings.Contains(strings.Join(passages[0].Lines()[:2], " "), "no permission") {
				t.Errorf("%s at %g Ω: the caution is not first", s.Slug, ohm)
			}
			text := said(t, s.Slug, passages)
			recomputed(t, s.Slug, text)
			figures := putIn.FindAllStringSubmatch(text, -1)
			for _, l := range s.Lines {
				if f, err := l.At(ohm); err == nil {
					inside++
					has(t, s.Slug, text, f)
				} else {
					outside++
					why := strings.Join(strings.Fields(strings.ReplaceAll(err.Error(), "\u00a0", " ")), " ")
					if !strings.Contains(text, why[1:]) {
						t.Errorf("%s at %g Ω doesn't say: %s", s.Slug, ohm, why)
					}
				}
			}
			for _, m := range figures {
				e, r, rs := parsed(t, m[1]), parsed(t, m[2]), parsed(t, m[4])
				if p := e * e * r / ((r + rs) * (r + rs)); math.Abs(p-parsed(t, m[5])) > 2e-5*p {
					t.Errorf("%s: %s; the printed numbers give %g", s.Slug, m[0], p)
				}
			}
			for _, r := range s.Runs {
				for _, c := range r.Channels {
					if r.Valid && c.Power != nil && c.Nominal == ohm && !strings.Contains(text, plainText(c.Power)) {
						t.Errorf("%s at %g Ω doesn't give run %s", s.Slug, ohm, r.ID)
					}
				}
			}
		}
	}
	if inside == 0 || outside == 0 {
		t.Errorf("%d figures, %d refused", inside, outside)
	}
}

func plainText(f *sheet.Figure) string { return strings.ReplaceAll(f.Text, "\u00a0", " ") }

// The estimate of a claim stands in its explanation, with the budgets of its ends.
func TestExplainedEstimate(t *testing.T) {
	found := 0
	for _, s := range demo(t).Sheets {
		for _, c := range s.Claims {
			if c.Estimate == nil {
				continue
			}
			found++
			text := said(t, s.Slug, s.DeriveClaim(c))
			for _, e := range c.Estimate.Channels {
				if e.Name == c.Weakest.Name {
					has(t, s.Slug+" "+c.ID, text, e.Low, e.High, e.Own)
				}
			}
		}
	}
	if found == 0 {
		t.Error("no claim of the demo has an estimate")
	}
}
