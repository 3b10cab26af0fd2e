package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/verdict"
)

// openWhy says in a sentence why a claim is open.
var openWhy = map[string]string{
	verdict.Close:      "The uncertainty spans the claim.",
	verdict.Distortion: "No run stands at the claim's distortion, and the others don't decide.",
	verdict.Supply:     "No matching run has its supply voltage read within 10" + nbsp + "% of the claim's.",
	reasonReadings:     "No matching run has its power read.",
}

// lostWhy says the same of some of a claim's runs, where others are lost to another reason.
var lostWhy = map[string]string{
	verdict.Distortion: "the run doesn't stand at the claim's distortion, and doesn't decide from beside it",
	verdict.Supply:     "its supply voltage wasn't read within 10" + nbsp + "% of the claim's",
	reasonOutcome:      "the unit, its fuse or the tester ended it",
	reasonReadings:     "no power was read",
}

// silentWhy says why a claim is open that all matching runs are lost to for one reason: what
// the claim doesn't state is another cause than what the runs lack.
func (m *match) silentWhy(t terms, reason string) string {
	switch {
	case reason == reasonOutcome:
		return "No matching run completed: " + endings(m.cut) + "."
	case reason == verdict.Supply && t.supplyMissing:
		return "The claim names no supply voltage, and the site assumes none."
	case reason == verdict.Supply && !t.supplyMissing && !m.supplyOff:
		return "No matching run has its supply voltage read as the signal needs it."
	case reason == verdict.Supply && t.supplyAssumed:
		return "No matching run has its supply voltage read within 10" + nbsp + "% of the assumed " + plain(t.supplyV) + nbsp + "V."
	case reason == verdict.Distortion && t.thdnMissing:
		return "The claim names no distortion, and the site assumes none."
	case reason == verdict.Distortion && t.thdnAssumed:
		return "No run stands at the assumed " + plain(t.thdnPct) + nbsp + "% distortion, and the others don't decide."
	}
	return openWhy[reason]
}

// whyOpen joins the sentences of one or several reasons. Runs that only bound the
// power say themselves why.
func whyOpen(c *Claim, t terms, groups []*group, uses []Use) string {
	if c.Reason == verdict.Distortion {
		var whys []string
		for _, u := range uses {
			if !slices.Contains(whys, u.Why) {
				whys = append(whys, u.Why)
			}
		}
		if c.PMin > c.PMax {
			return "The runs contradict each other, with more power where they bound it from below than where from above: " + strings.Join(whys, "; ") + "."
		}
		return "The runs bound the power but don't decide: " + strings.Join(whys, "; ") + "."
	}
	var out []string
	for _, r := range strings.Split(c.Reason, ", ") {
		switch r {
		case verdict.Supply:
			out = append(out, offSupplyWhy(t, groups))
		case verdict.Load:
			out = append(out, offLoadWhy(c, groups))
		case reasonOutcome:
			out = append(out, "The figures say met, but "+endings(c.matched.ended)+".")
		case reasonReadings:
			out = append(out, disagreeWhy(groups))
		case reasonCondition:
			out = append(out, conditionWhy(t))
		default:
			out = append(out, openWhy[r])
		}
	}
	return strings.Join(out, " ")
}

// endings says how runs ended that didn't complete.
func endings(runs []*Run) string {
	clauses := make([]string, len(runs))
	for i, r := range runs {
		clauses[i] = fmt.Sprintf(map[string]string{
			"protected": "the unit shut down in run %s", "fuse": "the unit's fuse blew in run %s", "stopped": "the tester stopped run %s",
		}[r.Rec.Outcome], r.ID)
		if r.Rec.LastedS.Given() {
			clauses[i] += " after " + plain(r.Rec.LastedS.Value) + nbsp + "s"
		}
	}
	return strings.Join(clauses, "; ")
}

// disagreeWhy says where watt-meter and volts disagree.
func disagreeWhy(groups []*group) string {
	s := disagreeing(groups)
	where := "run " + s.run.ID
	if len(s.run.Channels) > 1 {
		where += ", channel " + s.channel.Name
	}
	return fmt.Sprintf("Watt-meter and volts disagree by more than their uncertainty: in %s they differ by %s.", where, s.channel.Check.Text)
}

// conditionWhy says under which assumed conditions a claim is short, and with which it is
// no more when they are eased.
func conditionWhy(t terms) string {
	var eased []string
	if t.thdnAssumed {
		eased = append(eased, plain(math.Max(t.thdnPct, easedThdnPct))+nbsp+"%")
	}
	if t.supplyAssumed {
		eased = append(eased, plain(t.supplyV*easedSupply)+nbsp+"V")
	}
	return fmt.Sprintf("It falls short with the assumed %s, which the claim doesn't state; with %s instead the same runs don't show it.",
		strings.Join(t.assumed(), " and "), strings.Join(eased, " and "))
}

// offSupplyWhy says at which voltages the supply stood, and offLoadWhy into which loads
// the unit worked, where extremes of that condition disagree.
func offSupplyWhy(t terms, groups []*group) string {
	at := plain(t.supplyV) + nbsp + "V"
	return fmt.Sprintf("The supply stood at %s, not at %s %s, and what the unit would have given at %s depends on how it is built.",
		spanOf(groups, func(s sample) *Figure { return s.run.SupplyV }), whose(t.supplyAssumed), at, at)
}

func offLoadWhy(c *Claim, groups []*group) string {
	at := Ohms(c.Rec.LoadOhm.Value)
	if c.offLoad {
		return fmt.Sprintf("The load at the terminals was %s, more than %s%s%% off the claim's %s: too far to say what the unit would have given into %s.",
			spanOf(groups, func(s sample) *Figure { return s.channel.Resistance }), plain(100*loadReach), nbsp, at, at)
	}
	return fmt.Sprintf("The load at the terminals was %s, not the claim's %s, and what the unit would have given into %s depends on what limits it.",
		spanOf(groups, func(s sample) *Figure { return s.channel.Resistance }), at, at)
}

// spanOf writes a figure of the runs that decide: one value, or from the smallest to
// the largest.
func spanOf(groups []*group, of func(sample) *Figure) string {
	var low, high *Figure
	for _, g := range groups {
		for _, s := range g.speaking() {
			f := of(s)
			if low == nil || f.X < low.X {
				low = f
			}
			if high == nil || f.X > high.X {
				high = f
			}
		}
	}
	text := low.ValueText
	if high.ValueText != text {
		text += " to " + high.ValueText
	}
	return text + nbsp + low.Unit
}
