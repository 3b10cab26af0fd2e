package capture

import (
	"math"

	"wattsheet/generator/quantity"
)

// A Scale makes samples volts or amperes:
//
//	y = Gain·x + Offset
//
// x is the sample as the source gives it.
type Scale struct {
	// Name of what scales: a divider, a shunt, a recorder's range. Channels of one
	// name share their errors, others don't.
	Name string
	Unit string  // of y
	Gain float64 // in Unit; not 0, negative where the wires were crossed
	// GainRel is the relative standard uncertainty of Gain: 0.01 is 1 %.
	GainRel float64
	Offset  float64 // what a sample of 0 stands for, in Unit
	OffsetU float64 // its standard uncertainty, in Unit
	// DoF are the degrees of freedom of both uncertainties; 0 is taken as infinite.
	DoF float64
}

// A Channel is a column of a source, counted from 0, and its scale.
type Channel struct {
	Index int
	Scale Scale
}

// check finds what would make numbers without meaning.
func (c Channel) check(f Format) error {
	s := c.Scale
	bad := func(x float64) bool { return !(math.Abs(x) <= largest) }
	switch {
	case c.Index < 0 || c.Index >= len(f.Names):
		return atFrame(-1, "count the channels from 1, in the order of the file", "the capture has no channel %d: its last is %d", c.Index+1, len(f.Names))
	case s.Gain == 0 || bad(s.Gain):
		return atFrame(-1, "state how many volts or amperes a sample of 1 stands for", "the scale of channel %d is %g", c.Index+1, s.Gain)
	case bad(s.GainRel) || bad(s.OffsetU) || s.GainRel < 0 || s.OffsetU < 0:
		return atFrame(-1, "state it as a standard uncertainty, 0 or more", "the scale of channel %d has no possible uncertainty", c.Index+1)
	case bad(s.Offset) || bad(s.DoF) && !math.IsInf(s.DoF, 1) || s.DoF < 0:
		return atFrame(-1, "state a number", "the scale of channel %d has no possible offset or degrees of freedom", c.Index+1)
	}
	return nil
}

func (s Scale) dof() float64 {
	if s.DoF == 0 {
		return math.Inf(1)
	}
	return s.DoF
}

// source names one of the scale's two causes of error.
func (s Scale) source(what string) quantity.Source {
	return quantity.Source{ID: "scale/" + s.Name + "/" + what, Name: what + " of " + s.Name, Kind: "instrument", Estimate: "scale/" + s.Name + "/" + what, DoF: s.dof()}
}

// gain is an exact 1 with the gain's relative error, to be multiplied with what is
// proportional to it.
func (s Scale) gain() quantity.Value { return quantity.New(1, "1", s.GainRel, s.source("gain")) }

// offset is an exact 0 with the offset's error.
func (s Scale) offset() quantity.Value {
	return quantity.New(0, s.Unit, s.OffsetU, s.source("offset"))
}

// apply scales samples: into and x may be one.
func (s Scale) apply(into, x []float64) {
	for i, v := range x {
		into[i] = s.Gain*v + s.Offset
	}
}

// propagate gives a figure y of a channel's samples with the errors of its scale.
// power is how y goes with the gain (1 for volts, 2 for their square), dOffset how it
// goes with the offset; without offset y is proportional to gain^power.
func (s Scale) propagate(y float64, unit string, power, dOffset float64) quantity.Value {
	// An error of the gain scales what is measured without the offset.
	return quantity.Combine(y, unit,
		quantity.Term{Value: s.gain(), Sensitivity: power*y - dOffset*s.Offset},
		quantity.Term{Value: s.offset(), Sensitivity: dOffset})
}
