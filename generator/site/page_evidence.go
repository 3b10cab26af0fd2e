package site

import (
	"html/template"
	"slices"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// An evidence writes what is folded under a claim: how its verdict came about. It is
// written here and not in a template, as a table is.
type evidence struct {
	*draft
	methodology string // the address of the methodology page
}

// evidenceOf tells how a claim was decided.
func (b *binder) evidenceOf(s *sheet.Sheet, c *sheet.Claim, methodology string, to *late) template.HTML {
	return to.drafted(func(d *draft) {
		e, desk := evidence{d, methodology}, takeCells()
		defer desk.clear()
		d.raw("<div class=\"evidence-body\">\n<p class=\"why\">").words(c.Why).raw("</p>\n<dl class=\"facts\">\n")
		e.outcome(c, b.site.Content.Site.Rule.AllowancePct.Value > 0)
		e.conditions(c)
		e.measured(s, c)
		e.printed(c)
		for _, ch := range c.Channels {
			e.channel(ch, ch == c.Weakest)
		}
		e.shares(c.Weakest)
		d.raw("</dl>\n")
		e.uses(c)
		if says := bracket(c); says != "" {
			d.raw("<div class=\"bracket\">\n<p>").words(says).raw(` <a class="soft" href="`).words(methodology).raw("#bracketing\">An example</a></p>\n")
			b.corners(c, methodology, desk).write(d)
			d.raw("</div>\n")
		}
		if says := rulesSay(c.Rules); says != "" {
			d.raw("<div class=\"other-rules\">\n<p>").words(says).raw("</p>\n")
			rulesTable(c, desk).write(d)
			d.raw("</div>\n")
		}
		// The anchor is that of the derivation, which stood on this page once.
		d.raw(`<p class="to-steps" id="derived-`).words(c.ID).raw(`"><a href="`).words(decidedHref(c.ID))
		d.raw("\">The whole derivation, step by step</a></p>\n</div>\n")
	})
}

// begin begins a fact of that name, and end ends it.
func (e evidence) begin(name string) *draft { return e.raw("<div><dt>").raw(name).raw("</dt><dd>") }
func (e evidence) end()                     { e.raw("</dd></div>\n") }

// byRule begins a link to the decision rule.
func (e evidence) byRule(class string) *draft {
	return e.raw("<a").attribute("class", class).raw(` href="`).words(e.methodology).raw(`#rule">`)
}

// outcome writes the probability, what would change the verdict, the level and, where
// an allowance makes it another than the claim, the limit.
func (e evidence) outcome(c *sheet.Claim, allowance bool) {
	if c.HasP && c.PText != "" {
		e.begin("Probability that the claim holds").anchor(e.methodology+"#formula-"+formula.Chance, c.PText).raw(", by the ")
		e.byRule("").raw("decision rule</a>")
		e.end()
	}
	if c.FlipText != "" {
		e.begin("What would change the verdict").words(c.FlipText).raw(" ")
		e.byRule("soft").raw("By the rule</a>")
		e.end()
	}
	if c.Level != nil && c.Level.Text != "" {
		e.begin("Level against the claim").raw(`<a href="`).words(formulaHref(e.methodology, c.Level)).raw(`">`).words(c.Level.Text).raw("</a>")
		e.end()
	}
	if allowance {
		e.begin("Limit, with the site's allowance")
		e.byRule("").words(quantity.Significant(c.LimitW, 4)).raw(nbsp + "W</a>")
		e.end()
	}
}

// conditions writes the claim's conditions.
func (e evidence) conditions(c *sheet.Claim) {
	e.begin("Conditions of the claim").words(c.Conditions)
	for _, assumed := range c.Assumed {
		e.raw(`, <span class="assumed">assumed: `).words(assumed).raw("</span>")
	}
	e.end()
}

// printed writes where the claim is printed, and what the uncertainty lacks.
func (e evidence) printed(c *sheet.Claim) {
	for _, lacks := range c.Lacks() {
		e.begin("Not in the uncertainty").words(lacks)
		e.end()
	}
	if c.Rec.PrintedIn != "" {
		e.begin("Printed in").words(c.Rec.PrintedIn)
		e.end()
	}
}

// channel writes a channel's mean, and the runs that it is of.
func (e evidence) channel(ch *sheet.ClaimChannel, decides bool) {
	e.raw("<div><dt>Channel <bdi>").words(ch.Name).raw("</bdi>")
	if decides {
		e.raw(", which decides")
	}
	e.raw("</dt><dd>")
	if ch.Mean != nil {
		e.anchor(formulaHref(e.methodology, ch.Mean), ch.Mean.Text)
	}
	if class := classes[ch.Class]; class != "" {
		e.raw(", ").words(class)
	}
	if len(ch.Runs) > 0 {
		e.raw("; ").runs(ch.Runs)
	}
	e.end()
}

// runs adds runs of this page, with commas between.
func (d *draft) runs(ids []string) *draft {
	for i, id := range ids {
		if i > 0 {
			d.raw(", ")
		}
		d.raw(`<a href="#run-`).text(id).raw(`">`).text(id).raw("</a>")
	}
	return d
}

// A useRow is the runs that were looked at for a claim and became the same.
type useRow struct {
	runs []string
	why  string
}

// uses writes the runs at the claim's load by what became of them.
func (e evidence) uses(c *sheet.Claim) {
	const deciding, bounding, unused = 0, 1, 2
	var rows [3][]useRow
	for _, u := range c.Uses {
		of := unused
		switch {
		case u.Counts && decides(c, u.Run):
			of = deciding
		case u.Counts:
			of = bounding
		}
		rows[of] = withUse(rows[of], u)
	}
	if len(c.Uses) == 0 {
		return
	}
	e.raw("<div class=\"uses\">\n")
	for i, head := range [...]string{"Runs that decide", "Runs that only bound the power", "Runs at this load that don't count"} {
		if len(rows[i]) == 0 {
			continue
		}
		e.raw(`<p class="list-head">`).raw(head).raw("</p>\n<ul>\n")
		for _, r := range rows[i] {
			e.raw("<li>").runs(r.runs)
			if r.why != "" {
				e.raw(": ").words(r.why)
			}
			e.raw("</li>\n")
		}
		e.raw("</ul>\n")
	}
	e.raw("</div>\n")
}

// decides reports whether a channel's mean at the claim's distortion is made of a
// run. Any other run that counts bounds the power on one side only.
func decides(c *sheet.Claim, run string) bool {
	return slices.ContainsFunc(c.Channels, func(ch *sheet.ClaimChannel) bool {
		return ch.Class == "at" && slices.Contains(ch.Runs, run)
	})
}

// withUse adds a run to those with the same reason.
func withUse(rows []useRow, u sheet.Use) []useRow {
	i := slices.IndexFunc(rows, func(r useRow) bool { return r.why == u.Why })
	if i < 0 {
		i = len(rows)
		rows = append(rows, useRow{why: u.Why})
	}
	rows[i].runs = append(rows[i].runs, u.Run)
	return rows
}

// A channelRow is one channel's mean under a claim.
type channelRow struct {
	Name    string // which channel, or channels
	Figure  string // the mean: (109.4 ± 1.9) W
	Href    string // the formula of the figure
	Class   string // where the mean's distortion is against the claim's limit, in words
	Decides bool   // the verdict rests on this mean
	Runs    links  // the runs that it is the mean of
}

// classes say which of a channel's runs speak for a claim.
var classes = map[string]string{
	"at":    "at the claim's distortion",
	"below": "a bound from below: the unit can give at least this",
	"above": "a bound from above: the unit gives at most this",
}

func channelOf(ch, weakest *sheet.ClaimChannel, methodology string) channelRow {
	row := channelRow{Name: ch.Name, Class: classes[ch.Class], Decides: ch == weakest}
	if ch.Mean != nil {
		row.Figure, row.Href = ch.Mean.Text, formulaHref(methodology, ch.Mean)
	}
	for _, id := range ch.Runs {
		row.Runs = append(row.Runs, link{"#run-" + id, id})
	}
	return row
}
