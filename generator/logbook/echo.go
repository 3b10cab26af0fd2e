package logbook

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// wholeUpTo is up to how many runs the whole sheet is evaluated after each line;
// beyond, only what the run bears on, so that the answer comes at once.
const wholeUpTo = 200

// evaluate is the sheet of a record, or as much of it as the n-th run bears on.
func (b *Book) evaluate(rec *record.Record, n int) *sheet.Sheet {
	c := *b.content
	c.Records = []*record.Record{rec}
	if len(rec.Runs) > wholeUpTo {
		return sheet.EvaluateRun(&c, rec, n)
	}
	return sheet.Evaluate(&c, rec)
}

// newFindings are the findings of a sheet with a new run that the sheet before it
// doesn't have. Without one before, all findings are on the run.
func newFindings(now, before *sheet.Sheet) []sheet.Finding {
	var out []sheet.Finding
	for _, f := range now.Findings {
		old := before != nil && slices.ContainsFunc(before.Findings, func(o sheet.Finding) bool { return o.ID == f.ID && o.Text == f.Text })
		if !old {
			out = append(out, f)
		}
	}
	return out
}

// asked are the findings that are asked about before a run is written: that
// something was misread is likelier than that they are right.
var asked = []string{
	"power-far-off", "power-disagrees", "efficiency-above-one", "clipped-beyond-clipping",
	"half-load-more-than-double", "burst-below-continuous", "same-readings",
}

// ofPairs are those of them that hold a run against each of many others; the first is
// question enough.
var ofPairs = []string{"clipped-beyond-clipping", "half-load-more-than-double", "burst-below-continuous"}

// runOf is the run called so in a sheet.
func runOf(s *sheet.Sheet, id string) *sheet.Run {
	for _, r := range s.Runs {
		if r.ID == id {
			return r
		}
	}
	return nil
}

// echo tells what a run gave: its power, efficiency, heat, and how the claims that it
// counts for stand.
func echo(s *sheet.Sheet, r *sheet.Run) []string {
	var out, powers []string
	for _, c := range r.Channels {
		switch {
		case c.Power != nil && len(r.Channels) > 1:
			powers = append(powers, c.Name+" "+c.Power.Text)
		case c.Power != nil:
			powers = append(powers, c.Power.Text)
		}
	}
	if len(powers) > 0 {
		line := "power " + strings.Join(powers, ", ")
		if r.Total != nil && len(r.Channels) > 1 {
			line += ", total " + r.Total.Text
		}
		out = append(out, line)
	}
	if r.Efficiency != nil {
		out = append(out, "efficiency "+r.Efficiency.Text+", heat in the unit "+r.Heat.Text)
	}
	if !r.Completed {
		out = append(out, "outcome: "+r.OutcomeText)
	}
	for _, c := range r.Cautions {
		out = append(out, "caution: "+c)
	}
	return append(out, claims(s, r)...)
}

// claims tells how the claims stand that a run counts for; where it counts for none,
// why not.
func claims(s *sheet.Sheet, r *sheet.Run) []string {
	var out, whyNot []string
	for _, c := range s.Claims {
		for _, u := range c.Uses {
			switch {
			case u.Run != r.ID:
			case u.Counts:
				out = append(out, standing(c, r))
				if c.Undecided() && c.Why != "" {
					out = append(out, "why: "+c.Why)
				}
			default:
				whyNot = append(whyNot, fmt.Sprintf("doesn't count for claim %s: %s; %s", c.ID, u.Why, soFar(c)))
			}
		}
	}
	switch {
	case out != nil:
		return out
	case whyNot == nil:
		return []string{"nothing is claimed at this load"}
	}
	return whyNot
}

// standing tells a run's level against a claim, and the claim's verdict so far.
func standing(c *sheet.Claim, r *sheet.Run) string {
	line := fmt.Sprintf("claim %s, %s%sW: ", c.ID, quantity.Float(c.ClaimW), nbsp)
	if level := levelOf(c, r); !math.IsNaN(level) {
		line += "this run " + signed(level) + nbsp + "dB, "
	}
	if c.Level != nil && len(c.Weakest.Runs) > 1 {
		line += fmt.Sprintf("mean of %d runs %s, ", len(c.Weakest.Runs), c.Level.Text)
	}
	return line + soFar(c)
}

// soFar is a claim's verdict; an open one's as pages say it, too.
func soFar(c *sheet.Claim) string {
	said := "verdict so far " + string(c.Verdict)
	if c.Verdict == "open" {
		said += " (" + strings.ToLower(c.Word) + ")"
	}
	return said
}

// after tells how the claims stand that a run was looked at for, once it is marked
// invalid.
func after(s *sheet.Sheet, id string) []string {
	var out []string
	for _, c := range s.Claims {
		if slices.ContainsFunc(c.Uses, func(u sheet.Use) bool { return u.Run == id }) {
			out = append(out, "claim "+c.ID+": "+soFar(c))
		}
	}
	return out
}

// levelOf is the level of the weakest channel of a run against a claim, in dB; NaN
// where the run gives no power at its load.
func levelOf(c *sheet.Claim, r *sheet.Run) float64 {
	level := math.NaN()
	for _, ch := range r.Channels {
		if ch.Power == nil || !(ch.Power.X > 0) || math.Abs(ch.Nominal-c.Rec.LoadOhm.Value) > 0.01*c.Rec.LoadOhm.Value {
			continue
		}
		if x := electric.Level(quantity.Exact(ch.Power.X, "W"), c.ClaimW).X; math.IsNaN(level) || x < level {
			level = x
		}
	}
	return level
}

// signed writes a level or a deviation with its sign and two decimals.
func signed(x float64) string {
	text := fmt.Sprintf("%+.2f", x)
	if text == "-0.00" {
		text = "+0.00"
	}
	return strings.Replace(text, "-", "−", 1)
}
