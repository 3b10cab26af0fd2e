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
	names := rec.DrivenOf(&e.rec.Unit)
	channels, powers := make([]Channel, len(names)), make([]measured, 0, len(names))
	r.Channels = make([]*Channel, len(names))
	for i, name := range names {
		var power measured
		var known bool
		if r.Channels[i], power, known = e.driven(r, i, &channels[i], name); known {
			powers = append(powers, power)
		}
		r.Bridged = r.Bridged || strings.Contains(name, "+")
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
func (e *evaluator) channel(r *Run, i int, name string) (c *Channel, power measured, known bool) {
	d := e.reader().of(r.Rec)
	return d.driven(r, i, new(Channel), name)
}

// driven evaluates the i-th driven channel of a run into c, and returns its power where
// the readings give one.
func (e *reader) driven(r *Run, i int, c *Channel, name string) (_ *Channel, power measured, known bool) {
	rec := r.Rec
	circuit := e.circuit(i, name)
	*c = Channel{Name: name, Load: circuit.load, Nominal: circuit.nominal, Resistance: e.resistance(i, circuit)}
	if c.Distortion = e.capturedDistortion(name); c.Distortion == nil && i < len(rec.ThdnPct.Items) {
		c.Distortion = e.distortion(rec, i, name)
	}
	v, id, byVolts := e.volts(i, name)
	if byVolts {
		c.Volts = e.figure("volts", "V", id, v)
		power, id = e.powerOf(v, circuit), formula.PowerVolts
	}
	if o, _, _ := e.takenOut(rec, name); i < len(rec.PowerW.Items) && o == nil {
		w := e.reading("power_w", rec.PowerW.Items[i], name)
		if byVolts {
			c.Check = e.figure("check", "ΔP", formula.MeterCheck, with(w.Sub(power.Value), w, power))
		}
		power, id = w, formula.PowerMeter
	} else if !byVolts {
		return c, measured{}, false
	}
	pool := e.repeatability(r.Method, name)
	full := with(power.Mul(pool.Value, "W"), power, pool)
	c.Power = e.figure("power", "P", id, full)
	at := circuit.terminals
	c.OutV = e.figure("out_v", "Vt", formula.OutVolts, with(electric.Volts(power.Value, at.Value), power, at))
	return c, full, true
}

// resistance is the figure of the load that a channel sees: that of an element of which
// no run says how warm it was is made once.
func (e *reader) resistance(i int, at circuit) *Figure {
	if at.load == nil || i < len(e.run.LoadC.Items) {
		return e.figure("resistance", "Rt", formula.LoadAtUnit, at.terminals)
	}
	x := e.elementOf(at.load)
	if x.resistance == nil {
		x.resistance = e.figure("resistance", "Rt", formula.LoadAtUnit, at.terminals)
	}
	return x.resistance
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
	return e.figure("thdn", "d", id, d)
}

// supply evaluates the figures of the whole run. Efficiency and heat need the
// mean of everything: held readings and bursts don't give them.
func (e *reader) supply(r *Run, powers []measured) {
	rec := r.Rec
	var total measured
	if len(powers) > 0 && len(powers) == len(r.Channels) {
		total = sumOf(powers)
		r.Total = e.figure("total", "Ptotal", formula.PowerTotal, total)
	}
	if rec.SupplyV.Given() {
		r.SupplyV = e.figure("supply_v", "Vs", e.readingFormula(rec, "supply_v", rec.SupplyV), e.reading("supply_v", rec.SupplyV, ""))
	}
	if rec.SupplyA.Given() {
		r.SupplyA = e.figure("supply_a", "Is", e.readingFormula(rec, "supply_a", rec.SupplyA), e.reading("supply_a", rec.SupplyA, ""))
	}
	ps, id := e.capturedSupply(r), formula.CaptureWatts
	if ps == nil {
		ps, id = e.supplyPower(r)
	}
	if ps == nil {
		return
	}
	r.SupplyPower = e.figure("supply_power", "Ps", id, *ps)
	if id == formula.CaptureWatts && r.Method.Signal == "burst" {
		e.capturedRound(r, *ps)
		return
	}
	if r.Total == nil || r.Method.Signal == "burst" || held(rec.ReadAs.PowerW) || held(rec.ReadAs.OutV) || ps.X <= 0 {
		return
	}
	r.Efficiency = e.figure("efficiency", "η", formula.Efficiency, with(electric.Efficiency(total.Value, ps.Value), total, *ps))
	r.Heat = e.figure("heat", "H", formula.Heat, with(electric.Heat(total.Value, ps.Value), total, *ps))
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
