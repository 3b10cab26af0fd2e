package verdict

import (
	"math"
	"testing"

	"wattsheet/generator/quantity"
)

// The usual rules: simple acceptance (ILAC-G8:09/2019, 4.2.1), guarded for 95 % on
// one side (JCGM 106:2012, 8.3) and a guard band of U (ILAC-G8:09/2019, 4.2.2).
var (
	simpleRule  = Rule{0.5, 0.5}
	guardedRule = usual
	bandOfU     = Rule{0.975, 0.025}
)

// A claim of at least 500 W and u = 9.1 W, by every rule. Simple acceptance passes
// what reaches 500 W (4.2.1, w = 0) and fails the rest; a guard band w = U passes
// from 500 W + U on (4.2.2), where U = 1.959964·9.1 W = 17.8356723 W, or with six
// degrees of freedom 2.446912·9.1 W = 22.266899 W (t of JCGM 100:2008, table G.2,
// digits computed apart); it fails with a claim up to 500 W − U, as a rejection
// guarded in the same way (JCGM 106:2012, 8.3.3).
func TestUsualRules(t *testing.T) {
	for _, r := range []struct {
		y, dof                  float64
		simple, guarded, byFull Word
	}{
		{477.7, infinite, Short, Short, Short},
		{482.1, infinite, Short, Short, Short}, // 500 − 17.836 = 482.164
		{482.2, infinite, Short, Short, Open},
		{485.0, infinite, Short, Short, Open}, // 500 − 14.968 = 485.032
		{485.1, infinite, Short, Open, Open},
		{495.0, infinite, Short, Open, Open},
		{500.0, infinite, Met, Open, Open},
		{508.0, infinite, Met, Open, Open},
		{514.9, infinite, Met, Open, Open},
		{515.0, infinite, Met, Met, Open},
		{517.8, infinite, Met, Met, Open},
		{517.9, infinite, Met, Met, Met},
		{477.8, 6, Short, Short, Open}, // 500 − 22.267 = 477.733
		{500.0, 6, Met, Open, Open},
		{517.6, 6, Met, Open, Open}, // 500 + 1.943180·9.1 = 517.683
		{517.7, 6, Met, Met, Open},
		{522.2, 6, Met, Met, Open},
		{522.3, 6, Met, Met, Met}, // 500 + 22.267 = 522.267
	} {
		corners := single(at(r.y, 9.1, r.dof))
		for _, c := range []struct {
			name string
			rule Rule
			want Word
		}{{"simple", simpleRule, r.simple}, {"guarded", guardedRule, r.guarded}, {"band of U", bandOfU, r.byFull}} {
			if got := Decide(c.rule, 500, corners).Word; got != c.want {
				t.Errorf("%v W, ν %v, %s: %s, want %s", r.y, r.dof, c.name, got, c.want)
			}
		}
	}
}

// By simple acceptance p = 1/2 is met, and the float below the limit is short: also
// with few degrees of freedom, where p is within 1e-14 of 1/2, with the flip and
// the bar saying the same.
func TestSimpleAcceptanceAtTheLimit(t *testing.T) {
	for _, dof := range []float64{1, 2.5, 6, 56.9, 99_999, 100_001, infinite} {
		for _, u := range []float64{0, 0.5, 9.1, 150} {
			for _, r := range []struct {
				y    float64
				want Word
			}{{math.Nextafter(500, 0), Short}, {500, Met}, {math.Nextafter(500, 1000), Met}} {
				got := Decide(simpleRule, 500, single(at(r.y, u, dof)))
				if got.Word != r.want {
					t.Errorf("%v W, u %v, ν %v: %s at p − 1/2 = %g, want %s", r.y, u, dof, got.Word, got.PMin-0.5, r.want)
				}
				if u > 0 && (got.Low != r.y || got.High != r.y) {
					t.Errorf("%v W, u %v, ν %v: the bar is %v … %v, want the mean", r.y, u, dof, got.Low, got.High)
				}
			}
			f := Decide(simpleRule, 500, single(at(508, u, dof))).Flip
			if f == nil || math.Abs(f.Shift+8) > 1e-6 || f.ShiftTo != Short || f.ScaleTo != "" {
				t.Errorf("u %v, ν %v: flip %+v, want −8 W to short and no scale", u, dof, f)
			}
		}
	}
}

// A band of U at its edge: y − U is the limit. It is met a hair above.
func TestBandOfUIsTheExpandedUncertainty(t *testing.T) {
	for _, dof := range []float64{2, 6, 16, 56.9, infinite} {
		full := quantity.Coverage(quantity.Level, dof) * 9.1
		for _, r := range []struct {
			y    float64
			want Word
		}{{500 + full + 1e-6, Met}, {500 + full - 1e-6, Open}, {500 - full + 1e-6, Open}, {500 - full - 1e-6, Short}} {
			if got := Decide(bandOfU, 500, single(at(r.y, 9.1, dof))).Word; got != r.want {
				t.Errorf("ν %v, %v W: %s, want %s", dof, r.y, got, r.want)
			}
		}
	}
}

// Simple acceptance is binary (ILAC-G8:09/2019, 4.2.1): with several channels there
// is nothing between either, and any channel below the limit is short. A guarded
// rejection is divided among the channels; at its bound and the floats beside it.
func TestRulesOfSeveralChannels(t *testing.T) {
	for n := 1; n <= 8; n++ {
		channels := make([]Channel, n)
		for i := range channels {
			channels[i] = at(520, 9.1, 12)
		}
		for _, y := range []float64{470, 495, math.Nextafter(500, 0), 500, 505} {
			channels[n-1] = at(y, 9.1, 12)
			want := Met
			if y < 500 {
				want = Short
			}
			if got := Decide(simpleRule, 500, single(channels...)).Word; got != want {
				t.Errorf("%d channels, the last at %v W: %s, want %s", n, y, got, want)
			}
		}
	}
	for _, r := range []struct {
		rule Rule
		n    int
		want float64
	}{
		{Rule{0.5, 0.5}, 4, 0.5}, {Rule{0.95, 0.5}, 2, 0.5}, {Rule{0.95, math.Nextafter(0.5, 0)}, 2, math.Nextafter(0.5, 0) / 2},
		{usual, 1, 0.05}, {usual, 2, 0.025}, {usual, 0, 0.05}, {bandOfU, 5, 0.005},
	} {
		if got := r.rule.ShortOf(r.n); got != r.want {
			t.Errorf("%v of %d channels: %v, want %v", r.rule, r.n, got, r.want)
		}
	}
}
