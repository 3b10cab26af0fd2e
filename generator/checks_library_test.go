package generator_test

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
)

// General libraries as second opinions: quadrature of densities and of waves, and
// the moments of samples.

// integral is ∫ f by Gauss–Legendre quadrature.
func integral(f func(float64) float64, from, to float64) float64 {
	return quad.Fixed(f, from, to, 400, quad.Legendre{}, 0)
}

func gamma(x float64) float64 { return math.Gamma(x) }

// studentTail is P(T > t) by the density, over x = t/s for s in (0, 1).
func studentTail(t, dof float64) float64 {
	c := gamma((dof+1)/2) / (math.Sqrt(dof*math.Pi) * gamma(dof/2))
	return integral(func(s float64) float64 {
		if s == 0 {
			return 0
		}
		x := t / s
		return c * math.Pow(1+x*x/dof, -(dof+1)/2) * t / (s * s)
	}, 0, 1)
}

// fisherBelow is P(F <= x) by the density, over f = v².
func fisherBelow(x, a, b float64) float64 {
	c := gamma((a+b)/2) / (gamma(a/2) * gamma(b/2)) * math.Pow(a/b, a/2)
	return integral(func(v float64) float64 {
		f := v * v
		return 2 * v * c * math.Pow(f, a/2-1) * math.Pow(1+a*f/b, -(a+b)/2)
	}, 0, math.Sqrt(x))
}

// chiBelow is P(χ² <= x) by the density, over v².
func chiBelow(x float64, k float64) float64 {
	return integral(func(v float64) float64 {
		y := v * v
		return 2 * v * math.Pow(y, k/2-1) * math.Exp(-y/2) / (math.Pow(2, k/2) * gamma(k/2))
	}, 0, math.Sqrt(x))
}

// clipped is a sine of amplitude 1, cut at level c.
func clipped(c, t float64) float64 { return math.Max(-c, math.Min(c, math.Sin(t))) }

// levelAt is the clip level that distorts so many percent, by bisection on the
// waves' integrals over a quarter, in two pieces that are each smooth.
func levelAt(thd float64) (c float64) {
	low, high := 0.01, 1.0
	for range 60 {
		c = (low + high) / 2
		square, fundamental := quarter(c, func(v, t float64) float64 { return v * v }), quarter(c, func(v, t float64) float64 { return v * math.Sin(t) })*2
		if 100*math.Sqrt(2*square/(fundamental*fundamental)-1) > thd {
			low = c
		} else {
			high = c
		}
	}
	return c
}

func quarter(c float64, f func(v, t float64) float64) float64 {
	g := func(t float64) float64 { return f(clipped(c, t), t) * 2 / math.Pi }
	corner := math.Asin(c)
	return integral(g, 0, corner) + integral(g, corner, math.Pi/2)
}

// classB is the efficiency of an ideal stage on rails of the clip level, percent:
// it takes the mean of |v| times the rail.
func classB(thd float64) float64 {
	c := levelAt(thd)
	return 100 * quarter(c, func(v, t float64) float64 { return v * v }) / (c * quarter(c, func(v, t float64) float64 { return math.Abs(v) }))
}

var quadrature = tolerance{rel: 1e-9, why: "Gauss–Legendre quadrature of a smooth density with 400 points"}

const gonumQuad = "gonum, integrate/quad, of the density"

var _ = register(
	check{formula.Chance + " quantiles", "tail of t at 1.9, ν = 6.5", computed, gonumQuad, studentTail(1.9, 6.5), quadrature, func() float64 { return 1 - quantity.Probability(1.9, 6.5) }},
	check{formula.Chance + " quantiles", "tail of t at 2.6, ν = 14.1", computed, gonumQuad, studentTail(2.6, 14.1), quadrature, func() float64 { return 1 - quantity.Probability(2.6, 14.1) }},
	check{formula.Expanded + " quantiles", "95 % by k at ν = 14.1", computed, gonumQuad, 0.025, quadrature, func() float64 { return studentTail(quantity.Coverage(0.95, 14.1), 14.1) }},
	check{"quantiles", "99 % by F at 3 and 17", computed, gonumQuad, 0.99, quadrature, func() float64 { return fisherBelow(quantity.FRatio(0.99, 3, 17), 3, 17) }},
	check{"quantiles", "95 % by F at 4 and 4", computed, gonumQuad, 0.95, quadrature, func() float64 { return fisherBelow(quantity.FRatio(0.95, 4, 4), 4, 4) }},
	check{"quantiles", "95 % by χ² at 3", computed, gonumQuad, 0.95, quadrature, func() float64 { return chiBelow(quantity.ChiSquared(0.95, 3), 3) }},
	check{"quantiles", "95 % by χ² at 11", computed, gonumQuad, 0.95, quadrature, func() float64 { return chiBelow(quantity.ChiSquared(0.95, 11), 11) }},
	check{"class-b-limit", "2.5 % distortion, by the waves", computed, "gonum, integrate/quad, of a clipped sine", classB(2.5), tolerance{rel: 1e-8, why: "the level is found by bisection on a root that loses half the digits"}, func() float64 { return electric.ClassBLimit(2.5) }},
	check{"class-b-limit", "30 % distortion, by the waves", computed, "gonum, integrate/quad, of a clipped sine", classB(30), tolerance{rel: 1e-8, why: "the level is found by bisection on a root that loses half the digits"}, func() float64 { return electric.ClassBLimit(30) }},
	check{formula.Mean + " " + formula.Combined, "standard error of repeats", computed, "gonum, stat.MeanStdDev and stat.StdErr", stat.StdErr(second(stat.MeanStdDev([]float64{10.1, 10.3, 10.2, 10.45}, nil)), 4), tolerance{rel: 1e-12, why: "differences of a percent lose two digits"},
		func() float64 { return reference([]string{"10.1", "10.3", "10.2", "10.45"}).Std }},
)

// Rounding for people.
var _ = register(
	rounded("10.47 mΩ", 10.0, 10.47, "11", document, "JCGM 100:2008, 7.2.6: rounded up to 11"),
	rounded("28.05 kHz", 100, 28.05, "28", document, "JCGM 100:2008, 7.2.6: 28"),
	roundedValue("10.057 62 Ω with 27 mΩ", 10.05762, 0.027, "10.058", document, "JCGM 100:2008, 7.2.6: 10.058"),
	roundedValue("100.021 47 g with 0.35 mg", 100.02147, 0.00035, "100.02147", document, "JCGM 100:2008, 7.2.2: 100.021 47(35)"),
	roundedValue("496.488 with 5.7498", 496.488, 5.7498, "496.5", computed, "two significant digits of the uncertainty, by decimal arithmetic"),
	roundedValue("487.312 with 9.1047", 487.312, 9.1047, "487.3", computed, "two significant digits of the uncertainty, by decimal arithmetic"),
	rounded("29.64 W", 1482, 29.64, "30", computed, "two significant digits, by decimal arithmetic"),
	roundedValue("0.827 with 0.119", 0.827, 0.119, "0.83", remembered, "two significant digits, as the Particle Data Group's rule has for 0.119"),
	rounded("9.96, a carry", 100, 9.96, "10", computed, "two significant digits, by decimal arithmetic: the place moves"),
	roundedValue("2.675 to two decimals, a tie", 2.675, 0.11, "2.68", computed, "half away from zero on the decimal text; the binary number would give 2.67"),
	roundedValue("1.005 to two decimals, a tie", 1.005, 0.11, "1.01", computed, "half away from zero on the decimal text; the binary number would give 1.00"),
)

func rounded(name string, x, U float64, want string, k kind, source string) check {
	return check{"rounding", "U of " + name, k, source, number(want), exactly, func() float64 { _, u := quantity.Pair(x, U); return number(u) }}
}

func roundedValue(name string, x, U float64, want string, k kind, source string) check {
	return check{"rounding", name, k, source, number(want), exactly, func() float64 { value, _ := quantity.Pair(x, U); return number(value) }}
}
