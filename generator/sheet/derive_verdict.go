package sheet

import "fmt"

// rule states the decision rule for a claim with so many channels.
func (d *derivation) rule(channels int) {
	says := RuleOf(d.s.Content.Site)
	d.say(2, "Rule: %s. %s", says.Name, says.Means)
	d.say(4, "rests on: %s", says.Source)
	short, part := calc(says.Rule.ShortTo), says.Rule.ShortOf(channels)
	switch {
	case part < says.Rule.ShortTo:
		short = fmt.Sprintf("p ≤ %s/%d = %s", short, channels, calc(part))
	case says.Rule.MetFrom == says.Rule.ShortTo:
		short = "p < " + short
	default:
		short = "p ≤ " + short
	}
	d.say(2, "So: met where every channel has p ≥ %s, short where any has %s, at every corner; else open.", calc(says.Rule.MetFrom), short)
}
