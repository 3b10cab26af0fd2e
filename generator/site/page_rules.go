package site

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// rulesSay tells in a sentence whether the usual decision rules agree on a claim;
// empty where there is nothing to decide by numbers.
func rulesSay(rules []sheet.RuleSays) string {
	if len(rules) == 0 {
		return ""
	}
	for _, r := range rules {
		if r.Verdict != rules[0].Verdict {
			return "How sure one asks to be makes a difference here: the usual rules don't all say the same of these figures. This site keeps to its own for every unit."
		}
	}
	return "How sure one asks to be makes no difference here: the usual rules all say the same of these figures."
}

// rulesTable is what each of the usual rules would say of a claim, on a desk.
func rulesTable(c *sheet.Claim, desk *cellDesk) table {
	t := table{Caption: "What each usual rule says of claim " + c.Label, Class: "small rules",
		Head: []column{{Text: "Rule"}, {Text: "Met from p of", Numeric: true}, {Text: "Verdict"}}}
	rows := make([]row, 0, len(c.Rules))
	for _, r := range c.Rules {
		name := cell{Text: capital(r.Name), Column: 0, Head: "row", Note: r.Means}
		if r.Own {
			name.Note = "This site's rule. " + r.Means
		}
		word := sheet.Printed(r.Verdict)
		if r.Verdict == c.Verdict {
			word = c.Word
		}
		desk.add(name)
		desk.add(cell{Text: quantity.Float(r.Rule.MetFrom), Column: 1})
		desk.add(cell{Markup: verdictMarkup(r.Verdict, word), Column: 2})
		rows = append(rows, desk.row(""))
	}
	t.Groups = [][]row{rows}
	return t
}

// lacking says in a sentence that verdicts of a unit rest on an uncertainty that is
// incomplete, and what it lacks; empty where none does.
func lacking(claims []*sheet.Claim) string {
	n, judged := 0, 0
	var what []string
	for _, c := range claims {
		if len(c.Channels) > 0 {
			judged++
		}
		lacks := c.Lacks()
		if lacks != nil {
			n++
		}
		for _, l := range lacks {
			if !slices.Contains(what, l) {
				what = append(what, l)
			}
		}
	}
	if n == 0 {
		return ""
	}
	which := fmt.Sprintf("%d of the %d verdicts", n, judged)
	switch {
	case judged == 1:
		which = "the verdict"
	case n == judged:
		which = "every verdict"
	case n == 1:
		which = "one of the verdicts"
	}
	return "The uncertainty behind " + which + " is incomplete, so it may be larger than it says: " + strings.Join(what, "; ") + "."
}
