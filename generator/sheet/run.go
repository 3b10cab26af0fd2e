package sheet

import (
	"fmt"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

var loadAt = electric.LoadAt

// outcomes says how runs ended, as pages print it.
var outcomes = map[string]string{
	"completed":    "completed",
	"protected":    "the unit shut down (protection)",
	"fuse":         "the unit's fuse blew",
	"supply-limit": "the bench's supply reached its limit",
	"stopped":      "stopped by the tester",
}

// run evaluates one run by itself.
func (e *evaluator) run(rec *record.Run) *Run { return e.reader().evaluate(rec) }

// evaluate evaluates one run of several.
func (e *reader) evaluate(rec *record.Run) *Run {
	r := &Run{
		Rec: rec, ID: rec.ID, Method: e.content.Method(rec.Method.ID), FreqHz: e.freqOf(rec),
		Valid: rec.Invalid == "", OutcomeText: outcomes[rec.Outcome],
	}
	r.Completed = r.Valid && rec.Outcome == "completed"
	e.of(rec)
	var powers []measured
	for i, name := range rec.DrivenOf(&e.rec.Unit) {
		c, power := e.driven(r, i, name)
		r.Channels = append(r.Channels, c)
		r.Bridged = r.Bridged || strings.Contains(name, "+")
		if power != nil {
			powers = append(powers, *power)
		}
	}
	if len(r.Channels) > 0 {
		r.Nominal = r.Channels[0].Nominal
	}
	e.supply(r, powers)
	e.captured(r)
	r.Cautions = e.cautions(r)
	return r
}

// channel is [reader.driven] of one run alone.
func (e *evaluator) channel(r *Run, i int, name string) (*Channel, *measured) {
	return e.reader().of(r.Rec).driven(r, i, name)
}

// driven evaluates the i-th driven channel of a run, and returns its power where
// the readings give one.
func (e *reader) driven(r *Run, i int, name string) (*Channel, *measured) {
	rec := r.Rec
	circuit := e.circuit(i, name)
	terminals := circuit.atTerminals()
	c := &Channel{Name: name, Load: circuit.load, Nominal: circuit.nominal}
	c.Resistance = figure("resistance", "Rt", formula.LoadAtUnit, terminals)
	if c.Distortion = e.capturedDistortion(name); c.Distortion == nil && i < len(rec.ThdnPct.Items) {
		c.Distortion = e.distortion(rec, i, name)
	}
	var byVolts, byMeter *measured
	if v, id := e.volts(i, name); v != nil {
		c.Volts = figure("volts", "V", id, *v)
		m := e.powerOf(*v, circuit)
		byVolts = &m
	}
	if o, _, _ := e.takenOut(rec, name); i < len(rec.PowerW.Items) && o == nil {
		w := e.reading("power_w", rec.PowerW.Items[i], name)
		byMeter = &w
	}
	power, id := byVolts, formula.PowerVolts
	if byMeter != nil {
		power, id = byMeter, formula.PowerMeter
	}
	if power == nil {
		return c, nil
	}
	if byMeter != nil && byVolts != nil {
		c.Check = figure("check", "ΔP", formula.MeterCheck, with(byMeter.Sub(byVolts.Value), *byMeter, *byVolts))
	}
	pool := e.repeatability(r.Method, name)
	full := with(power.Mul(pool.Value, "W"), *power, pool)
	c.Power = figure("power", "P", id, full)
	c.OutV = figure("out_v", "Vt", formula.OutVolts, with(electric.Volts(power.Value, terminals.Value), *power, terminals))
	return c, &full
}

// distortion is a channel's distortion relative to the fundamental.
func (e *reader) distortion(rec *record.Run, i int, name string) *Figure {
	d := e.reading("thdn_pct", rec.ThdnPct.Items[i], name)
	id := e.readingFormula(rec, "thdn_pct", rec.ThdnPct.Items[i])
	if instrument := rec.InstrumentFor("thdn_pct", e.content.Bench); instrument != nil && instrument.DistortionOf == "total" {
		id = formula.Distortion
		if d.X < 100 {
			d = with(electric.OfFundamental(d.Value), d)
		}
	}
	return figure("thdn", "d", id, d)
}

// supply evaluates the figures of the whole run. Efficiency and heat need the
// mean of everything: held readings and bursts don't give them.
func (e *reader) supply(r *Run, powers []measured) {
	rec := r.Rec
	var total measured
	if len(powers) > 0 && len(powers) == len(r.Channels) {
		total = sumOf(powers)
		r.Total = figure("total", "Ptotal", formula.PowerTotal, total)
	}
	if rec.SupplyV.Given() {
		r.SupplyV = figure("supply_v", "Vs", e.readingFormula(rec, "supply_v", rec.SupplyV), e.reading("supply_v", rec.SupplyV, ""))
	}
	if rec.SupplyA.Given() {
		r.SupplyA = figure("supply_a", "Is", e.readingFormula(rec, "supply_a", rec.SupplyA), e.reading("supply_a", rec.SupplyA, ""))
	}
	ps, id := e.capturedSupply(r), formula.CaptureWatts
	if ps == nil {
		ps, id = e.supplyPower(r)
	}
	if ps == nil {
		return
	}
	r.SupplyPower = figure("supply_power", "Ps", id, *ps)
	if id == formula.CaptureWatts && r.Method.Signal == "burst" {
		e.capturedRound(r, *ps)
		return
	}
	if r.Total == nil || r.Method.Signal == "burst" || held(rec.ReadAs.PowerW) || held(rec.ReadAs.OutV) || ps.X <= 0 {
		return
	}
	r.Efficiency = figure("efficiency", "η", formula.Efficiency, with(electric.Efficiency(total.Value, ps.Value), total, *ps))
	r.Heat = figure("heat", "H", formula.Heat, with(electric.Heat(total.Value, ps.Value), total, *ps))
}

// supplyPower is what the unit takes: by a watt-meter, or for a direct-current
// supply volts times amperes; nil where neither gives it.
func (e *reader) supplyPower(r *Run) (*measured, string) {
	rec := r.Rec
	if rec.SupplyW.Given() {
		w := e.reading("supply_w", rec.SupplyW, "")
		return &w, formula.SupplyMetered
	}
	direct := e.rec.Unit.Supply != "mains"
	if !direct || r.SupplyV == nil || r.SupplyA == nil || held(rec.ReadAs.SupplyV) || held(rec.ReadAs.SupplyA) || r.Method.Signal == "burst" {
		return nil, ""
	}
	v, i := measured{r.SupplyV.value, r.SupplyV.Incomplete}, measured{r.SupplyA.value, r.SupplyA.Incomplete}
	f := e.ripple(r.Method)
	p := with(electric.SupplyPower(v.Value, i.Value, f.Value), v, i, f)
	return &p, formula.SupplyPower
}

func held(how string) bool { return strings.HasPrefix(how, "held") }

func sumOf(powers []measured) measured {
	values := make([]quantity.Value, len(powers))
	for i, p := range powers {
		values[i] = p.Value
	}
	return with(quantity.Sum(values...), powers...)
}

// shockV is the alternating voltage above which a caution stands beside a figure
// (extra-low voltage ends at 50 V AC: IEC 61140, from memory).
const shockV = 50

// cautions are the words of warning that stand beside a run.
func (e *evaluator) cautions(r *Run) []string {
	var out []string
	for _, c := range r.Channels {
		if c.OutV != nil && c.OutV.X > shockV {
			out = append(out, fmt.Sprintf("The output exceeded %d%sV AC: dangerous to touch.", shockV, nbsp))
			break
		}
	}
	u := &e.rec.Unit
	for _, c := range r.Channels {
		lowest := u.LowestOhm
		if strings.Contains(c.Name, "+") {
			lowest = u.LowestBridgedOhm
		}
		if lowest.Given() && c.Nominal < 0.99*lowest.Value {
			out = append(out, fmt.Sprintf("%s is below the maker's lowest load of %s: it can damage the unit. Follow the maker's instructions.", Ohms(c.Nominal), Ohms(lowest.Value)))
			break
		}
	}
	if sum, fused := e.fuses(); fused && r.SupplyA != nil && exceeds(r.SupplyA.value, sum) {
		out = append(out, fmt.Sprintf("%s from the supply is more than the unit's own fuses (%s%sA) are for.", r.SupplyA.Text, plain(sum), nbsp))
	}
	return out
}

// fuses is what the unit's own fuses add up to, in A.
func (e *evaluator) fuses() (sum float64, fused bool) {
	for _, n := range e.rec.Unit.FusesA.Items {
		sum += n.Value
	}
	return sum, len(e.rec.Unit.FusesA.Items) > 0
}
