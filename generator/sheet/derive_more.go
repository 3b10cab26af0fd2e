package sheet

import (
	"math"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// DeriveRatios is how the unit's power by price, volume and mass comes about; nil
// where there is none.
func (s *Sheet) DeriveRatios() []Passage {
	if len(s.Ratios) == 0 {
		return nil
	}
	d := s.Deriver().begin()
	best := d.e.best(s.Runs)
	u := &s.Record.Unit
	d.head("Power by price, volume and mass of %s", s.Name)
	d.say(2, "P is the largest total of a completed run of the method “%s”: run %s with %s%sW, U = %s%sW; see wattsheet explain %s run:%s. Price, size and mass are taken as exact.",
		best.Method.Title, best.ID, num(best.Total.X), nbsp, num(best.Total.U), nbsp, s.Slug, best.ID)
	for _, r := range s.Ratios {
		d.head("%s", capital(r.Name))
		divisor := u.Price.Value
		switch r.Name {
		case ratioVolume:
			size := u.SizeMM.Items
			divisor = size[0].Value * size[1].Value * size[2].Value * 1e-6
			d.say(2, "d = %s·%s·%s·1e-6 = %s%sl, of the size in mm", num(size[0].Value), num(size[1].Value), num(size[2].Value), num(divisor), nbsp)
		case ratioMass:
			divisor = u.MassKG.Value
			d.say(2, "d = %s%skg", typed(u.MassKG), nbsp)
		default:
			d.say(2, "d = %s%s%s", typed(u.Price), nbsp, s.Content.Site.Currency)
		}
		f := r.Figure
		d.say(2, "r = P/d = %s/%s = %s%s%s, published as %s %s", num(best.Total.X), num(divisor), num(f.X), nbsp, f.Unit, f.Text, d.by(f.Formula))
		d.say(2, "U = U(P)/d = %s/%s = %s%s%s", num(best.Total.U), num(divisor), num(f.U), nbsp, f.Unit)
	}
	d.sources()
	return d.done()
}

// DeriveThermals is how every temperature of the unit comes about; nil where there
// is none.
func (s *Sheet) DeriveThermals() []Passage {
	if len(s.Thermals) == 0 {
		return nil
	}
	d := s.Deriver().begin()
	for i, t := range s.Thermals {
		d.head("Temperature %d of %s", i+1, s.Name)
		d.say(2, "Where: %s", t.Rec.Spot)
		if t.Rec.How != "" {
			d.say(2, "How: %s", t.Rec.How)
		}
		if t.After != nil {
			d.say(2, "Of run %s: %s, %s", t.After.ID, Ohms(t.After.Nominal), t.After.Method.Title)
		}
		if t.Rec.PM.Given() {
			d.say(2, "Read to ±%s%s°C: u = %s/√3 = %s%s°C, one error in all of the series %s", typed(t.Rec.PM), nbsp, num(t.Rec.PM.Value), num(quantity.Rectangular(t.Rec.PM.Value)), nbsp, d.by(formula.Specification))
		} else {
			d.state(2, "It is not stated how well the temperature was read.")
		}
		if t.Rec.AmbientC.Given() {
			d.say(2, "Ambient: %s%s°C, taken as exact", typed(t.Rec.AmbientC), nbsp)
		}
		for j, p := range t.Points {
			at := ""
			if j < len(t.Rec.AtMin.Items) {
				at = "after " + typed(t.Rec.AtMin.Items[j]) + nbsp + "min: "
			}
			d.say(2, "%sT = %s%s°C as read, published as %s", at, t.Rec.TempC.Items[j].Text, nbsp, p.TempC.Text)
			if p.Rise != nil {
				d.say(4, "ΔT = %s − %s = %s%sK, published as %s %s", num(p.TempC.X), num(t.Rec.AmbientC.Value), num(p.Rise.X), nbsp, p.Rise.Text, d.by(formula.Rise))
			}
		}
		if f := t.Points[0].TempC; f.U > 0 {
			d.say(2, "k = t(0.975; %s) = %s, U = k·u = %s·%s = %s%s°C %s", num(f.DoF), num(f.K), num(f.K), num(f.Std), num(f.U), nbsp, d.by(formula.Expanded))
		}
	}
	d.sources()
	return d.done()
}

// DeriveRepeats is how repeated runs scatter, and the test of each set against its
// method's pool; nil where nothing was repeated.
func (s *Sheet) DeriveRepeats() []Passage {
	if len(s.Repeats) == 0 {
		return nil
	}
	d := s.Deriver().begin()
	for _, r := range s.Repeats {
		d.head("Repeats of %s: channel %s, %s, %s", s.Name, r.Channel, Ohms(r.Nominal), r.Method.Title)
		d.deviations(r)
		d.poolTest(r)
	}
	d.sources()
	return d.done()
}

// deviations carries repeats to their mean supply voltage and compares them.
func (d *derivation) deviations(r *Repeat) {
	n, volts, mean := len(r.samples), 0.0, 0.0
	var vs, ps, squares []string
	for _, s := range r.samples {
		volts += s.run.SupplyV.X / float64(n)
		vs = append(vs, calc(s.run.SupplyV.X))
	}
	d.say(2, "V = (%s)/%d = %s%sV, the mean supply voltage; k = 2 %s", strings.Join(vs, " + "), n, num(volts), nbsp, d.by(formula.Deviation))
	carried := make([]float64, n)
	for i, s := range r.samples {
		carried[i] = s.channel.Power.X * (volts / s.run.SupplyV.X) * (volts / s.run.SupplyV.X)
		mean += carried[i] / float64(n)
		ps = append(ps, calc(carried[i]))
		d.say(2, "%s: P′ = %s·(%s/%s)^2 = %s%sW", s.run.ID, num(s.channel.Power.X), num(volts), num(s.run.SupplyV.X), num(carried[i]), nbsp)
	}
	d.say(2, "mean(P′) = (%s)/%d = %s%sW", strings.Join(ps, " + "), n, num(mean), nbsp)
	for i, p := range r.Points {
		d.say(2, "%s: δ = 100%s%%·(%s/%s − 1) = %s%s%%", p.Run, nbsp, num(carried[i]), num(mean), num(p.DeviationPct), nbsp)
		squares = append(squares, calc(math.Abs(p.DeviationPct))+"²")
	}
	d.say(2, "s = √((%s)/(%d − 1)) = %s, in %%", strings.Join(squares, " + "), n, num(r.SPct))
}

// poolTest gives the F test of a set of repeats against its method's pool.
func (d *derivation) poolTest(r *Repeat) {
	pool := &r.Method.Pool
	if !pool.RelPct.Given() || pool.RelPct.Value == 0 {
		d.state(2, "The method has no pool to compare it with.")
		return
	}
	t := testOf(r)
	d.say(2, "Against the pool, %s%s%% with ν = %s: at that k of 0 … 2.6 which scatters least, %s, s = %s, in %%.", typed(pool.RelPct), nbsp, typed(pool.DoF), num(t.K), num(t.SPct))
	d.say(2, "s²/pool² = %s²/%s² = %s; the 95%s%% point of F with %d and %s degrees of freedom is %s.", num(t.SPct), num(pool.RelPct.Value), num(t.Ratio), nbsp, len(r.Points)-1, num(pool.DoF.Value), num(t.Limit))
	if t.Ratio > t.Limit {
		d.state(2, "It is beyond: these repeats scatter more than the pool, which is a finding.")
	} else {
		d.state(2, "It is within: these repeats agree with the pool.")
	}
}

// DeriveCheckUnit is how the bench's check unit stood on each test day; nil where
// the bench has none.
func DeriveCheckUnit(content *record.Content) []Passage {
	c := CheckUnit(content)
	if c == nil {
		return nil
	}
	s := &Sheet{Content: content, Record: &record.Record{}}
	d := s.Deriver().begin()
	d.head("The bench's check unit")
	d.say(2, "What: %s", c.Rec.Name)
	d.say(2, "Method %s: %s", c.Method.ID, c.Method.Title)
	d.say(2, "Load %s, the same on every day. One amplifier at one load in one way: what moves is the bench.", c.Rec.Load.ID)
	d.element(content.Bench.Load(c.Rec.Load.ID))
	var terms []string
	var values []quantity.Value
	for i := range c.Days {
		values = append(values, d.checkDay(c, i))
		terms = append(terms, calc(c.Days[i].Power.X))
	}
	d.head("Mean of all days")
	d.figure("y", c.Mean, text("(%s)/%d", strings.Join(terms, " + "), len(terms)), values...)
	d.head("Each day against the others")
	d.state(2, "Instruments and loads are the same on all days, so only the repeatability is left in a difference; a day is off beyond its U.")
	for i, day := range c.Days {
		d.say(2, "%s: 100%s%%·(%s/%s − 1) = %s%s%%", day.Date, nbsp, num(day.Power.X), num(c.Mean.X), num(day.DeviationPct), nbsp)
		d.checkApart(c, i, values)
	}
	d.sources()
	return d.done()
}

// checkDay gives one day's reading and power, and returns the power.
func (d *derivation) checkDay(c *Check, i int) quantity.Value {
	rec := c.Rec.Readings[i]
	r := checkRun(c.Rec, &rec, c.Method)
	d.head("Day %s", c.Days[i].Date)
	d.reading(2, r, "out_v", rec.OutV, "")
	if rec.SupplyV.Given() {
		d.say(2, "supply volts: %s%sV, for the record", rec.SupplyV.Text, nbsp)
	}
	channel, power, _ := d.e.channel(r, 0, checkChannel)
	d.powered(4, r, 0, channel)
	return power.Value
}

// checkApart compares one day with the mean of the others.
func (d *derivation) checkApart(c *Check, i int, values []quantity.Value) {
	others := append(append([]quantity.Value{}, values[:i]...), values[i+1:]...)
	if len(others) == 0 {
		return
	}
	mean := quantity.Mean(others...)
	f := figure("difference", "ΔP", formula.Mean, measured{Value: apart(values[i], mean)})
	says := "not off"
	if c.Days[i].Off {
		says = "off: look at the bench before anything else is measured"
	}
	d.say(4, "%s − %s = %s%sW, U = %s·%s = %s%sW: %s", num(values[i].X), num(mean.X), num(f.X), nbsp, num(f.K), num(f.Std), num(f.U), nbsp, says)
}
