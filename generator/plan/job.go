package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A job is a run that is to be made.
type job struct {
	method   *record.Method
	freqHz   float64 // 0 where nothing states one
	supplyV  float64
	bridged  bool
	drives   []drive
	claims   []*record.Claim
	readings []float64 // what the output meter would show of 1 W (volts: its root), a channel; see trial
	meters   []choice  // chosen once; see metersOf
}

// A drive is one driven channel, or bridged pair.
type drive struct {
	channel    string
	ohm, watts float64
	load       *record.Load // nil where the bench has none
	// assumed tells that no claim says what this channel gives meanwhile.
	assumed bool
}

// key tells jobs apart that are different runs.
func (j *job) key() string {
	key := fmt.Sprintf("%s %s Hz %s V", j.method.ID, quantity.Float(j.freqHz), quantity.Float(j.supplyV))
	for _, d := range j.drives {
		key += fmt.Sprintf(" %q=%s", d.channel, quantity.Float(d.ohm))
	}
	return key
}

// share is how much of the time the signal stands at full level.
func (j *job) share() float64 {
	if m := j.method; m.Signal == "burst" && m.EveryMS.Given() {
		return m.BurstMS.Value / m.EveryMS.Value
	}
	return 1
}

// usualS is how long a run lasts whose method doesn't say.
const usualS = 30

func (j *job) seconds() float64 { return j.method.DurationS.Or(usualS) }

func (j *job) totalW() (sum float64) {
	for _, d := range j.drives {
		sum += d.watts
	}
	return sum
}

// jobFor is the run that would answer a claim by a method.
func (p *planner) jobFor(c *record.Claim, m *record.Method) *job {
	j := &job{method: m, freqHz: freqFor(c, m), supplyV: p.supplyOf(c), bridged: c.Bridged, drives: p.drivesOf(c)}
	j.readings = make([]float64, len(j.drives))
	p.loads(j)
	return j
}

// freqFor is the frequency of a run by a method for a claim: the method's, or the
// claim's where the method's isn't it.
func freqFor(c *record.Claim, m *record.Method) float64 {
	f := m.FreqHz.Value
	switch n := c.FreqHz.Items; {
	case len(n) == 1 && math.Abs(f-n[0].Value) > 0.01*n[0].Value:
		return n[0].Value
	case len(n) == 2 && (f < n[0].Value || f > n[1].Value):
		return n[0].Value
	}
	return f
}

// supplyOf is the voltage at which a claim is planned: its own, the site's
// assumption, or what a supply of the bench is set to.
func (p *planner) supplyOf(c *record.Claim) float64 {
	assume := p.content.Site.Assume.SupplyDCV
	if p.about.mains {
		assume = p.content.Site.Assume.SupplyMainsV
	}
	switch {
	case c.SupplyV.Given():
		return c.SupplyV.Value
	case assume.Given():
		p.assume("supply-voltage", "site.toml", "claims that name no supply voltage: %s", unit(assume.Value, "V"))
		return assume.Value
	}
	v := 14.4
	if p.about.mains {
		v = 230
	}
	p.assume("supply-voltage", commonPractice, "claims that name no supply voltage, which site.toml doesn't assume: %s", unit(v, "V"))
	return v
}

// own are the channels that a claim is for.
func (p *planner) own(c *record.Claim) []string {
	names := c.Of
	if len(names) == 0 {
		names = p.outputs(c.Bridged)
	}
	return names[:min(len(names), int(c.Channels.Value))]
}

// outputs are the unit's channels or, bridged, its pairs of neighbours.
func (p *planner) outputs(bridged bool) []string {
	channels := p.rec.Unit.Channels
	if !bridged {
		return channels
	}
	var pairs []string
	for i := 0; i+1 < len(channels); i += 2 {
		pairs = append(pairs, channels[i]+"+"+channels[i+1])
	}
	return pairs
}

// drivesOf are the channels that are driven for a claim, each with its load and
// power: the claim's own, and others as another claim for as many driven channels
// says.
func (p *planner) drivesOf(c *record.Claim) []drive {
	var out []drive
	own := p.own(c)
	for _, name := range own {
		out = append(out, drive{channel: name, ohm: c.LoadOhm.Value, watts: c.PowerW.Value})
	}
	for _, name := range p.outputs(c.Bridged) {
		if len(out) >= int(c.Driven.Or(c.Channels.Value)) {
			break
		}
		if !slices.Contains(own, name) {
			out = append(out, p.companion(c, name))
		}
	}
	order := p.rec.Unit.Channels
	slices.SortStableFunc(out, func(a, b drive) int { return cmp.Compare(place(order, a.channel), place(order, b.channel)) })
	return out
}

// place is where a channel, or a pair's first channel, stands in the unit's order.
func place(order []string, name string) int {
	first, _, _ := strings.Cut(name, "+")
	return slices.Index(order, first)
}

// companion is what a channel gives while another claim's channels are measured.
func (p *planner) companion(c *record.Claim, name string) drive {
	d := drive{channel: name, ohm: c.LoadOhm.Value, watts: c.PowerW.Value, assumed: true}
	for i := range p.rec.Claims {
		o := &p.rec.Claims[i]
		if o.ID == c.ID || o.Driven.Value != c.Driven.Value || o.Bridged != c.Bridged || o.Signal != c.Signal || !slices.Contains(o.Of, name) {
			continue
		}
		same := o.DurationS.Value == c.DurationS.Value && o.SupplyV.Value == c.SupplyV.Value
		if same || d.assumed {
			d.ohm, d.watts, d.assumed = o.LoadOhm.Value, o.PowerW.Value, !same
		}
		if same {
			break
		}
	}
	return d
}

// nominalReach is how far a load's nominal resistance may be from a claim's, as the
// sheet matches them.
const nominalReach = 0.01

func sameLoad(nominal, ohm float64) bool {
	return math.Abs(nominal-ohm) <= (nominalReach+1e-12)*ohm
}

// loads gives each driven channel an element of the bench: the first of its
// resistance that is free and takes the heat, else the largest.
func (p *planner) loads(j *job) {
	used := map[string]bool{}
	for i := range j.drives {
		d := &j.drives[i]
		for n := range p.bench().Loads {
			l := &p.bench().Loads[n]
			if used[l.ID] || !sameLoad(l.NominalOhm.Value, d.ohm) {
				continue
			}
			if d.load == nil || !takes(d.load, d.watts*j.share()) && (takes(l, d.watts*j.share()) || l.MaxW.Value > d.load.MaxW.Value) {
				d.load = l
			}
		}
		if d.load != nil {
			used[d.load.ID] = true
		}
	}
}

// takes reports whether an element is not stated to take less.
func takes(l *record.Load, watts float64) bool { return !l.MaxW.Given() || l.MaxW.Value >= watts }

func (p *planner) bench() *record.Bench {
	if p.content.Bench == nil {
		return &record.Bench{}
	}
	return p.content.Bench
}
