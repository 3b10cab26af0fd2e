package quantity

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestStudentQuantile compares with the general-purpose library's own inverse, and
// goes there and back through its distribution function.
func TestStudentQuantile(t *testing.T) {
	for _, dof := range []float64{0.3, 0.7, 1, 1.5, 2, 3, 4.7, 8, 16, 40, 123.4, 1e3} {
		for _, p := range []float64{1e-6, 0.001, 0.0125, 0.025, 0.05, 0.3, 0.49, 0.5, 0.51, 0.75, 0.9, 0.95, 0.975, 0.99, 0.9987, 0.9999, 1 - 1e-6} {
			got := studentQuantile(p, dof)
			library := distuv.StudentsT{Sigma: 1, Nu: dof}
			if want := library.Quantile(p); math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
				t.Errorf("dof %v, p %v: %v, the library has %v", dof, p, got, want)
			}
			if back := library.CDF(got); math.Abs(back-p) > 1e-11*math.Min(p, 1-p) {
				t.Errorf("dof %v, p %v: back from %v is %v", dof, p, got, back)
			}
		}
	}
	// Closed forms: one degree of freedom is Cauchy's, two t = (2p − 1)·√(2/(4p(1 − p))).
	for _, p := range []float64{0.6, 0.75, 0.95, 0.975, 0.999} {
		if got, want := studentQuantile(p, 1), math.Tan(math.Pi*(p-0.5)); math.Abs(got-want) > 1e-11*want {
			t.Errorf("one degree, p %v: %v, want %v", p, got, want)
		}
		if got, want := studentQuantile(p, 2), (2*p-1)*math.Sqrt(2/(4*p*(1-p))); math.Abs(got-want) > 1e-11*want {
			t.Errorf("two degrees, p %v: %v, want %v", p, got, want)
		}
	}
}

// The bounds of a quantile hold it, and are narrow enough to be of use.
func TestQuantileBounds(t *testing.T) {
	for _, p := range []float64{1e-9, 1e-6, 0.0001, 0.005, 0.0125, 0.02, 0.025, 0.05, 0.1, 0.3, 0.4999, 0.5, 0.5001, 0.51, 0.6, 0.75, 0.9, 0.92, 0.95, 0.975, 0.99, 0.999, 0.999999} {
		bounds := QuantileBounds(p)
		for dof := 1.0; dof < 1e7; dof *= 1.017 {
			least, most := bounds(dof)
			if q := Quantile(p, dof); !(least <= q && q <= most) {
				t.Fatalf("p %v with %v degrees of freedom: %v isn't within %v … %v", p, dof, q, least, most)
			}
			if dof > 8 && p > 0.01 && p < 0.99 && most-least > 1e-3 {
				t.Fatalf("p %v with %v degrees of freedom: %v … %v is too wide", p, dof, least, most)
			}
		}
		if least, most := bounds(math.Inf(1)); !(least <= Quantile(p, math.Inf(1)) && Quantile(p, math.Inf(1)) <= most) {
			t.Fatalf("p %v, normal: %v … %v", p, least, most)
		}
	}
}

// What is near a quantile is: within 1 part in 10⁶.
func TestNearQuantile(t *testing.T) {
	for _, p := range []float64{1e-6, 0.005, 0.025, 0.05, 0.3, 0.5, 0.6, 0.75, 0.95, 0.975, 0.999} {
		near := NearQuantile(p)
		for dof := 1.0; dof < 1e7; dof *= 1.017 {
			if got, want := near(dof), Quantile(p, dof); math.Abs(got-want) > 1e-6*math.Abs(want) {
				t.Fatalf("p %v with %v degrees of freedom: %v, not %v", p, dof, got, want)
			}
		}
	}
}

func BenchmarkQuantile(b *testing.B) {
	b.Run("own", func(b *testing.B) {
		for b.Loop() {
			studentQuantile(0.975, 17.3)
		}
	})
	b.Run("library", func(b *testing.B) {
		d := distuv.StudentsT{Sigma: 1, Nu: 17.3}
		for b.Loop() {
			d.Quantile(0.975)
		}
	})
}
