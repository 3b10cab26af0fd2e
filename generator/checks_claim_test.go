package generator_test

import (
	"math"
	"strconv"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// conforming is the claim of 500 W decided by one run of y watts with u = 9.1 W,
// at the claim's own conditions: normal, or as a pool with six degrees of freedom.
func conforming(y float64, student bool) *sheet.Claim {
	s := scene{meters: map[string]string{"supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}, loads: []string{evenLoad}}
	s.meters["power_w"] = "to = 1000, range_pct = " + digits(0.1*9.1*math.Sqrt(3))
	if student {
		s.meters["power_w"] = "reading_pct = 0"
		s.methods = "pool = { rel_pct = " + digits(100*9.1/y) + ", dof = 6 }\n"
	}
	s.text = stated("c", "500") + measured("r", "power_w = "+quantity.Float(y), "supply_v = 14.4", "thdn_pct = 1")
	return s.sheet().Claims[0]
}

// A claim of at least 500 W, u = 9.1 W, through the whole path: p by the normal
// distribution and by Student's t, to the digits that SciPy gives.
var _ = conformance([][3]float64{
	{478.0, 0.0078119977, 0.0260170115}, {481.8, 0.0227501319, 0.0462131558}, {487.3, 0.0814168290, 0.1061479281}, {495.0, 0.2913481459, 0.3012652831}, {500.0, 0.5, 0.5},
	{508.0, 0.8103321309, 0.7934227564}, {515.0, 0.9503597340, 0.9248116193}, {518.2, 0.9772498681, 0.9537868442}, {525.0, 0.9969951599, 0.9832934630},
})

func conformance(table [][3]float64) bool {
	within := tolerance{abs: 1e-10, why: "the reference has ten decimals"}
	for _, line := range table {
		y := line[0]
		name := quantity.Float(y) + " W against 500 W, u = 9.1 W"
		register(check{formula.Chance, name + ", normal", computed, "JCGM 106:2012, 7.3; SciPy's norm.cdf", line[1], within, func() float64 { return conforming(y, false).PMin }},
			check{formula.Chance, name + ", ν = 6", computed, "JCGM 106:2012, 7.3; SciPy's t.cdf", line[2], within, func() float64 { return conforming(y, true).PMin }})
	}
	return true
}

// accepts is the least mean that a rule accepts for 500 W with u = 9.1 W, by
// bisection on the verdict.
func accepts(from float64) func() float64 {
	return func() float64 {
		low, high := 450.0, 550.0
		for range 60 {
			y := (low + high) / 2
			r := verdict.Decide(verdict.Rule{MetFrom: from, ShortTo: 1 - from}, 500, []verdict.Corner{{Channels: []verdict.Channel{{At: &verdict.Estimate{Y: y, U: 9.1, DoF: math.Inf(1)}}}}})
			if r.Word == verdict.Met {
				high = y
			} else {
				low = y
			}
		}
		return high
	}
}

var _ = register(
	check{formula.Chance, "accepted from, 95 %", remembered, "ISO 14253-1:2017, default of 95 %: guard band 1.65·u (1.644 853 627 unrounded)", 514.9681680053, tolerance{rel: 1e-12, why: "the reference has ten decimals"}, accepts(0.95)},
	check{formula.Chance, "guard band in u, 95 %", remembered, "ISO 14253-1:2017: 1.65", 1.65, tolerance{abs: 0.00515, why: "1.6449, printed rounded up to two decimals"}, func() float64 { return (accepts(0.95)() - 500) / 9.1 }},
	check{formula.Chance, "guard band in U at k = 2, 95 %", document, "a guard-band example that was read: 0.8225·U", 0.8225, tolerance{abs: 1e-4, why: "the page gives four decimals and doesn't say how rounded"}, func() float64 { return (accepts(0.95)() - 500) / 18.2 }},
	check{formula.Chance, "guard band in u, 97.5 %", computed, "normal quantile 1.959 963 985", 517.8356722593, tolerance{rel: 1e-12, why: "the reference has ten decimals"}, accepts(0.975)},
	check{formula.Chance, "guard band in u, 99 %", remembered, "JCGM 106:2012, clause 7, table: 2.33 (2.326 347 874 unrounded)", 521.1697656537, tolerance{rel: 1e-12, why: "the reference has ten decimals"}, accepts(0.99)},
	check{formula.Chance, "accepted at a guard band of U (k = 2): wrongly with 2.275 %", document, "ILAC-G8:09/2019, 4.2.2: below 2.5 %; 2.275 013 2 % exactly", 0.022750132, tolerance{rel: 1e-7, why: "the reference has eight digits"},
		func() float64 { return 1 - conforming(518.2, false).PMin }},
	check{formula.Chance, "accepted at 0.83 U: wrongly with less than 5 %", remembered, "ILAC-G8:09/2019, table of w: below 5 %; 4.845 722 7 %", 0.048457227, tolerance{rel: 1e-7, why: "the reference has eight digits"},
		func() float64 { return 1 - quantity.ProbabilityAtLeast(500+0.83*18.2, 9.1, math.Inf(1), 500) }},
	check{formula.Chance, "accepted at 1.5 U: wrongly with 0.135 %", remembered, "ILAC-G8:09/2019, table of w: below 0.16 %; 0.134 989 8 %", 0.001349898, tolerance{rel: 1e-6, why: "the reference has seven digits"},
		func() float64 { return 1 - quantity.ProbabilityAtLeast(500+1.5*18.2, 9.1, math.Inf(1), 500) }},
	check{formula.Chance, "Zener diode of −5.47 V, u 0.05 V, at most −5.40 V", remembered, "JCGM 106:2012, 7.3.3, example: 0.92", 0.92, printed(0.01),
		func() float64 { return quantity.ProbabilityAtLeast(5.47, 0.05, math.Inf(1), 5.40) }},
)

// specified is a stated figure decided: the chance that it holds.
func specified(keys string) func() float64 {
	return func() float64 {
		s := scene{meters: map[string]string{"out_v": "reading_pct = 0"}, loads: []string{evenLoad}, text: "[[spec]]\nid = 's'\nname = 'stated'\n" + keys}
		return s.sheet().Specs[0].P
	}
}

var _ = register(
	check{formula.SpecChance, "motor oil of 13.6 mm²/s, u 1.8, between 12.5 and 16.3", remembered, "JCGM 106:2012, 7.4, example: 0.66 (0.662 629 786 5 unrounded)", 0.6626297865, tolerance{abs: 1e-10, why: "the reference has ten decimals"},
		specified("limit = 'between'\nstated = 12.5\nstated_to = 16.3\ntolerance = 0\nmeasured = 13.6\npm = " + digits(1.8*math.Sqrt(3)) + "\n")},
	check{formula.SpecChance, "Zener diode of −5.47 V, u 0.05 V, at most −5.40 V", remembered, "JCGM 106:2012, 7.3.3, example: 0.92 (0.919 243 340 8 unrounded)", 0.9192433408, tolerance{abs: 1e-10, why: "the reference has ten decimals"},
		specified("limit = 'at-most'\nstated = -5.40\ntolerance = 0\nmeasured = -5.47\npm = " + digits(0.05*math.Sqrt(3)) + "\n")},
	check{formula.SpecChance, "half the last digit: 4.5 is from 4.45 on, and 4.45 is even odds", computed, "JCGM 106:2012, 7.3: p = 1/2 at the limit, by symmetry", 0.5, closed,
		specified("limit = 'at-least'\nstated = 4.5\nmeasured = 4.45\npm = 0.1\n")},
)

var _ = registerFigures(formula.Level,
	figures{"487.3 W against 500 W", "definition of the decibel: −0.111 735 929 5 dB; u by hand, 10/ln 10·u/P", computed, 10 * math.Log10(487.3/500), 10 / math.Ln10 * 9.1 / 487.3, closed, func() *sheet.Figure { return conforming(487.3, false).Level }},
	figures{"twice the power", "definition of the decibel: 3.010 299 956 6 dB", computed, 3.010299956639812, 0, tolerance{}, func() *sheet.Figure { return conforming(1000, false).Level }},
)

// carried is a run at 13.62 V of 36.90 V into 4.012 Ω, carried to 14.4 V.
func carried(k, m float64) quantity.Value {
	spec := func(id string, x, half float64, unit string) quantity.Value {
		return quantity.New(x, unit, rect(half), free(id))
	}
	load := spec("R", 4.012, 0.04012, "Ω")
	p := electric.InElement(spec("V", 36.90, 0.3252, "V"), load)
	return electric.Carried(p, spec("Vs", 13.62, 0.0881, "V"), load, 14.4, 4.012, k, m)
}

// corner is what the sheet decides by at a corner, for the same run.
func corner(k, m float64) verdict.CornerResult {
	s := scene{
		meters: map[string]string{"out_v": usualVolts, "supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01", "thdn_pct": "reading_pct = 5"},
		loads:  []string{"id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1"},
		text:   stated("c", "350") + measured("r", "out_v = 36.90", "supply_v = 13.62", "thdn_pct = 1"),
	}
	for _, c := range s.sheet().Claims[0].Corners {
		if c.K == k && c.M == m {
			return c
		}
	}
	panic("no corner " + strconv.FormatFloat(k, 'g', -1, 64))
}

const c4 = "P·(14.4/Vs)²: " + apartWith

var _ = register(
	check{formula.Carried, "36.90 V into 4.012 Ω from 13.62 V to 14.4 V, k = 2", computed, c4, 379.36964398388, closed, func() float64 { return carried(2, 0).X }},
	check{formula.Carried + " " + formula.Combined, "36.90 V into 4.012 Ω from 13.62 V to 14.4 V, k = 2, u", computed, c4, 5.2659947256666, firstly, func() float64 { return carried(2, 0).Std() }},
	check{formula.Carried, "corner k = 2.6, m = 1 of the sheet", computed, "by hand: 36.9²/4·(14.4/13.62)^2.6, the load gone", 36.9 * 36.9 / 4 * math.Pow(14.4/13.62, 2.6), closed, func() float64 { return corner(2.6, 1).Y }},
	check{formula.Carried, "corner k = 2.6, m = 1 of the sheet, u", computed, "by hand: 2·u(V)/V and 2.6·u(Vs)/Vs in squares; u = 0.187 754 307 54 V and 0.050 864 558 715 6 V",
		36.9 * 36.9 / 4 * math.Pow(14.4/13.62, 2.6) * math.Hypot(2*0.18775430754/36.9, 2.6*0.0508645587156/13.62), tolerance{rel: 1e-10, why: "the inputs' u are given with eleven digits"}, func() float64 { return corner(2.6, 1).U }},
	check{formula.Carried, "corner k = 0, m = −1 of the sheet, u", computed, "by hand: 2·u(V)/V, and the load twice, in squares",
		36.9 * 36.9 / 4.012 * (4 / 4.012) * math.Hypot(2*0.18775430754/36.9, 2*rect(0.01)), tolerance{rel: 1e-10, why: "the inputs' u are given with eleven digits"}, func() float64 { return corner(0, -1).U }},
)

// ratios are a unit's power by price, volume and mass: 90 W from 300 EUR, 200 by 50
// by 100 mm, 2.5 kg.
func ratio(i int) func() *sheet.Figure {
	return func() *sheet.Figure {
		s := scene{meters: map[string]string{"power_w": "reading_pct = 1"}, loads: []string{evenLoad}, unit: "price = 300\nsize_mm = [200, 50, 100]\nmass_kg = 2.5", text: measured("r", "power_w = 90")}
		return s.sheet().Ratios[i].Figure
	}
}

var _ = registerFigures(formula.PerDivisor,
	figures{"90 W for 300 EUR", "by hand, 90/300", computed, 0.3, rect(0.003), closed, ratio(0)},
	figures{"90 W from a litre", "by hand: 0.2 m · 0.05 m · 0.1 m is 1 l (SI brochure: l = dm³)", computed, 90, rect(0.9), closed, ratio(1)},
	figures{"90 W from 2.5 kg", "by hand, 90/2.5", computed, 36, rect(0.36), closed, ratio(2)},
	figures{"90 W from 5 lb", "the pound is 0.453 592 37 kg exactly (from memory): 18 W/lb, so 39.683 207 193 W/kg", remembered, 18 / 0.45359237, 0, tolerance{}, func() *sheet.Figure {
		s := scene{meters: map[string]string{"power_w": "reading_pct = 1"}, loads: []string{evenLoad}, unit: "mass_kg = 2.26796185", text: measured("r", "power_w = 90")}
		return s.sheet().Ratios[0].Figure
	}},
)

var _ = registerFigures(formula.Rise,
	figures{"140 °F in air of 77 °F", "°F = 1.8·°C + 32 exactly (from memory): 60 °C and 25 °C, 63/1.8 K; ±2 K rectangular", remembered, 35, rect(2), closed, func() *sheet.Figure {
		s := scene{meters: map[string]string{"power_w": "reading_pct = 1"}, loads: []string{evenLoad}, text: "[[thermal]]\nspot = 'heat sink'\ntemp_c = 60\nambient_c = 25\npm = 2\n"}
		return s.sheet().Thermals[0].Points[0].Rise
	}},
)
