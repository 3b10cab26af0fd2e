package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// Conditions that are eased to see whether a claim that doesn't state them is
// short all the same.
const (
	easedThdnPct = 10.0
	easedSupply  = 1.1
)

// claim decides one claim by itself.
func (e *evaluator) claim(rec *record.Claim, runs []*Run) *Claim {
	return e.claimAmong(rec, runs, carriers{})
}

// claimAmong decides one claim of several, which share what carries their runs.
func (e *evaluator) claimAmong(rec *record.Claim, runs []*Run, all carriers) *Claim {
	t := e.termsOf(rec)
	c := &Claim{
		Rec: rec, ID: rec.ID, Label: e.label(rec), Conditions: conditions(rec), Assumed: t.assumed(),
		ClaimW: rec.PowerW.Value,
		LimitW: rec.PowerW.Value * (1 - e.content.Site.Rule.AllowancePct.Value/100),
	}
	m := e.match(rec, t, runs)
	c.matched = m
	e.decide(c, t, m, all)
	c.Uses = m.inOrder(runs)
	c.Word = c.word()
	return c
}

// decide sets the verdict and everything that belongs to it.
func (e *evaluator) decide(c *Claim, t terms, m *match, all carriers) {
	shut := shutBefore(c.Rec, m.ended)
	switch {
	case m.atLoad == 0:
		c.Verdict, c.Reason, c.Why = verdict.Untested, reasonNoRun, "No valid run at "+Ohms(c.Rec.LoadOhm.Value)+"."
		if len(c.Rec.Of) > 0 {
			c.Why = "No valid run of " + strings.Join(c.Rec.Of, ", ") + " at " + Ohms(c.Rec.LoadOhm.Value) + "."
		}
		return
	case m.like == 0:
		c.Verdict, c.Reason = verdict.Incomparable, reasonUnlike
		c.Why = "Measured at this load, but with other conditions: " + strings.Join(m.unlike, "; ") + "."
		return
	}
	groups, uses := e.groups(c.Rec, t.thdnPct, m.counted)
	c.groups, m.uses = groups, append(m.uses, uses...)
	if shut != nil {
		e.shutShort(c, t, shut)
		m.decided(shut)
		e.means(c, groups)
		e.level(c)
		return
	}
	if len(groups) == 0 || missing(groups, m.counted) {
		m.nothing(c, t)
		return
	}
	e.means(c, groups)
	h := e.holding(c, t, m, groups, all)
	r := h.plainly.Result()
	c.take(r)
	h.qualify(r)
	e.say(c, t, groups, uses)
	c.Rules = h.otherRules()
}

// missing reports whether a channel of the counted runs has no class at all: then
// nothing can be said of every channel.
func missing(groups []*group, counted []chosen) bool {
	for _, picked := range counted {
		for _, ch := range picked.channels {
			if !slices.ContainsFunc(groups, func(g *group) bool { return g.name == ch.Name }) {
				return true
			}
		}
	}
	return false
}

// nothing leaves a claim without a run that decides: open, naming what the runs
// were lost to, or incomparable when it was only the frequency.
func (m *match) nothing(c *Claim, t terms) {
	if len(m.counted) > 0 {
		m.lost[verdict.Distortion] = true
	}
	var reasons, clauses []string
	for _, reason := range []string{verdict.Supply, reasonOutcome, verdict.Distortion, reasonReadings} {
		if m.lost[reason] {
			reasons, clauses = append(reasons, reason), append(clauses, lostWhy[reason])
		}
	}
	switch {
	case len(reasons) > 1:
		c.Verdict, c.Reason = verdict.Open, strings.Join(reasons, ", ")
		c.Why = "No matching run decides. Each is lost to one of these: " + strings.Join(clauses, "; ") + "."
		return
	case len(reasons) == 1:
		c.Verdict, c.Reason = verdict.Open, reasons[0]
		c.Why = m.silentWhy(t, reasons[0])
		return
	}
	c.Verdict, c.Reason = verdict.Incomparable, reasonFrequency
	c.Why = "Measured at another frequency than the claim is for."
}

// shutBefore returns the run in which the unit shut down before the duration that
// the claim states; nil when there is none.
func shutBefore(c *record.Claim, ended []*Run) *Run {
	if !c.DurationS.Given() {
		return nil
	}
	for _, r := range ended {
		if r.Rec.Outcome != "stopped" && r.Rec.LastedS.Given() && r.Rec.LastedS.Value < c.DurationS.Value {
			return r
		}
	}
	return nil
}

// shutShort decides a claim whose duration the unit didn't last.
func (e *evaluator) shutShort(c *Claim, t terms, r *Run) {
	c.Verdict = verdict.Short
	c.Brief = fmt.Sprintf("shut down after %s%ss", plain(r.Rec.LastedS.Value), nbsp)
	c.Why = fmt.Sprintf("The claim is for %s%ss; in run %s the unit shut down after %s%ss.", plain(c.Rec.DurationS.Value), nbsp, r.ID, plain(r.Rec.LastedS.Value), nbsp)
	if r.Total != nil && r.SupplyV != nil {
		c.Why += fmt.Sprintf(" It stood at %s in all, its supply at %s%sV.", r.Total.Text, r.SupplyV.ValueText, nbsp)
	}
	if len(t.assumed()) > 0 {
		c.Verdict, c.Reason = verdict.Open, reasonCondition
		c.Why += " But the claim doesn't state all its conditions; assumed: " + strings.Join(t.assumed(), ", ") + "."
	}
}

// means sets each channel's mean as measured, by its leading class.
func (e *evaluator) means(c *Claim, groups []*group) {
	for _, g := range groups {
		class := g.leading()
		samples := g.classes[class]
		cc := &ClaimChannel{Name: g.name, Class: class, Runs: make([]string, len(samples))}
		for i, s := range samples {
			cc.Runs[i] = s.run.ID
		}
		cc.Mean = meanPower(samples)
		c.Channels = append(c.Channels, cc)
		if c.Weakest == nil || cc.Mean.X < c.Weakest.Mean.X {
			c.Weakest = cc
		}
	}
}

// meanPower is the mean of runs as measured: of one, its power.
func meanPower(samples []sample) *Figure {
	values, of := make([]quantity.Value, 0, len(samples)), make([]measured, 0, 3*len(samples))
	for _, s := range samples {
		values = append(values, s.channel.Power.value)
		of = append(of, measured{lacks: s.channel.Power.Incomplete}, measured{lacks: s.channel.Resistance.Incomplete}, measured{lacks: s.run.SupplyV.Incomplete})
	}
	if len(samples) == 1 {
		one := *samples[0].channel.Power
		one.Quantity, one.Symbol, one.Incomplete = "mean", "y", with(one.value, of...).lacks
		return &one
	}
	return figure("mean", "y", formula.Mean, with(quantity.Mean(values...), of...))
}

// level sets the weakest channel's level against the claim.
func (e *evaluator) level(c *Claim) {
	c.Level = nil
	if c.Weakest != nil && c.Weakest.Mean.X > 0 {
		m := c.Weakest.Mean
		c.Level = figure("level", "ΔL", formula.Level, measured{electric.Level(m.value, c.ClaimW), m.Incomplete})
	}
}

// take puts a decision into the claim.
func (c *Claim) take(r verdict.Result) {
	c.Verdict, c.Corners = r.Word, r.Corners
	c.HasP, c.PMin, c.PMax = true, r.PMin, r.PMax
	c.BarLow, c.BarHigh, c.BarLowOpen, c.BarHighOpen = r.Low, r.High, r.LowOpen, r.HighOpen
	if r.Weakest < len(c.Channels) {
		c.Weakest = c.Channels[r.Weakest]
	}
	if len(r.Reasons) > 0 {
		c.Reason = strings.Join(r.Reasons, ", ")
	}
}

// An easing is a claim that is short tried again with each assumed condition eased:
// at 10 % distortion or clipped, and at a tenth more than the assumed supply voltage,
// on the same runs.
type easing struct {
	thdnPct, supplyV float64
	groups           []*group
	uses             []Use
	corners          []verdict.Corner // nil where the runs then bound nothing
}

func (e *evaluator) ease(c *Claim, t terms, m *match) easing { return e.easeBy(c, t, m, carriers{}) }

func (e *evaluator) easeBy(c *Claim, t terms, m *match, all carriers) easing {
	x := easing{thdnPct: t.thdnPct, supplyV: t.supplyV}
	if t.thdnAssumed {
		x.thdnPct = math.Max(x.thdnPct, easedThdnPct)
	}
	if t.supplyAssumed {
		x.supplyV *= easedSupply
	}
	x.groups, x.uses = e.groups(c.Rec, x.thdnPct, m.counted)
	if len(x.groups) > 0 && !missing(x.groups, m.counted) {
		x.corners = e.corners(c.Rec, c.LimitW, x.supplyV, x.groups, all)
	}
	return x
}

// inOrder returns the uses in the order of the runs.
func (m *match) inOrder(runs []*Run) []Use {
	if len(m.uses) == 0 {
		return nil
	}
	// They were told in that order, one kind after the other.
	at, place := 0, make([]int, len(m.uses))
	first := make([]int, len(runs)+1) // the first place of each run's uses
	for i, u := range m.uses {
		for runs[at].ID != u.Run {
			at = (at + 1) % len(runs)
		}
		place[i] = at
		first[at+1]++
	}
	for i := range runs {
		first[i+1] += first[i]
	}
	uses := make([]Use, len(m.uses))
	for i, u := range m.uses {
		uses[first[place[i]]] = u
		first[place[i]]++
	}
	return uses
}
