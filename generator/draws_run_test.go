package generator_test

import (
	"fmt"
	"math"
	"testing"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// A full run: everything is read, into a hot load with a lead, with ripple and a pool.
var fullRun = scene{
	meters: map[string]string{
		"out_v": usualVolts, "power_w": "reading_pct = 1.5", "thdn_pct": "reading_pct = 5", "supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01",
		"supply_a": "reading_pct = 2, digits = 5, resolution = 0.1", "load_c": "digits = 30, resolution = 0.1",
	},
	total:   true,
	loads:   []string{"id = 'a', nominal_ohm = 2, ohm = 2.006, ohm_pct = 1, tempco_ppm = 400, tempco_pm_ppm = 80, lead_ohm = 0.03, hot_c = 65, hot_pm_c = 10"},
	methods: "supply_ripple_pct = 1.5\npool = { rel_pct = 0.8, dof = 1000000 }\n",
	unit:    "price = 300\nsize_mm = [200, 50, 100]\nmass_kg = 2.5",
}

// A truth is what may stand behind the readings of a full run.
type truth struct{ v, r, lead, pool, vs, is, ripple, meter float64 }

// truthOf draws one: halves by hand from the specifications.
func truthOf(d draw, v, vs float64) truth {
	return truth{
		v: v + d.rect(0.008*v+0.03), r: (2.006 + d.rect(0.02006)) * (1 + (400e-6+d.rect(80e-6))*(40+d.rect(10))), lead: 0.03 + d.rect(0.003),
		pool: 1 + d.normal(0.008), vs: vs + d.rect(0.005*vs+0.02), is: 66.4 + d.rect(0.02*66.4+0.5), ripple: 1 + d.rect(0.015), meter: 760 + d.rect(0.015*760),
	}
}

// watts is the power at the terminals: the current of the element through it and
// its lead.
func (w truth) watts() float64 { i := w.v / w.r; return i * i * (w.r + w.lead) * w.pool }

func TestDrawsOfOneRun(t *testing.T) {
	s := fullRun
	s.text = "[[claim]]\nid = 'c'\npower_w = 740\nload_ohm = 2\nchannels = 1\nsupply_v = 14.4\nthdn_pct = 1\n" + measured("r", "out_v = 38.73", "supply_v = 13.9", "supply_a = 66.4", "thdn_pct = 1")
	got := s.sheet()
	r, c := got.Runs[0], got.Claims[0]
	e := experiment{outcomes: []outcome{
		outcomeOf("load at the terminals", r.Channels[0].Resistance), outcomeOf("power", r.Channels[0].Power), outcomeOf("volts at the terminals", r.Channels[0].OutV),
		outcomeOf("supply power", r.SupplyPower), outcomeOf("efficiency", r.Efficiency), outcomeOf("heat", r.Heat), outcomeOf("level", c.Level),
		outcomeOf("power for money", got.Ratios[0].Figure), outcomeOf("power for volume", got.Ratios[1].Figure), outcomeOf("power for mass", got.Ratios[2].Figure),
	}}
	var corners [][2]float64
	for _, at := range c.Corners {
		corners = append(corners, [2]float64{at.K, at.M})
		e.outcomes = append(e.outcomes, outcome{name: fmt.Sprintf("carried, k %v, m %v", at.K, at.M), formula: formula.Carried, x: at.Y, u: at.U})
	}
	if len(corners) != 4 {
		t.Fatalf("%d corners, want four", len(corners))
	}
	var both [5]float64 // Σ of η, H, η², H², η·H from their values
	e.trial = func(d draw, _ uint) []float64 {
		w := truthOf(d, 38.73, 13.9)
		p, ps := w.watts(), w.vs*w.is*w.ripple
		out := []float64{w.r + w.lead, p, w.v / w.r * (w.r + w.lead), ps, 100 * p / ps, ps - p, 10 * math.Log10(p/740), p / 300, p, p / 2.5}
		eta, heat := out[4]-r.Efficiency.X, out[5]-r.Heat.X
		for i, x := range []float64{eta, heat, eta * eta, heat * heat, eta * heat} {
			both[i] += x / float64(trials())
		}
		for _, at := range corners {
			out = append(out, p*math.Pow(14.4/w.vs, at[0])*math.Pow((w.r+w.lead)/2, at[1]))
		}
		return out
	}
	compare(t, e)
	drawn := (both[4] - both[0]*both[1]) / math.Sqrt((both[2]-both[0]*both[0])*(both[3]-both[1]*both[1]))
	if r := correlation(r.Efficiency, r.Heat); math.Abs(r-drawn) > 0.002 {
		t.Errorf("efficiency and heat go together with r = %.5f by draws, %.5f in the sheet", drawn, r)
	}
}

// The element alone, with a thermometer at it.
func TestDrawsOfAnElement(t *testing.T) {
	s := fullRun
	s.loads = []string{"id = 'a', nominal_ohm = 2, ohm = 2.006, ohm_pct = 0.3, tempco_ppm = 3900, tempco_pm_ppm = 400, hot_c = 65, hot_pm_c = 10"}
	s.text = measured("r", "out_v = 38.73", "load_c = 90") + measured("s", "out_v = 38.73")
	runs := s.sheet().Runs
	compare(t, experiment{of: []string{formula.LoadAtHeat}, outcomes: []outcome{outcomeOf("element, thermometer at it", runs[0].Channels[0].Resistance), outcomeOf("element, usual temperature", runs[1].Channels[0].Resistance)},
		trial: func(d draw, _ uint) []float64 {
			r0, alpha := 2.006+d.rect(0.006018), 3900e-6+d.rect(400e-6)
			return []float64{r0 * (1 + alpha*(65+d.rect(3))), r0 * (1 + alpha*(40+d.rect(10)))}
		}})
}

func TestDrawsOfAWattmeter(t *testing.T) {
	s := fullRun
	s.text = measured("r", "out_v = 38.73", "power_w = 760")
	c := s.sheet().Runs[0].Channels[0]
	if c.Check.Formula != formula.MeterCheck {
		t.Fatal(c.Check.Formula)
	}
	compare(t, experiment{outcomes: []outcome{outcomeOf("watt-meter", c.Power), outcomeOf("watt-meter less volts", c.Check)},
		trial: func(d draw, _ uint) []float64 {
			w := truthOf(d, 38.73, 13.9)
			return []float64{w.meter * w.pool, w.meter - w.watts()/w.pool}
		}})
}

// Distortion of the fundamental, from a small one to nearly a square wave's. The
// curve bends: the mean of draws lies ½·f″·u² higher, f″ = 3·dt/(1 − dt²)^2.5.
func TestDrawsOfDistortion(t *testing.T) {
	for dt, noted := range map[float64]float64{1: 0, 10: 0, 30: 0.01} {
		o := outcomeOf(fmt.Sprint(dt, " % of the whole"), total(digits(dt))())
		o.noted = noted
		compare(t, experiment{outcomes: []outcome{o},
			trial: func(d draw, _ uint) []float64 {
				whole := (dt + d.rect(0.05*dt)) / 100
				return []float64{100 * whole / math.Sqrt(1-whole*whole)}
			}})
	}
	noted(t, formula.Distortion, "0.4\u00a0% of u")
}

// twoLoads are two elements of one calibration.
var twoLoads = []string{
	"id = 'a', nominal_ohm = 2, ohm = 2.006, ohm_pct = 1, calibration = 'one', tempco_ppm = 400, tempco_pm_ppm = 80, lead_ohm = 0.03, hot_c = 65, hot_pm_c = 10",
	"id = 'b', nominal_ohm = 2, ohm = 1.991, ohm_pct = 1, calibration = 'one', tempco_ppm = 400, tempco_pm_ppm = 80, lead_ohm = 0.03, hot_c = 65, hot_pm_c = 10",
}

// elements draws the two, each kind of error shared or not.
func elements(d draw, common bool) (r, lead []float64) {
	r0, alpha := d.alike(common, 0.02006, 0.01991), d.alike(common, 80e-6, 80e-6)
	rise, wires := d.alike(common, 10, 10), d.alike(common, 0.003, 0.003)
	for i, nominal := range []float64{2.006, 1.991} {
		r = append(r, (nominal+r0[i])*(1+(400e-6+alpha[i])*(40+rise[i])))
		lead = append(lead, 0.03+wires[i])
	}
	return r, lead
}

// totals are the figures of a run of two channels.
func totals(r *sheet.Run) []outcome {
	return []outcome{outcomeOf("total", r.Total), outcomeOf("efficiency of two channels", r.Efficiency), outcomeOf("heat of two channels", r.Heat)}
}

const bothChannels = "driven = ['L', 'R']\nload = ['a', 'b']\nout_v = [38.73, 38.31]\nsupply_v = 13.9\nsupply_a = 126.4"

// Whether the readings of one meter, loads of one calibration, and repeats of a
// run's channels share their error is not known: no choice gives more than the sheet.
func TestDrawsOfTwoChannels(t *testing.T) {
	s := fullRun
	s.loads, s.text = twoLoads, measuredWith("r", bothChannels)
	compare(t, experiment{groups: 3, of: []string{formula.Combined}, outcomes: totals(s.sheet().Runs[0]), trial: func(d draw, common uint) []float64 {
		volts := d.alike(common&1 > 0, 0.008*38.73+0.03, 0.008*38.31+0.03)
		r, lead := elements(d, common&2 > 0)
		pools := [2]float64{1 + d.normal(0.008), 1 + d.normal(0.008)}
		if common&4 > 0 {
			pools[1] = pools[0]
		}
		return sums([]float64{38.73 + volts[0], 38.31 + volts[1]}, r, lead, pools, (13.9+d.rect(0.005*13.9+0.02))*(126.4+d.rect(0.02*126.4+0.5))*(1+d.rect(0.015)))
	}})
}

// sums are total, efficiency and heat.
func sums(v, r, lead []float64, pools [2]float64, ps float64) []float64 {
	p := 0.0
	for i := range v {
		p += truth{v: v[i], r: r[i], lead: lead[i], pool: pools[i]}.watts()
	}
	return []float64{p, 100 * p / ps, ps - p}
}

// One meter for output and supply volts: in the efficiency its errors pull against
// each other, so that taking them as one error is not always the larger choice.
func TestDrawsOfOneMeterForBoth(t *testing.T) {
	s := fullRun
	s.shared, s.loads, s.text = "out_v supply_v", twoLoads, measuredWith("r", bothChannels)
	compare(t, experiment{groups: 3, outcomes: totals(s.sheet().Runs[0]), trial: func(d draw, common uint) []float64 {
		e := d.alike(common&1 > 0, 0.008*38.73+0.03, 0.008*38.31+0.03, 0.005*13.9+0.02)
		r, lead := elements(d, common&2 > 0)
		pools := [2]float64{1 + d.normal(0.008), 1 + d.normal(0.008)}
		if common&4 > 0 {
			pools[1] = pools[0]
		}
		return sums([]float64{38.73 + e[0], 38.31 + e[1]}, r, lead, pools, (13.9+e[2])*(126.4+d.rect(0.02*126.4+0.5))*(1+d.rect(0.015)))
	}})
}

// A stated common gain is one error in any case, and only the rest of the
// specification is each reading's own.
func TestDrawsOfACommonGain(t *testing.T) {
	s := fullRun
	s.common, s.loads, s.text = []string{"out_v"}, twoLoads, measuredWith("r", bothChannels)
	rest := func(v float64) float64 { // the half-width whose square completes the specification's
		return math.Sqrt(math.Pow(0.008*v+0.03, 2) - math.Pow(0.008*v, 2))
	}
	compare(t, experiment{groups: 2, outcomes: totals(s.sheet().Runs[0]), trial: func(d draw, common uint) []float64 {
		gain := 1 + d.rect(0.008)
		r, lead := elements(d, common&1 > 0)
		pools := [2]float64{1 + d.normal(0.008), 1 + d.normal(0.008)}
		if common&2 > 0 {
			pools[1] = pools[0]
		}
		return sums([]float64{38.73*gain + d.rect(rest(38.73)), 38.31*gain + d.rect(rest(38.31))}, r, lead, pools, (13.9+d.rect(0.005*13.9+0.02))*(126.4+d.rect(0.02*126.4+0.5))*(1+d.rect(0.015)))
	}})
}

func TestDrawsOfTemperature(t *testing.T) {
	s := scene{meters: map[string]string{"out_v": usualVolts}, loads: []string{evenLoad}, text: "[[thermal]]\nspot = 'fin'\ntemp_c = [60, 71]\nat_min = [0, 5]\nambient_c = 25\npm = 2\n"}
	points := s.sheet().Thermals[0].Points
	compare(t, experiment{outcomes: []outcome{outcomeOf("temperature", points[1].TempC), outcomeOf("rise", points[1].Rise)},
		trial: func(d draw, _ uint) []float64 { at := 71 + d.rect(2); return []float64{at, at - 25} }})
}
