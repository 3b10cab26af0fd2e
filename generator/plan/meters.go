package plan

import (
	"math"

	"wattsheet/generator/electric"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// headroom is how much more than expected a range should hold: a unit may give more
// than is claimed (common practice, no source).
const headroom = 1.2

// A choice is the instrument chosen for one quantity of a run.
type choice struct {
	name       string
	instrument *record.Instrument // nil where the bench has none
	usual      bool
	misfits    []sheet.Misfit
}

// outputMeter is the choice for the output: a voltmeter, else a watt-meter.
func (p *planner) outputMeter(j *job) choice { return p.metersOf(j)[0] }

// metersOf are the choices for a run: the output first, then distortion and supply.
func (p *planner) metersOf(j *job) []choice {
	if j.meters != nil {
		return j.meters
	}
	output := p.pick(j, "out_v", j.largest(func(d drive) float64 { return math.Sqrt(d.watts * d.ohm) }))
	if output.instrument == nil || len(output.misfits) > 0 {
		watts := p.pick(j, "power_w", j.largest(func(d drive) float64 { return d.watts }))
		if watts.instrument != nil && (output.instrument == nil || len(watts.misfits) == 0) {
			output = watts
		}
	}
	j.meters = append(j.meters, output)
	if j.method.ThdnPct.Given() {
		j.meters = append(j.meters, p.pick(j, "thdn_pct", j.method.ThdnPct.Value))
	}
	j.meters = append(j.meters, p.pick(j, "supply_v", j.supplyV))
	if j.method.Signal != "burst" { // a mean over bursts says nothing of them
		amps := p.supplyAmps(j)
		if p.about.mains {
			j.meters = append(j.meters, p.pick(j, "supply_w", amps*j.supplyV*p.about.factor))
		} else {
			j.meters = append(j.meters, p.pick(j, "supply_a", amps))
		}
	}
	return j.meters
}

func (j *job) largest(of func(drive) float64) (most float64) {
	for _, d := range j.drives {
		most = max(most, of(d))
	}
	return most
}

func (p *planner) supplyAmps(j *job) float64 {
	return electric.ExpectedSupply(j.totalW(), p.about.efficiencyPct, j.supplyV, p.about.factor)
}

// pick chooses the instrument of a quantity: the usual one if it suits the signal and
// holds the reading, else the first that does, else the usual one, or the first at all.
// The volts of the mains are read by what measures its power there, before the usual one:
// that is for the volts of a battery, on a bench that has both.
func (p *planner) pick(j *job, name string, expected float64) choice {
	b := p.bench()
	usual := b.Instrument(b.Usual.Of(name).ID)
	var others []choice
	first := usual
	if p.about.mains && name == "supply_v" && (usual == nil || usual.RangeFor("supply_w", 0) == nil) {
		first = mainsMeter(b, usual)
	}
	for _, i := range instruments(b, first) {
		if i.RangeFor(name, 0) == nil {
			continue
		}
		c := choice{name, i, i == usual, sheet.Misfits(j.method, i, name, j.freqHz)}
		if len(c.misfits) == 0 && i.RangeFor(name, expected) != nil {
			return c
		}
		others = append(others, c)
	}
	if len(others) > 0 {
		return others[0]
	}
	return choice{name: name}
}

// mainsMeter is the first instrument that reads power and volts of the mains; the one
// given where there is none.
func mainsMeter(b *record.Bench, otherwise *record.Instrument) *record.Instrument {
	for n := range b.Instruments {
		if i := &b.Instruments[n]; i.RangeFor("supply_w", 0) != nil && i.RangeFor("supply_v", 0) != nil {
			return i
		}
	}
	return otherwise
}

// instruments are the bench's, one of them first.
func instruments(b *record.Bench, first *record.Instrument) []*record.Instrument {
	var out []*record.Instrument
	if first != nil {
		out = append(out, first)
	}
	for n := range b.Instruments {
		if i := &b.Instruments[n]; i != first {
			out = append(out, i)
		}
	}
	return out
}

// unitOf is the unit of each quantity that is read.
var unitOf = map[string]string{"power_w": "W", "out_v": "V", "thdn_pct": "%", "supply_v": "V", "supply_a": "A", "supply_w": "W"}

// meters are the ranges to set: the smallest that holds the expected reading with
// headroom, else the smallest that holds it.
func (p *planner) meters(j *job, r *Run) {
	for _, c := range p.metersOf(j) {
		for _, at := range p.readingsOf(j, c.name) {
			m := Meter{Reads: c.name, Channel: at.channel, Expected: Number(at.expected), Unit: unitOf[c.name]}
			if c.instrument != nil {
				m.Instrument, m.Name, m.Other = c.instrument.ID, c.instrument.Name, !c.usual
			}
			span := c.instrument.RangeFor(c.name, room(c.name)*at.expected)
			if span == nil {
				span = c.instrument.RangeFor(c.name, at.expected)
			}
			if span != nil {
				m.Range = Number(span.To.Value)
			}
			if c.name == "supply_v" && j.method.Signal == "burst" {
				m.Held = "held-min"
			}
			r.Meters = append(r.Meters, m)
		}
		p.meterFlags(j, r, c)
	}
}

// room is the headroom of a quantity: distortion and supply volts are set, not given.
func room(name string) float64 {
	if name == "thdn_pct" || name == "supply_v" {
		return 1
	}
	return headroom
}

// A shown is one expected reading.
type shown struct {
	channel  string
	expected float64
}

// readingsOf are the expected readings of a quantity, those of several channels once
// where they are the same.
func (p *planner) readingsOf(j *job, name string) []shown {
	switch name {
	case "thdn_pct":
		return []shown{{"", j.method.ThdnPct.Value}}
	case "supply_v":
		return []shown{{"", j.supplyV}}
	case "supply_a":
		return []shown{{"", p.supplyAmps(j)}}
	case "supply_w":
		return []shown{{"", p.supplyAmps(j) * j.supplyV * p.about.factor}}
	}
	var out []shown
	for _, d := range j.drives {
		x := d.watts
		if name == "out_v" {
			x = volts(d)
		}
		if n := len(out); n > 0 && out[n-1].expected == x {
			out[n-1].channel += ", " + d.channel
			continue
		}
		out = append(out, shown{d.channel, x})
	}
	return out
}

// volts are the expected volts at a channel's terminals.
func volts(d drive) float64 {
	return electric.Volts(quantity.Exact(d.watts, "W"), quantity.Exact(d.ohm, "Ω")).X
}

// meterFlags flags what is wrong with an instrument for a run.
func (p *planner) meterFlags(j *job, r *Run, c choice) {
	if c.instrument == nil {
		r.flag("no-instrument", "Without it the reading has no uncertainty, and no claim is decided by it.", "bench.toml has no instrument that reads %s", c.name)
		return
	}
	for _, m := range c.misfits {
		r.flag(m.ID, "What it shows of this signal may be far off.", "%s, %s", c.name, m.Text)
	}
	if due := c.instrument.Due; due.Given() && p.day > due.Text {
		r.flag("calibration-past", "Its specification is not vouched for any more.", "%s: the calibration of %s held until %s", c.name, c.instrument.ID, due.Text)
	}
	for _, at := range p.readingsOf(j, c.name) {
		expected := figure(at.expected, unitOf[c.name])
		switch {
		case c.instrument.RangeFor(c.name, at.expected) == nil && c.name == "supply_a":
			r.flag("beyond-clamp-range", "Use a clamp that takes the current; one beyond its range reads low.", "%s expected, %s goes up to %s", expected, c.instrument.ID, unit(largestRange(c), "A"))
		case c.instrument.RangeFor(c.name, at.expected) == nil:
			r.flag("beyond-range", "A meter beyond its range may be damaged, or read low.", "%s: %s expected, %s goes up to %s", c.name, expected, c.instrument.ID, unit(largestRange(c), unitOf[c.name]))
		case c.instrument.RangeFor(c.name, room(c.name)*at.expected) == nil:
			r.flag("little-headroom", "A unit that gives more than is claimed goes beyond the range.", "%s: %s expected, the largest range of %s ends at %s", c.name, expected, c.instrument.ID, unit(largestRange(c), unitOf[c.name]))
		}
	}
}

func largestRange(c choice) (to float64) {
	for n := range c.instrument.Ranges {
		if r := &c.instrument.Ranges[n]; r.Reads == c.name {
			to = max(to, r.To.Value)
		}
	}
	return to
}
