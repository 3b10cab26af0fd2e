package quantity

import (
	"math"
	"testing"
)

// JCGM 100:2008, table G.2: Student's t, two-sided. The heads 68.27, 95.45 and
// 99.73 % stand for the normal coverages of 1, 2 and 3 standard deviations.
// Digits beyond the printed two or three decimals: computed apart with SciPy's
// stats.t.ppf; tolerance half a unit of the fifth decimal.
func TestStudentTable(t *testing.T) {
	normal := func(k float64) float64 { return math.Erf(k / math.Sqrt2) }
	heads := []float64{normal(1), 0.90, 0.95, normal(2), 0.99, normal(3)}
	for _, r := range []struct {
		dof float64
		k   []float64
	}{
		{1, []float64{1.83734, 6.31375, 12.70620, 13.96773, 63.65674, 235.80150}},
		{2, []float64{1.32128, 2.91999, 4.30265, 4.52654, 9.92484, 19.20674}},
		{3, []float64{1.19688, 2.35336, 3.18245, 3.30682, 5.84091, 9.21894}},
		{4, []float64{1.14163, 2.13185, 2.77645, 2.86931, 4.60409, 6.62021}},
		{5, []float64{1.11051, 2.01505, 2.57058, 2.64865, 4.03214, 5.50708}},
		{9, []float64{1.05873, 1.83311, 2.26216, 2.31981, 3.24984, 4.09426}},
		{10, []float64{1.05256, 1.81246, 2.22814, 2.28368, 3.16927, 3.95694}},
		{14, []float64{1.03701, 1.76131, 2.14479, 2.19529, 2.97684, 3.63580}},
		{16, []float64{1.03224, 1.74588, 2.11991, 2.16894, 2.92078, 3.54413}},
		{19, []float64{1.02702, 1.72913, 2.09302, 2.14049, 2.86093, 3.44723}},
		{40, []float64{1.01266, 1.68385, 2.02108, 2.06446, 2.70446, 3.19877}},
		{inf, []float64{1.00000, 1.64485, 1.95996, 2.00000, 2.57583, 3.00000}},
	} {
		for i, k := range r.k {
			if got := Coverage(heads[i], r.dof); !near(got, k, 5.1e-6) {
				t.Errorf("ν %v, %.4f %%: k = %.7f, want %.5f", r.dof, 100*heads[i], got, k)
			}
			if got := Quantile((1-heads[i])/2, r.dof); !near(got, -k, 5.1e-6) {
				t.Errorf("ν %v, lower tail of %.4f %%: %.7f, want %.5f", r.dof, 100*heads[i], got, -k)
			}
		}
	}
}

// studentIntegral is P(T <= x) by Simpson's rule on the density, after
// t = √ν·tan θ, under which it is a power of the cosine:
//
//	P = 1/2 + Γ((ν+1)/2)/(√π·Γ(ν/2)) · ∫ cos^(ν−1) θ dθ from 0 to atan(x/√ν)
func studentIntegral(x, dof float64) float64 {
	const steps = 20000
	end := math.Atan(x / math.Sqrt(dof))
	h := end / steps
	sum := 1 + math.Pow(math.Cos(end), dof-1)
	for i := 1; i < steps; i++ {
		sum += float64(2+2*(i%2)) * math.Pow(math.Cos(float64(i)*h), dof-1)
	}
	above, _ := math.Lgamma((dof + 1) / 2)
	below, _ := math.Lgamma(dof / 2)
	return 0.5 + math.Exp(above-below)/math.Sqrt(math.Pi)*sum*h/3
}

// Degrees of freedom need not be whole: against numerical integration.
// Tolerance: Simpson's rule reaches 1e-12 here, the logarithm of the gamma
// function at 2500 loses four digits.
func TestStudentIntegral(t *testing.T) {
	for _, dof := range []float64{1, 1.3, 2, 2.5, 4, 6.5, 8, 14.1003642575, 16.75215, 57.3, 300.5, 5000} {
		for _, p := range []float64{0.0001, 0.01, 0.05 / 3, 0.05, 0.3, 0.5, 0.6, 0.95, 0.975, 0.999} {
			x := Quantile(p, dof)
			if got := studentIntegral(x, dof); !near(got, p, 1e-11) {
				t.Errorf("ν %v: the integral up to the quantile %v of %v is %.14f", dof, x, p, got)
			}
			if got := Probability(x, dof); !near(got, p, 1e-12) {
				t.Errorf("ν %v: P(T <= quantile of %v) = %.15f", dof, p, got)
			}
		}
	}
	if k := Coverage(Level, 14.1); !near(k, 2.143355346, 1e-5) {
		t.Errorf("k(14.1) = %.10g, want 2.143355 (SciPy)", k)
	}
}

// asymptotic is t's quantile for many degrees of freedom from the normal z:
// Abramowitz and Stegun, 26.7.5, three terms.
func asymptotic(z, dof float64) float64 {
	z2 := z * z
	g1 := z * (z2 + 1) / 4
	g2 := z * (5*z2*z2 + 16*z2 + 3) / 96
	g3 := z * (3*z2*z2*z2 + 19*z2*z2 + 17*z2 - 15) / 384
	return z + g1/dof + g2/(dof*dof) + g3/(dof*dof*dof)
}

// Many degrees of freedom, on both sides of the switch to the normal
// approximation: against the asymptotic series, whose next term is below 1e-11
// from ν = 1000 on. The approximation's own error is of the order of t⁵/(40·ν²).
func TestManyDegreesOfFreedom(t *testing.T) {
	for _, p := range []float64{0.025, 0.05, 0.95, 0.975, 0.995} {
		z := Quantile(p, inf)
		for _, r := range []struct{ dof, tol float64 }{
			{1e3, 1e-11}, {1e4, 1e-12}, {nearNormal * 0.9999, 1e-10}, {nearNormal, 1e-9}, {1e6, 1e-11}, {1e7, 1e-11}, {1e8, 1e-11}, {1e9, 1e-11}, {1e12, 1e-11},
		} {
			if got, want := Quantile(p, r.dof), asymptotic(z, r.dof); !near(got, want, r.tol*math.Abs(want)) {
				t.Errorf("ν %g, p %v: %.12f, want %.12f", r.dof, p, got, want)
			}
			if got := Probability(asymptotic(z, r.dof), r.dof); !near(got, p, r.tol) {
				t.Errorf("ν %g: P(T <= t(%v)) = %.12f", r.dof, p, got)
			}
		}
	}
}

// k falls as the degrees of freedom rise (a property of Student's t), in steps
// from 1 to a million and on to infinity.
func TestCoverageFalls(t *testing.T) {
	for _, p := range []float64{0.9, 0.95, 0.99} {
		last := math.Inf(1)
		for dof := 1.0; dof < 1e6; dof *= 1.17 {
			k := Coverage(p, dof)
			if k >= last {
				t.Fatalf("p %v: k rises to %.12f at ν = %g", p, k, dof)
			}
			last = k
		}
		if k := Coverage(p, inf); k >= last {
			t.Errorf("p %v: k(∞) = %.12f is not below k(1e6) = %.12f", p, k, last)
		}
	}
}

// The normal distribution: quantiles of JCGM 106:2012, clause 7, one-sided table
// (from memory; digits computed apart), and math.Erfc for the probability.
func TestNormal(t *testing.T) {
	for _, r := range []struct{ p, z float64 }{{0.80, 0.8416212}, {0.90, 1.2815516}, {0.95, 1.6448536}, {0.99, 2.3263479}, {0.999, 3.0902323}} {
		if got := Quantile(r.p, inf); !near(got, r.z, 5.1e-8) {
			t.Errorf("z(%v) = %.9f, want %.7f", r.p, got, r.z)
		}
	}
	for x := -8.0; x <= 8; x += 0.125 {
		if got, want := Probability(x, inf), math.Erfc(-x/math.Sqrt2)/2; !near(got, want, 1e-15) {
			t.Errorf("Φ(%v) = %v, want %v", x, got, want)
		}
	}
}

// JCGM 106:2012, clause 7 (from memory): the Zener diode of −5.47 V, u 0.05 V,
// required at most −5.40 V, conforms with 0.92; the motor oil of 13.6 mm²/s, u
// 1.8, between 12.5 and 16.3, with 0.66.
func TestConformance(t *testing.T) {
	zener := 1 - ProbabilityAtLeast(-5.47, 0.05, inf, -5.40)
	oil := ProbabilityAtLeast(13.6, 1.8, inf, 12.5) - ProbabilityAtLeast(13.6, 1.8, inf, 16.3)
	for _, r := range []struct {
		name                 string
		got, exact, printed2 float64
	}{{"Zener diode", zener, 0.9192433408, 0.92}, {"motor oil", oil, 0.6626297865, 0.66}} {
		if !near(r.got, r.exact, 5.1e-11) || !near(r.got, r.printed2, 0.005) {
			t.Errorf("%s: %.11f, want %.10f", r.name, r.got, r.exact)
		}
	}
}

// Without uncertainty a limit is reached or not: at the value and its neighbours.
func TestProbabilityOfExact(t *testing.T) {
	for _, r := range []struct{ limit, want float64 }{{500, 1}, {math.Nextafter(500, 600), 0}, {math.Nextafter(500, 0), 1}} {
		for _, dof := range []float64{4, inf} {
			if got := ProbabilityAtLeast(500, 0, dof, r.limit); got != r.want {
				t.Errorf("P(500 >= %v) = %v, want %v", r.limit, got, r.want)
			}
		}
	}
}

// The upper tail of χ²: closed forms for one degree of freedom, erfc √(x/2), and for
// two, exp(−x/2); the 95 % points as in any handbook's table.
func TestChiSquaredAbove(t *testing.T) {
	for _, x := range []float64{0, 1e-6, 0.1, 1, 3.841, 10, 40} {
		for dof, want := range map[int]float64{1: math.Erfc(math.Sqrt(x / 2)), 2: math.Exp(-x / 2)} {
			if got := ChiSquaredAbove(x, dof); !near(got, want, 1e-9*want) {
				t.Errorf("P(χ² ≥ %v; %d) = %v, want %v", x, dof, got, want)
			}
		}
	}
	for dof, x := range map[int]float64{1: 3.841, 2: 5.991, 3: 7.815, 4: 9.488, 10: 18.307} {
		if got := ChiSquaredAbove(x, dof); !near(got, 0.05, 2e-5) {
			t.Errorf("P(χ² ≥ %v; %d) = %v, want 0.05", x, dof, got)
		}
	}
}
