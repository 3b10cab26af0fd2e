package sheet

import (
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
)

// isCaptured reports whether a figure comes from a capture, by its formula.
func isCaptured(id string) bool { return strings.HasPrefix(id, "capture-") }

// typed reports whether a run has typed readings.
func (r *Run) typed() bool {
	for _, q := range record.ReadQuantities {
		if len(r.Rec.Readings(q)) > 0 {
			return true
		}
	}
	return r.Captured == nil
}

// fromCapture says what was read from a run's capture, and how its columns are scaled.
func (d *derivation) fromCapture(r *Run) {
	c := r.Captured
	if c == nil {
		return
	}
	d.head("From its capture")
	t := c.Taken
	d.say(2, "Read from %s, as %s, at %s samples a second: %s", c.Where, c.AsText, num(t.RateHz), c.Rec.File)
	if t.HighHz > 0 {
		d.say(2, "Distortion and noise from %s to %s", hertz(t.LowHz), hertz(t.HighHz))
	}
	d.say(2, "SHA-256 of the file: %s", t.Digest)
	for i := range c.Rec.Channels {
		d.column(&c.Rec.Channels[i])
	}
	if c.Freq != nil {
		d.figure("Frequency", c.Freq, "")
	}
	for _, ch := range c.Channels {
		if len(ch.Levels) > 0 {
			d.say(2, "Channel %s: %s, from %s%sW to %s%sW", ch.Name, countOf(len(ch.Levels), "level"), num(ch.Levels[0].PowerW), nbsp, num(ch.Levels[len(ch.Levels)-1].PowerW), nbsp)
		}
		if len(ch.Bursts) > 0 {
			d.say(2, "Channel %s: %s", ch.Name, countOf(len(ch.Bursts), "whole burst"))
		}
	}
}

// column says how a column is scaled, and how well.
func (d *derivation) column(ch *record.CaptureChannel) {
	what, unit := saidOf[ch.Role], unitOf[ch.Role]
	switch ch.Role {
	case "out":
		what, unit = saidOf["out_v"], "V"
		if ch.Of != "" {
			what += ", channel " + ch.Of
		}
	case "in":
		what, unit = "input volts", "V"
	}
	s := d.begun(2)
	by, how := "√3", ""
	if ch.ScaleK.Given() {
		by, how = typed(ch.ScaleK), ", expanded with k = "+typed(ch.ScaleK)
	}
	gain, offset := scaleU(ch)
	s.add("Column %s, %s: %s%s%s a sample of 1, ±%s%s%%%s: u = %s%s%%/%s = %s of it", typed(ch.Column), what, typed(ch.Scale), nbsp, unit, typed(ch.ScalePct), nbsp, how,
		typed(ch.ScalePct), nbsp, by, num(gain))
	if ch.ScaleBy != "" {
		s.add(", by %s", ch.ScaleBy)
	}
	if ch.Offset.Value != 0 || offset > 0 {
		s.add("; offset %s%s%s, ±%s%s%s: u = %s/%s = %s%s%s", num(ch.Offset.Value), nbsp, unit, num(ch.OffsetPM.Value), nbsp, unit, num(ch.OffsetPM.Value), by, num(offset), nbsp, unit)
	}
	s.add(" %s", d.by(formula.CaptureScale))
	d.end(&s)
}

// putVolts puts a typed reading of volts into its formula; empty for captured ones.
func (d *derivation) putVolts(r *Run, i int, c *Channel) string {
	if isCaptured(c.Volts.Formula) {
		return ""
	}
	return d.putCorrected(r, "out_v", r.Rec.OutV.Items[i])
}

// putTyped is [derivation.putCorrected] of a figure that may have been captured.
func (d *derivation) putTyped(r *Run, q string, n record.Number, f *Figure) string {
	if isCaptured(f.Formula) {
		return ""
	}
	return d.putCorrected(r, q, n)
}

// comesOut is the power that efficiency and heat are made of: the total, or over whole
// repetitions of bursts.
func (d *derivation) comesOut(r *Run) string {
	if r.Efficiency == nil || r.Efficiency.Formula != formula.CaptureRound {
		if r.Total == nil {
			return ""
		}
		return calc(r.Total.X)
	}
	var terms []string
	for _, c := range r.Captured.Channels {
		terms = append(terms, calc(c.Round.X))
	}
	if len(terms) == 1 {
		return terms[0]
	}
	return "(" + strings.Join(terms, " + ") + ")"
}

// beside gives what a capture tells beside the run's figures.
func (d *derivation) beside(r *Run) {
	if r.Captured == nil {
		return
	}
	for _, c := range r.Captured.Channels {
		if c.THD == nil && c.Onset == nil && c.Most == nil && c.Round == nil {
			continue
		}
		d.head("Channel %s, from the capture", c.Name)
		if c.THD != nil {
			d.figure("Harmonics", c.THD, "")
		}
		if c.Onset != nil {
			d.figure("Where clipping begins", c.Onset, "")
		}
		if c.Most != nil {
			d.figure("Clipped", c.Most, "")
		}
		if c.Round != nil {
			d.figure("Over whole repetitions", c.Round, "")
		}
	}
	if len(r.Captured.Compared) == 0 {
		return
	}
	d.head("Typed readings against the capture, which counts")
	for _, c := range r.Captured.Compared {
		of := ""
		if c.Channel != "" {
			of = ", channel " + c.Channel
		}
		says := "they agree"
		if c.Disagrees {
			says = "they disagree"
		}
		d.figure(capital(saidOf[c.Quantity])+of, c.Difference, text("%s − %s", num(c.Typed.X), num(c.Captured.X)))
		d.say(4, "U = %s: %s", amount{c.Difference.U, c.Difference.Unit}, says)
	}
}
