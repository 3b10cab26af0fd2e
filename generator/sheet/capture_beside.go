package sheet

import (
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// readAsText says as what captures are read.
var readAsText = map[string]string{
	"steady": "a steady tone", "steps": "a tone whose level rises in steps", "sweep": "a tone whose level rises evenly", "bursts": "bursts of a tone",
}

// captured fills in what a run has from its capture beside its figures.
func (d *reader) captured(r *Run) {
	t, c := d.taken(d.run)
	if t == nil {
		return
	}
	out := &Captured{Rec: c, Taken: t, Where: whereIn(c, t), AsText: readAsText[t.As]}
	if f := t.FreqHz; f.Given() {
		out.Freq = d.capturedFreq(t, c)
		if stated := r.FreqHz; stated > 0 && !within(f.X, stated, nominalReach) {
			r.FreqHz, out.OtherFreq = f.X, true
		}
	}
	for i, ch := range r.Channels {
		if o, _, column := d.takenOut(d.run, ch.Name); o != nil {
			out.Channels = append(out.Channels, d.capturedChannel(r, i, o, column))
		}
	}
	d.compare(r, out)
	r.Captured = out
}

// whereIn says which part of a capture was read.
func whereIn(c *record.Capture, t *record.Taken) string {
	return "capture " + c.ID + ", " + plain(micro(t.FromS)) + " to " + plain(micro(t.ToS)) + nbsp + "s"
}

// micro rounds seconds to microseconds.
func micro(s float64) float64 { return math.Round(s*1e6) / 1e6 }

func (d *reader) capturedFreq(t *record.Taken, c *record.Capture) *Figure {
	clock, lacks := d.clock(c, t.FreqHz.X)
	v := quantity.Exact(t.FreqHz.X, "Hz").Add(d.spreadOver(t.FreqHz, "frequency", "", "Hz", 1))
	return figure("frequency", "f", formula.CaptureFreq, measured{v.Add(clock), lacks})
}

func (d *reader) capturedChannel(r *Run, i int, o *record.TakenOut, column *record.CaptureChannel) *CapturedChannel {
	out := &CapturedChannel{Name: o.Channel, Column: o.Column, Out: o, Crest: o.Crest}
	_, c := d.taken(d.run)
	at := d.circuit(i, o.Channel)
	power := func(id string, m record.Mean, what string) *Figure {
		if !m.Given() {
			return nil
		}
		v := d.scaled(m, c, column, 0, what, o.Channel, "V")
		if id == formula.CaptureOnset && o.OnsetOff > 0 {
			v = v.Add(d.between("onset", o.Channel, "V", o.OnsetOff))
		}
		return figure("power", "P", id, d.powerOf(measured{Value: v}, at))
	}
	if o.THD.Given() && r.Rec.Taken.As == "steady" {
		v := quantity.Exact(100*o.THD.X, "%").Add(d.spreadOver(o.THD, "harmonics", o.Channel, "%", 100))
		out.THD = figure("thd", "dh", formula.CaptureThd, d.recorderDistorts(v, c, o.Channel))
	}
	out.Onset = power(formula.CaptureOnset, o.OnsetV, "volts where clipping begins")
	out.Most = power(formula.CaptureMost, o.MostV, "volts, clipped")
	out.Round = power(formula.PowerVolts, o.RoundV, "output volts over whole repetitions")
	watts := func(v float64) float64 { return d.powerOf(measured{Value: quantity.Exact(v, "V")}, at).X }
	for _, l := range o.Levels {
		one := CapturedLevel{AtS: l.AtS, PowerW: watts(l.RMS), THDPct: 100 * l.THD, THDNPct: 100 * l.THDN,
			Flat: l.Flat, SupplyV: l.SupplyV, SupplyW: l.SupplyW}
		if l.SupplyW > 0 && len(r.Channels) == 1 {
			one.EfficiencyPct = 100 * one.PowerW / l.SupplyW
		}
		out.Levels = append(out.Levels, one)
	}
	for _, b := range o.Bursts {
		out.Bursts = append(out.Bursts, CapturedBurst{StartS: b.StartS, EndS: b.EndS, PowerW: watts(b.RMS), SupplyV: b.SupplyV, SagV: b.SagV})
	}
	return out
}

// compare holds typed readings against the capture.
func (d *reader) compare(r *Run, out *Captured) {
	run := d.run
	add := func(q, channel string, typed, captured *Figure) {
		if typed == nil || captured == nil {
			return
		}
		a, b := measured{typed.value, typed.Incomplete}, measured{captured.value, captured.Incomplete}
		diff := figure("check", "Δ", formula.CaptureCheck, with(a.Sub(b.Value), a, b))
		out.Compared = append(out.Compared, Compared{q, channel, typed, captured, diff, math.Abs(diff.X) > diff.U})
	}
	read := func(q, symbol, channel string, n record.Number) *Figure {
		return figure(q, symbol, d.readingFormula(run, q, n), d.reading(q, n, channel))
	}
	for i, c := range r.Channels {
		if o, _, _ := d.takenOut(run, c.Name); o == nil {
			continue
		}
		if i < len(run.PowerW.Items) {
			v := measured{c.Volts.value, c.Volts.Incomplete}
			add("power_w", c.Name, read("power_w", "P", c.Name, run.PowerW.Items[i]), figure("power", "P", formula.PowerVolts, d.powerOf(v, d.circuit(i, c.Name))))
		}
		if i < len(run.OutV.Items) {
			add("out_v", c.Name, read("out_v", "V", c.Name, run.OutV.Items[i]), c.Volts)
		}
		if i < len(run.ThdnPct.Items) && c.Distortion != nil && d.capturedDistortion(c.Name) != nil {
			add("thdn_pct", c.Name, d.distortion(run, i, c.Name), c.Distortion)
		}
	}
	bySupply := func(q, symbol string, n record.Number, captured *Figure, id string) {
		if n.Given() && captured != nil && captured.Formula == id {
			add(q, "", read(q, symbol, "", n), captured)
		}
	}
	bySupply("supply_v", "Vs", run.SupplyV, r.SupplyV, formula.CaptureMean)
	bySupply("supply_a", "Is", run.SupplyA, r.SupplyA, formula.CaptureMean)
	bySupply("supply_w", "Ps", run.SupplyW, r.SupplyPower, formula.CaptureWatts)
}

// captures are those that the sheet's runs and stated figures were read from, in the
// record's order.
func captures(rec *record.Record, runs []*Run) (out []*Capture) {
	for i := range rec.Captures {
		c := &Capture{Rec: &rec.Captures[i], ID: rec.Captures[i].ID}
		for _, r := range runs {
			if r.Rec.Capture.ID != c.ID {
				continue
			}
			c.Runs = append(c.Runs, r)
			if t := r.Rec.Taken; t != nil {
				c.Digest, c.RateHz, c.Frames, c.Columns = t.Digest, t.RateHz, t.Frames, t.Columns
				c.Seconds = float64(t.Frames) / t.RateHz
			}
		}
		for n := range rec.Specs {
			s := &rec.Specs[n]
			if s.Capture.ID != c.ID {
				continue
			}
			c.Specs = append(c.Specs, s)
			if t := s.Taken; t != nil {
				c.Digest, c.RateHz, c.Frames, c.Columns = t.Digest, t.RateHz, t.Frames, t.Columns
				c.Seconds = float64(t.Frames) / t.RateHz
			}
		}
		if len(c.Runs)+len(c.Specs) > 0 {
			out = append(out, c)
		}
	}
	return out
}
