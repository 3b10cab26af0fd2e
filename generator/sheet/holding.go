package sheet

import "wattsheet/generator/verdict"

// A holding is a decision on a claim by its numbers, and what may hold it back: the
// load, the readings, a shutdown, an assumed condition. What several rules or flips ask
// for is found once.
type holding struct {
	e *evaluator
	c *Claim
	t terms
	m *match
	carriers

	plainly  *verdict.Decision
	offLoad  bool // the load is further off than the corners reach
	disagree bool // watt-meter and volts do
	// eased are the same claim's with what is assumed eased, by the exponents that a
	// rule looks for; nil ones bound nothing.
	eased map[verdict.Rule]*verdict.Decision
}

// holding prepares the decision on a claim.
func (e *evaluator) holding(c *Claim, t terms, m *match, groups []*group, all carriers) *holding {
	return &holding{
		e: e, c: c, t: t, m: m, carriers: all, eased: map[verdict.Rule]*verdict.Decision{},
		plainly:  verdict.NewDecision(e.rule, c.LimitW, e.corners(c.Rec, c.LimitW, t.supplyV, groups, all)),
		offLoad:  offLoad(groups, c.Rec.LoadOhm.Value) != nil,
		disagree: disagreeing(groups) != nil,
	}
}

// over is why a verdict by a rule is held open; empty where it isn't.
func (h *holding) over(word verdict.Word, rule verdict.Rule) (reason string) {
	switch {
	case h.offLoad:
		return "load"
	case h.disagree:
		return reasonReadings
	case word == verdict.Met && len(h.m.ended) > 0:
		return reasonOutcome
	case word == verdict.Short && h.assumes() && !h.shortEased(rule):
		return reasonCondition
	}
	return ""
}

// assumes reports whether a condition of the claim is assumed.
func (h *holding) assumes() bool { return h.t.supplyAssumed || h.t.thdnAssumed }

// qualify puts what the claim's decision comes to into it.
func (h *holding) qualify(r verdict.Result) {
	c := h.c
	if reason := h.over(c.Verdict, h.e.rule); reason != "" {
		c.Verdict, c.Reason = verdict.Open, reason
	}
	c.offLoad = h.offLoad
	switch {
	case c.heldWhateverY():
	case len(h.m.ended) > 0 || h.assumes():
		c.Flip = h.flip()
	default:
		c.Flip = h.plainly.Flip()
	}
	h.e.level(c)
	c.PText = h.e.chanceText(c, r)
}

// heldWhateverY reports whether a claim is held back by something that no other mean or
// uncertainty would change.
func (c *Claim) heldWhateverY() bool { return c.offLoad || c.Reason == reasonReadings }

// flip is what would change a claim's verdict where a shutdown would hold met back, or
// an assumed condition short: met stays open after a shutdown, and short is left where
// the runs no longer say it with what is assumed eased.
func (h *holding) flip() *verdict.Flip {
	decisions := []*verdict.Decision{h.plainly}
	short := func(shift, scale float64) bool { return true }
	if h.assumes() {
		short = func(shift, scale float64) bool { return false }
		if eased := h.easedBy(h.e.rule); eased != nil {
			decisions = append(decisions, eased)
			short = func(shift, scale float64) bool { return eased.Moved(shift, scale) == verdict.Short }
		}
	}
	return verdict.FlipOf(h.c.Verdict, h.c.LimitW, func(shift, scale float64) verdict.Word {
		switch w := h.plainly.Moved(shift, scale); {
		case w == verdict.Met && len(h.m.ended) > 0, w == verdict.Short && !short(shift, scale):
			return verdict.Open
		default:
			return w
		}
	}, decisions...)
}

// shortEased reports whether a claim is short by a rule also with what is assumed
// eased.
func (h *holding) shortEased(rule verdict.Rule) bool {
	eased := h.easedBy(rule)
	return eased != nil && eased.Word() == verdict.Short
}

// easedBy is the decision by a rule with what is assumed eased; nil where the runs then
// bound nothing.
func (h *holding) easedBy(rule verdict.Rule) *verdict.Decision {
	looking := rule // by whose exponents it goes: those of the usual rules are looked for by all
	if usual(rule) {
		looking = usualRules[0].Rule
	}
	d, found := h.eased[looking]
	if !found {
		by := &evaluator{h.e.content, h.e.rec, rule}
		if x := by.easeBy(h.c, h.t, h.m, h.carriers); x.corners != nil {
			d = verdict.NewDecision(rule, h.c.LimitW, x.corners)
		}
		h.eased[looking] = d
	}
	if d == nil {
		return nil
	}
	return d.By(rule)
}

// otherRules decides a claim by each of the usual rules, and by the site's own where
// that is none of them. What holds a verdict back for another reason than the
// numbers holds it back by every rule.
func (h *holding) otherRules() []RuleSays {
	rules := append([]RuleSays{}, usualRules...)
	if !usual(h.e.rule) {
		rules = append(rules, RuleOf(h.e.content.Site))
	}
	for i := range rules {
		r := &rules[i]
		r.Own = r.Rule == h.e.rule
		r.Verdict = h.plainly.By(r.Rule).Word()
		if h.over(r.Verdict, r.Rule) != "" {
			r.Verdict = verdict.Open
		}
	}
	return rules
}

// usual reports whether a rule is one of the usual ones.
func usual(rule verdict.Rule) bool {
	for _, r := range usualRules {
		if r.Rule == rule {
			return true
		}
	}
	return false
}
