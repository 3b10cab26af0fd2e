package sheet

import (
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A CapturedSpec is where a stated figure was read from a capture.
type CapturedSpec struct {
	Rec    *record.Capture
	Taken  *record.TakenSpec
	Where  string    // "capture c03, 0 s to 40 s"
	AsText string    // as what it was read: "its upper corner, 3 dB below the level at 20 Hz"
	Other  *Compared // with what was typed; nil without that
}

// specFormula is the formula and the symbol of each figure that is read from a capture.
var specFormula = map[string][2]string{
	"corner-low": {formula.CaptureCorner, "f"}, "corner-high": {formula.CaptureCorner, "f"}, "slope": {formula.CaptureSlope, "S"},
	"boost-centre": {formula.CaptureCentre, "f"}, "boost-height": {formula.CaptureHeight, "h"}, "signal-to-noise": {formula.CaptureNoise, "SNR"},
}

// capturedSpec is what a stated figure has from its capture; nil where it has none. What was
// typed beside it is compared with it.
func (e *evaluator) capturedSpec(rec *record.Spec) (*Figure, *CapturedSpec) {
	t, c := rec.Taken, e.rec.Capture(rec.Capture.ID)
	if t == nil || c == nil {
		return nil, nil
	}
	column := c.OutOf(rec.Of)
	by, known := specFormula[rec.CaptureAs]
	if column == nil || !known {
		return nil, nil
	}
	m := e.takenSpec(rec, c, column)
	f := figure("measured", by[1], by[0], m)
	out := &CapturedSpec{Rec: c, Taken: t, Where: whereIn(c, &record.Taken{FromS: t.FromS, ToS: t.ToS}), AsText: specAs(rec)}
	if typed, ok := measuredSpec(rec); ok {
		diff := figure("check", "Δ", formula.CaptureCheck, with(typed.Sub(m.Value), typed, m))
		out.Other = &Compared{"measured", "", figure("measured", "y", typedFormula(rec), typed), f, diff, math.Abs(diff.X) > diff.U}
	}
	return f, out
}

// typedFormula is the formula of what was typed: as read, or a mean.
func typedFormula(rec *record.Spec) string {
	if len(rec.Measured.Items) > 1 {
		return formula.Mean
	}
	return formula.AsRead
}

// takenSpec is a capture's figure with all that is known to be uncertain in it.
func (e *evaluator) takenSpec(rec *record.Spec, c *record.Capture, column *record.CaptureChannel) measured {
	t := rec.Taken
	if rec.CaptureAs == "signal-to-noise" {
		perRel := -20 / math.Ln10
		terms := append(e.scale(c, column, perRel, 0), quantity.Term{Value: e.specCause(rec, "spread", "spread over time, noise", "V", t.Value.U, t.Value.DoF), Sensitivity: perRel / t.Value.X})
		return measured{Value: quantity.Combine(20*math.Log10(math.Sqrt(rec.RefW.Value*rec.RefOhm.Value)/t.Value.X), rec.Unit, terms...)}
	}
	v := quantity.Exact(t.Value.X, rec.Unit).
		Add(e.specCause(rec, "scatter", "scatter of the response's points", rec.Unit, t.Value.U, t.Value.DoF)).
		Add(e.specCause(rec, "between", "between two points of the response", rec.Unit, quantity.Rectangular(t.Between), 0)).
		Add(e.specCause(rec, "pace", "speed of the sweep", rec.Unit, quantity.Rectangular(t.Pace), 0))
	if rec.Unit != "Hz" {
		return measured{Value: v}
	}
	clock, lacks := e.clock(c, t.Value.X)
	return measured{Value: v.Add(clock), lacks: lacks}
}

// specCause is an exact 0 with one error of a stated figure's own.
func (e *evaluator) specCause(rec *record.Spec, what, name, unit string, u, dof float64) quantity.Value {
	if u == 0 {
		return quantity.Exact(0, unit)
	}
	if dof == 0 {
		dof = math.Inf(1)
	}
	return quantity.New(0, unit, u, quantity.Source{ID: e.unique("spec " + rec.ID + "/" + what), Name: name, Kind: "spread", DoF: dof})
}

// clockPct is what the sampling rate of a capture is taken to be known to where that isn't stated,
// a half-width in percent: the tolerance, the temperature and the ageing of a plain crystal
// (common practice, no source).
const clockPct = 0.01

// clock is an exact 0 with the error that the sampling rate brings to a frequency, and what
// isn't stated of it.
func (e *evaluator) clock(c *record.Capture, freq float64) (quantity.Value, []string) {
	whose := c.Recorder.ID
	if whose == "" {
		whose = e.unique(c.ID)
	}
	pct, lacks := c.ClockPct.Value, []string(nil)
	if !c.ClockPct.Given() {
		pct, lacks = clockPct, []string{clockLacks(c)}
	}
	return quantity.New(0, "Hz", freq*quantity.Rectangular(pct/100), quantity.Source{
		ID: "clock " + whose, Name: "sampling rate (" + whose + ")", Kind: "instrument", Group: "clock " + whose, DoF: math.Inf(1),
	}), lacks
}

func clockLacks(c *record.Capture) string {
	return "it is not stated how well the sampling rate of capture " + c.ID + " is known; " + plain(clockPct) + nbsp + "% is assumed"
}

// specAs says as what a stated figure was read from its capture.
func specAs(rec *record.Spec) string {
	below := plain(rec.DropDB.Value) + nbsp + "dB below the level at " + hertz(rec.AtHz.Value)
	switch rec.CaptureAs {
	case "corner-low":
		return "its lower corner, " + below
	case "corner-high":
		return "its upper corner, " + below
	case "slope":
		return "its slope between " + hertz(rec.LowHz.Value) + " and " + hertz(rec.HighHz.Value)
	case "boost-centre":
		return "the centre of its boost"
	case "boost-height":
		return "the height of its boost above the level at " + hertz(rec.AtHz.Value)
	}
	weighted := "unweighted"
	if rec.Weighting == "a" {
		weighted = "A-weighted"
	}
	return "its noise from " + hertz(rec.LowHz.Value) + " to " + hertz(rec.HighHz.Value) + ", " + weighted + ", against " + plain(rec.RefW.Value) + nbsp + "W into " + Ohms(rec.RefOhm.Value)
}
