package generator_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// The points of an invented unit: loads in Ω and watts into them.
var (
	lineLoads = []float64{8, 4, 2, 4.0 / 3, 1}
	lineWatts = []float64{263.1, 497.4, 897.2, 1218.5, 1482.0}
)

// line is the load line of those points, through the whole path; one watt-meter
// reads all.
func line(accuracy string) *sheet.LoadLine {
	s := scene{meters: map[string]string{"power_w": accuracy, "supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}}
	for i := range lineLoads {
		id := string(rune('a' + i))
		s.loads = append(s.loads, fmt.Sprintf("id = '%s', nominal_ohm = %.3f, ohm = %s, ohm_pct = 0", id, lineLoads[i], digits(lineLoads[i])))
		keys := []string{"driven = ['L']", "load = '" + id + "'", fmt.Sprint("power_w = ", lineWatts[i]), "supply_v = 14.4", "thdn_pct = 1"}
		s.text += measuredWith(id, keys...)
	}
	return s.sheet().Lines[0]
}

// freePoints have the given relative u, each by itself.
func freePoints(rel float64) []electric.LoadPoint {
	var out []electric.LoadPoint
	for i := range lineLoads {
		out = append(out, electric.LoadPoint{P: quantity.New(lineWatts[i], "W", rel*lineWatts[i], free(fmt.Sprint("p", i))), R: quantity.Exact(lineLoads[i], "Ω")})
	}
	return out
}

func fitted(points []electric.LoadPoint) electric.LoadLine {
	l, err := electric.FitLoadLine(points, nil)
	if err != nil {
		panic(err)
	}
	return l
}

const leastSquares = "numerical minimisation with a general scientific library, 10^6 Monte Carlo refits for u; invented inputs"

// twoPct is a watt-meter of u = 2 %.
var twoPct = "reading_pct = " + digits(2*math.Sqrt(3))

var (
	fitWithin = tolerance{rel: 1e-8, why: "the reference stops at its own step width, about 1e-9"}
	gaussian  = tolerance{rel: 1e-3, why: "the reference takes the Gauss–Newton covariance; the full second derivatives differ by a few parts in 10⁴"}
)

var _ = register(
	check{formula.LoadLine, "E without weights", computed, leastSquares, 47.08719988609742, fitWithin, func() float64 { return line("reading_pct = 0").E.X }},
	check{formula.LoadLine, "Rs without weights", computed, leastSquares, 0.22344783509438, fitWithin, func() float64 { return line("reading_pct = 0").Rs.X }},
	check{formula.LoadLine, "sum of squares without weights", computed, leastSquares, 2.9643111251543, fitWithin, func() float64 { return line("reading_pct = 0").Chi2 }},
	check{formula.LoadLine, "E, weights of 2 %", computed, leastSquares, 47.13910089249409, fitWithin, func() float64 { return line(twoPct).E.X }},
	check{formula.LoadLine, "Rs, weights of 2 %", computed, leastSquares, 0.22518659395512, fitWithin, func() float64 { return line(twoPct).Rs.X }},
	check{formula.LoadLine, "χ², weights of 2 %", computed, leastSquares, 0.0128098037826, tolerance{rel: 1e-4, why: "the weights follow the fit here, and the reading there"}, func() float64 { return line(twoPct).Chi2 }},
	check{formula.LoadLine, "P at 4 Ω, weights of 2 %", computed, leastSquares, 497.887008808, fitWithin, func() float64 { return line(twoPct).Curve[16].Power.X }},
	check{formula.LoadLine + " " + formula.Combined, "u(E), one watt-meter of 2 %: common", computed, "closed form: P goes with E², so a common 2 % is 1 % of E, more than the 0.43 V of independent errors", 0.01 * 47.13910089249409, fitWithin, func() float64 { return line(twoPct).E.Std }},
	check{formula.LoadLine + " " + formula.Combined, "u(Rs), one watt-meter of 2 %: independent", computed, leastSquares + "; a common gain leaves Rs as it is", 0.0175754262026, gaussian, func() float64 { return line(twoPct).Rs.Std }},
	check{formula.LoadLine + " " + formula.Combined, "u(E), independent errors of 2 %", computed, leastSquares, 0.430531667993, gaussian, func() float64 { return fitted(freePoints(0.02)).E.Std() }},
	check{formula.LoadLine + " " + formula.Combined, "u(Rs), independent errors of 2 %", computed, leastSquares, 0.0175754262026, gaussian, func() float64 { return fitted(freePoints(0.02)).Rs.Std() }},
	check{formula.LoadLine + " " + formula.Combined, "u of P at 4 Ω, independent errors of 2 %", computed, leastSquares, 5.846156686, gaussian, func() float64 { return fitted(freePoints(0.02)).At(quantity.Exact(4, "Ω")).Std() }},
)

// leastBy minimises the same weighted sum of squares by a method that knows no
// derivatives (Nelder and Mead's, of gonum).
func leastBy(weight func(i int) float64) (e, rs float64) {
	problem := optimize.Problem{Func: func(x []float64) float64 {
		sum := 0.0
		for i, r := range lineLoads {
			sum += weight(i) * math.Pow(lineWatts[i]-x[0]*x[0]*r/((r+x[1])*(r+x[1])), 2)
		}
		return sum
	}}
	settings := &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-15, Relative: 1e-15, Iterations: 300}}
	result, err := optimize.Minimize(problem, []float64{40, 0.1}, settings, &optimize.NelderMead{})
	if err != nil {
		panic(err)
	}
	return result.X[0], result.X[1]
}

var byItself = tolerance{rel: 1e-6, why: "a method without derivatives finds a minimum to the root of the rounding"}

// onLine are powers of a source of 40 V behind 0.15 Ω.
func onLine() (points []electric.LoadPoint, loads, roots []float64) {
	for _, r := range lineLoads {
		p := 40 * 40 * r / ((r + 0.15) * (r + 0.15))
		points = append(points, electric.LoadPoint{P: quantity.Exact(p, "W"), R: quantity.Exact(r, "Ω")})
		loads, roots = append(loads, r), append(roots, math.Sqrt(r/p))
	}
	return points, loads, roots
}

var straight = tolerance{rel: 1e-10, why: "points without any error lie on the line; both fits are left with rounding"}

var _ = register(
	check{formula.LoadLine, "E against a method without derivatives", computed, "gonum, optimize.NelderMead", first(leastBy(func(int) float64 { return 1 })), byItself, func() float64 { return fitted(freePoints(0)).E.X }},
	check{formula.LoadLine, "Rs against a method without derivatives", computed, "gonum, optimize.NelderMead", second(leastBy(func(int) float64 { return 1 })), byItself, func() float64 { return fitted(freePoints(0)).Rs.X }},
	check{formula.LoadLine, "E of exact points against a straight line of √(R/P) on R", computed, "gonum, stat.LinearRegression: E = 1/slope", func() float64 { _, x, y := onLine(); _, b := stat.LinearRegression(x, y, nil, false); return 1 / b }(), straight,
		func() float64 { points, _, _ := onLine(); return fitted(points).E.X }},
	check{formula.LoadLine, "Rs of exact points against a straight line of √(R/P) on R", computed, "gonum, stat.LinearRegression: Rs = intercept/slope", func() float64 { _, x, y := onLine(); a, b := stat.LinearRegression(x, y, nil, false); return a / b }(), straight,
		func() float64 { points, _, _ := onLine(); return fitted(points).Rs.X }},
)

func first(a, _ float64) float64  { return a }
func second(_, b float64) float64 { return b }
