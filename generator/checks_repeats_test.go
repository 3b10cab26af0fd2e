package generator_test

import (
	"fmt"
	"math"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// temperatures are the readings of JCGM 100:2008, table 1 (from memory; the mean
// and deviations that the Guide prints are reproduced by them).
var temperatures = strings.Fields("96.90 98.18 98.25 98.61 99.03 99.49 99.56 99.74 99.89 100.07 100.33 100.42 100.68 100.95 101.11 101.20 101.57 101.84 102.36 102.72")

// repeated is a claim of 100 W, and runs that read the given watts.
func repeated(meter, pool string, watts []string) *sheet.Sheet {
	s := scene{meters: map[string]string{"power_w": meter, "supply_v": "reading_pct = 0", "thdn_pct": "reading_pct = 5"}, loads: []string{evenLoad}, methods: pool}
	s.text = stated("c", "100")
	for i, w := range watts {
		s.text += measured(fmt.Sprint("r", i), "power_w = "+w, "supply_v = 14.4", "thdn_pct = 1")
	}
	return s.sheet()
}

func meanOf(meter, pool string, watts []string) func() *sheet.Figure {
	return func() *sheet.Figure { return repeated(meter, pool, watts).Claims[0].Channels[0].Mean }
}

var _ = registerFigures(formula.Mean,
	figures{"the 20 readings of the Guide's table", "JCGM 100:2008, 4.4.3, table 1 (from memory)", remembered, 100.145, 0, tolerance{}, meanOf("reading_pct = 0", "", temperatures)},
	figures{"five runs, one meter of ±1 %, a pool of 2 %", "by hand: the instrument's part stays whole, the pool's shrinks with √5 (JCGM 100:2008, 4.2.3 and 5.2.2)", computed, 100,
		math.Hypot(rect(1), 2/math.Sqrt(5)), tolerance{rel: 1e-4, why: "the five readings differ by 2 %, so each run's pool part too, which moves the sum of squares by a few parts in 10⁵"},
		meanOf("reading_pct = 1", "pool = { rel_pct = 2, dof = 8 }", []string{"99", "101", "100", "99.5", "100.5"})},
)

// deviation is a run's deviation of the first set of repeats, in percent.
func deviation(watts []string, i int) func() float64 {
	return func() float64 { return repeated("reading_pct = 0", "", watts).Repeats[0].Points[i].DeviationPct }
}

// atVolts are runs of 18.0, 18.1 and 18.2 V of output at other supply voltages.
func atVolts(i int) func() float64 {
	return func() float64 {
		s := scene{meters: map[string]string{"out_v": "reading_pct = 0", "supply_v": "reading_pct = 0"}, loads: []string{evenLoad}}
		for n, v := range []string{"14.3", "14.4", "14.5"} {
			s.text += measured(fmt.Sprint("r", n), fmt.Sprint("out_v = 18.", n), "supply_v = "+v)
		}
		return s.sheet().Repeats[0].Points[i].DeviationPct
	}
}

// byHand is the deviation of 18.i V carried to the mean supply of 14.4 V.
func byHand(i int) float64 {
	carried, mean := [3]float64{}, 0.0
	for n := range carried {
		carried[n] = math.Pow((18+0.1*float64(n))/(14.3+0.1*float64(n)), 2)
		mean += carried[n] / 3
	}
	return 100 * (carried[i]/mean - 1)
}

var _ = register(
	check{formula.Deviation, "the Guide's largest reading, in percent of the mean", remembered, "JCGM 100:2008, 4.4.3, table 1 (from memory): 102.72 of 100.145", 100 * 2.575 / 100.145, tolerance{rel: 1e-11, why: "a difference of nearly equal numbers loses two digits"}, deviation(temperatures, 19)},
	check{formula.Deviation, "standard deviation of the Guide's readings", remembered, "JCGM 100:2008, 4.4.3: s = 1.489 °C (from memory); 1.488 844 483 1 when recomputed apart", 100 * 1.4888444831 / 100.145, tolerance{rel: 1e-10, why: "the reference has eleven digits"},
		func() float64 { return repeated("reading_pct = 0", "", temperatures).Repeats[0].SPct }},
	check{formula.Deviation, "first of three at other supply voltages", computed, "by hand: V²/Vs² relative to its mean", byHand(0), tolerance{rel: 1e-10, why: "a difference of nearly equal numbers loses three digits"}, atVolts(0)},
	check{formula.Deviation, "last of three at other supply voltages", computed, "by hand: V²/Vs² relative to its mean", byHand(2), tolerance{rel: 1e-10, why: "a difference of nearly equal numbers loses three digits"}, atVolts(2)},
)

// siRstv is the data set SiRstv of the NIST Statistical Reference Datasets
// (resistivity of silicon; five instruments, five readings each), from memory; its
// certified residual standard deviation is reproduced to nine digits by it.
var siRstv = []string{
	"196.3052 196.1240 196.1890 196.2569 196.3403", "196.3042 196.3825 196.1669 196.3257 196.0422", "196.1303 196.2005 196.2889 196.0343 196.1811",
	"196.2795 196.1748 196.1494 196.1485 195.9885", "196.2119 196.1051 196.1850 196.0052 196.2090",
}

// silicon is those readings as repeats: an instrument of the data set is a load.
func silicon() *sheet.Sheet {
	s := scene{meters: map[string]string{"power_w": "reading_pct = 0", "supply_v": "reading_pct = 0"}}
	for i, set := range siRstv {
		load := string(rune('a' + i))
		s.loads = append(s.loads, "id = '"+load+"', nominal_ohm = 4, ohm = 4, ohm_pct = 0")
		for j, w := range strings.Fields(set) {
			s.text += measuredWith(fmt.Sprint(load, j), "driven = ['L']", "load = '"+load+"'", "power_w = "+w, "supply_v = 14.4")
		}
	}
	return s.sheet()
}

// withinSD is the residual standard deviation from the sets' own, in the readings'
// unit.
func withinSD() float64 {
	sum := 0.0
	sets := silicon().Repeats
	for i, r := range sets {
		mean := 0.0
		for _, w := range strings.Fields(siRstv[i]) {
			mean += number(w) / 5
		}
		sum += math.Pow(r.SPct/100*mean, 2) / float64(len(sets))
	}
	return math.Sqrt(sum)
}

func number(text string) (x float64) {
	if _, err := fmt.Sscan(text, &x); err != nil {
		panic(err)
	}
	return x
}

func pooledSilicon() *sheet.PoolResult {
	s := silicon()
	return sheet.Pool(s.Runs[0].Method, []*sheet.Sheet{s})
}

const strd = "NIST Statistical Reference Datasets, "

var _ = register(
	check{formula.Deviation, "residual standard deviation of SiRstv from its five sets", remembered, strd + "one-way analysis of variance, SiRstv: 1.040 760 683 344 56E−01, 20 degrees of freedom", 0.104076068334656,
		tolerance{rel: 1e-9, why: "seven digits of leading figures in common cost as much in the sum of squares"}, withinSD},
	check{formula.Deviation, "pool of SiRstv, percent", remembered, strd + "SiRstv: residual standard deviation of the readings by their mean, 196.181", 100 * 0.104076068334656 / 196.1813,
		tolerance{rel: 5e-4, why: "each set is taken relative to its own mean; these differ by 0.06 %"}, func() float64 { return pooledSilicon().RelPct }},
	check{formula.Deviation, "degrees of freedom of the pool of SiRstv", remembered, strd + "SiRstv: 20 within instruments", 20, exactly, func() float64 { return pooledSilicon().DoF }},
)

// michelson is the data set Michelson (speed of light), in km/s above 299 000. The
// certified values tell whether a reading is wrong here.
var michelson = strings.Fields(`850 740 900 1070 930 850 950 980 980 880 1000 980 930 650 760 810 1000 1000 960 960
	960 940 960 940 880 800 850 880 900 840 830 790 810 880 880 830 800 790 760 800 880 880 880 860 720 720 620 860 970 950
	880 910 850 870 840 840 850 840 840 840 890 810 810 820 800 770 760 740 750 760 910 920 890 860 880 720 840 850 850 780
	890 840 780 810 760 810 790 810 820 850 870 870 810 740 810 940 950 800 810 870`)

// speeds writes them as the data set does, in Mm/s.
func speeds() []string {
	out := make([]string, len(michelson))
	for i, m := range michelson {
		out[i] = fmt.Sprintf("%.2f", 299+number(m)/1000)
	}
	return out
}

// alternating is a value, then 500 times one below and one above it.
func alternating(first, low, high string) []string {
	out := []string{first}
	for range 500 {
		out = append(out, low, high)
	}
	return out
}

// reference is what the program makes of a set of readings of one stated figure.
func reference(readings []string) *sheet.Figure {
	s := scene{meters: map[string]string{"out_v": "reading_pct = 0"}, loads: []string{evenLoad},
		text: "[[spec]]\nid = 's'\nname = 'reference'\nlimit = 'about'\nstated = 1\nmeasured = [" + strings.Join(readings, ", ") + "]\npm = 0\n"}
	f := s.sheet().Specs[0].Measured
	if f.Formula != formula.Mean {
		panic("a mean of repeats names the formula " + f.Formula)
	}
	return f
}

// certified are a data set's rows: mean, and standard deviation from that of the mean.
func certified(name string, readings []string, mean, s float64, ofS tolerance) bool {
	source := strd + "univariate summary statistics, " + name
	return register(
		check{formula.Mean, name + ", mean", document, source, mean, tolerance{rel: 2e-14, why: "a thousand additions in double precision"}, func() float64 { return reference(readings).X }},
		check{formula.Mean + " " + formula.Combined, name + ", standard deviation", document, source, s, ofS,
			func() float64 { return reference(readings).Std * math.Sqrt(float64(len(readings))) }})
}

var _ = certified("NumAcc1", []string{"10000001", "10000003", "10000002"}, 10000002, 1, tolerance{rel: 1e-8, why: "the mean is good to 16 digits, of which the differences leave nine"})
var _ = certified("NumAcc2", alternating("1.2", "1.1", "1.3"), 1.2, 0.1, tolerance{rel: 1e-12, why: "a thousand additions in double precision"})
var _ = certified("NumAcc3", alternating("1000000.2", "1000000.1", "1000000.3"), 1000000.2, 0.1, tolerance{rel: 2e-9, why: "the readings themselves are rounded to 1e-10 of 1e6: as other double precision codes reach"})
var _ = certified("NumAcc4", alternating("10000000.2", "10000000.1", "10000000.3"), 10000000.2, 0.1, tolerance{rel: 1e-7, why: "the readings themselves are rounded to 2e-9 of 1e7: as other double precision codes reach"})
var _ = certified("Michelson", speeds(), 299.8524, 0.0790105478190518, tolerance{rel: 1e-12, why: "four digits are lost in the differences"})
