package capture

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// off is by how much a figure is off in its standard uncertainty.
func (t Told) off(want float64) float64 {
	return math.Abs(t.X-want) / math.Hypot(t.U, math.Hypot(t.Between, t.Pace)/math.Sqrt(3))
}

func swept(t *testing.T, rate float64, drive []float64, out []float64) Magnitude {
	t.Helper()
	m, err := Response(NewMemory(rate, out, drive), Channel{0, direct}, &Channel{1, direct})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Corners and slopes of a Butterworth filter of 2nd order and of the Linkwitz–Riley one that
// is that twice, swept slowly and fast, with noise and without: the true figure lies within
// what is stated, and what is stated isn't much wider. The corner is 80 Hz by definition;
// the slope over an octave is the mean of the closed form's in [TestResponseOfFilters].
func TestCornersHoldTheTruth(t *testing.T) {
	const rate = 8000.0
	low, corner := butterworth(80, rate), 80*math.Pow(1+2./256, 0.25) // 20 Hz is below 0 dB by 10·lg(1 + 1/256)
	rnd := rand.New(rand.NewPCG(11, 5))
	for _, seconds := range []float64{2, 5, 20} {
		for _, noise := range []float64{0, 0.002} {
			drive := sweep(rate, seconds, 10, 1000)
			once := low.filter(drive)
			for order, out := range map[int][]float64{2: once, 4: low.filter(once)} {
				heard := make([]float64, len(out))
				for i := range out {
					heard[i] = out[i] + noise*rnd.NormFloat64()
				}
				m := swept(t, rate, drive, heard)
				drop := 10 * math.Log10(2) * float64(order) / 2
				got, err := m.Corner(20, drop, true)
				if err != nil {
					t.Fatal(err)
				}
				wide := math.Hypot(got.U, math.Hypot(got.Between, got.Pace)) / got.X
				if got.off(corner) > 2.5 || wide > 0.005+0.1/seconds {
					t.Errorf("order %d in %g s, noise %g: %.4f Hz, %.4f %.4f %.4f", order, seconds, noise, got.X, got.U, got.Between, got.Pace)
				}
				fall := func(x float64) float64 { return 10 * math.Log10(1+math.Pow(x, 4)) * float64(order) / 2 }
				slope, err := m.Steepness(120, 240)
				if err != nil {
					t.Fatal(err)
				}
				if want := fall(3) - fall(1.5); math.Abs(slope.X/want-1) > 0.02 || slope.U > 0.05*want {
					t.Errorf("order %d in %g s: %.3f dB an octave, want %.3f; u %.4f, %.4f", order, seconds, slope.X, want, slope.U, slope.Pace)
				}
			}
		}
	}
}

// butterworth is the bilinear 2nd-order low-pass with its corner put where it belongs
// (closed form of the transform).
func butterworth(corner, rate float64) biquad {
	k := math.Tan(math.Pi * corner / rate)
	n := 1 / (1 + math.Sqrt2*k + k*k)
	return biquad{k * k * n, 2 * k * k * n, k * k * n, 2 * (k*k - 1) * n, (1 - math.Sqrt2*k + k*k) * n}
}

// The high-pass corner in steps of a sixth of an octave without a drive channel: of first
// order, 1/√(1 + (f1/f)²), by definition 3.0103 dB down at f1.
func TestLowCornerBySteps(t *testing.T) {
	const rate, corner = 16000.0, 33.0
	var x []float64
	for f := 11.0; f < 1000; f *= math.Exp2(1. / 6) {
		size := 1 / math.Sqrt(1+corner*corner/f/f)
		x = append(x, made(rate, math.Round(40*f/20)/f, func(t float64) float64 { return size * math.Sin(2*math.Pi*f*t) })...)
	}
	m, err := Response(NewMemory(rate, x), Channel{0, direct}, nil)
	if err != nil {
		t.Fatal(err)
	}
	got, err := m.Corner(500, 10*math.Log10(2), false)
	want := corner / math.Sqrt(1+2*corner*corner/500/500) // 500 Hz is below 0 dB too
	if err != nil || got.off(want) > 2.5 || math.Abs(got.X/want-1) > 0.005 {
		t.Errorf("%+v, %v", got, err)
	}
}

// A bell of 9 dB at 45 Hz with a quality of 1.5, |H| in closed form of the analogue filter,
// H = (s² + s·a/q + 1)/(s² + s/(a·q) + 1) with a² the height.
func TestTopHoldsTheTruth(t *testing.T) {
	const rate = 16000.0
	for step, tolerance := range map[float64]float64{1. / 24: 0.004, 1. / 6: 0.02} {
		var x []float64
		bell := func(f float64) float64 {
			a, q, w := math.Pow(10, 9./40), 1.5, f/45
			return math.Hypot(1-w*w, w*a/q) / math.Hypot(1-w*w, w/a/q)
		}
		for f := 12.3; f < 700; f *= math.Exp2(step) {
			x = append(x, made(rate, math.Round(10*f/20+5)/f, func(t float64) float64 { return 0.2 * bell(f) * math.Sin(2*math.Pi*f*t) })...)
		}
		m, err := Response(NewMemory(rate, x), Channel{0, direct}, nil)
		if err != nil {
			t.Fatal(err)
		}
		centre, height, err := m.Top(600)
		want := 9 - 20*math.Log10(bell(600))
		if err != nil || centre.off(45) > 2.5 || math.Abs(centre.X/45-1) > tolerance || height.off(want) > 2.5 || math.Abs(height.X-want) > 5*tolerance {
			t.Errorf("%+v, %+v, want %g, %v", centre, height, want, err)
		}
	}
}

// What a curve can't tell is told as such, never as a number.
func TestUntold(t *testing.T) {
	var m Magnitude
	for f := 20.0; f < 2000; f *= 1.1 {
		m = append(m, Gain{f, -f / 1000, 40})
	}
	for name, try := range map[string]func() error{
		"a corner that isn't there": func() error { _, err := m.Corner(100, 3, true); return err },
		"a reference outside":       func() error { _, err := m.Corner(10, 3, true); return err },
		"a slope outside":           func() error { _, err := m.Steepness(100, 5000); return err },
		"a slope of two points":     func() error { _, err := m.Steepness(100, 121); return err },
		"a boost at the end":        func() error { _, _, err := m.Top(100); return err },
		"a corner among three points": func() error {
			_, err := Magnitude{{10, 0, 9}, {20, -2, 9}, {40, -9, 9}}.Corner(10, 3, true)
			return err
		},
		"a boost that is no higher": func() error { _, _, err := Magnitude{{10, 0, 9}, {20, 1, 9}, {40, 0, 9}}.Top(20); return err },
	} {
		if p := (*Problem)(nil); !errors.As(try(), &p) || p.Hint == "" {
			t.Errorf("%s: %v", name, try())
		}
	}
}
