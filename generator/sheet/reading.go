package sheet

import (
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// unitOf is the unit of each quantity that instruments read.
var unitOf = map[string]string{
	"power_w": "W", "out_v": "V", "thdn_pct": "%", "supply_v": "V", "supply_a": "A", "supply_w": "W", "load_c": "°C",
}

// saidOf is each quantity that instruments read, for people.
var saidOf = map[string]string{
	"power_w": "output power", "out_v": "output volts", "thdn_pct": "distortion", "supply_v": "supply volts",
	"supply_a": "supply current", "supply_w": "supply power", "load_c": "load temperature",
}

// reading turns one number of a run into a value: corrected as the instrument's
// certificate says, with the uncertainty that its specification, its correction,
// its age and the air's temperature give it. The channel is empty for readings of
// the whole run.
func (e *evaluator) reading(run *record.Run, name string, n record.Number, channel string) measured {
	return e.reader().of(run).reading(name, n, channel)
}

// readingFormula is the formula that a reading comes by: as read, or corrected.
func (e *evaluator) readingFormula(run *record.Run, name string, n record.Number) string {
	if r := run.InstrumentFor(name, e.content.Bench).RangeFor(name, n.Value); r != nil && r.Corrects() {
		return formula.Corrected
	}
	return formula.AsRead
}

// unique makes the id of a run, or of what belongs to one unit only, unique among
// all units: two units' runs may have the same id, but their readings' own errors
// are different ones.
func (e *evaluator) unique(id string) string {
	if e.rec.Slug == "" { // the bench's check unit
		return id
	}
	return e.rec.Slug + "/" + id
}

// freqOf is the frequency of a run's signal: its own, or the method's; 0 where
// neither states one.
func (e *evaluator) freqOf(run *record.Run) float64 {
	if run.FreqHz.Given() {
		return run.FreqHz.Value
	}
	if m := e.content.Method(run.Method.ID); m != nil {
		return m.FreqHz.Value
	}
	return 0
}

// A circuit is the load of one channel: the element at its temperature, and the
// lead to it.
type circuit struct {
	load    *record.Load
	nominal float64
	element measured // Ω
	lead    measured // Ω
	// terminals is the load that the unit sees, R + Rlead.
	terminals measured
}

// circuitOf is the load of a run's i-th driven channel.
func (e *evaluator) circuitOf(run *record.Run, i int, channel string) circuit {
	return e.reader().of(run).circuit(i, channel)
}

// circuit is [evaluator.circuitOf] the reader's run.
func (d *reader) circuit(i int, channel string) circuit {
	run := d.run
	if i >= len(run.Load.Items) {
		nominal := run.LoadOhm.Value
		element := measured{quantity.Exact(nominal, "Ω"), []string{"the load's resistance was not measured"}}
		return circuit{nominal: nominal, element: element, lead: measured{Value: quantity.Exact(0, "Ω")}, terminals: element}
	}
	l := d.content.Bench.Load(run.Load.Items[i].ID)
	if l == nil {
		element := measured{Value: quantity.Exact(1, "Ω"), lacks: []string{"the load is not known"}}
		return circuit{element: element, terminals: element}
	}
	x := d.elementOf(l)
	if i < len(run.LoadC.Items) {
		t := d.reading("load_c", run.LoadC.Items[i], channel)
		return x.circuit(l, with(t.Sub(quantity.Exact(l.AtC.Value, "°C")), t))
	}
	if x.usual == nil {
		c := x.circuit(l, measured{Value: x.rise})
		x.usual = &c
	}
	return *x.usual
}

// circuit is the element's load where it is so much warmer than it was measured at.
func (x *element) circuit(l *record.Load, rise measured) circuit {
	c := circuit{load: l, nominal: l.NominalOhm.Value, element: with(loadAt(x.r0, x.alpha, rise.Value), rise), lead: measured{Value: x.lead}}
	c.terminals = with(c.element.Add(c.lead.Value), c.element, c.lead)
	return c
}

// resistanceU is the standard uncertainty of a load element as measured: of a
// half-width, or with ohm_k of an expanded uncertainty (JCGM 100:2008, 4.3.7 and
// 4.3.3).
func resistanceU(l *record.Load) float64 {
	half := l.OhmPct.Value / 100 * l.Ohm.Value
	if l.OhmK.Given() {
		return half / l.OhmK.Value
	}
	return quantity.Rectangular(half)
}
