package quantity

import (
	"math"
	"testing"
)

// Quantiles of Student's t to 18 digits, by mpmath 1.3 with 40 digits: Newton's method on
// betainc(ν/2, 1/2, 0, ν/(ν + t²), regularized=True)/2. The tails are those float64s.
var quantiles = []struct{ tail, dof, t float64 }{
	{0.025, 4, 2.7764451051977943}, {0.025, 4.7, 2.62072607535317035}, {0.025, 14, 2.1447866879178038}, {0.025, 30.5, 2.04086944518632061},
	{0.025, 123.4, 1.97937494631742017}, {0.025, 1000, 1.96233908082640846}, {0.025, 25000, 1.96005887990542752}, {0.025, 99999, 1.95998770777184476},
	{0.05, 4, 2.13184678632665027}, {0.05, 4.7, 2.04381109301378826}, {0.05, 14, 1.76131013577489206}, {0.05, 30.5, 1.69637511585274596},
	{0.05, 123.4, 1.6572956275324373}, {0.05, 1000, 1.64637881728546469}, {0.05, 25000, 1.64491457998976332}, {0.05, 99999, 1.64486886493735099},
	{0.0125, 4, 3.49540593251643765}, {0.0125, 4.7, 3.24336566502234792}, {0.0125, 14, 2.50956941149332424}, {0.0125, 30.5, 2.35753105467045965},
	{0.0125, 123.4, 2.26908101915378541}, {0.0125, 1000, 2.2447831150193919}, {0.0125, 25000, 2.24153775498379832}, {0.0125, 99999, 2.24143648331916509},
}

func TestQuantileCurves(t *testing.T) {
	for _, r := range quantiles {
		c := curveOf(r.tail)
		if c == nil {
			t.Errorf("tail %v has no curve", r.tail)
			continue
		}
		if got := c.at(r.dof); math.Abs(got-r.t) > 4e-15*r.t {
			t.Errorf("tail %v with %v degrees of freedom: %.17g, want %.17g", r.tail, r.dof, got, r.t)
		}
		if got := upperQuantile(r.tail, r.dof); got != c.at(r.dof) {
			t.Errorf("tail %v with %v degrees of freedom doesn't go by its curve: %.17g", r.tail, r.dof, got)
		}
	}
	// What isn't asked for often goes by the library's tail, which agrees as far as that is good for.
	for _, c := range usualCurves {
		for dof := curveFrom; dof < nearNormal; dof *= 1.013 {
			if got, want := upperQuantile(c.tail, dof), invertedTail(c.tail, dof); math.Abs(got-want) > (1e-13+1e-15*dof)*want {
				t.Errorf("tail %v with %v degrees of freedom: %.17g, by the library's tail %.17g", c.tail, dof, got, want)
			}
		}
	}
}

// The curves are those that the usual calls ask for.
func TestUsualQuantilesHaveCurves(t *testing.T) {
	for _, p := range []float64{(1 + Level) / 2, 0.975, 0.95, 0.05, 0.05 / 2, 0.025, 0.025 / 2} {
		if curveOf(upperTail(p)) == nil {
			t.Errorf("p %v has no curve", p)
		}
	}
}
