package verdict

import (
	"math"
	"testing"
)

// sequence returns the words that a claim passes as step runs from 0 to n, each
// change once, and the steps at which they change.
func sequence(n int, word func(step int) Word) (words []Word, changes []int) {
	for i := range n + 1 {
		if w := word(i); len(words) == 0 || w != words[len(words)-1] {
			words, changes = append(words, w), append(changes, i)
		}
	}
	return words, changes
}

// A claim moved upward through the measured value passes met, open and short,
// each bound crossed once and where JCGM 106:2012, 8.3, puts it: z·u below the
// value and above it. Quantiles: tables of the normal and of Student's t.
func TestClaimMovedThroughTheValue(t *testing.T) {
	const steps = 4000
	for _, r := range []struct{ y, u, dof, z float64 }{
		{500, 9.1, infinite, 1.6448536}, {500, 9.1, 4, 2.1318468}, {1482, 15, 14, 1.7613101}, {0.02, 0.001, infinite, 1.6448536}, {12, 30, 9, 1.8331129},
	} {
		limit := func(i int) float64 { return r.y + r.u*(float64(i)/steps*8-4) }
		words, changes := sequence(steps, func(i int) Word { return Decide(usual, limit(i), single(at(r.y, r.u, r.dof))).Word })
		if len(words) != 3 || words[0] != Met || words[1] != Open || words[2] != Short {
			t.Errorf("%v: the claim passes %v, want met, open, short", r, words)
			continue
		}
		step := 8 * r.u / steps
		if first, second := limit(changes[1]), limit(changes[2]); first < r.y-r.z*r.u || first > r.y-r.z*r.u+1.001*step || second < r.y+r.z*r.u-0.001*step || second > r.y+r.z*r.u+1.001*step {
			t.Errorf("%v: open from %v, short from %v; want the first steps beyond %v ± %v", r, first, second, r.y, r.z*r.u)
		}
	}
}

// neighbours walks the floats around y, from so many below to as many above.
func neighbours(y float64, each int) []float64 {
	out := make([]float64, 2*each+1)
	out[each] = y
	for i := 1; i <= each; i++ {
		out[each-i] = math.Nextafter(out[each-i+1], math.Inf(-1))
		out[each+i] = math.Nextafter(out[each+i-1], math.Inf(1))
	}
	return out
}

// p exactly on a bound, by symmetry: at y = limit, p is exactly 1/2 (JCGM
// 106:2012, 7.3). There, and at the two neighbouring floats of the mean; for
// Student's t a microwatt away, as 1 − ν/(ν + t²) is 0 in double precision where
// t is below 1e-8.
func TestExactlyAtABound(t *testing.T) {
	for _, dof := range []float64{infinite, 6, 1} {
		means := neighbours(500, 1)
		if dof != infinite {
			means = []float64{500 - 1e-6, 500, 500 + 1e-6}
		}
		for _, r := range []struct {
			rule Rule
			want [3]Word // below, at, above
		}{
			{Rule{MetFrom: 0.5, ShortTo: 0.05}, [3]Word{Open, Met, Met}},
			{Rule{MetFrom: 0.95, ShortTo: 0.5}, [3]Word{Short, Short, Open}},
		} {
			for i, y := range means {
				got := Decide(r.rule, 500, single(at(y, 9.1, dof)))
				if got.Word != r.want[i] {
					t.Errorf("ν %v, %v, mean %v: %s at p %v, want %s", dof, r.rule, y, got.Word, got.PMin, r.want[i])
				}
				if i == 1 && got.PMin != 0.5 {
					t.Errorf("ν %v: p = %v at the limit, want exactly 1/2", dof, got.PMin)
				}
			}
		}
	}
}

// p exactly on any bound: a rule whose bound is the p of that very mean, so that
// "at least" and "at most" are decided by the last bit. Two neighbouring means
// may have the same p; then they have the same verdict.
func TestBoundsIncludeThemselves(t *testing.T) {
	for _, y := range []float64{514.9681680053, 485.0318319947, 509.3, 478} {
		for _, dof := range []float64{infinite, 14.1} {
			p := func(y float64) float64 { return Decide(usual, 500, single(at(y, 9.1, dof))).PMin }
			bound := p(y)
			for _, near := range neighbours(y, 2) {
				word := func(rule Rule) Word { return Decide(rule, 500, single(at(near, 9.1, dof))).Word }
				if met, want := word(Rule{MetFrom: bound, ShortTo: 0}) == Met, p(near) >= bound; met != want {
					t.Errorf("mean %v, ν %v: met is %t at p − bound = %g", near, dof, met, p(near)-bound)
				}
				if short, want := word(Rule{MetFrom: 1, ShortTo: bound}) == Short, p(near) <= bound; short != want {
					t.Errorf("mean %v, ν %v: short is %t at p − bound = %g", near, dof, short, p(near)-bound)
				}
			}
		}
	}
}

// Around the usual bounds the verdict changes once among 401 neighbouring floats,
// and the change lies where the normal quantile puts it: limit ± z·u to the 1e-13
// relative that a quantile is good for.
func TestOneChangeAmongNeighbours(t *testing.T) {
	const z = 1.6448536269514722 // NIST/SEMATECH handbook, 1.3.6.7.1, and SciPy to 16 digits
	for _, r := range []struct {
		y       float64
		between [2]Word
	}{{500 + z*9.1, [2]Word{Open, Met}}, {500 - z*9.1, [2]Word{Short, Open}}} {
		means := neighbours(r.y, 200)
		words, changes := sequence(len(means)-1, func(i int) Word { return Decide(usual, 500, single(at(means[i], 9.1, infinite))).Word })
		if len(words) != 2 || words[0] != r.between[0] || words[1] != r.between[1] {
			t.Errorf("around %v: %v at %v, want %v", r.y, words, changes, r.between)
		}
	}
}

// Without uncertainty the claim holds or not: at the limit and its neighbours.
func TestWithoutUncertainty(t *testing.T) {
	want := [3]Word{Short, Met, Met}
	for i, y := range neighbours(500, 1) {
		got := Decide(usual, 500, single(at(y, 0, infinite)))
		if got.Word != want[i] || got.Low != y || got.High != y {
			t.Errorf("exactly %v W: %s, bar %v … %v; want %s, %v", y, got.Word, got.Low, got.High, want[i], y)
		}
		if p := got.PMin; p != 0 && p != 1 || p != got.PMax {
			t.Errorf("exactly %v W: p = %v … %v", y, p, got.PMax)
		}
	}
	f := Decide(usual, 500, single(at(512, 0, infinite))).Flip
	if f == nil || f.Shift != -12 || f.ShiftTo != Short || f.ScaleTo != "" {
		t.Errorf("flip of exactly 512 W: %+v, want 12 W down to short, and no scale", f)
	}
}
