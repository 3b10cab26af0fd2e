package verdict

import (
	"math"
	"testing"
)

// Sources: JCGM 106:2012, 7.3 (Zener diode) and 7.4 (motor oil), inputs from
// memory; the guide prints 0.92 and 0.66. The unrounded figures are Φ(1.4) and
// Φ(1.5) − Φ(−0.6111…).
func TestSpecAgainstJCGM106(t *testing.T) {
	rule := Rule{0.95, 0.05}
	inf := math.Inf(1)
	for _, r := range []struct {
		name       string
		l          Limits
		y, u, want float64
	}{
		{"Zener diode, upper limit", Limits{-inf, -5.40}, -5.47, 0.05, 0.9192433408},
		{"the same mirrored, lower limit", Limits{5.40, inf}, 5.47, 0.05, 0.9192433408},
		{"motor oil, two limits", Limits{12.5, 16.3}, 13.6, 1.8, 0.6626297865},
	} {
		word, p, _ := Spec(rule, r.l, Estimate{r.y, r.u, inf})
		if math.Abs(p-r.want) > 5e-10 || word != Open {
			t.Errorf("%s: %s at %.10f, want open at %.10f", r.name, word, p, r.want)
		}
	}
}

// Far beyond either of two limits p is a tail of the distribution and no rounding: Φ(−10) is
// 7.619853024e−24 (half of the C library's erfc at 10/√2, by Python's math.erfc).
func TestSpecFarBeyondItsLimits(t *testing.T) {
	for _, y := range []float64{60, 30} {
		word, p, _ := Spec(Rule{0.95, 0.05}, Limits{40, 50}, Estimate{y, 1, math.Inf(1)})
		if word != Missed || math.Abs(p/7.619853024e-24-1) > 1e-9 {
			t.Errorf("at %v: %s, p = %v", y, word, p)
		}
	}
}

func TestSpecMovedThroughItsLimits(t *testing.T) {
	rule := Rule{0.95, 0.05}
	var words []Word
	for y := 0.0; y <= 100; y += 0.01 {
		w, p, _ := Spec(rule, Limits{40, 60}, Estimate{y, 1, 10})
		if p < 0 || p > 1 {
			t.Fatalf("p = %v at %v", p, y)
		}
		if len(words) == 0 || words[len(words)-1] != w {
			words = append(words, w)
		}
	}
	want := []Word{Missed, Open, Met, Open, Missed}
	if len(words) != len(want) {
		t.Fatalf("passes %v, want %v", words, want)
	}
	for i := range want {
		if words[i] != want[i] {
			t.Fatalf("passes %v, want %v", words, want)
		}
	}
}

// A figure within two limits that was read too coarsely to tell is never missed, however
// little of the distribution lies between them: 4.45 to 4.55, read as 4.5 with u = 1.3, lies
// there with p = 2·Φ(0.05/1.3) − 1 = 0.03068030336 (Python's math.erf). It is missed where it lies
// beyond a limit by 1.645·u (JCGM 106:2012, 8.3.3, from memory; Φ(1.645) = 0.95).
func TestSpecReadTooCoarsely(t *testing.T) {
	l, inf := Limits{4.45, 4.55}, math.Inf(1)
	for _, r := range []struct {
		rule Rule
		y    float64
		want Word
	}{
		{Rule{0.95, 0.05}, 4.5, Open},
		{Rule{0.95, 0.05}, 4.55 + 1.644*1.3, Open},
		{Rule{0.95, 0.05}, 4.55 + 1.646*1.3, Missed},
		{Rule{0.95, 0.05}, 4.45 - 1.646*1.3, Missed},
		{Rule{0.5, 0.5}, 4.5, Met}, // without a guard band the reading itself decides
		{Rule{0.5, 0.5}, 4.55, Met},
		{Rule{0.5, 0.5}, 4.551, Missed},
		{Rule{0.5, 0.5}, 4.449, Missed},
	} {
		w, p, side := Spec(r.rule, l, Estimate{r.y, 1.3, inf})
		if w != r.want || p > side || r.y == 4.5 && math.Abs(p-0.03068030336) > 1e-10 {
			t.Errorf("%v at %v: %s, p = %v, side %v; want %s", r.rule, r.y, w, p, side, r.want)
		}
	}
}
