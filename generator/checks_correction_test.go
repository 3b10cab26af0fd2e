package generator_test

import (
	"math"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// resistor is example S3 of EA-4/02 (from memory), through the whole path: what is
// compared with a standard of 10 kΩ, in mW that stand for its mΩ. The ratio of the
// two is 1.000 010 5, so that 10 000.105 is read; the standard's certificate has
// 10 000.053 ± 0.005 (k = 2), and since then, four years, it went up by 0.020 ± 0.010;
// its temperature is ±0.055 K off at 5e-6/K; the ratio is good to ±1e-6, triangular.
// What is no error of the standard or the bridge (the unknown's temperature ±5.5 mΩ,
// five readings of s = 0.16e-6) stands as the pool.
func resistor() *sheet.Figure {
	other := math.Hypot(rect(0.0055), 0.7071e-3) / 10000.178 // relative
	s := scene{
		meters: map[string]string{"power_w": "to = 20000, reading_pct = 0.0001, shape = 'triangular', drift_pct_year = 0.000025, tempco_pct_k = 0.0005, from_c = 23, to_c = 23, " +
			"correction = 0.073, correction_pm = 0.005, correction_k = 2"},
		facts: map[string]string{"power_w": "calibrated = 2023-01-01"}, loads: []string{evenLoad},
		methods: "pool = { rel_pct = " + digits(100*other) + ", dof = 1000000 }\n",
		text:    measured("r", "power_w = 10000.105", "ambient_c = 23.055", "at = 2027-01-01T08:00:00Z"),
	}
	return s.sheet().Runs[0].Channels[0].Power
}

// named is the part of a figure whose source has such a name.
func named(f *sheet.Figure, words string) float64 {
	got := math.NaN()
	for _, l := range f.Lines {
		if strings.Contains(l.Source.Name, words) {
			if !math.IsNaN(got) {
				panic("two parts are called " + words)
			}
			got = l.C
		}
	}
	return got
}

const s3 = "EA-4/02, example S3 (from memory): "

var tenDigits = tolerance{rel: 2e-5, why: "the example is for exactly 10 kΩ, the reading 1e-5 above it"}

var _ = register(
	check{formula.Corrected, "10 kΩ by a standard", document, "EA-4/02, example S3: a data file of it gives 10 000.178 000 766 5 Ω", 10000.1780007665, tolerance{abs: 1e-6, why: "the correction times the ratio's 1e-5 is left out"}, func() float64 { return resistor().X }},
	check{formula.Corrected + " " + formula.Combined, "10 kΩ by a standard, its certificate", remembered, s3 + "2.5 mΩ", 2.5e-3, closed, func() float64 { return named(resistor(), "correction") }},
	check{formula.Drift, "10 kΩ by a standard, drift of ±10 mΩ", remembered, s3 + "5.77 mΩ", 5.77e-3, printed(0.01e-3), func() float64 { return named(resistor(), "drift since calibration") }},
	check{formula.Drift, "the same unrounded", computed, "by hand: 10 mΩ/√3", rect(0.010), tenDigits, func() float64 { return named(resistor(), "drift since calibration") }},
	check{formula.Tempco, "10 kΩ by a standard, temperature of ±2.75 mΩ", remembered, s3 + "1.59 mΩ", 1.59e-3, printed(0.01e-3), func() float64 { return named(resistor(), "temperature of the air") }},
	check{formula.Tempco, "the same unrounded", computed, "by hand: 2.75 mΩ/√3", rect(0.00275), tenDigits, func() float64 { return named(resistor(), "temperature of the air") }},
	check{strings.Join([]string{formula.Corrected, formula.Drift, formula.Tempco, formula.Combined}, " "), "10 kΩ by a standard, u", document, "EA-4/02, example S3: a data file of it gives 0.008 328 004 05 Ω", 0.00832800405,
		tolerance{rel: 5e-5, why: "the reading is 1e-5 above 10 kΩ, and the file's readings scatter by one digit more than is printed"}, func() float64 { return resistor().Std }},
)

// supplied is the supply voltage of a run, read by such a meter.
func supplied(spec, facts, volts string, keys ...string) func() *sheet.Figure {
	return func() *sheet.Figure {
		s := scene{meters: map[string]string{"supply_v": spec}, facts: map[string]string{"supply_v": facts}, loads: []string{evenLoad}}
		s.text = measured("r", append(keys, "power_w = 1", "supply_v = "+volts)...)
		s.meters["power_w"] = "reading_pct = 0"
		return s.sheet().Runs[0].SupplyV
	}
}

var _ = registerFigures(formula.Corrected,
	figures{"a thermometer at 30 °C", h3 + "the correction at 30 °C is −0.1494 °C, u = 0.0041 °C", remembered, 29.8506, 0.0041, closed, supplied("constant = 0, correction = -0.1494, correction_pm = 0.0082, correction_k = 2", "", "30")},
	figures{"a resistor's certificate", "JCGM 100:2008, 4.3.4 (from memory): 10.000 742 Ω ± 129 µΩ, k = 2.58, u = 50 µΩ", remembered, 10.000742, 50e-6, tolerance{abs: 0.5e-6, why: "half a unit of the last digit printed"},
		supplied("constant = 0, correction = 0.000742, correction_pm = 0.000129, correction_k = 2.58", "", "10")},
	figures{"percent and a constant", "by hand: 14.40 − 0.5 % + 0.04; (0.3 % + 0.02)/2", computed, 14.40*0.995 + 0.04, (0.003*14.40 + 0.02) / 2, closed,
		supplied("constant = 0, correction_pct = -0.5, correction = 0.04, correction_pm_pct = 0.3, correction_pm = 0.02", "", "14.40")},
)

// tenByOneCertificate is a run of ten channels, all read on one range.
func tenByOneCertificate() *sheet.Figure {
	s := scene{meters: map[string]string{"power_w": "constant = 0, correction = 0, correction_pm = 0.1, correction_k = 1"}}
	for i := range 10 {
		s.loads = append(s.loads, "id = '"+string(rune('a'+i))+"', nominal_ohm = 8, ohm = 8, ohm_pct = 0")
	}
	s.text = runOf("r", strings.Fields(strings.Repeat("1000 ", 10))...)
	return s.sheet().Runs[0].Total
}

var _ = register(
	check{formula.Corrected + " " + formula.Combined, "ten times 1000 W by one certificate of 0.1 W", remembered, "JCGM 100:2008, 5.2.2, example of ten resistors: 1, not 0.32", 1, closed, func() float64 { return tenByOneCertificate().Std }},
	check{formula.Corrected + " " + formula.Combined, "mean of five by one certificate of 1 W", computed, "JCGM 100:2008, 5.2.2: one error of all five stays whole in their mean", 1, closed,
		meanStd("constant = 0, correction = 0, correction_pm = 1, correction_k = 1")},
	check{formula.Drift + " " + formula.Combined, "mean of five by one meter that drifts", computed, "by hand: 1 % a year for 487 days, of 100 W, whole in the mean", rect(1 * 487 / 365.25), closed, meanStd("constant = 0, drift_pct_year = 1")},
	check{formula.Tempco + " " + formula.Combined, "mean of five by one meter in the cold", computed, "by hand: 0.1 %/K, 8 K below 18 °C, of 100 W, whole in the mean", rect(0.1 * 8), closed, meanStd("constant = 0, tempco_pct_k = 0.1, from_c = 18, to_c = 28")},
)

// meanStd is u of the mean of five readings of 100 W in all, on 2 May 2026 at 10 °C,
// by a watt-meter that was calibrated on 31 December 2024.
func meanStd(spec string) func() float64 {
	return func() float64 {
		s := scene{meters: map[string]string{"power_w": spec, "supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}, facts: map[string]string{"power_w": "calibrated = 2024-12-31"}, loads: []string{evenLoad}}
		s.text = stated("c", "100")
		for i, w := range []string{"99", "101", "100", "99.5", "100.5"} {
			s.text += measured("r"+string(rune('0'+i)), "power_w = "+w, "supply_v = 14.4", "thdn_pct = 1", "ambient_c = 10", "at = 2026-05-02T12:00:00Z")
		}
		return s.sheet().Claims[0].Channels[0].Mean.Std
	}
}

var dated = []string{"at = 2026-10-10T12:00:00+02:00", "ambient_c = 33.5"}

var _ = register(
	check{formula.Drift, "0.9 % a year for 273 days", computed, "by hand: 0.9 %·18.37·273/365.25/√3", 0.009 * 18.37 * 273 / 365.25 / math.Sqrt(3), closed,
		func() float64 {
			return supplied("constant = 0, drift_pct_year = 0.9", "calibrated = 2026-01-10", "18.37", dated...)().Std
		}},
	check{formula.Drift, "until the calibration is due, where the day isn't known", computed, "by hand: 365 days of 365.25", 0.009 * 18.37 * 365 / 365.25 / math.Sqrt(3), closed,
		func() float64 {
			return supplied("constant = 0, drift_pct_year = 0.9", "calibrated = 2026-02-27, due = 2027-02-27", "18.37")().Std
		}},
	check{formula.Tempco, "0.06 %/K, 5.5 K above 28 °C", computed, "by hand: 0.06 %·18.37·5.5/√3", 0.0006 * 18.37 * 5.5 / math.Sqrt(3), closed,
		func() float64 {
			return supplied("constant = 0, tempco_pct_k = 0.06, from_c = 18, to_c = 28", "", "18.37", dated...)().Std
		}},
	check{formula.Drift + " " + formula.Tempco + " " + formula.Combined, "drift and temperature beside a specification", computed, "by hand: kinds are independent (JCGM 100:2008, 5.1.2)",
		math.Sqrt(math.Pow(0.009*18.37*273/365.25, 2)+math.Pow(0.0006*18.37*5.5, 2)+0.05*0.05) / math.Sqrt(3), closed,
		func() float64 {
			return supplied("constant = 0.05, drift_pct_year = 0.9, tempco_pct_k = 0.06, from_c = 18, to_c = 28", "calibrated = 2026-01-10", "18.37", dated...)().Std
		}},
)
