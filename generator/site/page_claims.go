package site

import (
	"html/template"

	"wattsheet/charts"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A claimRow is one claim as a page shows it.
type claimRow struct {
	ID        string        // the claim's id, unique in its unit
	Label     string        // load, channels and method in short: 4 Ω, both channels
	Class     string        // met, short, open, untested, incomparable
	Word      string        // the verdict
	Mark      template.HTML // its shape
	Line      template.HTML // the claim line; empty where there is nothing to draw
	Figure    string        // (109.4 ± 1.9) W; empty where nothing was measured
	Href      string        // the formula of the figure
	Of        string        // of 110 W claimed
	InWords   bool          // Figure is no figure, but says what happened
	Lacks     bool          // the uncertainty behind the verdict is incomplete
	Corrected []link        // the corrections that changed something of it
	Chance    string        // the probability that the claim holds; empty where there is none
	Quote     string        // the id of its sentence at the page's end; empty where the page has none
	Seen      template.HTML // leads to where it is seen in a video; empty where it isn't marked
	Evidence  template.HTML // what is folded under the claim: how its verdict came about
}

// claimRows are the claims of a list that share the scale of their lines.
func claimRows(claims []*sheet.Claim, methodology string) []claimRow {
	return claimRowsOn(claims, charts.ClaimLines(claims), methodology)
}

// claimRowsOn are claims with lines that are drawn already.
func claimRowsOn(claims []*sheet.Claim, lines []string, methodology string) []claimRow {
	rows := make([]claimRow, len(claims))
	for i, c := range claims {
		rows[i] = claimRow{
			ID: c.ID, Label: c.Label, Class: string(c.Verdict), Word: c.Word,
			Mark: template.HTML(charts.Mark(c.Verdict)), Line: template.HTML(lines[i]),
			Lacks: c.Lacks() != nil, InWords: c.Brief != "",
		}
		rows[i].Figure, rows[i].Of = measuredOf(c)
		if c.Weakest != nil {
			rows[i].Href = formulaHref(methodology, c.Weakest.Mean)
		}
		if c.Brief != "" {
			rows[i].Href = "#claim-" + c.ID
		}
	}
	return rows
}

// measuredOf says what was measured of a claim, or what happened, and of what.
func measuredOf(c *sheet.Claim) (figure, of string) {
	of = with(c.Rec.PowerW, "W") + " claimed"
	if c.Weakest != nil && c.Weakest.Mean != nil {
		figure, of = c.Weakest.Mean.Text, "of "+of
	}
	if c.Brief != "" {
		figure = c.Brief
	}
	return figure, of
}

// formulaHref is the address of a figure's formula.
func formulaHref(methodology string, f *sheet.Figure) string {
	if f == nil || f.Formula == "" {
		return ""
	}
	return methodology + "#formula-" + f.Formula
}

// leadingClaim is the claim that stands for a sheet in a list: the first that falls
// short, else the first too close to call, else the first met, else the first.
func leadingClaim(claims []*sheet.Claim) *sheet.Claim {
	for _, w := range []verdict.Word{verdict.Short, verdict.Open, verdict.Met} {
		for _, c := range claims {
			if c.Verdict == w {
				return c
			}
		}
	}
	if len(claims) > 0 {
		return claims[0]
	}
	return nil
}
