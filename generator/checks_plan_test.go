package generator_test

import (
	"math"
	"slices"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/plan"
	"wattsheet/generator/record"
)

// A planScene is a bench and a unit of class D as a tester writes them, with one
// claim, of which a plan is made.
type planScene struct {
	supply string // more keys of the supply
	expect string // more tables of bench.toml
	claim  string // keys of the claim, but for its id
	method string // more keys of the method thd1
}

// plan goes the whole way, from TOML to the plan.
func (p planScene) plan() *plan.Plan {
	s := scene{
		meters:  map[string]string{"out_v": "reading_pct = 0.5", "supply_v": "reading_pct = 0", "supply_a": "reading_pct = 1", "thdn_pct": "reading_pct = 1"},
		loads:   []string{evenLoad, "id = 'two', nominal_ohm = 2, ohm = 2, ohm_pct = 0"},
		methods: p.method,
	}
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	var problems [4]record.Problems
	var rec *record.Record
	c.Site, problems[0] = record.DecodeSite(file("site.toml", sceneSite))
	c.Bench, problems[1] = record.DecodeBench(file("bench.toml", s.bench()+"[[supply]]\nid = 'bank'\nname = 'bank'\nvolts = 14.4\namps = 250\n"+p.supply+p.expect))
	c.Methods, problems[2] = record.DecodeMethods(file("methods.toml", sceneMethods+s.methods))
	rec, problems[3] = record.DecodeRecord(file("record.toml", "[unit]\nmaker = 'Invented'\nmodel = 'Scene'\nchannels = ['L', 'R']\nclass = 'D'\n[source]\nhow = 'own'\nfrom = 'nobody'\n[[claim]]\nid = 'c'\nsupply_v = 14.4\nthdn_pct = 1\n"+p.claim), "scene")
	c.Records = []*record.Record{rec}
	if all := append(slices.Concat(problems[:]...), c.Check()...); all.Errors() {
		panic(all.Error())
	}
	return plan.Make(&c, rec, "2026-10-09")
}

// run is the plan's one run.
func (p planScene) run() *plan.Run { return p.plan().Runs[0] }

// planned500 is 500 W into 4 Ω by a unit of class D from 14.4 V, of which 80 % are
// expected.
var planned500 = planScene{expect: "[[expect]]\nclass = 'D'\nefficiency_pct = 80\n", claim: "power_w = 500\nload_ohm = 4\nchannels = 1\n", method: "duration_s = 60\n"}

func withSupply(keys string) planScene {
	p := planned500
	p.supply = keys
	return p
}

const byLaws = "circuit laws, by hand"

var _ = register(
	check{formula.OutVolts, "planned: 500 W into 4 Ω are √2000 V", computed, byLaws, 44.721359549996, closed, func() float64 { return float64(planned500.run().Outputs[0].V) }},
	check{formula.OutVolts, "planned: 300 W of a bridged pair into 4 Ω are √1200 V", computed, byLaws, 34.641016151378, closed, func() float64 {
		p := planned500
		p.claim = "power_w = 300\nload_ohm = 4\nchannels = 1\nbridged = true\n"
		return float64(p.run().Outputs[0].V)
	}},
	check{formula.PlannedAmps, "500 W into 4 Ω are √125 A", computed, byLaws, 11.180339887499, closed, func() float64 { return float64(planned500.run().Outputs[0].A) }},
	check{formula.PlannedSupply, "500 W at 80 % from 14.4 V", practice, "expected current is P/(η·Vs)", 43.4027777777778, closed, func() float64 { return float64(planned500.run().Supply.A) }},
	check{formula.PlannedHeat, "500 W at 80 %", computed, byLaws + ": 625 W less 500 W", 125, closed, func() float64 { return float64(planned500.run().Heat.UnitW) }},
	check{formula.PlannedEnergy, "625 W for a minute", computed, byLaws, 37500, closed, func() float64 { return float64(planned500.run().Heat.EnergyJ) }},
	check{formula.PlannedEnergy, "the heat of a minute of bursts, 20 ms of each 500 ms", computed, byLaws + ": 125 W·60 s·0.04", 300, closed, func() float64 {
		p := planned500
		p.method = "duration_s = 60\nsignal = 'burst'\nburst_ms = 20\nevery_ms = 500\n"
		p.claim += "signal = 'burst'\n"
		return float64(p.run().Heat.UnitJ)
	}},
	check{formula.PlannedRest, "after a minute at full level", practice, "four times as long", 240, exactly, func() float64 { return float64(planned500.run().RestS) }},
	check{formula.PlannedRest, "after ten seconds", practice, "a minute at least", 60, exactly, func() float64 { return electric.Rest(10, 1) }},
	check{"class-b-limit", "of a pure sine: π/4", computed, "closed form (the plan's bound for class AB and B)", 100 * math.Pi / 4, closed, func() float64 { return electric.ClassBLimit(0) }},
)

// Per 1000 ft of one wire.
func gaugeOhms(g int, celsius float64) float64 {
	return electric.LeadOhms(304.8, 1, electric.GaugeMM2(g), celsius) / 2
}

const (
	wireTable = "wire table of NBS Circular 31 / Handbook 100, Ω for 1000 ft at 20 °C"
	table60   = "IEC 60228, largest resistance of a conductor of class 2 (from memory); copper of exactly that cross-section has less"
)

var perMaximum = tolerance{rel: 0.1, why: "the table's are maxima, which leave room for stranding and for less copper than the name says"}

var _ = register(
	check{formula.WireGauge, "AWG 4, mm²", remembered, "ASTM B258, as wire tables print it", 21.15, printed(0.01), func() float64 { return electric.GaugeMM2(4) }},
	check{formula.WireGauge, "AWG 1/0, mm²", remembered, "ASTM B258, as wire tables print it", 53.5, printed(0.1), func() float64 { return electric.GaugeMM2(0) }},
	check{formula.WireGauge, "AWG 4/0, mm²", remembered, "ASTM B258, as wire tables print it", 107, printed(1), func() float64 { return electric.GaugeMM2(-3) }},
	check{formula.WireGauge, "AWG 36, the 5 mil wire, mm²", computed, "by definition 0.127 mm across", math.Pi / 4 * 0.127 * 0.127, closed, func() float64 { return electric.GaugeMM2(36) }},
	check{formula.WireGauge, "AWG 8, diameter in mm", computed, "ASTM B258's formula apart, in another program", 3.263643, printed(1e-6), func() float64 { return math.Sqrt(electric.GaugeMM2(8) * 4 / math.Pi) }},
	check{formula.LeadOhms + " " + formula.WireGauge, "AWG 8", document, wireTable, 0.6282, printed(0.0001), func() float64 { return gaugeOhms(8, 20) }},
	check{formula.LeadOhms + " " + formula.WireGauge, "AWG 4", document, wireTable, 0.2485, printed(0.0001), func() float64 { return gaugeOhms(4, 20) }},
	check{formula.LeadOhms + " " + formula.WireGauge, "AWG 1/0", remembered, wireTable, 0.09827, printed(0.00001), func() float64 { return gaugeOhms(0, 20) }},
	check{formula.LeadOhms + " " + formula.WireGauge, "AWG 12", document, wireTable, 1.588, printed(0.001), func() float64 { return gaugeOhms(12, 20) }},
	check{formula.LeadOhms + " " + formula.WireGauge, "AWG 14", document, wireTable, 2.525, printed(0.001), func() float64 { return gaugeOhms(14, 20) }},
	check{formula.LeadOhms + " " + formula.WireGauge, "AWG 16", document, wireTable, 4.016, printed(0.001), func() float64 { return gaugeOhms(16, 20) }},
	check{formula.LeadOhms + " " + formula.WireGauge, "AWG 4 at 60 °C", computed, "IEC 60028 apart, in another program", 0.287522537, printed(1e-9), func() float64 { return gaugeOhms(4, 60) }},
	check{formula.LeadOhms, "1 km of 70 mm², one way", remembered, table60, 0.268, perMaximum, func() float64 { return electric.LeadOhms(1000, 1, 70, 20) / 2 }},
	check{formula.LeadOhms, "1 km of 35 mm², one way", remembered, table60, 0.524, perMaximum, func() float64 { return electric.LeadOhms(1000, 1, 35, 20) / 2 }},
	check{formula.LeadOhms, "1 m of 1 mm², one way", document, "IEC 60028: 1/58 Ω·mm²/m at 20 °C, printed as 0.017241", 0.017241, printed(1e-6), func() float64 { return electric.LeadOhms(1, 1, 1, 20) / 2 }},
	check{formula.LeadOhms, "two cables of 70 mm² a pole, 1.1 m, at 60 °C", computed, byLaws + ": 2.2 m/(58·140)·(1 + 40·0.00393)", 0.000313527093596, tolerance{rel: 1e-11, why: "the reference has twelve digits"},
		func() float64 {
			return float64(withSupply("lead_mm2 = 70\nlead_cables = 2\nlead_m = 1.1\n").run().Supply.LeadOhm)
		}},
	check{formula.LeadDrop + " " + formula.LeadOhms, "5 m each way of AWG 4 at 60 °C, 43.4 A", computed, "IEC 60028 and ASTM B258 apart, in another program: 0.652136475 V for 80 A at 20 °C", 0.652136475 / 80 * 43.4027777777778 * (1 + 40*0.00393), tolerance{rel: 1e-8, why: "the reference has nine digits"},
		func() float64 { return float64(withSupply("lead_awg = '4'\nlead_m = 5\n").run().Supply.LeadDropV) }},
)

// rated is the smallest blade fuse for a current.
func rated(amps float64) func() float64 {
	return func() float64 { r, _ := electric.BladeRating(amps); return r }
}

const blades = "ISO 8820-3, ratings of blade fuses"

var _ = register(
	check{"blade-fuses", "5 A", remembered, blades, 5, exactly, rated(5)},
	check{"blade-fuses", "above 5 A", remembered, blades, 7.5, exactly, rated(math.Nextafter(5, 6))},
	check{"blade-fuses", "above 7.5 A", remembered, blades, 10, exactly, rated(7.6)},
	check{"blade-fuses", "above 10 A", remembered, blades, 15, exactly, rated(10.1)},
	check{"blade-fuses", "above 15 A", remembered, blades, 20, exactly, rated(15.1)},
	check{"blade-fuses", "above 20 A", remembered, blades, 25, exactly, rated(20.1)},
	check{"blade-fuses", "above 25 A", remembered, blades, 30, exactly, rated(25.1)},
	check{"blade-fuses", "above 30 A, for medium blades", remembered, blades, 35, exactly, rated(30.1)},
	check{"blade-fuses", "above 40 A, for large blades", remembered, blades, 50, exactly, rated(40.1)},
	check{"blade-fuses", "none above 100 A", remembered, blades, 0, tolerance{abs: 1e-300, why: "nothing, exactly"}, rated(100.1)},
	check{"blade-fuses", "planned for 43.4 A and a quarter more", remembered, blades, 60, exactly, func() float64 { return float64(planned500.run().Supply.BladeA) }},
)

// What a bench could tell apart whose only error is the voltmeter's: ±0.5 % of
// reading are u = 2·0.5 %/√3 of the power, normal, and a one-sided 95 % takes 1.6449 u.
var (
	byMeter = 1.6448536269514722 * 2 * 0.005 / math.Sqrt(3)
	oneStep = tolerance{abs: 0.01, why: "the search goes in steps of 0.01 %"}
)

var _ = register(
	check{"smallest-shortfall", "of an exact load and supply, ±0.5 % of volts: short", computed, "JCGM 106:2012, 7.3, by hand: x·(1 + 1.6449·u) = 1", 100 * (1 - 1/(1+byMeter)), oneStep, func() float64 { return float64(*planned500.plan().Claims[0].ShortfallPct) }},
	check{"smallest-shortfall", "the same: met", computed, "JCGM 106:2012, 7.3, by hand: x·(1 − 1.6449·u) = 1", 100 * (1/(1-byMeter) - 1), oneStep, func() float64 { return float64(*planned500.plan().Claims[0].MarginPct) }},
	check{formula.Expanded, "planned U of 500 W by ±0.5 % of volts", computed, "JCGM 100:2008, G.3 by hand: 1.96·2·0.5 %/√3·500 W", 1.959963984540054 * 0.01 / math.Sqrt(3) * 500, tolerance{rel: 1e-6, why: "it is given with six digits"}, func() float64 { return float64(planned500.plan().Claims[0].UW) }},
)
