package generator_test

import (
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// hotLoad is an invented element: 4.012 Ω ±1 % at 25 °C, (100 ± 20) ppm/K, used at
// (65 ± 10) °C.
const hotLoad = "id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1, tempco_ppm = 100, tempco_pm_ppm = 20, hot_c = 65, hot_pm_c = 10"

// into is the first channel of a run into one load, at volts that are read well.
func into(load, volts string) *sheet.Channel {
	s := scene{meters: map[string]string{"out_v": "reading_pct = 0"}, loads: []string{load}, text: measured("r", "out_v = "+volts)}
	return s.sheet().Runs[0].Channels[0]
}

func resistance(load string) func() *sheet.Figure {
	return func() *sheet.Figure { return into(load, "20").Resistance }
}

// rect is the standard uncertainty of a rectangular half-width, by hand.
func rect(half float64) float64 { return half / math.Sqrt(3) }

// A lead of zero leaves the element alone, so these are of the element.
var _ = register(
	check{formula.LoadAtHeat, "4.012 Ω, 100 ppm/K, 40 K warmer", computed, "closed form of JCGM 100:2008, 4.1.1: 4.012·1.004", 4.028048, closed,
		func() float64 { return resistance(hotLoad)().X }},
	check{formula.LoadAtHeat, "u of it", computed, "by hand, the squares of (1 + α·ΔT)·u(R0), R0·ΔT·u(α) and R0·α·u(T) (JCGM 100:2008, 5.1.2)",
		math.Sqrt(math.Pow(1.004*rect(0.04012), 2) + math.Pow(4.012*40*rect(20e-6), 2) + math.Pow(4.012*100e-6*rect(10), 2)), closed,
		func() float64 { return resistance(hotLoad)().Std }},
	check{formula.LoadAtHeat, "copper 8 AWG, 1000 ft, 20 °C to 75 °C", remembered, "NBS Handbook 100: 0.6282 Ω at 20 °C, α20 = 0.003 93/K (IEC 60028); NFPA 70, chapter 9, table 8, solid: 0.764 Ω at 75 °C", 0.764, printed(0.001),
		func() float64 {
			return resistance("id = 'a', nominal_ohm = 0.63, ohm = 0.6282, ohm_pct = 0, at_c = 20, tempco_ppm = 3930, hot_c = 75")().X
		}},
	check{formula.LoadAtHeat, "copper 10 AWG, 1000 ft, 20 °C to 75 °C", remembered, "NBS Handbook 100: 0.9989 Ω at 20 °C, α20 = 0.003 93/K (IEC 60028); NFPA 70, chapter 9, table 8, solid: 1.21 Ω at 75 °C", 1.21, printed(0.01),
		func() float64 {
			return resistance("id = 'a', nominal_ohm = 1, ohm = 0.9989, ohm_pct = 0, at_c = 20, tempco_ppm = 3930, hot_c = 75")().X
		}},
	check{formula.LoadAtHeat, "copper 4 AWG, 1000 ft, 20 °C to 60 °C", computed, "ASTM B258 diameter and IEC 60028 resistivity with 0.003 93/K, computed apart: 0.248 464 and 0.287 522 537 Ω", 0.287522537, tolerance{rel: 2e-6, why: "the reference is taken from 0.248464, itself rounded to six digits"},
		func() float64 {
			return resistance("id = 'a', nominal_ohm = 0.25, ohm = 0.248464, ohm_pct = 0, at_c = 20, tempco_ppm = 3930, hot_c = 60")().X
		}},
	check{formula.LoadAtHeat, "a thermometer at the load counts, not the usual temperature", computed, "closed form of JCGM 100:2008, 4.1.1: 4·(1 + 0.001·75)", 4.3, closed,
		func() float64 {
			s := scene{meters: map[string]string{"load_c": "reading_pct = 0"}, loads: []string{"id = 'a', nominal_ohm = 4, ohm = 4, ohm_pct = 0, tempco_ppm = 1000, hot_c = 30"}, text: measured("r", "power_w = 10", "load_c = 100")}
			return s.sheet().Runs[0].Channels[0].Resistance.X
		}},
)

var _ = registerFigures(formula.LoadAtUnit,
	figures{"2 Ω and a lead of 21 mΩ", "by hand: resistors in series (Ohm's law); the independent parts ±1 % and ±10 % add in squares", computed, 2.021, math.Hypot(rect(0.02), rect(0.0021)), closed,
		resistance("id = 'a', nominal_ohm = 2, ohm = 2, ohm_pct = 1, lead_ohm = 0.021")},
	figures{"4 Ω and ten metres of 4 AWG", "ASTM B258 and IEC 60028, computed apart: 0.815 171 mΩ/m", computed, 4.00815171, 0, tolerance{},
		resistance("id = 'a', nominal_ohm = 4, ohm = 4, ohm_pct = 0, lead_ohm = 0.00815171, lead_pct = 0")},
)

// Ten metres of 4 AWG at 80 A: drop and heat of a lead, by the same arithmetic as
// any load: 80 A through R is 80·R volts.
var _ = register(
	check{formula.PowerVolts, "ten metres of 4 AWG at 80 A, W", computed, "ASTM B258 and IEC 60028, computed apart: 0.652 136 475 V, 52.170 918 W", 52.170918, tolerance{rel: 2e-6, why: "the resistance is given with six digits"},
		func() float64 {
			return into("id = 'a', nominal_ohm = 0.00815, ohm = 0.00815171, ohm_pct = 0", "0.652136475").Power.X
		}},
	check{formula.OutVolts, "ten metres of 4 AWG at 80 A, V", computed, "ASTM B258 and IEC 60028, computed apart: 0.652 136 475 V", 0.652136475, closed,
		func() float64 {
			return into("id = 'a', nominal_ohm = 0.00815, ohm = 0.00815171, ohm_pct = 0", "0.652136475").OutV.X
		}},
)
