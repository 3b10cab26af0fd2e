package electric

import (
	"math"
	"testing"
)

// A wave is a sine clipped at a level, integrated numerically.
type wave struct{ mean, square, fundamental float64 }

// clipped integrates min(sin x, c) over a quarter period by Simpson's rule, up to
// the knee; beyond it the wave is flat, and only the fundamental needs the rule.
func clipped(c float64) wave {
	knee := math.Asin(c)
	flat := math.Pi/2 - knee
	square := func(x float64) float64 { return math.Sin(x) * math.Sin(x) }
	squares := simpson(square, 0, knee)
	return wave{
		mean:        2 / math.Pi * (simpson(math.Sin, 0, knee) + c*flat),
		square:      2 / math.Pi * (squares + c*c*flat),
		fundamental: 4 / math.Pi * (squares + c*simpson(math.Sin, knee, math.Pi/2)),
	}
}

func simpson(f func(float64) float64, a, b float64) float64 {
	const steps = 2000
	h := (b - a) / steps
	sum := f(a) + f(b)
	for i := 1; i < steps; i++ {
		sum += float64(2+2*(i%2)) * f(a+float64(i)*h)
	}
	return sum * h / 3
}

// thd is the distortion relative to the fundamental, by Parseval's theorem.
func (w wave) thd() float64 { return math.Sqrt(2*w.square/(w.fundamental*w.fundamental) - 1) }

// classB is what an ideal class B stage with rails at c makes of its supply: the
// load takes mean v², the rails give c times mean |v|.
func (w wave) classB(c float64) float64 { return w.square / (c * w.mean) }

// The limit against numerical integration of the clipped sine. Distortion of the
// waves beside: their Fourier integrals, computed apart to eight decimals.
// Tolerance: Simpson's rule reaches 1e-14 here, of which the distortion, a root of
// a difference from 1, keeps 1e-10 at the smallest one.
func TestClassBAgainstIntegration(t *testing.T) {
	for _, r := range []struct{ level, thd float64 }{
		{0.999, math.NaN()}, {0.99, math.NaN()}, {0.971486940387, 0.01}, {0.95, 0.01924014}, {0.9, 0.04219933}, {0.7, 0.13758794},
		{0.5, math.NaN()}, {0.3, 0.32959230}, {0.1, 0.43039702}, {0.001, 0.48288442},
	} {
		w := clipped(r.level)
		if !math.IsNaN(r.thd) && math.Abs(w.thd()-r.thd) > 1e-8 {
			t.Errorf("clipped at %v: distortion %.10f by integration, want %.8f", r.level, w.thd(), r.thd)
		}
		if got, want := ClassBLimit(100*w.thd()), 100*w.classB(r.level); math.Abs(got-want) > 1e-7 {
			t.Errorf("clipped at %v: limit %.8f %%, by integration %.8f %%", r.level, got, want)
		}
	}
}

// Class B in the textbooks: π/4 of a full sine. At 1 and 10 % the figures follow
// from the integration above, here found by bisection on the level.
func TestClassBLimit(t *testing.T) {
	level := func(thd float64) float64 {
		low, high := 1e-6, 1.0
		for range 60 {
			if c := (low + high) / 2; clipped(c).thd() > thd {
				low = c
			} else {
				high = c
			}
		}
		return low
	}
	for _, r := range []struct{ thd, printed float64 }{{1, 80.3}, {10, 87.4}} {
		c := level(r.thd / 100)
		got, want := ClassBLimit(r.thd), 100*clipped(c).classB(c)
		if math.Abs(got-want) > 1e-7 || math.Abs(got-r.printed) > 0.05 {
			t.Errorf("%v %%: limit %.8f %%, by integration %.8f %%, printed %v %%", r.thd, got, want, r.printed)
		}
	}
	for _, r := range []struct {
		name, source   string
		thd, want, tol float64
	}{
		{"pure sine", "π/4", 0, 78.53981633974483, 1e-12},
		{"no distortion below nothing", "π/4", -1, 78.53981633974483, 1e-12},
		{"square wave", "all of the supply reaches the load", 100 * math.Sqrt(math.Pi*math.Pi/8-1), 100, 1e-3},
		{"beyond a square wave", "no more than all", 60, 100, 0},
	} {
		if got := ClassBLimit(r.thd); math.Abs(got-r.want) > r.tol {
			t.Errorf("%s: limit %.12f %%, want %.12f %% (%s)", r.name, got, r.want, r.source)
		}
	}
}

// More distortion, more efficiency, from a pure sine to a square wave without a
// jump: no step of 0.01 % distortion raises the limit by more than 0.2 %.
func TestClassBLimitRises(t *testing.T) {
	last := ClassBLimit(0)
	for i := 1; i <= 4900; i++ {
		now := ClassBLimit(float64(i) / 100)
		if now < last-1e-9 || now > last+0.2 || now > 100 {
			t.Fatalf("at %v %%: %.9f %% after %.9f %%", float64(i)/100, now, last)
		}
		last = now
	}
	if last != 100 {
		t.Errorf("the curve ends at %v %%, want 100", last)
	}
}
