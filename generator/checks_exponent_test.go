package generator_test

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A straightSet is a data set of a straight line y on x, "y x y x …", in the order that
// its source has.
type straightSet struct{ x, y []float64 }

func setOf(pairs string) (s straightSet) {
	for i, text := range strings.Fields(pairs) {
		if i%2 == 0 {
			s.y = append(s.y, number(text))
		} else {
			s.x = append(s.x, number(text))
		}
	}
	return s
}

// The data of three published lines, from memory; each gives the figures that its
// source certifies or prints.
var (
	norris = setOf(`0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3 449.1 448.6
		778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5 10.8 11.6 557.7 556.0
		228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2 998.5 999.0
		778.9 779.0 10.2 11.1 117.6 118.3 228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5`)
	anscombe = setOf("8.04 10 6.95 8 7.58 13 8.81 9 8.33 11 9.96 14 7.24 6 4.26 4 10.84 12 4.82 7 5.68 5")
	// corrections in °C of a thermometer on its readings in °C
	thermometer = setOf(`-0.171 21.521 -0.169 22.012 -0.166 22.512 -0.159 23.003 -0.164 23.507 -0.165 23.999 -0.156 24.513
		-0.157 25.002 -0.159 25.503 -0.161 26.010 -0.160 26.511`)
)

// asRuns writes a line as runs: the supply voltage is 14.4·exp(byX·(x − at)) and
// the power 100·exp(byY·y), so that the slope of the logarithms is byY/byX times
// the line's. s is the standard deviation that the pool states, in y.
type asRuns struct {
	set          straightSet
	at, byX, byY float64
	s            float64
}

var (
	asNorris      = asRuns{norris, 0, 0.001, 0.001, 0.884796396144373}
	asAnscombe    = asRuns{anscombe, 0, 0.01, 0.01, 1.2366033227}
	asThermometer = asRuns{thermometer, 30, 0.01, 0.5, 0.003497563963505} // at 30 °C the supply is 14.4 V
)

// sheet goes the whole way; volts and watts are read without error, so that the
// pool is all that scatters.
func (r asRuns) sheet() *sheet.Sheet {
	s := scene{meters: map[string]string{"power_w": "reading_pct = 0", "supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}, loads: []string{evenLoad}}
	s.methods = "pool = { rel_pct = " + digits(100*r.s*r.byY) + ", dof = 1000000 }\n"
	s.text = stated("c", "50")
	for i := range r.set.x {
		s.text += measured(fmt.Sprint("r", i), "power_w = "+digits(100*math.Exp(r.byY*r.set.y[i])),
			"supply_v = "+digits(14.4*math.Exp(r.byX*(r.set.x[i]-r.at))), "thdn_pct = 1")
	}
	return s.sheet()
}

// slope, its standard deviation, the intercept at x = at, and the residual standard
// deviation, in the line's own units.
func (r asRuns) slope() float64   { return r.sheet().Exponent.K.X * r.byX / r.byY }
func (r asRuns) slopeSD() float64 { return r.sheet().Exponent.K.Std * r.byX / r.byY }

func (r asRuns) intercept() float64 {
	e := r.sheet().Exponent
	g := e.Groups[0]
	return (g.MeanY - math.Log(100) - e.K.X*(g.MeanX-math.Log(14.4))) / r.byY
}

func (r asRuns) residualSD() float64 {
	squares := 0.0
	points := r.sheet().Exponent.Groups[0].Points
	for _, p := range points {
		squares += p.Residual * p.Residual
	}
	return math.Sqrt(squares/float64(len(points)-2)) / r.byY
}

// predicted is the estimate at 14.4 V by the unit's own exponent: the line at x = at,
// and its standard deviation.
func (r asRuns) predicted() (y, u float64) {
	own := r.sheet().Claims[0].Estimate.Channels[0].Own
	if own.Formula != formula.SupplyCorrected {
		panic("an estimate names the formula " + own.Formula)
	}
	return math.Log(own.X/100) / r.byY, own.Std / own.X / r.byY
}

const (
	norrisSource = strd + "linear regression, Norris (data from memory; they give the certified figures)"
	h3           = "JCGM 100:2008, H.3 (from memory): "
	anscombeData = "Anscombe's first data set (from memory); "
)

var throughLogs = tolerance{rel: 1e-9, why: "each number goes through exp, twelve settled digits and ln"}

var _ = register(
	check{formula.Exponent, "Norris, slope B1", document, norrisSource + ": 1.002 116 818 020 45", 1.00211681802045, throughLogs, asNorris.slope},
	check{formula.Exponent + " " + formula.Combined, "Norris, standard deviation of B1", document, norrisSource + ": 4.297 968 481 999 37E−04", 0.000429796848199937, throughLogs, asNorris.slopeSD},
	check{formula.Exponent, "Norris, intercept B0", document, norrisSource + ": −0.262 323 073 774 029", -0.262323073774029, tolerance{abs: 2e-9, why: "x reaches 1000, and each number goes through exp and ln: 1e-12 of it"}, asNorris.intercept},
	check{formula.Exponent, "Norris, residual standard deviation", document, norrisSource + ": 0.884 796 396 144 373", 0.884796396144373, throughLogs, asNorris.residualSD},
	check{formula.Exponent, "Anscombe's first, slope", computed, anscombeData + "gonum, stat.LinearRegression", slopeOf(anscombe), throughLogs, asAnscombe.slope},
	check{formula.Exponent, "Anscombe's first, slope as printed", remembered, anscombeData + "0.500 in F. J. Anscombe, Graphs in Statistical Analysis, 1973", 0.500, printed(0.001), asAnscombe.slope},
	check{formula.Exponent + " " + formula.Combined, "Anscombe's first, standard deviation of the slope", remembered, anscombeData + "0.118 in the same paper", 0.118, printed(0.001), asAnscombe.slopeSD},
	check{formula.Exponent, "thermometer, slope", remembered, h3 + "y2 = 0.002 18", 0.00218, printed(0.00001), asThermometer.slope},
	check{formula.Exponent + " " + formula.Combined, "thermometer, standard deviation of the slope", remembered, h3 + "s(y2) = 0.000 67", 0.00067, printed(0.00001), asThermometer.slopeSD},
	check{formula.Exponent, "thermometer, residual standard deviation", remembered, h3 + "s = 0.0035 °C", 0.0035, printed(0.0001), asThermometer.residualSD},
	check{formula.SupplyCorrected, "thermometer, correction at 30 °C", remembered, h3 + "b(30 °C) = −0.1494 °C", -0.1494, printed(0.0001), func() float64 { return first(asThermometer.predicted()) }},
	check{formula.SupplyCorrected + " " + formula.Combined, "thermometer, u of the correction at 30 °C", remembered, h3 + "u = 0.0041 °C", 0.0041, printed(0.0001), func() float64 { return second(asThermometer.predicted()) }},
)

func slopeOf(s straightSet) float64 { return second(stat.LinearRegression(s.x, s.y, nil, false)) }

// twoSets are runs of one unit into two loads, "W V", read with errors of which the
// weights are made: a watt-meter of ±0.5 W, a voltmeter of ±0.03 V, a pool of 1 %.
var twoSets = [2][][2]float64{{{71.2, 14.4}, {62.9, 13.5}, {55.8, 12.6}}, {{138.1, 14.42}, {107.9, 12.58}, {150.9, 15.1}}}

func twoSetsExponent() *sheet.SupplyExponent {
	s := scene{meters: map[string]string{"power_w": "digits = 5, resolution = 0.1", "supply_v": "digits = 3, resolution = 0.01", "thdn_pct": "reading_pct = 5"},
		loads: []string{evenLoad, "id = 'b', nominal_ohm = 2, ohm = 2, ohm_pct = 1"}, methods: "pool = { rel_pct = 1, dof = 1000000 }\n"}
	for i, set := range twoSets {
		for j, at := range set {
			s.text += measuredWith(fmt.Sprintf("r%d%d", i, j), "driven = ['L']", "load = '"+[]string{"a", "b"}[i]+"'", "power_w = "+digits(at[0]), "supply_v = "+digits(at[1]), "thdn_pct = 1")
		}
	}
	return s.sheet().Exponent
}

// slopeByQR is the same least squares as one system of three unknowns, k and a level
// for each load, by Householder's QR.
func slopeByQR() (k, squares float64) {
	k = 1
	for range 40 { // the weights follow k
		a, b := mat.NewDense(6, 3, nil), mat.NewVecDense(6, nil)
		for i, set := range twoSets {
			for j, at := range set {
				row, root := 3*i+j, 1/math.Sqrt(math.Pow(rect(0.5)/at[0], 2)+0.01*0.01+math.Pow(k*rect(0.03)/at[1], 2))
				a.Set(row, 0, root*math.Log(at[1]))
				a.Set(row, 1+i, root)
				b.SetVec(row, root*math.Log(at[0]))
			}
		}
		var x, r mat.VecDense
		if err := x.SolveVec(a, b); err != nil {
			panic(err)
		}
		r.MulVec(a, &x)
		r.SubVec(b, &r)
		k, squares = x.AtVec(0), mat.Dot(&r, &r)
	}
	return k, squares
}

const byQR = "gonum, mat: least squares of three unknowns by QR"

var _ = register(
	check{formula.Exponent, "two loads with one exponent", computed, byQR, first(slopeByQR()), throughLogs, func() float64 { return twoSetsExponent().K.X }},
	check{formula.Exponent + " " + formula.Goodness, "two loads with one exponent, χ²", computed, byQR, second(slopeByQR()), tolerance{rel: 1e-8, why: "residuals of a percent lose two digits more"}, func() float64 { return twoSetsExponent().Chi2 }},
)

// The range of estimates: 36.90 V into 4.012 Ω at 13.62 V, carried to 14.4 V. The
// reference knows k = 2; the ends are powers of it.
const (
	sagged   = 36.90 * 36.90 / 4.012
	atSquare = 379.36964398388
)

func sagging() *sheet.ChannelEstimate {
	s := scene{meters: map[string]string{"out_v": usualVolts, "supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01", "thdn_pct": "reading_pct = 5"},
		loads: []string{"id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1"}, text: stated("c", "400") + measured("r", "out_v = 36.90", "supply_v = 13.62", "thdn_pct = 1")}
	return s.sheet().Claims[0].Estimate.Channels[0]
}

// carriedBySquare is the reference's own figure, by the arithmetic that the sheet uses.
func carriedBySquare() quantity.Value {
	v := quantity.New(36.90, "V", rect(0.008*36.90+0.03), free("V"))
	r := quantity.New(4.012, "Ω", rect(0.04012), free("R"))
	vs := quantity.New(13.62, "V", rect(0.005*13.62+0.02), free("Vs"))
	return electric.CarriedByOwn([]quantity.Value{electric.InElement(v, r)}, []quantity.Value{vs}, 14.4, quantity.Exact(2, ""))
}

// The reference's contributions of V and R, and of Vs, relative to its figure.
var (
	byOutput = math.Hypot(3.86061164272, 2.19029166082) / atSquare
	bySag    = 2.83354912352 / atSquare
)

var _ = registerFigures(formula.SupplyCorrected,
	figures{"13.62 V to 14.4 V, regulated", apartWith + "; k = 0 leaves P", computed, sagged, sagged * byOutput, firstly, func() *sheet.Figure { return sagging().Low }},
	figures{"13.62 V to 14.4 V, unregulated with a fixed drop", apartWith + "; that for k = 2, to the power of 1.3", computed, sagged * math.Pow(atSquare/sagged, 1.3),
		sagged * math.Pow(atSquare/sagged, 1.3) * math.Hypot(byOutput, 1.3*bySag), firstly, func() *sheet.Figure { return sagging().High }},
)

// between is the estimate at 14.4 V of a unit that was run at 13.2 V and 15.6 V,
// with a pool of 1 %: with two runs the exponent's line goes through both, and the
// estimate is a point between them.
func between() *sheet.Figure {
	s := scene{meters: map[string]string{"power_w": "reading_pct = 0", "supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}, loads: []string{evenLoad},
		methods: "pool = { rel_pct = 1, dof = 1000000 }\n"}
	s.text = stated("c", "50") + measured("r", "power_w = 64", "supply_v = 13.2", "thdn_pct = 1") + measured("s", "power_w = 85", "supply_v = 15.6", "thdn_pct = 1")
	return s.sheet().Claims[0].Estimate.Channels[0].Own
}

// share15 is how far ln 14.4 lies between ln 13.2 and ln 15.6, and interpolated the
// power there.
var (
	share15      = math.Log(14.4/13.2) / math.Log(15.6/13.2)
	interpolated = 64 * math.Pow(85.0/64, share15)
)

var _ = registerFigures(formula.SupplyCorrected,
	figures{"two runs, a point between them", "by hand: linear interpolation of logarithms; the pools' parts with the weights of the two points, as the exponent is made of the same runs (JCGM 100:2008, 5.1.2)",
		computed, interpolated, 0.01 * interpolated * math.Hypot(share15, 1-share15), closed, between},
)

var _ = register(
	check{formula.SupplyCorrected, "13.62 V to 14.4 V, by the square", computed, apartWith, atSquare, closed, func() float64 { return carriedBySquare().X }},
	check{formula.SupplyCorrected + " " + formula.Combined, "13.62 V to 14.4 V, by the square, u", computed, apartWith, 5.2659947256666, firstly, func() float64 { return carriedBySquare().Std() }},
)
