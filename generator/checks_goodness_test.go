package generator_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// goodnessAt is p of a published line whose pool is such that χ² is the given one:
// its residual sum of squares by the pool's square.
func goodnessAt(r asRuns, chi2 float64) func() float64 {
	free := float64(len(r.set.x) - 2)
	return func() float64 {
		r.s *= math.Sqrt(free / chi2)
		e := r.sheet().Exponent
		if float64(e.Free) != free {
			panic(fmt.Sprint("degrees of freedom: ", e.Free))
		}
		return e.P
	}
}

// lineOf is the load line of the first n points, with a pool of so many percent.
func lineOf(n int, pct float64) *sheet.LoadLine {
	s := scene{meters: map[string]string{"power_w": "reading_pct = 0", "supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}, methods: "pool = { rel_pct = " + digits(pct) + ", dof = 1000000 }\n"}
	for i := range n {
		id := string(rune('a' + i))
		s.loads = append(s.loads, fmt.Sprintf("id = '%s', nominal_ohm = %.3f, ohm = %s, ohm_pct = 0", id, lineLoads[i], digits(lineLoads[i])))
		s.text += measuredWith(id, "driven = ['L']", "load = '"+id+"'", fmt.Sprint("power_w = ", lineWatts[i]), "supply_v = 14.4", "thdn_pct = 1")
	}
	return s.sheet().Lines[0]
}

// threeRuns is an exponent of three runs at equal steps of ln V, which leaves
// one degree of freedom.
func threeRuns() *sheet.SupplyExponent {
	set := straightSet{x: []float64{0, 5, 10}, y: []float64{0, 6.2, 10}}
	return asRuns{set: set, at: 5, byX: 0.01, byY: 0.01, s: 1}.sheet().Exponent
}

var tablePlace = tolerance{rel: 0.0005, why: "half a unit of the table's last digit moves p by up to 0.03 % of it, and so do inputs of ten digits"}

const chiTable = handbook + "1.3.6.7.4 (from memory)"

var _ = register(
	check{formula.Goodness, "χ² = 14.684 with 9 degrees of freedom", remembered, chiTable + ": 0.10", 0.10, tablePlace, goodnessAt(asAnscombe, 14.684)},
	check{formula.Goodness, "χ² = 16.919 with 9 degrees of freedom", remembered, chiTable + ": 0.05", 0.05, tablePlace, goodnessAt(asAnscombe, 16.919)},
	check{formula.Goodness, "χ² = 21.666 with 9 degrees of freedom", remembered, chiTable + ": 0.01", 0.01, tablePlace, goodnessAt(asAnscombe, 21.666)},
	check{formula.Goodness, "χ² = 48.602 with 34 degrees of freedom", remembered, chiTable + ": 0.05", 0.05, tablePlace, goodnessAt(asNorris, 48.602)},
	check{formula.Goodness, "a load line of five points", computed, gonumQuad, 1 - chiBelow(lineOf(5, 0.1).Chi2, 3), quadrature, func() float64 { return lineOf(5, 0.1).P }},
	check{formula.Goodness, "a load line of four points", computed, "closed form with two degrees of freedom, e^(−χ²/2)", math.Exp(-lineOf(4, 0.1).Chi2 / 2), tolerance{rel: 1e-11, why: "the library evaluates an incomplete gamma function"}, func() float64 { return lineOf(4, 0.1).P }},
	check{formula.Goodness, "a load line of three points", computed, "closed form with one degree of freedom, erfc(√(χ²/2))", math.Erfc(math.Sqrt(lineOf(3, 0.1).Chi2 / 2)), tolerance{rel: 1e-11, why: "the library evaluates an incomplete gamma function"}, func() float64 { return lineOf(3, 0.1).P }},
	// residuals of 0, 6.2, 10 at equal steps are −0.4, 0.8 and −0.4
	check{formula.Goodness, "an exponent of three runs", computed, "by hand: χ² = 0.96, p = erfc(√0.48)", math.Erfc(math.Sqrt(0.48)), tolerance{rel: 1e-8, why: "residuals of a percent, settled to twelve digits"}, func() float64 { return threeRuns().P }},
	check{formula.Goodness, "χ² of Norris with its own residual standard deviation", document, norrisSource + ": 34 by definition", 34, throughLogs, func() float64 { return asNorris.sheet().Exponent.Chi2 }},
)

// residualAt is how far the i-th point is off the reference's line.
func residualAt(i int) float64 {
	const e, rs = 47.08719988609742, 0.22344783509438
	r := lineLoads[i]
	return lineWatts[i] - e*e*r/((r+rs)*(r+rs))
}

// refitted are the residuals of a fit by secants, with weights of a pool in percent.
func refitted(watts []float64, pct float64) (residuals []float64) {
	w := make([]float64, len(watts))
	for i := range w {
		w[i] = math.Pow(pct/100*lineWatts[i], -2)
	}
	e, rs := least(watts, lineLoads, w, 0.225)
	for i, r := range lineLoads {
		residuals = append(residuals, watts[i]-e*e*r/((r+rs)*(r+rs)))
	}
	return residuals
}

// uByRefits is u of the i-th residual where each power has an error of its own: the
// sensitivities are differences of refits with one power moved (JCGM 100:2008, 5.1.3).
func uByRefits(i int, pct float64) float64 {
	squares := 0.0
	for j := range lineWatts {
		step := 1e-3 * lineWatts[j]
		up, down := append([]float64{}, lineWatts...), append([]float64{}, lineWatts...)
		up[j], down[j] = up[j]+step, down[j]-step
		by := (refitted(up, pct)[i] - refitted(down, pct)[i]) / (2 * step)
		squares += math.Pow(by*pct/100*lineWatts[j], 2)
	}
	return math.Sqrt(squares)
}

// uByHat is the same by the covariance of a linear model's residuals, V − J·(JᵀV⁻¹J)⁻¹·Jᵀ.
func uByHat(i int, pct float64) float64 {
	const e, rs = 47.13910089249409, 0.22518659395512 // the reference's fit of these weights
	n := len(lineLoads)
	j, v, inverse := mat.NewDense(n, 2, nil), mat.NewDiagDense(n, nil), mat.NewDiagDense(n, nil)
	for k, r := range lineLoads {
		j.SetRow(k, []float64{2 * e * r / ((r + rs) * (r + rs)), -2 * e * e * r / math.Pow(r+rs, 3)})
		v.SetDiag(k, math.Pow(pct/100*lineWatts[k], 2))
		inverse.SetDiag(k, 1/v.At(k, k))
	}
	var left, normal, c, cov mat.Dense
	left.Mul(j.T(), inverse)
	normal.Mul(&left, j)
	if err := c.Inverse(&normal); err != nil {
		panic(err)
	}
	cov.Product(j, &c, j.T())
	return math.Sqrt(v.At(i, i) - cov.At(i, i))
}

func residual(pct float64, i int) func() *sheet.Figure {
	return func() *sheet.Figure {
		f := lineOf(5, pct).Points[i].Residual
		if f.Formula != formula.LineResidual {
			panic("a residual names the formula " + f.Formula)
		}
		return f
	}
}

func residualRows() bool {
	atEnd := tolerance{abs: 3e-5, why: "E is known to 1e-8, and the largest power is 1482 W"}
	moved := tolerance{rel: 1e-5, why: "differences of refits, steps of 1e-3: their square is left"}
	for i := range lineLoads {
		at := fmt.Sprintf("at %.3g Ω", lineLoads[i])
		register(
			check{formula.LineResidual, at + " without weights", computed, leastSquares, residualAt(i), atEnd, func() float64 { return line("reading_pct = 0").Points[i].Residual.X }},
			check{formula.LineResidual, at + " with weights", computed, "a fit by secants of the one condition that is left", refitted(lineWatts, 2)[i], atEnd, func() float64 { return residual(2, i)().X }},
			check{formula.LineResidual + " " + formula.Combined, "u " + at + ", by refits", computed, "a fit by secants, refitted with each power moved (JCGM 100:2008, 5.1.3)", uByRefits(i, 2), moved, func() float64 { return residual(2, i)().Std }},
			check{formula.LineResidual + " " + formula.Combined, "u " + at + ", by the hat matrix", computed, "gonum, mat: covariance of a linear model's residuals", uByHat(i, 2), tolerance{rel: 5e-3, why: "the curve's second derivatives are left out there"}, func() float64 { return residual(2, i)().Std }},
		)
	}
	return register(check{formula.LineResidual, "residual standard deviation", computed, leastSquares, 0.99403405796, tolerance{rel: 1e-8, why: "the reference stops at its own step width"}, func() float64 {
		squares := 0.0
		for _, p := range line("reading_pct = 0").Points {
			squares += p.ResidualW * p.ResidualW
		}
		return math.Sqrt(squares / 3)
	}})
}

var _ = residualRows()
