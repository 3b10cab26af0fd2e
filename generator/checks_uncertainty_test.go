package generator_test

import (
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// volts is the reading of a voltmeter of one specification, through the whole path.
func volts(spec, reading string) func() float64 {
	return func() float64 {
		s := scene{meters: map[string]string{"out_v": spec}, loads: []string{evenLoad}, text: measured("r", "out_v = "+reading)}
		return s.sheet().Runs[0].Channels[0].Volts.Std
	}
}

var _ = register(
	check{formula.AsRead, "a reading stays as shown", computed, "no formula: 17.52 V are 17.52 V", 17.52, exactly, func() float64 {
		s := scene{meters: map[string]string{"out_v": usualVolts}, loads: []string{evenLoad}, text: measured("r", "out_v = 17.52")}
		return s.sheet().Runs[0].Channels[0].Volts.X
	}},
	check{formula.Specification, "voltmeter: 14e-6 of 0.928 571 V and 2e-6 of the 1 V range, V", remembered, "JCGM 100:2008, 4.3.7, example 2: 15 µV, u = 8.7 µV", 8.7e-6, printed(0.1e-6),
		volts("to = 1, reading_pct = 0.0014, range_pct = 0.0002", "0.928571")},
	check{formula.Specification, "the same unrounded", computed, "JCGM 100:2008, 4.3.7, example 2: 14.999 994 µV/√3", 8.6602506e-6, tolerance{rel: 1e-8, why: "the reference has eight digits"},
		volts("to = 1, reading_pct = 0.0014, range_pct = 0.0002", "0.928571")},
	check{formula.Specification, "±(0.5 % + 3 digits) at 2 V, resolution 1 mV", document, "a multimeter maker's explanation of specifications: 1.987 V to 2.013 V", 0.0075055535, tolerance{rel: 1e-8, why: "the reference has eight digits"},
		volts("reading_pct = 0.5, digits = 3, resolution = 0.001", "2")},
	check{formula.Specification, "±4 °C about 100 °C, rectangular", remembered, "JCGM 100:2008, 4.4.5: 2.3 °C", 2.3, printed(0.1), func() float64 {
		s := scene{meters: map[string]string{"load_c": "digits = 4, resolution = 1"}, loads: []string{"id = 'a', nominal_ohm = 1, ohm = 1, ohm_pct = 0, at_c = 0, tempco_ppm = 10000"}, text: measured("r", "power_w = 1", "load_c = 100")}
		return s.sheet().Runs[0].Channels[0].Resistance.Std * 100
	}},
	check{formula.Specification, "half a digit of resolution", remembered, "JCGM 100:2008, F.2.2.1: u = 0.29 of one digit", 0.29, printed(0.01), volts("digits = 0.5, resolution = 1", "20")},
	check{formula.Combined, "the voltmeter's 8.66 µV and a scatter of 12 µV", remembered, "JCGM 100:2008, 5.1.5: 15 µV; 14.798 647 unrounded", 14.798647, tolerance{abs: 5e-7, why: "half a unit of the reference's last digit"},
		func() float64 {
			return quantity.New(0, "µV", 12, free("scatter")).Add(quantity.New(0, "µV", quantity.Rectangular(14.999994), free("meter"))).Std()
		}},
)

// free is a source that stands alone, its u taken as exactly known.
func free(id string) quantity.Source { return quantity.Source{ID: id, DoF: math.Inf(1)} }

// of is a source with so many degrees of freedom.
func of(id string, dof float64) quantity.Source { return quantity.Source{ID: id, DoF: dof} }

// g41 is the example of JCGM 100:2008, G.4.1: relative u of 0.25, 0.57 and 0.82 %
// from 10, 5 and 15 observations.
func g41() quantity.Budget {
	return quantity.New(1, "", 0.25, of("a", 9)).Mul(quantity.New(1, "", 0.57, of("b", 4)), "").Mul(quantity.New(1, "", 0.82, of("c", 14)), "").Budget()
}

// gauge is the example of JCGM 100:2008, H.1, in nm, for a standard of length lS.
func gauge(lS float64) quantity.Budget {
	rectangle := func(x, half float64, unit string, s quantity.Source) quantity.Value {
		return quantity.New(x, unit, rect(half), s)
	}
	standard := quantity.New(lS, "nm", 25, of("lS", 18))
	d := quantity.Sum(quantity.New(215, "nm", 5.8, of("d", 24)), quantity.New(0, "nm", 3.9, of("d1", 5)), quantity.New(0, "nm", 6.7, of("d2", 8)))
	theta := quantity.New(-0.1, "K", 0.2, free("θ")).Add(quantity.New(0, "K", 0.5/math.Sqrt2, free("Δ")))
	expansion := rectangle(0, 1e-6, "1/K", of("δα", 50)).Mul(theta, "").Add(rectangle(11.5e-6, 2e-6, "1/K", free("αS")).Mul(rectangle(0, 0.05, "K", of("δθ", 2)), ""))
	return standard.Add(d).Sub(standard.Mul(expansion, "nm")).Budget()
}

var _ = register(
	check{formula.Freedom, "three components of G.4.1", remembered, "JCGM 100:2008, G.4.1, example: 19.0", 19.0, printed(0.1), func() float64 { return g41().DoF }},
	check{formula.Combined, "three components of G.4.1, percent", remembered, "JCGM 100:2008, G.4.1, example: 1.03 %", 1.03, printed(0.01), func() float64 { return g41().U }},
	check{formula.Expanded, "three components of G.4.1, U95 in percent", remembered, "JCGM 100:2008, G.4.1, example: 2.2 %", 2.2, printed(0.1), func() float64 { b := g41(); return quantity.Coverage(0.95, b.DoF) * b.U }},
	check{formula.Freedom, "end gauge", document, "JCGM 100:2008, H.1: a national laboratory's open library asserts 16.752 15 (the Guide prints 16.7)", 16.75215, tolerance{abs: 5e-6, why: "half a unit of the reference's last digit"}, func() float64 { return gauge(5e7).DoF }},
	check{formula.Combined, "end gauge, nm", document, "JCGM 100:2008, H.1: the same library asserts 31.663 767 411 1 (the Guide prints 32)", 31.6637674111, tolerance{rel: 2e-12, why: "half a unit of the reference's last digit"}, func() float64 { return gauge(5e7).U }},
	check{formula.Expanded, "end gauge, k for 99 % at ν = 16", document, "JCGM 100:2008, H.1 and table G.2: 2.92", 2.92, printed(0.01), func() float64 { return quantity.Coverage(0.99, 16) }},
	check{formula.Freedom, "a scatter of five runs beside meter and load", computed, apartWith, 14.1003642575, tolerance{rel: 1e-9, why: "the contributions are given with twelve digits"},
		func() float64 {
			return quantity.New(495.58369890329, "W", 6.26351744157, of("scatter", 4)).Add(quantity.New(0, "W", 5.12248828462, free("V"))).Sub(quantity.New(0, "W", 2.86125381972, free("R"))).Budget().DoF
		}},
)

// pooledFigure is a power whose only error is a pool with the given degrees of freedom.
func pooledFigure(dof string) *sheet.Figure {
	s := scene{meters: map[string]string{"power_w": "reading_pct = 0"}, loads: []string{evenLoad}, methods: "pool = { rel_pct = 1, dof = " + dof + " }", text: measured("r", "power_w = 100")}
	return s.sheet().Runs[0].Channels[0].Power
}

var _ = register(
	check{formula.Expanded, "ten weighings: u = 0.35 mg, ν = 9 give U = 0.79 mg", remembered, "JCGM 100:2008, 7.2.4: U = 0.79 mg with k = 2.26", 0.79, printed(0.01), func() float64 { f := pooledFigure("9"); return f.K * 0.35 }},
	check{formula.Expanded, "U of 100 W with a pool of 1 % and ν = 4", document, "JCGM 100:2008, table G.2: t95(4) = 2.78", 2.78, printed(0.01), func() float64 { return pooledFigure("4").U }},
	check{formula.Freedom, "a pool alone keeps its degrees of freedom", remembered, "JCGM 100:2008, G.4.1: one component", 8, closed, func() float64 { return pooledFigure("8").DoF }},
)

// Table G.2 of the Guide: Student's t for coverage in percent. The heads 68.27, 95.45
// and 99.73 stand for the normal coverage of 1, 2 and 3 standard deviations. Five
// decimals computed apart with SciPy; those that the Guide prints are two.
var _ = studentTable(
	[]float64{1, 1.83734, 6.31375, 12.70620, 13.96773, 63.65674, 235.80150}, []float64{2, 1.32128, 2.91999, 4.30265, 4.52654, 9.92484, 19.20674},
	[]float64{3, 1.19688, 2.35336, 3.18245, 3.30682, 5.84091, 9.21894}, []float64{5, 1.11051, 2.01505, 2.57058, 2.64865, 4.03214, 5.50708},
	[]float64{10, 1.05256, 1.81246, 2.22814, 2.28368, 3.16927, 3.95694}, []float64{19, 1.02702, 1.72913, 2.09302, 2.14049, 2.86093, 3.44723},
	[]float64{40, 1.01266, 1.68385, 2.02108, 2.06446, 2.70446, 3.19877}, []float64{math.Inf(1), 1, 1.64485, 1.95996, 2, 2.57583, 3},
)

func studentTable(table ...[]float64) bool {
	heads := []float64{math.Erf(1 / math.Sqrt2), 0.90, 0.95, math.Erf(2 / math.Sqrt2), 0.99, math.Erf(3 / math.Sqrt2)}
	for _, line := range table {
		for i, p := range heads {
			register(check{formula.Expanded + " quantiles", "t for " + quantity.Fixed(100*p, 2) + " % at ν = " + quantityOf(line[0]), document,
				"JCGM 100:2008, table G.2 (two decimals); five by SciPy", line[i+1], tolerance{abs: 5.1e-6, why: "half a unit of the fifth decimal"},
				func() float64 { return quantity.Coverage(p, line[0]) }})
		}
	}
	return true
}

func quantityOf(x float64) string {
	if math.IsInf(x, 1) {
		return "∞"
	}
	return quantity.Float(x)
}

// Points of Fisher's F and of χ² from the tables.
const handbook = "NIST/SEMATECH e-Handbook of Statistical Methods, "

var _ = register(
	check{"quantiles", "χ² at 95 %, ν = 1", remembered, handbook + "1.3.6.7.4", 3.841, printed(0.001), func() float64 { return quantity.ChiSquared(0.95, 1) }},
	check{"quantiles", "χ² at 95 %, ν = 2", computed, "closed form, −2·ln 0.05", -2 * math.Log(0.05), closed, func() float64 { return quantity.ChiSquared(0.95, 2) }},
	check{"quantiles", "χ² at 95 %, ν = 3", remembered, handbook + "1.3.6.7.4", 7.815, printed(0.001), func() float64 { return quantity.ChiSquared(0.95, 3) }},
	check{"quantiles", "χ² at 95 %, ν = 10", remembered, handbook + "1.3.6.7.4", 18.307, printed(0.001), func() float64 { return quantity.ChiSquared(0.95, 10) }},
	check{"quantiles", "F at 95 %, 2 and 10", remembered, handbook + "1.3.6.7.3", 4.103, printed(0.001), func() float64 { return quantity.FRatio(0.95, 2, 10) }},
	check{"quantiles", "F at 95 %, 5 and 10", remembered, handbook + "1.3.6.7.3", 3.326, printed(0.001), func() float64 { return quantity.FRatio(0.95, 5, 10) }},
	check{"quantiles", "F at 95 %, 2 and 8", computed, "closed form for two upper degrees of freedom, ν/2·(0.05^(−2/ν) − 1)", 4 * (math.Pow(0.05, -0.25) - 1), tolerance{rel: 1e-10, why: "the library inverts the incomplete beta function"}, func() float64 { return quantity.FRatio(0.95, 2, 8) }},
)
