package generator_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/diff/fd"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// duelScene is what two units were measured with: a voltmeter at the element and one
// at the supply, one element, and a pool of 1 % with eight degrees of freedom.
var duelScene = scene{
	meters: map[string]string{"out_v": usualVolts, "supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01", "thdn_pct": "reading_pct = 5"},
	loads:  []string{"id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1"}, methods: "pool = { rel_pct = 1, dof = 8 }\n",
}

// pairOf compares the first two units at 4 Ω.
func pairOf(units []*sheet.Sheet) *sheet.Pair {
	return sheet.Apart(units[0], units[1], sheet.Point{Method: units[0].Content.Method("thd1"), Ohm: 4})
}

func played(id, volts, supply string) string {
	return measured(id, "out_v = "+volts, "supply_v = "+supply, "thdn_pct = 1")
}

// duel compares 36.90 V at 13.62 V with 37.6 V at 15.18 V: both are carried to 14.4 V.
func duel() *sheet.Pair {
	return pairOf(duelScene.units(played("r", "36.90", "13.62"), played("r", "37.6", "15.18")))
}

// at is the corner of these exponents.
func at(p *sheet.Pair, ka, ma, kb, mb float64) sheet.PairCorner {
	for _, c := range p.Corners {
		if c.KA == ka && c.MA == ma && c.KB == kb && c.MB == mb {
			return c
		}
	}
	panic(fmt.Sprintf("no corner %v %v %v %v among %d", ka, ma, kb, mb, len(p.Corners)))
}

const ohmsLaw = "by hand, Ohm's law: "

// lower is the unit whose supply sagged, carried with such exponents.
func lower(k, m float64) float64 { return at(duel(), k, m, 0, -1).YA }

var _ = register(
	check{formula.CarriedPair, "36.90 V in 4.012 Ω to 4 Ω, constant volts", computed, ohmsLaw + "V²/Rnom", 36.90 * 36.90 / 4, closed, func() float64 { return lower(0, 1) }},
	check{formula.CarriedPair, "36.90 V in 4.012 Ω to 4 Ω, limited current", computed, ohmsLaw + "(V/R)²·Rnom", math.Pow(36.90/4.012, 2) * 4, closed, func() float64 { return lower(0, -1) }},
	check{formula.CarriedPair, "13.62 V to the common 14.4 V, k = 2.6", computed, apartWith + "; that for k = 2, to the power of 1.3; the load's two ends have V²/R as their geometric mean", sagged * math.Pow(atSquare/sagged, 1.3), closed,
		func() float64 { return math.Sqrt(lower(2.6, -1) * lower(2.6, 1)) }},
	check{formula.CarriedPair, "15.18 V to the common 14.4 V, k = 2.6", computed, "by hand: V²/Rnom·(14.4/15.18)^2.6", 37.6 * 37.6 / 4 * math.Pow(14.4/15.18, 2.6), closed, func() float64 { return at(duel(), 0, -1, 2.6, 1).YB }},
	check{formula.CarriedPair, "the common voltage", computed, "by hand: the mean of 13.62 V and 15.18 V", 14.4, closed, func() float64 { return duel().Volts }},
)

// differenceOf is the two units' difference as one function of all that was read: two
// output voltages, two supply voltages, the element, and two repeats. What both
// share, the element, is one variable.
func differenceOf(ka, ma, kb, mb float64) func(x []float64) float64 {
	return func(x []float64) float64 {
		r := x[4]
		one := x[0] * x[0] / r * x[5] * math.Pow(14.4/x[2], ka) * math.Pow(r/4, ma)
		two := x[1] * x[1] / r * x[6] * math.Pow(14.4/x[3], kb) * math.Pow(r/4, mb)
		return one - two
	}
}

// byGradient is the difference, its u and ν by a library's numerical gradient. Both
// scatters are of one estimate with eight degrees of freedom, so they are one term of
// Welch and Satterthwaite's formula.
func byGradient(ka, ma, kb, mb float64) (y, u, dof float64) {
	x := []float64{36.90, 37.6, 13.62, 15.18, 4.012, 1, 1}
	us := []float64{rect(0.008*36.90 + 0.03), rect(0.008*37.6 + 0.03), rect(0.005*13.62 + 0.02), rect(0.005*15.18 + 0.02), rect(0.04012), 0.01, 0.01}
	f := differenceOf(ka, ma, kb, mb)
	squares, scatter := 0.0, 0.0
	for i, c := range fd.Gradient(nil, f, x, &fd.Settings{Formula: fd.Central}) {
		squares += c * c * us[i] * us[i]
		if i > 4 {
			scatter += c * c * us[i] * us[i]
		}
	}
	return f(x), math.Sqrt(squares), 8 * squares * squares / (scatter * scatter)
}

func cornerRows() bool {
	const source = "gonum, diff/fd: gradient of the difference as one function of what was read (JCGM 100:2008, 5.1.2 and F.1.2.3)"
	slight := tolerance{rel: 1e-7, why: "numerical derivatives, good to 1e-9 of each; u and ν add their squares"}
	for _, c := range [][4]float64{{0, -1, 0, -1}, {0, -1, 0, 1}, {2.6, -1, 0, 1}, {0, 1, 2.6, -1}, {2.6, 1, 2.6, 1}} {
		name := fmt.Sprintf("at k %v and %v, m %v and %v: ", c[0], c[2], c[1], c[3])
		y, u, dof := byGradient(c[0], c[1], c[2], c[3])
		corner := func() sheet.PairCorner { return at(duel(), c[0], c[1], c[2], c[3]) }
		p := studentTail(math.Abs(y)/u, dof) // P(first > second) where y is negative
		if y > 0 {
			p = 1 - p
		}
		register(
			check{formula.CarriedPair + " " + formula.Difference, name + "difference", computed, source, y, tolerance{abs: 1e-10, why: "a difference of two powers of some 350 W"}, func() float64 { return corner().YA - corner().YB }},
			check{formula.Difference + " " + formula.Combined, name + "u", computed, source, u, slight, func() float64 { return corner().U }},
			check{formula.Difference + " " + formula.Freedom, name + "ν", computed, source, dof, tolerance{rel: 1e-6, why: "the fourth power of u, by numerical derivatives"}, func() float64 { return corner().DoF }},
			check{formula.Difference, name + "p", computed, source + "; " + gonumQuad, p, tolerance{abs: 1e-6, why: "u and ν come by numerical derivatives"}, func() float64 { return corner().P }},
		)
	}
	return true
}

var _ = cornerRows()

// even is one run of so many watts, read and supplied without any error into exactly
// 4 Ω: the pool is all that scatters, and all corners are one.
func even(watts float64) string {
	return measured("r", "power_w = "+digits(watts), "supply_v = 14.4", "thdn_pct = 1")
}

func evenScene(meter string) scene {
	return scene{meters: map[string]string{"power_w": meter, "supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}, loads: []string{evenLoad},
		methods: "pool = { rel_pct = 1, dof = 1000000 }\n"}
}

// above is the power that stands z standard uncertainties of the difference above
// 100 W, where each power is uncertain by 1 % of itself.
func above(z float64) float64 {
	a, c := 1-z*z*1e-4, 10000-z*z
	return (200 + math.Sqrt(40000-4*a*c)) / (2 * a)
}

// chanceAbove is p that a unit gives more than another, z above it.
func chanceAbove(z float64) func() float64 {
	return func() float64 {
		p := pairOf(evenScene("reading_pct = 0").units(even(above(z)), even(100)))
		if math.Abs(p.PMax-p.PMin) > 1e-12 {
			panic("the corners differ where nothing does")
		}
		return p.PMin
	}
}

// apartFrom is the least z from which two units are told apart, by bisection.
func apartFrom() float64 {
	low, high := 0.5, 4.0
	for range 40 {
		z := (low + high) / 2
		if pairOf(evenScene("reading_pct = 0").units(even(above(z)), even(100))).Side == verdict.First {
			high = z
		} else {
			low = z
		}
	}
	return high
}

// uOfDifference is u of 100 W less another power, both read by such a meter.
func uOfDifference(meter string, other float64) func() float64 {
	return func() float64 {
		return at(pairOf(evenScene(meter).units(even(100), even(other))), 0, -1, 0, -1).U
	}
}

var nearlyNormal = tolerance{abs: 1e-6, why: "the pool has a million degrees of freedom: Student's t is the normal distribution to 1e-6"}

var _ = register(
	check{formula.Difference, "1.4 u above", remembered, "JCGM 106:2012, clause 7, example of a Zener diode: 0.92 at (−5.40 + 5.47)/0.05", 0.92, printed(0.01), chanceAbove(1.4)},
	check{formula.Difference, "1.4 u above, unrounded", computed, "Φ(1.4), SciPy's norm.cdf", 0.9192433408, nearlyNormal, chanceAbove(1.4)},
	check{formula.Difference, "1.5 u above", computed, "Φ(1.5) = ½·erfc(−1.5/√2)", math.Erfc(-1.5/math.Sqrt2) / 2, nearlyNormal, chanceAbove(1.5)},
	check{formula.Difference, "no difference", computed, "symmetry: one half", 0.5, tolerance{abs: 1e-9, why: "√ and a quotient of the inputs"}, chanceAbove(0)},
	check{formula.Difference, "the least difference that tells apart, in u", remembered, "JCGM 106:2012, clause 7: 1.645 for a conformance probability of 0.95", 1.645, printed(0.001), apartFrom},
	check{formula.Difference + " " + formula.Combined, "a certificate of 1 W shared by both", computed, "JCGM 100:2008, 5.2.2: with correlation 1 equal contributions cancel; √2·1 % of 100 W is left", math.Sqrt2, closed,
		uOfDifference("constant = 0, correction = 0, correction_pm = 1, correction_k = 1", 100)},
	check{formula.Difference + " " + formula.Combined, "a certificate of 2 % shared by both", computed, "JCGM 100:2008, 5.2.2: with correlation 1 the contributions 2 W and 1.6 W leave 0.4 W, beside the scatters of 1 W and 0.8 W", math.Sqrt(0.4*0.4 + 1 + 0.64), closed,
		uOfDifference("constant = 0, correction = 0, correction_pm_pct = 2, correction_k = 1", 80)},
	check{formula.Difference + " " + formula.Combined, "a specification whose sharing isn't known", computed, "JCGM 100:2008, 5.2.2: correlation 0, the larger of the two", math.Sqrt(2*rect(1)*rect(1) + 2), closed, uOfDifference("constant = 1", 100)},
)

// ranks are first and last rank of the i-th unit from the top, as a number of two
// digits: 24 is "2 to 4".
func ranks(i int, watts ...float64) func() float64 {
	return func() float64 {
		var texts []string
		for _, w := range watts {
			texts = append(texts, even(w))
		}
		units := evenScene("reading_pct = 0").units(texts...)
		row := sheet.Rank(units, sheet.Point{Method: units[0].Content.Method("thd1"), Ohm: 4})[0].Rows[i]
		return float64(10*row.First + row.Last)
	}
}

// With 1 % of each, u of a difference is 1.41 W to 1.53 W: 2 W are 1.3 u to 1.4 u,
// together; 4 W are 2.6 u to 2.8 u, apart.
func rankRows() bool {
	chain := []float64{104, 100, 108, 102, 106}
	for i, want := range []float64{12, 13, 24, 35, 45} {
		register(check{formula.RankInterval, fmt.Sprintf("100 to 108 W in steps of 2 W, number %d from the top", i+1), computed,
			"by hand: 1 and those told apart as better, 5 less those told apart as worse; neighbours are together", want, exactly, ranks(i, chain...)})
	}
	for i, want := range []float64{11, 22, 33} {
		register(check{formula.RankInterval, fmt.Sprintf("100, 110 and 120 W, number %d from the top", i+1), computed, "by hand: 10 W are more than 6 u, all apart", want, exactly, ranks(i, 100, 110, 120)},
			check{formula.RankInterval, fmt.Sprintf("three times 100 W, number %d", i+1), computed, "by hand: all together", 13, exactly, ranks(i, 100, 100, 100)})
	}
	return register(
		check{formula.RankInterval, "1.64 u apart", computed, "by hand: below 1.645 two units share both ranks", 12, exactly, ranks(0, 100, above(1.64))},
		check{formula.RankInterval, "1.65 u apart", computed, "by hand: beyond 1.645 the better is first", 11, exactly, ranks(0, 100, above(1.65))},
		check{formula.RankInterval, "one certificate for all", computed, "by hand: what is one error in all moves no rank: 102 W stand second or third, with 110 W above", 23, exactly, func() float64 {
			units := evenScene("constant = 0, correction = 0, correction_pm = 20, correction_k = 1").units(even(100), even(102), even(110))
			row := sheet.Rank(units, sheet.Point{Method: units[0].Content.Method("thd1"), Ohm: 4})[0].Rows[1]
			return float64(10*row.First + row.Last)
		}},
	)
}

var _ = rankRows()
