package sheet

import (
	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// usualRules are the decision rules in common use, by the probability that each
// asks for: simple acceptance (guard band 0) and a guard band of U (ILAC-G8:09/2019,
// 4.2.1 and 4.2.2), and a guard band for 95 % (JCGM 106:2012, 8.3; the default of
// ISO 14253-1:2017, from memory).
var usualRules = []RuleSays{
	{Name: "simple acceptance", Rule: verdict.Rule{MetFrom: 0.5, ShortTo: 0.5}},
	{Name: "guarded, 95" + nbsp + "%", Rule: verdict.Rule{MetFrom: 0.95, ShortTo: 0.05}},
	{Name: "guard band U, 97.5" + nbsp + "%", Rule: verdict.Rule{MetFrom: 0.975, ShortTo: 0.025}},
}

// otherRules decides a claim by each of the usual rules, and by the site's own where
// that is none of them. What holds a verdict back for another reason than the
// numbers holds it back by every rule.
func (e *evaluator) otherRules(c *Claim, t terms, m *match, groups []*group, corners []verdict.Corner) []RuleSays {
	rules := append([]RuleSays{}, usualRules...)
	own := -1
	for i := range rules {
		if rules[i].Rule == e.rule {
			own = i
		}
	}
	if own < 0 {
		own = len(rules)
		rules = append(rules, RuleSays{Name: "the site's own, " + quantity.Float(100*e.rule.MetFrom) + nbsp + "%", Rule: e.rule})
	}
	rules[own].Own = true
	for i := range rules {
		by := &evaluator{e.content, e.rec, rules[i].Rule}
		says := &Claim{Rec: c.Rec, ClaimW: c.ClaimW, LimitW: c.LimitW, Channels: c.Channels, Weakest: c.Weakest}
		r := verdict.Decide(by.rule, c.LimitW, corners)
		says.take(r)
		by.qualify(says, t, m, groups, r)
		rules[i].Verdict = says.Verdict
	}
	return rules
}
