package plan

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// The search for the smallest shortfall and margin goes in steps of 0.01 % of the
// claim, so that it gives the same on every machine: down to half of the claim, and
// up to its double.
const (
	perStep   = 1e-4
	downSteps = 5000
	upSteps   = 10000
)

// decide finds out what the bench could say of a claim.
func (p *planner) decide(out *Claim, c *record.Claim) {
	t, _ := p.trial(c, out.jobs, 1)
	out.Label, out.Conditions, out.LimitW = p.label(c), t.Conditions, Number(t.LimitW)
	out.Can = "neither"
	if len(out.jobs) == 0 {
		return
	}
	if t.Weakest == nil {
		out.Why = t.Why
		if len(t.Uses) > 0 {
			out.Why = "It can't be decided: " + sentence(t.Uses[0].Why) + "."
		}
		return
	}
	u := t.Weakest.Mean
	out.UW, out.UPct, out.Lacks = Number(figureOf(u.U, 6)), Number(figureOf(100*u.U/u.X, 6)), u.Incomplete
	s := p.search(out, c)
	if s.short {
		out.ShortfallPct, out.ShortUpToW = pct(-s.shortStep), watts(c, s.shortStep)
	}
	if s.met {
		out.MarginPct, out.MetFromW = pct(s.metStep), watts(c, s.metStep)
	}
	switch {
	case s.short && s.met:
		out.Can = "both"
	case s.met:
		out.Can, out.Why = "met", "It can't be called short: "+sentence(s.lowWhy)+"."+p.atTen(out, c)
	case s.short:
		out.Can, out.Why = "short", "It can't be called met: "+sentence(s.highWhy)+"."+p.noDistortion()
	default:
		out.Why = "Neither half nor double the claim would decide it: " + sentence(s.lowWhy) + "."
	}
	p.sagged(out, c)
}

// lowPct is by how much the supply stands too low for the bounds that are given
// beside those at the claim's voltage.
const lowPct = 2

// sagged finds the bounds for a supply that isn't trimmed quite to the claim's
// voltage: what the unit would have given there is known less well.
func (p *planner) sagged(out *Claim, c *record.Claim) {
	p.lowPct = lowPct
	defer func() { p.lowPct = 0 }()
	s := p.search(out, c)
	if s.short {
		out.LowShortUpToW = watts(c, s.shortStep)
	}
	if s.met {
		out.LowMetFromW = watts(c, s.metStep)
	}
	if s.short || s.met {
		out.LowPct = lowPct
	}
}

// A found is what a search found: from which steps on a claim is short and met, where
// it ever is, and why it isn't.
type found struct {
	short, met         bool
	shortStep, metStep int
	lowWhy, highWhy    string
}

// search finds where the verdict of a claim turns.
func (p *planner) search(out *Claim, c *record.Claim) found {
	at := func(step int) *sheet.Claim { t, _ := p.trial(c, out.jobs, 1+float64(step)*perStep); return t }
	low, high := at(-downSteps), at(upSteps)
	f := found{short: low.Verdict == verdict.Short, met: high.Verdict == verdict.Met, lowWhy: low.Why, highWhy: high.Why}
	if f.short {
		f.shortStep = turning(-downSteps, 0, func(step int) bool { return at(step).Verdict == verdict.Short })
	}
	if f.met {
		f.metStep = -turning(-upSteps, downSteps, func(step int) bool { return at(-step).Verdict == verdict.Met })
	}
	return f
}

// sentence is the first of a text's, to stand behind a colon: what follows it in the
// sheet's words are figures of the trial.
func sentence(text string) string {
	first, _, _ := strings.Cut(text, ". ")
	return lower(first)
}

// atTen says what is missing where a claim states no distortion, and no run is made
// at that at which it has to be short, too.
func (p *planner) atTen(out *Claim, c *record.Claim) string {
	if c.ThdnPct.Given() || slices.ContainsFunc(out.jobs, func(j *job) bool { return j.method.ThdnPct.Value >= easedThdnPct }) {
		return ""
	}
	return fmt.Sprintf(" It states no distortion, so it would have to be short at %s, too, and methods.toml has no method for that.", unit(easedThdnPct, "%"))
}

// noDistortion says what is missing on a bench that reads no distortion: without it no
// run is known to be at a claim's.
func (p *planner) noDistortion() string {
	if len(p.bench().Readers("thdn_pct")) > 0 {
		return ""
	}
	return " bench.toml has no instrument that reads thdn_pct, without which no claim is met."
}

func pct(step int) *Number { n := Number(float64(step) * 100 * perStep); return &n }

func watts(c *record.Claim, step int) *Number {
	n := Number(c.PowerW.Value * (1 + float64(step)*perStep))
	return &n
}

// turning is the last whole number from from to to for which is holds, where it holds
// at from and, once it doesn't, not any more.
func turning(from, to int, is func(int) bool) int {
	if is(to) {
		return to
	}
	for to-from > 1 {
		if middle := (from + to) / 2; is(middle) {
			from = middle
		} else {
			to = middle
		}
	}
	return from
}

// label is what the sheet calls a claim among all of the unit's.
func (p *planner) label(c *record.Claim) string {
	rec := *p.rec
	rec.Runs = nil
	for _, one := range sheet.Evaluate(p.content, &rec).Claims {
		if one.ID == c.ID {
			return one.Label
		}
	}
	return c.ID
}
