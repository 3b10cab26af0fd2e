package sheet

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

func (d *derivation) runCalled(id string) *Run {
	for _, r := range d.s.Runs {
		if r.ID == id {
			return r
		}
	}
	return nil
}

// shut gives the run in which the unit didn't last as long as the claim says.
func (d *derivation) shut(c *Claim, m *match) {
	r := shutBefore(c.Rec, m.ended)
	if r == nil || c.Brief == "" {
		return
	}
	d.head("Run %s: how long it lasted", r.ID)
	d.say(2, "Claimed: for %s%ss. Ended after %s%ss: %s.", typed(c.Rec.DurationS), nbsp, typed(r.Rec.LastedS), nbsp, r.OutcomeText)
	d.state(2, "A shutdown is a result: before the claimed time is over it is short, whatever the power was.")
	if r.Total == nil || d.page {
		return
	}
	d.head("Run %s: where it stood", r.ID)
	if r.Rec.SupplyV.Given() {
		d.reading(2, r, "supply_v", r.Rec.SupplyV, "")
	}
	var powers []string
	for i, channel := range r.Channels {
		if channel.Load != nil {
			d.element(channel.Load)
		}
		if i == 0 {
			d.pool(r.Method)
		}
		d.channelRead(2, r, i, channel)
		d.powered(2, r, i, channel)
		powers = append(powers, calc(channel.Power.X))
	}
	putIn := ""
	if len(powers) > 1 {
		putIn = strings.Join(powers, " + ") + " = "
	}
	d.say(2, "Power in all: %s = %s%s, published as %s %s; the derivation of run %s names the components", expressionOf(r.Total.Formula), putIn, amount{r.Total.X, r.Total.Unit},
		r.Total.Text, d.by(r.Total.Formula), r.ID)
}

// pool gives a method's repeatability.
func (d *derivation) pool(m *record.Method) {
	if m.Pool.RelPct.Given() {
		d.say(2, "Repeatability of the method “%s”: u = %s%s%% of the power, with ν = %s, one draw a run", m.Title, typed(m.Pool.RelPct), nbsp, typed(m.Pool.DoF))
	}
}

// channelRead gives what was read of one channel of a run.
func (d *derivation) channelRead(in int, r *Run, i int, c *Channel) {
	if r.Captured != nil && c.Volts != nil && isCaptured(c.Volts.Formula) {
		d.say(in, "V = %s%sV, from %s; the derivation of run %s names the components", num(c.Volts.X), nbsp, r.Captured.Where, r.ID)
	}
	for _, q := range []string{"power_w", "out_v", "thdn_pct", "load_c"} {
		if numbers := r.Rec.Readings(q); i < len(numbers) {
			d.reading(in, r, q, numbers[i], c.Name)
		}
	}
}

// supplies gives the supply volts of the runs that count, once for all channels.
func (d *derivation) supplies(groups []*group) {
	var seen []*Run
	for _, g := range groups {
		for _, s := range g.speaking() {
			if !slices.Contains(seen, s.run) {
				seen = append(seen, s.run)
			}
		}
	}
	if len(seen) == 0 || d.page {
		return
	}
	d.head("Supply of the runs that count")
	for _, r := range seen {
		if r.SupplyV != nil && isCaptured(r.SupplyV.Formula) {
			d.say(2, "Run %s: Vs = %s, from %s", r.ID, r.SupplyV.Text, r.Captured.Where)
		} else if r.Rec.SupplyV.Given() {
			d.say(2, "Run %s:", r.ID)
			d.reading(4, r, "supply_v", r.Rec.SupplyV, "")
		}
	}
}

// speaking are a channel's samples that can decide: those at the claim's distortion,
// or else all that bound the power.
func (g *group) speaking() []sample {
	if at := g.classes[classAt]; len(at) > 0 {
		return at
	}
	return append(append([]sample{}, g.classes[classBelow]...), g.classes[classAbove]...)
}

// samples gives what was read of one channel in the runs that decide, and the power
// that follows.
func (d *derivation) samples(c *Claim, t terms, g *group) {
	if d.page {
		d.pageSamples(c, t, g)
		return
	}
	d.head("Channel %s: readings, load and power", g.name)
	loads, methods := map[*record.Load]bool{}, map[*record.Method]bool{}
	for _, s := range g.speaking() {
		i := slices.Index(s.run.Channels, s.channel)
		if l := s.channel.Load; l != nil && !loads[l] {
			loads[l] = true
			d.element(l)
		}
		if m := s.run.Method; m.Pool.RelPct.Given() && !methods[m] {
			methods[m] = true
			d.pool(m)
		}
		d.say(2, "Run %s:", s.run.ID)
		d.channelRead(4, s.run, i, s.channel)
		d.classed(c, t, s, i)
		d.powered(4, s.run, i, s.channel)
	}
}

// classed says on which side of the claim's distortion a sample stands.
func (d *derivation) classed(c *Claim, t terms, s sample, i int) {
	class, why := d.e.classOf(c.Rec, t.thdnPct, s.run, s.channel)
	if dist := s.channel.Distortion; dist != nil {
		if dist.Formula == formula.Distortion {
			d.say(4, "d = dt/√(1 − dt²) = %s = %s%s%% %s", d.distorted(s.run, i, s.channel), num(dist.X), nbsp, d.by(formula.Distortion))
		}
		u := calc(dist.Std)
		if len(dist.Lines) > 1 || dist.Formula == formula.Distortion {
			d.tally.take(dist.Lines, &d.numbers, true)
			d.say(4, "u(d) = √(%s) = %s%s%%", d.tally.squares(), u, nbsp)
		}
		d.say(4, "d = %s against %s%s%%, U = k·u = %s·%s = %s%s%%, apart by %s − %s = %s%s%%: %s", dist.Text, num(t.thdnPct), nbsp, num(dist.K), u, num(dist.U), nbsp,
			num(max(dist.X, t.thdnPct)), num(min(dist.X, t.thdnPct)), num(math.Abs(dist.X-t.thdnPct)), nbsp, why)
	} else {
		d.say(4, "distortion not read: %s", why)
	}
	switch class {
	case classBelow:
		d.state(4, "So the unit can give at least this power.")
	case classAbove:
		d.state(4, "So the unit gives at most this power.")
	}
}

// powered puts a channel's numbers into the formulas of its load and power.
func (d *derivation) powered(in int, r *Run, i int, c *Channel) {
	at := d.ohmsOf(r.Rec, i)
	if c.Load != nil {
		d.say(in, "R = %s = %s%sΩ, Rt = R + Rlead = %s + %s = %s%sΩ %s %s", heated(c.Load, at.hot), num(at.element), nbsp,
			num(at.element), num(at.lead), num(c.Resistance.X), nbsp, d.by(formula.LoadAtHeat), d.by(formula.LoadAtUnit))
	}
	if c.Power.Formula == formula.PowerMeter {
		d.say(in, "P = %s%sW, as the watt-meter shows it %s", num(c.Power.X), nbsp, d.by(formula.PowerMeter))
		if c.Check != nil {
			d.say(in, "ΔP = P − V²/R·(1 + Rlead/R) = %s − %s = %s%sW against volts %s", num(c.Power.X), voltsIn(c, at), num(c.Check.X), nbsp, d.by(formula.MeterCheck))
			d.tally.take(c.Check.Lines, &d.numbers, true)
			d.say(in, "u(ΔP) = √(%s) = %s%sW, U = k·u = %s·%s = %s%sW; the derivation of run %s names the components", d.tally.squares(), num(c.Check.Std), nbsp,
				num(c.Check.K), num(c.Check.Std), num(c.Check.U), nbsp, r.ID)
		}
		return
	}
	d.say(in, "P = V²/R·(1 + Rlead/R) = %s = %s%sW, published as %s %s", voltsIn(c, at), num(c.Power.X), nbsp, c.Power.Text, d.by(formula.PowerVolts))
}

// An ohms is the load of a run's channel as [evaluator.circuitOf] evaluates it, its
// estimates only.
type ohms struct {
	element, lead float64 // Ω
	hot           float64 // of the element, in °C
}

func (d *derivation) ohmsOf(run *record.Run, i int) ohms {
	if i >= len(run.Load.Items) {
		return ohms{element: run.LoadOhm.Value}
	}
	l := d.s.Content.Bench.Load(run.Load.Items[i].ID)
	if l == nil {
		return ohms{element: 1}
	}
	hot := l.HotC.Or(l.AtC.Value)
	if i < len(run.LoadC.Items) {
		hot = d.read(run, "load_c", run.LoadC.Items[i])
	}
	r0, alpha := quantity.Exact(l.Ohm.Value, "Ω"), quantity.Exact(l.TempcoPPM.Value*1e-6, "1/K")
	return ohms{loadAt(r0, alpha, quantity.Exact(hot-l.AtC.Value, "K")).X, l.LeadOhm.Value, hot}
}

// read is the estimate of [evaluator.reading].
func (d *derivation) read(run *record.Run, q string, n record.Number) float64 {
	span := run.InstrumentFor(q, d.s.Content.Bench).RangeFor(q, n.Value)
	if span == nil {
		return n.Value
	}
	return n.Value + correctionOf(span, n.Value).adds
}

// voltsIn puts a channel's volts and load into the formula of its power.
func voltsIn(c *Channel, at ohms) string {
	return text("%s²/%s·(1 + %s/%s)", num(c.Volts.X), num(at.element), num(at.lead), num(at.element))
}

// heated puts a load element's numbers into the formula of its resistance.
func heated(l *record.Load, hot float64) string {
	return text("%s·(1 + %s·(%s − %s))", num(l.Ohm.Value), num(l.TempcoPPM.Value*1e-6), num(hot), num(l.AtC.Value))
}

// element gives what is stated of a load element, and the u of each part.
func (d *derivation) element(l *record.Load) {
	d.once(alikeKey{load: l}, func() { d.stated(l) })
}

func (d *derivation) stated(l *record.Load) {
	by, stated := "√3", ""
	if l.OhmK.Given() {
		by, stated = typed(l.OhmK), ", expanded with k = "+typed(l.OhmK)
	}
	d.say(2, "Load %s, nominal %s, each half-width taken as rectangular unless k is stated:", l.ID, Ohms(l.NominalOhm.Value))
	d.say(4, "R0 = %s%sΩ ± %s%s%%%s at T0 = %s%s°C: u = %s%s%%·%s/%s = %s%sΩ", typed(l.Ohm), nbsp, typed(l.OhmPct), nbsp, stated, num(l.AtC.Value), nbsp,
		num(l.OhmPct.Value), nbsp, num(l.Ohm.Value), by, num(resistanceU(l)), nbsp)
	if l.TempcoPPM.Value != 0 || l.TempcoPMPPM.Value != 0 {
		d.say(4, "α = (%s ± %s)·1e-6/K: u = %s·1e-6/√3 = %s/K", num(l.TempcoPPM.Value), num(l.TempcoPMPPM.Value),
			num(l.TempcoPMPPM.Value), num(quantity.Rectangular(l.TempcoPMPPM.Value*1e-6)))
	}
	d.say(4, "T = (%s ± %s)%s°C in use, where a run doesn't read it: u = %s/√3 = %s%sK", num(l.HotC.Or(l.AtC.Value)), num(l.HotPMC.Value), nbsp,
		num(l.HotPMC.Value), num(quantity.Rectangular(l.HotPMC.Value)), nbsp)
	if l.LeadOhm.Value > 0 {
		d.say(4, "Rlead = %s%sΩ ± %s%s%%, both ways: u = %s%s%%·%s/√3 = %s%sΩ", num(l.LeadOhm.Value), nbsp, num(l.LeadPct.Value), nbsp,
			num(l.LeadPct.Value), nbsp, num(l.LeadOhm.Value), num(quantity.Rectangular(l.LeadPct.Value/100*l.LeadOhm.Value)), nbsp)
	}
}

// sides say what runs of a class are to the claim.
var sides = map[string]string{
	classAt:    "at the claim's distortion",
	classBelow: "that bound it from below, so at least this",
	classAbove: "that bound it from above, so at most this",
}

// means gives one channel's mean: of the runs at the claim's distortion, or else of
// those on each side of it.
func (d *derivation) means(c *Claim, g *group) {
	for _, class := range []string{classAt, classBelow, classAbove} {
		samples := g.classes[class]
		if len(samples) == 0 {
			continue
		}
		d.head("Channel %s, mean y of the runs %s", g.name, sides[class])
		var values []quantity.Value
		var terms []string
		for _, s := range samples {
			values = append(values, s.channel.Power.value)
			terms = append(terms, calc(s.channel.Power.X))
		}
		mean := c.meanOf(g.name, class)
		if mean == nil { // the other side's runs, which the claim doesn't show as its mean
			mean = figure("mean", "y", formula.Mean, measured{Value: quantity.Mean(values...)})
		}
		putIn := text("(%s)/%d", strings.Join(terms, " + "), len(terms))
		if len(terms) == 1 {
			if d.page {
				d.say(2, "One run: the mean is its power, published as %s.", mean.Text)
				if class == classAt {
					return
				}
				continue
			}
			d.state(2, "One run: the mean is its power.")
			putIn = ""
		}
		d.figure("Mean", mean, putIn, values...)
		if class == classAt {
			return
		}
	}
}

// meanOf is a channel's mean in the claim, of runs of a class.
func (c *Claim) meanOf(channel, class string) *Figure {
	for _, ch := range c.Channels {
		if ch.Name == channel && ch.Class == class {
			return ch.Mean
		}
	}
	return nil
}

// level gives the weakest channel's level; its U goes with that of y.
func (d *derivation) level(c *Claim) {
	y := c.Weakest.Mean
	d.head("Level of channel %s against the claim", c.Weakest.Name)
	if c.Weakest.Class != classAt {
		d.say(2, "Of the mean y of the runs %s.", sides[c.Weakest.Class])
	}
	d.say(2, "ΔL = 10·lg(y/Pclaim) = 10·lg(%s/%s) = %s%sdB, published as %s %s", num(y.X), num(c.ClaimW), num(c.Level.X), nbsp, c.Level.Text, d.by(formula.Level))
	if c.Level.U > 0 {
		d.say(2, "U = 4.34294·U(y)/y = 4.34294·%s/%s = %s%sdB, 4.34294 being 10/ln%s10", num(y.U), num(y.X), num(c.Level.U), nbsp, nbsp)
	}
}
