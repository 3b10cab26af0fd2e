package sheet

import (
	"fmt"
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// ofCapture finds typed readings that disagree with a run's capture, a signal of another
// frequency than stated, and a recorder that doesn't fit.
func (e *evaluator) ofCapture(r *Run) (out []Finding) {
	c := r.Captured
	if c == nil {
		return nil
	}
	if i := e.content.Bench.Instrument(c.Rec.Recorder.ID); i != nil {
		if day := r.Rec.At.Text; i.Due.Given() && len(day) >= 10 && day[:10] > i.Due.Text {
			out = append(out, Finding{"calibration-past", c.Rec.Recorder.Place, fmt.Sprintf("run %s: it was recorded on %s, the calibration of %s held until %s", r.ID, day[:10], i.ID, i.Due.Text), "the instrument is due for calibration, or its dates are not up to date"})
		}
		if i.BandwidthHz.Given() && c.Taken.HighHz > i.BandwidthHz.Value {
			out = append(out, Finding{"beyond-bandwidth", c.Rec.Recorder.Place, fmt.Sprintf("run %s: distortion is told up to %s, %s is specified up to %s", r.ID, hertz(c.Taken.HighHz), i.ID, hertz(i.BandwidthHz.Value)), "a band that is too wide for the recorder: high_hz of the method"})
		}
	}
	if high := c.Taken.HighHz; high > 0 && harmonicsCut(high, r.FreqHz) && slices.ContainsFunc(r.Channels, func(c *Channel) bool { return c.Distortion != nil }) {
		out = append(out, Finding{"harmonics-beyond-band", r.Rec.Key("capture"), fmt.Sprintf("run %s: distortion is told up to %s: %s", r.ID, hertz(high), harmonicsText(r.FreqHz)), "high_hz of the method, 20 kHz where it states none, or a capture of too few samples a second; the distortion is larger than told"})
	}
	add := func(id, key, text, cause string) {
		out = append(out, Finding{id, r.Rec.Key(key), "run " + r.ID + ": " + text, cause})
	}
	for _, one := range c.Compared {
		if one.Disagrees {
			of := ""
			if one.Channel != "" {
				of = "channel " + one.Channel + ": "
			}
			add("capture-disagrees", one.Quantity, fmt.Sprintf("%s%s as typed, %s, is off the capture's %s by %s; the capture counts", of, saidOf[one.Quantity], one.Typed.Text, one.Captured.Text, one.Difference.Text),
				"a scale of the capture that is stated wrongly, a misread meter, another moment of the run")
		}
	}
	for _, o := range c.Taken.Outs {
		if column := c.Rec.Out(o.Channel); column != nil && offZero(o, column) {
			add("capture-mean", "capture", fmt.Sprintf("channel %s: the output in the capture has a mean of %s%sV, %s%s%% of the power that is taken from it", o.Channel,
				quantity.Significant(o.MeanV, 3), nbsp, quantity.Significant(100*o.MeanV*o.MeanV/(o.RMS.X*o.RMS.X), 2), nbsp),
				"an offset of the recorder or of its probe, which belongs into offset of the column; or DC at the unit's output, which heats a voice coil")
		}
	}
	if f := c.Freq; c.OtherFreq {
		add("capture-frequency", "capture", fmt.Sprintf("the signal in the capture has %s, more than 1%s%% off the frequency that is stated; the capture counts", f.Text, nbsp),
			"the generator was set to another frequency, or the sampling rate is stated wrongly")
	}
	return out
}

// meanCounts is the part of the power from which a mean that isn't zero is told.
const meanCounts = 0.001

// offZero tells a mean beyond what the column's offset is known to, which the power has in
// it.
func offZero(o record.TakenOut, column *record.CaptureChannel) bool {
	return math.Abs(o.MeanV) > column.OffsetPM.Value && o.MeanV*o.MeanV > meanCounts*o.RMS.X*o.RMS.X
}

// ofSpecs finds typed figures that disagree with the capture that they were read from.
func ofSpecs(s *Sheet) (out []Finding) {
	for _, sp := range s.Specs {
		if sp.Captured == nil || sp.Captured.Other == nil || !sp.Captured.Other.Disagrees {
			continue
		}
		one := sp.Captured.Other
		out = append(out, Finding{"capture-disagrees", sp.Rec.Measured.Place, fmt.Sprintf("spec %s: what was typed, %s, is off the capture's %s by %s; the capture counts", sp.ID, one.Typed.Text, one.Captured.Text, one.Difference.Text),
			"another interval or channel of the capture than was meant, a misread meter, filters that were set otherwise"})
	}
	return out
}

// ofRecorders finds the captures that a distortion was read from and whose recorder's own
// nobody states.
func ofRecorders(s *Sheet) (out []Finding) {
	told := map[string]bool{}
	for _, r := range s.Runs {
		if r.Captured == nil || told[r.Captured.Rec.ID] {
			continue
		}
		lacks := distortionLacks(r.Captured.Rec)
		if slices.ContainsFunc(r.Channels, func(c *Channel) bool {
			return c.Distortion != nil && slices.Contains(c.Distortion.Incomplete, lacks)
		}) {
			told[r.Captured.Rec.ID] = true
			out = append(out, Finding{"uncertainty-incomplete", r.Captured.Rec.Place, lacks,
				"no recorder is named, or its [[instrument]] in bench.toml has no range that reads thdn_pct and holds this: its data sheet has its own THD+N"})
		}
	}
	return out
}

// ofClocks finds the captures that a frequency was read from and whose sampling rate nobody
// states the error of.
func ofClocks(s *Sheet) (out []Finding) {
	told := map[string]bool{}
	look := func(c *record.Capture, f *Figure) {
		if f == nil || c.ClockPct.Given() || told[c.ID] || f.Unit != "Hz" {
			return
		}
		told[c.ID] = true
		out = append(out, Finding{"uncertainty-incomplete", c.Place, clockLacks(c), "clock_pct isn't written down: the recorder's data sheet has it, often in parts per million (50 ppm is 0.005)"})
	}
	for _, r := range s.Runs {
		if r.Captured != nil {
			look(r.Captured.Rec, r.Captured.Freq)
		}
	}
	for _, sp := range s.Specs {
		if sp.Captured != nil {
			look(sp.Captured.Rec, sp.Measured)
		}
	}
	return out
}
