package sheet

import (
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
)

// DeriveRun is how every figure of a run comes about, from the readings on.
func (s *Sheet) DeriveRun(r *Run) []Passage { return s.Deriver().Run(r) }

// Run is [Sheet.DeriveRun].
func (v *Deriver) Run(r *Run) []Passage {
	d := v.begin()
	d.aboutRun(r)
	return d.done()
}

func (d *derivation) aboutRun(r *Run) {
	d.of = r
	d.run(r)
	for i, c := range r.Channels {
		if d.page {
			d.head("Channel %s", c.Name)
			d.gathers = true
		}
		d.load(r, i, c)
		d.channel(r, i, c)
		d.gathered()
	}
	d.supply(r)
	d.sources()
}

// run says what the run is, and gives its readings.
func (d *derivation) run(r *Run) {
	if d.page {
		d.common.made(r.Method)
	}
	d.head("Run %s of %s", r.ID, d.s.Name)
	d.say(2, "Method %s: %s", r.Method.ID, r.Method.Title)
	if r.Rec.At.Text != "" {
		d.say(2, "Made at %s", r.Rec.At.Text)
	}
	if r.FreqHz > 0 {
		d.say(2, "Signal: %s, %s", r.Method.Signal, hertz(r.FreqHz))
	}
	d.say(2, "Ended: %s", r.OutcomeText)
	if !r.Valid {
		d.say(2, "Marked invalid, so it counts for nothing: %s", r.Rec.Invalid)
	}
	for _, caution := range r.Cautions {
		d.say(2, "Caution: %s", caution)
	}
	d.fromCapture(r)
	if !r.typed() {
		return
	}
	d.head("Readings, as written")
	for _, q := range record.ReadQuantities {
		perChannel := q == "power_w" || q == "out_v" || q == "thdn_pct" || q == "load_c"
		for i, n := range r.Rec.Readings(q) {
			channel := ""
			if perChannel && i < len(r.Channels) {
				channel = r.Channels[i].Name
			}
			d.reading(2, r, q, n, channel)
		}
	}
}

// load gives a channel's load, step by step.
func (d *derivation) load(r *Run, i int, c *Channel) {
	if !d.page {
		d.head("Load, channel %s", c.Name)
	}
	l := c.Load
	if l == nil {
		d.say(2, "nominal %s; its resistance was not measured", Ohms(c.Nominal))
		d.figure("Rt", c.Resistance, "")
		return
	}
	if d.page {
		d.pageLoad(r, i, c)
		return
	}
	at := d.ohmsOf(r.Rec, i)
	d.element(l)
	if i < len(r.Rec.LoadC.Items) {
		d.say(2, "T = %s%s°C, as read in this run", num(at.hot), nbsp)
	}
	d.say(2, "R = R0·(1 + α·(T − T0)) = %s = %s%sΩ %s", heated(l, at.hot), num(at.element), nbsp, d.by(formula.LoadAtHeat))
	d.figure("Rt", c.Resistance, text("%s + %s", num(at.element), num(at.lead)))
}

// channel gives a channel's figures.
func (d *derivation) channel(r *Run, i int, c *Channel) {
	if !d.page {
		d.head("Channel %s", c.Name)
	}
	at := d.ohmsOf(r.Rec, i)
	if c.Distortion != nil {
		d.figure("Distortion", c.Distortion, d.distorted(r, i, c))
	}
	volts := ""
	if c.Volts != nil {
		d.figure("Volts", c.Volts, d.putVolts(r, i, c))
		volts = voltsIn(c, at)
	}
	if c.Power == nil {
		d.state(2, "no power was read")
		return
	}
	putIn := volts
	if c.Power.Formula == formula.PowerMeter {
		putIn = d.putCorrected(r, "power_w", r.Rec.PowerW.Items[i])
	}
	d.figure("Power", c.Power, putIn)
	if c.Check != nil {
		d.figure("Check", c.Check, text("%s − %s", num(c.Power.X), volts))
	}
	if c.OutV != nil {
		d.figure("Output volts", c.OutV, text("√(%s·%s)", num(c.Power.X), num(c.Resistance.X)))
	}
}

// distorted puts a distortion reading into its formula; it is empty where the
// reading counts as read.
func (d *derivation) distorted(r *Run, i int, c *Channel) string {
	switch c.Distortion.Formula {
	case formula.Distortion:
		x := calc(d.read(r.Rec, "thdn_pct", r.Rec.ThdnPct.Items[i]) / 100)
		return text("%s/√(1 − %s²)", x, x)
	case formula.Corrected:
		return d.putCorrected(r, "thdn_pct", r.Rec.ThdnPct.Items[i])
	}
	return ""
}

// supply gives the figures of the whole run.
func (d *derivation) supply(r *Run) {
	d.head("The whole run")
	none := d.told
	if r.Total != nil {
		var terms []string
		for _, c := range r.Channels {
			terms = append(terms, calc(c.Power.X))
		}
		putIn := ""
		if len(terms) > 1 {
			putIn = strings.Join(terms, " + ")
		}
		d.figure("Total", r.Total, putIn)
	}
	if r.SupplyV != nil {
		d.figure("Supply volts", r.SupplyV, d.putTyped(r, "supply_v", r.Rec.SupplyV, r.SupplyV))
	}
	if r.SupplyA != nil {
		d.figure("Supply current", r.SupplyA, d.putTyped(r, "supply_a", r.Rec.SupplyA, r.SupplyA))
	}
	if ps := r.SupplyPower; ps != nil {
		putIn := d.putTyped(r, "supply_w", r.Rec.SupplyW, ps)
		if ps.Formula == formula.SupplyPower {
			putIn = text("%s·%s·1", num(r.SupplyV.X), num(r.SupplyA.X))
		}
		d.figure("Supply power", ps, putIn)
	}
	out := d.comesOut(r)
	if r.Efficiency != nil {
		d.figure("Efficiency", r.Efficiency, text("100%s%%·%s/%s", nbsp, out, num(r.SupplyPower.X)))
	}
	if r.Heat != nil {
		d.figure("Heat", r.Heat, text("%s − %s", num(r.SupplyPower.X), out))
	}
	d.beside(r)
	if d.told == none {
		d.state(2, "the readings give no figure of the whole run")
	}
}
