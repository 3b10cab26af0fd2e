package site

import (
	"html/template"
	"slices"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A claimRow is one claim as a page shows it.
type claimRow struct {
	ID        string
	Label     string
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
	Evidence  evidence
}

// An evidence is what is folded under a claim: how its verdict came about.
type evidence struct {
	Why         string
	Chance      string
	ChanceHref  string
	Flip        string
	Level       string
	LevelHref   string
	Limit       string // the limit, where it isn't the claim
	Conditions  string
	Assumed     []string
	PrintedIn   string
	Channels    []channelRow
	Bracket     string // how the claim's conditions were bracketed, in a sentence
	BracketHref string // where that is explained
	Corners     template.HTML
	RulesSay    string // whether the usual rules agree, in a sentence
	Rules       template.HTML
	Lacks       []string // what the uncertainty lacks
	Steps       string   // the address of the derivation
	RuleHref    string
	Deciding    []useRow // runs at the claim's distortion
	Bounding    []useRow // runs that tell only that there is at least or at most so much
	Unused      []useRow
}

// A channelRow is one channel's mean under a claim.
type channelRow struct {
	Name, Figure, Href, Class string
	Decides                   bool
	Runs                      links
}

// A useRow is the runs that were looked at for a claim and became the same.
type useRow struct {
	Runs links
	Why  string
}

// claimRows are the claims of a list that share the scale of their lines.
func claimRows(claims []*sheet.Claim, methodology string) []claimRow {
	lines := charts.ClaimLines(claims)
	rows := make([]claimRow, len(claims))
	for i, c := range claims {
		rows[i] = claimRow{
			ID: c.ID, Label: c.Label, Class: string(c.Verdict), Word: c.Word,
			Mark: template.HTML(charts.Mark(c.Verdict)), Line: template.HTML(lines[i]),
			Of: with(c.Rec.PowerW, "W") + " claimed", Lacks: c.Lacks() != nil,
		}
		if c.Weakest != nil && c.Weakest.Mean != nil {
			rows[i].Figure = c.Weakest.Mean.Text
			rows[i].Href = formulaHref(methodology, c.Weakest.Mean)
			rows[i].Of = "of " + rows[i].Of
		}
		if c.Brief != "" {
			rows[i].Figure, rows[i].Href, rows[i].InWords = c.Brief, "#claim-"+c.ID, true
		}
	}
	return rows
}

// evidenceOf gathers how a claim was decided.
func (b *binder) evidenceOf(s *sheet.Sheet, c *sheet.Claim, methodology string) evidence {
	e := evidence{
		Why: c.Why, Flip: c.FlipText, Conditions: c.Conditions, Assumed: c.Assumed, PrintedIn: c.Rec.PrintedIn,
		RuleHref: methodology + "#rule", Bracket: b.bracket(s, c), BracketHref: methodology + "#bracketing", Corners: b.corners(c, methodology),
		RulesSay: rulesSay(c.Rules), Rules: rulesTable(c), Lacks: c.Lacks(), Steps: "#derived-" + c.ID,
	}
	if c.HasP {
		e.Chance, e.ChanceHref = c.PText, methodology+"#formula-"+formula.Chance
	}
	if c.Level != nil {
		e.Level, e.LevelHref = c.Level.Text, formulaHref(methodology, c.Level)
	}
	if b.site.Content.Site.Rule.AllowancePct.Value > 0 {
		e.Limit = quantity.Significant(c.LimitW, 4) + nbsp + "W"
	}
	for _, ch := range c.Channels {
		e.Channels = append(e.Channels, channelOf(ch, c.Weakest, methodology))
	}
	for _, u := range c.Uses {
		to := &e.Unused
		switch {
		case u.Counts && decides(c, u.Run):
			to = &e.Deciding
		case u.Counts:
			to = &e.Bounding
		}
		*to = withUse(*to, u)
	}
	return e
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
	i := slices.IndexFunc(rows, func(r useRow) bool { return r.Why == u.Why })
	if i < 0 {
		i = len(rows)
		rows = append(rows, useRow{Why: u.Why})
	}
	rows[i].Runs = append(rows[i].Runs, link{"#run-" + u.Run, u.Run})
	return rows
}

// classes say which of a channel's runs speak for a claim.
var classes = map[string]string{
	"at":    "at the claim's distortion",
	"below": "below the claim's distortion, so the unit can give at least this",
	"above": "above the claim's distortion, so the unit gives at most this",
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

// formulaHref is the address of a figure's formula.
func formulaHref(methodology string, f *sheet.Figure) string {
	if f == nil || f.Formula == "" {
		return ""
	}
	return methodology + "#formula-" + f.Formula
}

// A tally is how many claims of a sheet have one verdict.
type tally struct {
	Class, Word string
	Mark        template.HTML
	Count       int
}

// tallies count a sheet's verdicts, in the order in which pages name them.
func tallies(claims []*sheet.Claim) []tally {
	var out []tally
	for _, w := range verdict.Words {
		for _, c := range claims {
			if c.Verdict != w {
				continue
			}
			word := strings.ToLower(c.Word)
			i := slices.IndexFunc(out, func(t tally) bool { return t.Word == word })
			if i < 0 {
				i = len(out)
				out = append(out, tally{Class: string(w), Word: word, Mark: template.HTML(charts.Mark(w))})
			}
			out[i].Count++
		}
	}
	for i := range out {
		if out[i].Count > 1 {
			out[i].Word = strings.Replace(out[i].Word, "falls", "fall", 1)
		}
	}
	return out
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
