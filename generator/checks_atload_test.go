package generator_test

import (
	"math"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

const (
	wiringTable = "load tables of installers' handbooks, as printed everywhere; Ohm's law by hand"
	alloyTable  = "ASTM B566, class 10A: 0.02743 Ω·mm²/m at 20 °C, printed as 62.9 % of the conductivity of annealed copper"
	boatTable   = "ISO 10133, table A.1, insulation for 70 °C, outside engine spaces"
	necTable    = "NFPA 70, table 310.16, 75 °C: aluminium or copper-clad aluminium beside copper"
)

// wired is the load of coils of z Ω in one of the ways that pages offer.
func wired(speakers, coils int, z float64, text string) func() float64 {
	return func() float64 {
		for _, w := range sheet.Wirings() {
			for i, each := range sheet.CoilOhms(coils) {
				if w.Speakers == speakers && w.Coils == coils && w.Text == text && each == z {
					return w.Loads[i]
				}
			}
		}
		return math.NaN()
	}
}

var perInsulation = tolerance{rel: 0.05, why: "another standard, other surroundings: the ratio of the metals is compared, and its whole amperes"}

// clad is by how much less a copper-clad lead of an area bears than a copper one.
func clad(area float64) func() float64 {
	return func() float64 { return electric.CopperClad.Bears(area) / electric.Copper.Bears(area) }
}

var _ = register(
	check{formula.VoiceCoils, "a dual 2 Ω coil in parallel, Ω", practice, wiringTable, 1, exactly, wired(1, 2, 2, "in parallel")},
	check{formula.VoiceCoils, "a dual 2 Ω coil in series, Ω", practice, wiringTable, 4, exactly, wired(1, 2, 2, "in series")},
	check{formula.VoiceCoils, "two dual 4 Ω speakers, all in parallel, Ω", practice, wiringTable, 1, exactly, wired(2, 2, 4, "in parallel")},
	check{formula.VoiceCoils, "two dual 2 Ω speakers, the coils of each in series, the speakers in parallel, Ω", practice, wiringTable, 2, exactly, wired(2, 2, 2, "2 in series, 2 such in parallel")},
	check{formula.VoiceCoils, "three 4 Ω speakers in parallel, Ω", computed, wiringTable + ": 1/(3/4)", 4. / 3, closed, wired(3, 1, 4, "in parallel")},
	check{formula.VoiceCoils, "three dual 4 Ω speakers, the coils of each in parallel, the speakers in series, Ω", practice, wiringTable, 6, exactly, wired(3, 2, 4, "3 in series, 2 such in parallel")},
	check{formula.VoiceCoils, "four 8 Ω speakers, two strings of two, Ω", practice, wiringTable, 8, exactly, wired(4, 1, 8, "2 in series, 2 such in parallel")},
	check{formula.VoiceCoils, "a 6 Ω coil and another in series, Ω", practice, wiringTable, 12, exactly, wired(2, 1, 6, "in series")},
	check{formula.EfficiencyBetween, "half way by doubling, 80 and 76 % at 1 and 4 Ω, at 2 Ω", computed, "logarithms, by hand: log2 of the loads is 0, 1 and 2", 78, closed, func() float64 { return electric.Between(2, 1, 80, 4, 76) }},
	check{formula.EfficiencyBetween, "80 and 76 % at 1 and 4 Ω, at 1.333 Ω", computed, "logarithms apart, in another program: 80 − 4·0.207518749639422", 79.169925001442, closed, func() float64 { return electric.Between(4./3, 1, 80, 4, 76) }},
	check{formula.FuseRating, "64.5 A", remembered, "ISO 8820-3, large blade fuses: 60, 70, 80, 100 A", 70, exactly, fuseFor(64.5)},
	check{formula.FuseRating, "just 80 A", remembered, "ISO 8820-3, large blade fuses: 60, 70, 80, 100 A", 80, exactly, fuseFor(80)},
	check{formula.FuseRating, "101.3 A", remembered, "ISO 8820-5, strip fuses: 100, 125, 150 A", 125, exactly, fuseFor(101.3)},
	check{formula.FuseRating, "237 A", remembered, "ISO 8820-5, strip fuses: 200, 225, 250 A", 250, exactly, fuseFor(237)},
	check{formula.FuseRating, "500 A, the largest", document, "ISO 8820-5, scope: strip fuses of 30 A to 500 A", 500, exactly, fuseFor(500)},
	check{formula.LeadBears, "25 mm² of copper, A", remembered, boatTable, 120, exactly, func() float64 { return electric.Copper.Bears(25) }},
	check{formula.LeadBears, "AWG 4 of copper, 21.15 mm², as 16 mm², A", remembered, boatTable, 90, exactly, func() float64 { return electric.Copper.Bears(electric.GaugeMM2(4)) }},
	check{formula.LeadBears, "0.2 mm² less than 70 mm² of copper, as 50 mm², A", remembered, boatTable, 210, exactly, func() float64 { return electric.Copper.Bears(69.8) }},
	check{formula.LeadBears, "copper-clad to copper, AWG 1/0", remembered, necTable + ": 120 and 150 A", 120. / 150, perInsulation, clad(53.5)},
	check{formula.LeadBears, "copper-clad to copper, AWG 4/0", remembered, necTable + ": 180 and 230 A", 180. / 230, perInsulation, clad(107)},
	check{formula.LeadBears, "copper-clad to copper, AWG 2", remembered, necTable + ": 90 and 115 A", 90. / 115, perInsulation, clad(33.6)},
	check{formula.LeadOhms, "1 m of 1 mm² of copper-clad aluminium, one way", remembered, alloyTable, 0.017241 / 0.629, tolerance{rel: 0.001, why: "the conductivity is printed with three digits"}, func() float64 { return electric.CopperClad.LeadOhms(1, 1, 1, 20) / 2 }},
	check{formula.LeadOhms + " " + formula.LeadDrop, "64.5 A through 5 m each way of 25 mm² of copper at 60 °C, V", computed, byLaws + ": 64.5·10/(58·25)·1.1572", 64.5 * 10 / (58. * 25) * 1.1572, closed, func() float64 { return 64.5 * electric.Copper.LeadOhms(5, 1, 25, 60) }},
)

func fuseFor(amps float64) func() float64 {
	return func() float64 { r, _ := electric.FuseRating(amps); return r }
}
