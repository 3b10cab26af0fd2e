package generator_test

import (
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// drawing is an invented run that takes 66.4 A at 14.33 V and gives 38.73 V into
// 2.006 Ω.
func drawing(ripple string) *sheet.Run {
	s := scene{
		meters: map[string]string{
			"out_v": usualVolts, "supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01", "supply_a": "reading_pct = 2, digits = 5, resolution = 0.1",
		},
		loads: []string{"id = 'a', nominal_ohm = 2, ohm = 2.006, ohm_pct = 1"}, methods: "supply_ripple_pct = " + ripple + "\n",
		text: measured("r", "out_v = 38.73", "supply_v = 14.33", "supply_a = 66.4"),
	}
	return s.sheet().Runs[0]
}

const apartWith = "invented inputs; computed apart with a general library for first-order propagation, and there by 10^6 Monte Carlo draws"

// What volts and amperes bring to the supply power, by hand.
var bySupply = math.Hypot(66.4*0.0529141521712, 14.33*1.05539629208)

var _ = registerFigures(formula.SupplyPower,
	figures{"14.33 V and 66.4 A", "Joule's law: " + apartWith, computed, 951.512, bySupply, firstly, func() *sheet.Figure { return drawing("0").SupplyPower }},
	figures{"with ripple and sag of ±2 %", "by hand: one more independent part, rectangular (JCGM 100:2008, 4.3.7)", computed, 951.512, math.Hypot(bySupply, 951.512*rect(0.02)), firstly,
		func() *sheet.Figure { return drawing("2").SupplyPower }},
)

var _ = registerFigures(formula.Efficiency,
	figures{"747.8 W of 951.5 W", apartWith, computed, 78.586834482218, 1.5761745917527, firstly, func() *sheet.Figure { return drawing("0").Efficiency }},
)

var _ = registerFigures(formula.Heat,
	figures{"747.8 W of 951.5 W", apartWith, computed, 203.74883948156, 17.807705922423, firstly, func() *sheet.Figure { return drawing("0").Heat }},
)

var _ = register(
	check{formula.Efficiency + " " + formula.Heat, "how efficiency and heat go together", computed, apartWith + "; r by Σ of the products of shared parts (JCGM 100:2008, F.1.2.3)", -0.99409044, firstly,
		func() float64 { r := drawing("0"); return correlation(r.Efficiency, r.Heat) }},
	check{formula.Efficiency, "500 W at 80 % from 14.4 V take 43.4 A", practice, "expected current is P/(η·Vs)", 80, tolerance{rel: 1e-8, why: "the current is given with nine digits"},
		func() float64 {
			s := scene{meters: map[string]string{"power_w": "reading_pct = 0", "supply_v": "reading_pct = 0", "supply_a": "reading_pct = 0"}, loads: []string{evenLoad},
				text: measured("r", "power_w = 500", "supply_v = 14.4", "supply_a = 43.4027778")}
			return s.sheet().Runs[0].Efficiency.X
		}},
	check{formula.Heat, "an ideal class B stage at a third of its power, of 100 W", computed, "closed form (4/π)·√p − p at p = 1/3: heat is 0.401 771 860 6 of the largest power", 40.17718606, tolerance{rel: 1e-9, why: "the reference has ten digits"},
		func() float64 {
			// it takes (4/π)·√(1/3) of the largest power
			s := scene{meters: map[string]string{"power_w": "reading_pct = 0", "supply_w": "reading_pct = 0"}, loads: []string{evenLoad},
				text: measured("r", "power_w = 33.3333333333333", "supply_w = 73.5105193895723")}
			return s.sheet().Runs[0].Heat.X
		}},
)

// correlation is r of two figures whose parts have no groups that matter.
func correlation(a, b *sheet.Figure) float64 {
	sum := 0.0
	for _, l := range a.Lines {
		sum += l.C * part(b, l.Source.ID)
	}
	return sum / (a.Std * b.Std)
}

var _ = registerFigures(formula.SupplyMetered,
	figures{"120 W at the mains as read", "no formula: it counts as read; ±1 % rectangular (JCGM 100:2008, 4.3.7)", computed, 120, rect(1.2), closed,
		func() *sheet.Figure {
			s := scene{meters: map[string]string{"supply_w": "reading_pct = 1", "power_w": "reading_pct = 0"}, loads: []string{evenLoad}, unit: "supply = 'mains'", text: measured("r", "power_w = 40", "supply_w = 120")}
			return s.sheet().Runs[0].SupplyPower
		}},
)
