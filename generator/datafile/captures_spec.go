package datafile

import (
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A dataSpecRead is from which capture a stated figure was read, and what that gave before
// the errors of scales and of the sampling rate.
type dataSpecRead struct {
	// Capture is the capture's id.
	Capture string `json:"capture"`
	// FromS is where the interval begins as the record states it, in seconds.
	FromS *number `json:"from_s,omitempty"`
	// ToS is its end.
	ToS *number `json:"to_s,omitempty"`
	// As says what was read: corner-low, corner-high, slope, boost-centre, boost-height or
	// signal-to-noise.
	As string `json:"as"`
	// Of is the channel whose output it is; left out where the capture has one.
	Of string `json:"of,omitempty"`
	// AtHz is the frequency whose level a corner or a boost is told against.
	AtHz *number `json:"at_hz,omitempty"`
	// DropDB is by how much the response has fallen at a corner; left out for 3.
	DropDB *number `json:"drop_db,omitempty"`
	// LowHz is where the stretch of a slope, or the band of noise, begins.
	LowHz *number `json:"low_hz,omitempty"`
	// HighHz is where it ends.
	HighHz *number `json:"high_hz,omitempty"`
	// Weighting is a for A-weighted noise, or none.
	Weighting string `json:"weighting,omitempty"`
	// RefW is the power that a signal to noise ratio refers to.
	RefW *number `json:"ref_w,omitempty"`
	// RefOhm is the load that this power goes into.
	RefOhm *number `json:"ref_ohm,omitempty"`
	// Taken is what was read; left out where nothing was.
	Taken *dataSpecTaken `json:"taken,omitempty"`
	// Compared is the typed figure against the capture, which counts.
	Compared *dataCompared `json:"compared,omitempty"`
}

// A dataSpecTaken is what was read from a capture for a stated figure.
type dataSpecTaken struct {
	// FromS is where the interval begins, in seconds after the first sample.
	FromS number `json:"from_s"`
	// ToS is where it ends.
	ToS number `json:"to_s"`
	// Value is the figure by itself, with its scatter; of noise volts.
	Value dataMean `json:"value"`
	// Between is a half-width: what the way between two points of the response leaves open.
	Between number `json:"between"`
	// Pace is a half-width: what the sweep's speed does.
	Pace number `json:"pace"`
	// Response is the response, by rising frequency; left out for noise.
	Response []dataGain `json:"response,omitempty"`
}

// A dataGain is the magnitude of a response at one frequency.
type dataGain struct {
	// FreqHz is the frequency.
	FreqHz number `json:"freq_hz"`
	// DB is the output to the input, or to 1 V where the input wasn't recorded, in decibels.
	DB number `json:"db"`
	// Cycles is how many periods it is the mean of.
	Cycles int `json:"cycles"`
}

// specRead is what a stated figure has from its capture; nil where it names none.
func (k *causes) specRead(s *sheet.Spec) *dataSpecRead {
	rec := s.Rec
	if !rec.Capture.Given() {
		return nil
	}
	d := &dataSpecRead{
		Capture: rec.Capture.ID, FromS: given(rec.FromS), ToS: given(rec.ToS), As: rec.CaptureAs, Of: rec.Of, AtHz: given(rec.AtHz),
		LowHz: given(rec.LowHz), HighHz: given(rec.HighHz), Weighting: rec.Weighting, RefW: given(rec.RefW), RefOhm: given(rec.RefOhm),
	}
	if rec.DropDB.Given() {
		d.DropDB = given(rec.DropDB)
	}
	if t := rec.Taken; t != nil {
		d.Taken = &dataSpecTaken{FromS: number(t.FromS), ToS: number(t.ToS), Value: dataMean{number(t.Value.X), number(t.Value.U), number(t.Value.DoF), t.Value.N},
			Between: number(t.Between), Pace: number(t.Pace)}
		for _, g := range t.Curve {
			d.Taken.Response = append(d.Taken.Response, dataGain{number(g.FreqHz), number(g.DB), g.Cycles})
		}
	}
	if s.Captured != nil && s.Captured.Other != nil {
		one := s.Captured.Other
		d.Compared = &dataCompared{one.Quantity, "", k.figure(one.Typed), k.figure(one.Difference), one.Disagrees}
	}
	return d
}

// taken is what specRead was given, with what the capture says of its file.
func (d *dataSpecTaken) taken(of dataCapture) *record.TakenSpec {
	t := &record.TakenSpec{
		Digest: of.SHA256, Frames: int64(of.Frames), Columns: of.Columns, FromS: float64(d.FromS), ToS: float64(d.ToS),
		Value: d.Value.mean(), Between: float64(d.Between), Pace: float64(d.Pace),
	}
	if of.RateHz != nil {
		t.RateHz = float64(*of.RateHz)
	}
	for _, g := range d.Response {
		t.Curve = append(t.Curve, record.Gain{FreqHz: float64(g.FreqHz), DB: float64(g.DB), Cycles: g.Cycles})
	}
	return t
}

// takenSpecs puts beside the stated figures what their captures gave.
func (d *Sheet) takenSpecs(rec *record.Record) {
	if rec == nil || len(rec.Specs) != len(d.Specs) {
		return
	}
	for i, s := range d.Specs {
		if s.Read == nil || s.Read.Taken == nil {
			continue
		}
		for _, c := range d.Captures {
			if c.ID == s.Read.Capture {
				rec.Specs[i].Taken = s.Read.Taken.taken(c)
			}
		}
	}
}

// specRead writes from where a stated figure was read.
func (t *tomlText) specRead(r *dataSpecRead) {
	if r == nil {
		return
	}
	t.text("capture", r.Capture)
	t.given("from_s", r.FromS)
	t.given("to_s", r.ToS)
	t.text("capture_as", r.As)
	t.text("of", r.Of)
	t.given("at_hz", r.AtHz)
	t.given("drop_db", r.DropDB)
	t.given("low_hz", r.LowHz)
	t.given("high_hz", r.HighHz)
	t.text("weighting", r.Weighting)
	t.given("ref_w", r.RefW)
	t.given("ref_ohm", r.RefOhm)
}
