package generator_test

import (
	"math"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// usualVolts is an invented voltmeter of the usual kind.
const usualVolts = "reading_pct = 0.8, digits = 3, resolution = 0.01"

// evenLoad is an element without any error.
const evenLoad = "id = 'a', nominal_ohm = 4, ohm = 4, ohm_pct = 0"

// hot is the first channel of a run at 44.72 V into the hot load.
func hot(keys ...string) *sheet.Channel {
	s := scene{meters: map[string]string{"out_v": usualVolts, "power_w": "reading_pct = 0.5"}, loads: []string{hotLoad},
		text: measured("r", append(keys, "out_v = 44.72")...)}
	return s.sheet().Runs[0].Channels[0]
}

var _ = registerFigures(formula.PowerVolts,
	figures{"44.72 V into the hot load", "JCGM 100:2008, 4.1.1, with invented inputs; computed apart with a general library for first-order propagation", computed, 496.48822456932, 5.7498458132589, firstly,
		func() *sheet.Figure { return hot().Power }},
	figures{"20 V into 4 Ω", "Joule's and Ohm's laws: the watt is one ampere at one volt (SI brochure, 9th edition, table 4, from memory)", remembered, 100, 0, tolerance{},
		func() *sheet.Figure { return into(evenLoad, "20").Power }},
	figures{"a lead takes its share: 10 A through 2 Ω and 0.1 Ω", "by hand: I²·R of both, 10²·2.1", computed, 210, 0, tolerance{},
		func() *sheet.Figure {
			return into("id = 'a', nominal_ohm = 2, ohm = 2, ohm_pct = 0, lead_ohm = 0.1, lead_pct = 0", "20").Power
		}},
)

// What each input of the hot load brings, as the budget lists it.
var _ = register(
	contribution("volts", "out-v/out_v@scene/r.L", 4.9709515785),
	contribution("resistance", "load a/resistance", -2.86647610108),
	contribution("temperature coefficient", "load a/tempco", -0.22840447013),
	contribution("temperature", "load a/temperature", -0.285505587341),
)

func contribution(name, source string, want float64) check {
	return check{formula.PowerVolts + " " + formula.Combined, "44.72 V into the hot load, part of the " + name, computed,
		"JCGM 100:2008, 4.1.1 and 5.1.3: 2P/V, −P/R0, −PΔT/(1 + αΔT), −Pα/(1 + αΔT) times u, computed apart", want, firstly,
		func() float64 { return part(hot().Power, source) }}
}

// part is what a source brings to a figure.
func part(f *sheet.Figure, source string) float64 {
	for _, l := range f.Lines {
		if l.Source.ID == source {
			return l.C
		}
	}
	return 0
}

// wattmeter is a run of channels that a watt-meter reads, ±1 % rectangular.
func wattmeter(watts ...string) *sheet.Run {
	s := scene{meters: map[string]string{"power_w": "reading_pct = 1"}, text: runOf("r", watts...)}
	for i := range watts {
		s.loads = append(s.loads, "id = '"+string(rune('a'+i))+"', nominal_ohm = 8, ohm = 8, ohm_pct = 0")
	}
	return s.sheet().Runs[0]
}

// runOf writes a run of as many channels as there are readings, each with its own
// load, a and on.
func runOf(id string, watts ...string) string {
	driven, loads, power := "", "", ""
	for i, w := range watts {
		driven += "'" + string("LRCDEFGHIJ"[i]) + "', "
		loads += "'" + string(rune('a'+i)) + "', "
		power += w + ", "
	}
	return measuredWith(id, "driven = ["+driven+"]", "load = ["+loads+"]", "power_w = ["+power+"]")
}

var _ = registerFigures(formula.PowerMeter,
	figures{"250 W as read", "no formula: it counts as read; ±1 % rectangular (JCGM 100:2008, 4.3.7)", computed, 250, rect(2.5), closed,
		func() *sheet.Figure { return wattmeter("250").Channels[0].Power }},
)

var _ = registerFigures(formula.OutVolts,
	figures{"1 W into 8 Ω", "definition of the 1 W reference level: 2.828 427 124 7 V", computed, 2 * math.Sqrt2, 2 * math.Sqrt2 / 2 * rect(0.01), closed,
		func() *sheet.Figure { return wattmeter("1").Channels[0].OutV }},
	figures{"back from power to volts: 44.72 V and its own u", "Ohm's law undone: what the load is wrong by cancels; u = 0.223 873 340 381 V, computed apart", computed, 44.72, 0.223873340381, firstly,
		func() *sheet.Figure { return hot().OutV }},
)

// The example of JCGM 100:2008, 5.2.2: ten equal resistors compared with the same
// standard, each 1000 Ω ± 0.1 Ω, are 10 kΩ ± 1 Ω in series. Here: ten channels of
// 1000 W on one watt-meter, u = 0.1 W each.
func tenChannels() *sheet.Figure {
	all := make([]string, 10)
	for i := range all {
		all[i] = "1000"
	}
	s := scene{meters: map[string]string{"power_w": "digits = 1.7320508075688772, resolution = 0.1"}, text: runOf("r", all...)}
	for i := range all {
		s.loads = append(s.loads, "id = '"+string(rune('a'+i))+"', nominal_ohm = 8, ohm = 8, ohm_pct = 0")
	}
	return s.sheet().Runs[0].Total
}

var _ = registerFigures(formula.PowerTotal,
	figures{"ten times 1000 W, all with one error of 0.1 W", "JCGM 100:2008, 5.2.2, example of ten resistors (from memory): 1, not 0.32", remembered, 10000, 1, closed, tenChannels},
	figures{"250 W and 150 W", "conservation of energy; one watt-meter, ±1 % of each with correlation 1", computed, 400, rect(4), closed,
		func() *sheet.Figure { return wattmeter("250", "150").Total }},
)

var _ = registerFigures(formula.MeterCheck,
	figures{"500 W on the watt-meter, 44.72 V into the hot load", "by hand: 500 − 496.488 224 569 32; the two instruments and the load are independent", computed, 500 - 496.48822456932, math.Hypot(5.7498458132589, rect(2.5)), firstly,
		func() *sheet.Figure { return hot("power_w = 500").Check }},
)

// total is the distortion of a reading relative to the whole signal, ±5 %.
func total(pct string) func() *sheet.Figure {
	return func() *sheet.Figure {
		s := scene{meters: map[string]string{"thdn_pct": "reading_pct = 5", "out_v": "reading_pct = 0"}, total: true, loads: []string{evenLoad}, text: measured("r", "out_v = 20", "thdn_pct = "+pct)}
		return s.sheet().Runs[0].Channels[0].Distortion
	}
}

var squareR, triangleR = math.Sqrt(1 - 8/(math.Pi*math.Pi)), math.Sqrt(1 - 96/math.Pow(math.Pi, 4))

var _ = registerFigures(formula.Distortion,
	figures{"square wave", "closed form of its Fourier series: √(π²/8 − 1) of √(1 − 8/π²); u by hand, /(1 − dt²)^1.5", computed, 48.3425847608679,
		rect(0.05*43.5236178254173) / math.Pow(1-squareR*squareR, 1.5), closed, total("43.5236178254173")},
	figures{"triangle wave", "closed form of its Fourier series: √(π⁴/96 − 1) of √(1 − 96/π⁴)", computed, 100 * math.Sqrt(math.Pow(math.Pi, 4)/96-1), 0, tolerance{},
		total(digits(100 * triangleR))},
)

// Clipped sines, by their Fourier integrals, computed apart to eight decimals.
var _ = register(clippedRow("0.9", 4.216180, 4.219933), clippedRow("0.7", 13.630384, 13.758794), clippedRow("0.3", 31.302825, 32.959230), clippedRow("0.1", 39.533550, 43.039702))

func clippedRow(level string, r, f float64) check {
	return check{formula.Distortion, "sine clipped at " + level + " of its peak", computed, "Fourier integrals of the clipped sine, one level by FFT too", f,
		tolerance{rel: 2e-7, why: "the reference has eight decimals"}, func() float64 { return total(digits(r))().X }}
}

var _ = register(
	check{"class-b-limit", "pure sine", computed, "π/4, closed form of ideal class B (a textbook's derivation was read)", 78.53981633974483, closed, func() float64 { return electric.ClassBLimit(0) }},
	check{"class-b-limit", "square wave", computed, "closed form: a square wave leaves no voltage across the stage", 100, closed, func() float64 { return electric.ClassBLimit(48.35) }},
	check{"class-b-limit", "1 % distortion", computed, "integrals of the clipped sine, computed apart: about 80.3 %", 80.3, tolerance{abs: 0.05, why: "the reference is given to a tenth of a percent"}, func() float64 { return electric.ClassBLimit(1) }},
	check{"class-b-limit", "10 % distortion", computed, "integrals of the clipped sine, computed apart: about 87.4 %", 87.4, tolerance{abs: 0.05, why: "the reference is given to a tenth of a percent"}, func() float64 { return electric.ClassBLimit(10) }},
)
