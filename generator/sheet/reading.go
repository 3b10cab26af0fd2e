package sheet

import (
	"fmt"
	"math"

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
	unit := unitOf[name]
	i := run.InstrumentFor(name, e.content.Bench)
	if i == nil {
		return measured{quantity.Exact(n.Value, unit), []string{"no instrument is named for " + name}}
	}
	r := i.RangeFor(name, n.Value)
	if r == nil {
		return measured{quantity.Exact(n.Value, unit), []string{fmt.Sprintf("%s has no range that holds the reading of %s", i.ID, name)}}
	}
	return readout{run, name, channel, i, r, n.Value, e.signalOf(run, name), e.unique}.value()
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

// signalOf names the signal that a quantity's gain belongs to: an instrument's
// gain is common only to readings of one signal. Supply and temperature are
// steady.
func (e *evaluator) signalOf(run *record.Run, name string) string {
	if name != "power_w" && name != "out_v" && name != "thdn_pct" {
		return ""
	}
	signal := "continuous"
	if m := e.content.Method(run.Method.ID); m != nil {
		signal = m.Signal
	}
	return fmt.Sprintf(", %s at %s Hz", signal, quantity.Float(e.freqOf(run)))
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
}

// atTerminals is the load that the unit sees, R + Rlead.
func (c circuit) atTerminals() measured {
	return with(c.element.Add(c.lead.Value), c.element, c.lead)
}

// circuitOf is the load of a run's i-th driven channel. What one element is wrong
// by is the same in every run; what elements of one calibration share is not
// known, for each kind of error on its own.
func (e *evaluator) circuitOf(run *record.Run, i int, channel string) circuit {
	if i >= len(run.Load.Items) {
		nominal := run.LoadOhm.Value
		return circuit{nil, nominal, measured{quantity.Exact(nominal, "Ω"), []string{"the load's resistance was not measured"}}, measured{Value: quantity.Exact(0, "Ω")}}
	}
	l := e.content.Bench.Load(run.Load.Items[i].ID)
	if l == nil {
		return circuit{element: measured{Value: quantity.Exact(1, "Ω"), lacks: []string{"the load is not known"}}}
	}
	source := func(kind, name string) quantity.Source {
		return quantity.Source{
			ID: "load " + l.ID + "/" + kind, Name: fmt.Sprintf("load %s: %s", l.ID, name), Kind: "load",
			Group: "loads " + l.Calibration + "/" + kind, DoF: math.Inf(1),
		}
	}
	r0 := quantity.New(l.Ohm.Value, "Ω", resistanceU(l), source("resistance", "resistance"))
	alpha := quantity.New(l.TempcoPPM.Value*1e-6, "1/K", quantity.Rectangular(l.TempcoPMPPM.Value*1e-6), source("tempco", "temperature coefficient"))
	rise := measured{Value: quantity.New(l.HotC.Or(l.AtC.Value)-l.AtC.Value, "K", quantity.Rectangular(l.HotPMC.Value), source("temperature", "temperature in use"))}
	if i < len(run.LoadC.Items) {
		t := e.reading(run, "load_c", run.LoadC.Items[i], channel)
		rise = with(t.Sub(quantity.Exact(l.AtC.Value, "°C")), t)
	}
	lead := quantity.New(l.LeadOhm.Value, "Ω", quantity.Rectangular(l.LeadPct.Value/100*l.LeadOhm.Value), source("lead", "lead"))
	return circuit{l, l.NominalOhm.Value, with(loadAt(r0, alpha, rise.Value), rise), measured{Value: lead}}
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

// repeatability is a factor of 1 with the method's pool as its uncertainty:
// independent between runs, not known between the channels of a run. The run is
// one as [evaluator.unique] names it.
func repeatability(m *record.Method, run, channel string) measured {
	if !m.Pool.RelPct.Given() {
		return measured{quantity.Exact(1, ""), []string{"the method has no pool: its repeatability is not known"}}
	}
	return measured{Value: quantity.New(1, "", m.Pool.RelPct.Value/100, quantity.Source{
		ID: fmt.Sprintf("pool %s@%s.%s", m.ID, run, channel), Name: "repeatability, " + m.Title, Kind: "pool",
		Group: fmt.Sprintf("pool %s@%s", m.ID, run), Estimate: "pool " + m.ID, DoF: m.Pool.DoF.Value,
	})}
}

// ripple is a factor of 1 with the uncertainty of taking volts times amperes for
// the mean power. The run is one as [evaluator.unique] names it.
func ripple(m *record.Method, run string) measured {
	return measured{Value: quantity.New(1, "", quantity.Rectangular(m.SupplyRipplePct.Value/100), quantity.Source{
		ID: fmt.Sprintf("ripple %s@%s", m.ID, run), Name: "ripple and sag of the supply", Kind: "supply",
		Group: "ripple " + m.ID, DoF: math.Inf(1),
	})}
}
