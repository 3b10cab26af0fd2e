package sheet

import (
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// rule states the decision rule for a claim with so many channels.
func (d *derivation) rule(channels int) {
	says := RuleOf(d.s.Content.Site)
	if !d.page {
		d.say(2, "Rule: %s. %s", says.Name, says.Means)
		d.say(4, "rests on: %s", says.Source)
	}
	short, part := calc(says.Rule.ShortTo), says.Rule.ShortOf(channels)
	switch {
	case part < says.Rule.ShortTo:
		short = text("p ≤ %s/%d = %s", short, channels, num(part))
	case says.Rule.MetFrom == says.Rule.ShortTo:
		short = "p < " + short
	default:
		short = "p ≤ " + short
	}
	d.say(2, "So: met where every channel has p ≥ %s, short where any has %s, at every corner; else open.", num(says.Rule.MetFrom), short)
}

// verdict gives the rule, what follows, and what would change it.
func (d *derivation) verdict(c *Claim) {
	d.head("Verdict: %s", c.Word)
	d.rule(len(c.Channels))
	if c.HasP {
		d.overCorners(c)
	} else if c.Brief != "" {
		d.state(2, "The rule isn't asked here: the unit did not last as long as the claim says.")
	}
	code := string(c.Verdict)
	if c.Reason != "" {
		code += ", reason: " + c.Reason
	}
	d.say(2, "%s", code)
	d.say(2, "%s", c.Why)
	if c.Verdict == verdict.Open {
		d.say(2, "%s", openMeans(c.Undecided()))
	}
	d.flip(c)
	for _, r := range c.Rules {
		own := ""
		if r.Own {
			own = " (this site's)"
		}
		d.say(2, "By the rule “%s”%s: %s", r.Name, own, string(r.Verdict))
	}
}

// overCorners says p over all corners, at least or at most where the runs only
// bound it.
func (d *derivation) overCorners(c *Claim) {
	switch {
	case c.PMin == 0 && c.PMax == 1 && c.BarLowOpen && c.BarHighOpen:
		d.state(2, "The runs say nothing of p.")
		return
	case c.BarLowOpen:
		d.say(2, "p is at most %s over the corners; how small it may be, these runs can't tell. %s", num(c.PMax), c.PText)
	case c.BarHighOpen:
		d.say(2, "p is at least %s over the corners; how large it may be, these runs can't tell. %s", num(c.PMin), c.PText)
	case c.PMin > c.PMax:
		d.say(2, "p is at least %s by the runs that bound the power from below, and at most %s by those that bound it from above: they contradict each other.", num(c.PMin), num(c.PMax))
	case calc(c.PMin) == calc(c.PMax):
		d.say(2, "%s (%s at every corner)", c.PText, num(c.PMin))
	default:
		d.say(2, "%s (from %s to %s over the corners)", c.PText, num(c.PMin), num(c.PMax))
	}
	rule := d.e.rule
	if low, ok := d.barEnd(c, rule.MetFrom, c.BarLow, math.Min); ok && !c.BarLowOpen {
		d.say(2, "The lowest end, for met: y − t(%s; ν)·u = %s%sW", num(rule.MetFrom), low, nbsp)
	}
	if high, ok := d.barEnd(c, 1-rule.ShortOf(len(c.Channels)), c.BarHigh, math.Max); ok && !c.BarHighOpen {
		d.say(2, "The highest end, for short: y + t(%s; ν)·u = %s%sW", num(1-rule.ShortOf(len(c.Channels))), high, nbsp)
	}
}

// barEnd puts numbers into the end of the interval that the rule decides by, where
// the channel that decides at some corner is the one that reaches it.
func (d *derivation) barEnd(c *Claim, p, end float64, outer func(a, b float64) float64) (sum string, ok bool) {
	sign, name := 1.0, "+"
	if outer(0, 1) == 0 {
		sign, name = -1, "−"
	}
	bounds, reach := quantity.QuantileBounds(p), 1e-9*math.Abs(end)
	for _, at := range c.Corners {
		if least, most := bounds(at.DoF); at.U > 0 && math.Abs(at.Y+sign*(least+most)/2*at.U-end) > (most-least)*at.U+2*reach {
			continue // not by any quantile within the bounds
		}
		t := quantity.Quantile(p, at.DoF)
		if at.U > 0 && math.Abs(at.Y+sign*t*at.U-end) <= reach {
			return text("%s %s %s·%s = %s", num(at.Y), name, num(t), num(at.U), num(end)), true
		}
	}
	return "", false
}

// flip gives what would change the verdict, with all digits.
func (d *derivation) flip(c *Claim) {
	if c.FlipText == "" || c.Flip == nil {
		return
	}
	d.say(2, "%s", c.FlipText)
	if f := c.Flip; f.ShiftTo != "" {
		exact := calc(f.Shift)
		for _, end := range []float64{c.BarLow, c.BarHigh} {
			if math.Abs(c.LimitW-end-f.Shift) <= 1e-9*c.LimitW {
				exact = text("%s − %s = %s", num(c.LimitW), num(end), num(f.Shift))
				break
			}
		}
		d.say(4, "shift of all means, u kept: %s%sW", exact, nbsp)
	}
	if f := c.Flip; f.ScaleTo != "" {
		d.say(4, "factor on all uncertainties, means kept: %s", num(f.Scale))
	}
}
