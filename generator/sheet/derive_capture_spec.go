package sheet

import (
	"math"

	"wattsheet/generator/quantity"
)

// capturedSpec says what a stated figure was read from, and how far off that may be.
func (d *derivation) capturedSpec(sp *Spec) {
	c, rec := sp.Captured, sp.Rec
	t := c.Taken
	d.head("Measured")
	d.say(2, "Read from %s, as %s, at %s samples a second: %s", c.Where, c.AsText, num(t.RateHz), c.Rec.File)
	d.say(2, "SHA-256 of the file: %s", t.Digest)
	if rec.How != "" {
		d.say(2, "How: %s", rec.How)
	}
	for i := range c.Rec.Channels {
		ch := &c.Rec.Channels[i]
		if ch == c.Rec.OutOf(rec.Of) || ch.Role == "in" && rec.CaptureAs != "signal-to-noise" {
			d.column(ch)
		}
	}
	putIn := ""
	if rec.CaptureAs == "signal-to-noise" {
		d.say(2, "Vn = %s%sV, mean of %s; it scatters by u = %s%sV", num(t.Value.X), nbsp, countOf(t.Value.N, "block"), num(t.Value.U), nbsp)
		putIn = text("20·lg(√(%s·%s)/%s)", num(rec.RefW.Value), num(rec.RefOhm.Value), num(t.Value.X))
	} else {
		d.say(2, "Response of %s, %s to %s", countOf(len(t.Curve), "point"), hertz(hundredth(t.Curve[0].FreqHz)), hertz(hundredth(t.Curve[len(t.Curve)-1].FreqHz)))
		d.say(2, "Scatter of %s: u = %s%s, ν = %s", countOf(t.Value.N, "point"), num(t.Value.U), behind(rec.Unit), num(t.Value.DoF))
		for _, h := range []struct {
			what string
			half float64
		}{{"Between two points", t.Between}, {"Speed of the sweep", t.Pace}} {
			if h.half > 0 {
				d.say(2, "%s: half-width %s%s, u = %s/√3 = %s%s", h.what, num(h.half), behind(rec.Unit), num(h.half), num(quantity.Rectangular(h.half)), behind(rec.Unit))
			}
		}
	}
	d.figure("Measured", sp.Measured, putIn)
	if c.Other == nil {
		return
	}
	d.head("What was typed against the capture, which counts")
	says := "they agree"
	if c.Other.Disagrees {
		says = "they disagree"
	}
	d.figure("Difference", c.Other.Difference, text("%s − %s", num(c.Other.Typed.X), num(c.Other.Captured.X)))
	d.say(4, "U = %s: %s", amount{c.Other.Difference.U, c.Other.Difference.Unit}, says)
}

// hundredth rounds to two decimals.
func hundredth(x float64) float64 { return math.Round(x*100) / 100 }
