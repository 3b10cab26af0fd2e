package ledger

import (
	"strconv"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// captureNeeds names what a run's figures rest on where it was read from a capture.
func (c *collector) captureNeeds(r *sheet.Run) []string {
	if r.Captured == nil {
		return nil
	}
	return c.ofCapture(r.Captured.Rec)
}

// specNeeds names what a stated figure rests on where it was read from a capture.
func (c *collector) specNeeds(s *sheet.Spec) []string {
	if s.Captured == nil {
		return nil
	}
	return c.ofCapture(s.Captured.Rec)
}

func (c *collector) ofCapture(from *record.Capture) []string {
	names := []string{"capture " + from.ID}
	if id := from.Recorder.ID; id != "" && c.sheet.Content.Bench.Instrument(id) != nil {
		names = append(names, "instrument "+id)
	}
	return names
}

// captured is what a run takes from its capture.
func (f *facts) captured(r *sheet.Run) {
	if r.Captured == nil {
		return
	}
	f.text("capture", r.Captured.Rec.ID)
	f.number("from_s", r.Rec.FromS)
	f.number("to_s", r.Rec.ToS)
	f.text("capture_as", r.Captured.Taken.As)
}

// captureBasis is a capture: its bytes, and how they are read and scaled.
func (c *collector) captureBasis(id string) Basis {
	f := &facts{}
	for _, one := range c.sheet.Captures {
		if one.ID == id {
			f.text("sha256", one.Digest)
			f.capture(one.Rec)
		}
	}
	return f.basis("capture " + id)
}

func (f *facts) capture(c *record.Capture) {
	f.text("recorder", c.Recorder.ID)
	f.number("clock_pct", c.ClockPct)
	f.number("rate_hz", c.RateHz)
	f.number("time_column", c.TimeColumn)
	f.text("separator", c.Separator)
	f.flag("decimal_comma", c.DecimalComma)
	f.number("header_lines", c.HeaderLines)
	for i := range c.Channels {
		ch, key := &c.Channels[i], "channel "+strconv.Itoa(i+1)+" "
		f.number(key+"column", ch.Column)
		f.text(key+"role", ch.Role)
		f.text(key+"of", ch.Of)
		f.number(key+"scale", ch.Scale)
		f.number(key+"scale_pct", ch.ScalePct)
		f.number(key+"scale_k", ch.ScaleK)
		f.text(key+"scale_by", ch.ScaleBy)
		f.number(key+"offset", ch.Offset)
		f.number(key+"offset_pm", ch.OffsetPM)
	}
}

// specCapture is what a stated figure takes from its capture.
func (f *facts) specCapture(s *record.Spec) {
	if s.Taken == nil {
		return
	}
	f.text("capture", s.Capture.ID)
	f.number("from_s", s.FromS)
	f.number("to_s", s.ToS)
	f.text("capture_as", s.CaptureAs)
	f.text("of", s.Of)
	f.number("at_hz", s.AtHz)
	f.number("drop_db", s.DropDB)
	f.number("low_hz", s.LowHz)
	f.number("high_hz", s.HighHz)
	f.text("weighting", s.Weighting)
	f.number("ref_w", s.RefW)
	f.number("ref_ohm", s.RefOhm)
}
