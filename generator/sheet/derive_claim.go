package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// DeriveClaims is every claim and run of a sheet in short.
func (s *Sheet) DeriveClaims() []Passage {
	d := s.derivation()
	d.head("%s", s.Name)
	d.say(2, "%s", s.Headline)
	for _, c := range s.Claims {
		d.head("Claim %s: %s, %s%sW", c.ID, c.Label, calc(c.ClaimW), nbsp)
		d.say(2, "%s. %s", c.Word, c.Why)
		d.conditions(c)
		if c.Weakest != nil {
			d.say(2, "Channel %s: %s against L = %s%sW; runs %s", c.Weakest.Name, c.Weakest.Mean.Text, calc(c.LimitW), nbsp, strings.Join(c.Weakest.Runs, ", "))
		}
		if c.PText != "" {
			d.say(2, "%s", c.PText)
		}
	}
	d.head("Runs")
	for _, r := range s.Runs {
		d.say(2, "%s: %s, %s; %s", r.ID, Ohms(r.Nominal), r.Method.Title, r.OutcomeText)
		for _, c := range r.Channels {
			if c.Power != nil {
				d.say(4, "channel %s: %s", c.Name, c.Power.Text)
			}
		}
	}
	return d.passages
}

// DeriveClaim is how a claim was decided, from the runs on.
func (s *Sheet) DeriveClaim(c *Claim) []Passage {
	d := s.derivation()
	d.head("Claim %s of %s: %s", c.ID, s.Name, c.Label)
	d.conditions(c)
	if c.Rec.PrintedIn != "" {
		d.say(2, "Printed in: %s", c.Rec.PrintedIn)
	}
	d.say(2, "L = claim·(1 − allowance) = %s·(1 − %s%s%%) = %s%sW a channel",
		calc(c.ClaimW), calc(s.Content.Site.Rule.AllowancePct.Value), nbsp, calc(c.LimitW), nbsp)
	d.uses(c)
	for _, ch := range c.Channels {
		d.mean(ch)
	}
	if c.Level != nil {
		d.head("Level of channel %s", c.Weakest.Name)
		d.figure("Level", c.Level, fmt.Sprintf("10·lg(%s/%s)", calc(c.Weakest.Mean.X), calc(c.ClaimW)))
	}
	if len(c.Corners) > 0 {
		d.corners(c)
	}
	d.verdict(c)
	d.estimate(c)
	d.sources()
	return d.passages
}

// conditions says what a claim states, and what the site assumes.
func (d *derivation) conditions(c *Claim) {
	d.say(2, "Stated: %s%sW a channel; %s", calc(c.ClaimW), nbsp, c.Conditions)
	for _, a := range c.Assumed {
		d.say(2, "Assumed: %s", a)
	}
}

// uses lists every run that was looked at, and those that were not.
func (d *derivation) uses(c *Claim) {
	d.head("Which runs count")
	for _, u := range c.Uses {
		counts := "not used"
		if u.Counts {
			counts = "used"
		}
		d.say(2, "%s: %s: %s", u.Run, counts, u.Why)
	}
	var others []string
	for _, r := range d.s.Runs {
		if !slices.ContainsFunc(c.Uses, func(u Use) bool { return u.Run == r.ID }) {
			others = append(others, r.ID)
		}
	}
	if len(others) > 0 {
		d.say(2, "At another load, or on other channels: %s", strings.Join(others, ", "))
	}
}

// mean gives one channel's mean.
func (d *derivation) mean(ch *ClaimChannel) {
	d.head("Channel %s, runs %s the claim's distortion", ch.Name, ch.Class)
	var terms []string
	for _, id := range ch.Runs {
		if r := d.runCalled(id); r != nil {
			for _, c := range r.Channels {
				if c.Name == ch.Name && c.Power != nil {
					d.say(2, "%s: P = %s, see wattsheet explain %s %s", id, c.Power.Text, d.s.Slug, id)
					terms = append(terms, calc(c.Power.X))
				}
			}
		}
	}
	if ch.Mean.Formula == formula.Mean {
		d.figure("Mean", ch.Mean, fmt.Sprintf("(%s)/%d", strings.Join(terms, " + "), len(terms)))
		return
	}
	d.say(2, "One run: the mean y is its power.")
	d.figure("y", ch.Mean, "")
}

func (d *derivation) runCalled(id string) *Run {
	for _, r := range d.s.Runs {
		if r.ID == id {
			return r
		}
	}
	return nil
}

// corners gives the table of the corners, and the deciding one step by step.
func (d *derivation) corners(c *Claim) {
	d.head("Carried to the claim's conditions")
	d.say(2, "Pc = P·(Vclaim/Vs)^k·(Rt/Rnom)^m for each run, averaged; what k and m are is not known, only between what they lie. %s %s", d.by(formula.Carried), d.by(formula.Chance))
	d.line(cornerRow("", "k", "m", "channel", "y", "u", "ν", "(y−L)/u", "p", "says"))
	n := deciding(c)
	for i, at := range c.Corners {
		mark := " "
		if i == n {
			mark = "*"
		}
		name, p := "", chance(at)
		if at.Weakest < len(c.Channels) {
			name = c.Channels[at.Weakest].Name
		}
		z := math.Inf(1)
		if at.U > 0 {
			z = (at.Y - c.LimitW) / at.U
		}
		d.line(cornerRow(mark, quantity.Fixed(at.K, 4), quantity.Fixed(at.M, 0), name, calc(at.Y), calc(at.U), calc(at.DoF), calc(z), p, string(at.Verdict)))
	}
	d.say(2, "The channel named is the one that decides at that corner, and y its mean there.")
	if n >= 0 {
		d.carried(c, c.Corners[n])
	}
}

// cornerRow lays out one row of the corners' table.
func cornerRow(mark, k, m, channel, y, u, dof, z, p, says string) string {
	return " " + pad(mark, 1) + " " + padLeft(k, 6) + " " + padLeft(m, 3) + "  " + pad(cut(channel, 7), 7) + padLeft(y, 10) +
		padLeft(u, 10) + padLeft(dof, 10) + padLeft(z, 11) + " " + padLeft(p, 8) + "  " + says
}

// chance writes the p of a corner, a bound where the runs give only that.
func chance(at verdict.CornerResult) string {
	p := func(x float64) string {
		switch {
		case x > 0 && x < 1e-5:
			return "<0.00001"
		case x < 1 && x > 1-1e-5:
			return ">0.99999"
		}
		return quantity.Fixed(x, 5)
	}
	switch {
	case at.PMin == at.PMax:
		return p(at.PMin)
	case at.PMin == 0:
		return "≤" + p(at.PMax)
	case at.PMax == 1:
		return "≥" + p(at.PMin)
	}
	return quantity.Fixed(at.PMin, 2) + "–" + quantity.Fixed(at.PMax, 2)
}

// deciding is the corner whose p a verdict rests on: the smallest, or where the
// claim is short the largest.
func deciding(c *Claim) int {
	best := -1
	for i, at := range c.Corners {
		switch {
		case best < 0:
			best = i
		case c.Verdict == verdict.Short && at.PMax > c.Corners[best].PMax, c.Verdict != verdict.Short && at.PMin < c.Corners[best].PMin:
			best = i
		}
	}
	return best
}

// carried gives the deciding corner with numbers.
func (d *derivation) carried(c *Claim, at verdict.CornerResult) {
	if at.Weakest >= len(c.Channels) {
		return
	}
	ch := c.Channels[at.Weakest]
	d.head("The deciding corner: k = %s, m = %s, channel %s", calc(at.K), calc(at.M), ch.Name)
	if c.Verdict == verdict.Open {
		d.say(2, "The claim is open; this is the corner with the smallest p.")
	}
	d.carriedMean(c, ch.Name, at)
	d.say(2, "y = %s%sW, u = %s%sW, ν = %s", calc(at.Y), nbsp, calc(at.U), nbsp, calc(at.DoF))
	if at.U > 0 {
		z := (at.Y - c.LimitW) / at.U
		d.say(2, "(y − L)/u = (%s − %s)/%s = %s", calc(at.Y), calc(c.LimitW), calc(at.U), calc(z))
		d.say(2, "p = F(%s; %s) = %s  %s", calc(z), calc(at.DoF), calc(quantity.Probability(z, at.DoF)), d.by(formula.Chance))
	}
}

// eased says how a claim that is short under an assumed condition is tried again.
func (d *derivation) eased(c *Claim) {
	t := d.e.termsOf(c.Rec)
	var how []string
	if t.thdnAssumed {
		how = append(how, fmt.Sprintf("at %s%s%% distortion or clipped", calc(math.Max(t.thdnPct, easedThdnPct)), nbsp))
	}
	if t.supplyAssumed {
		how = append(how, fmt.Sprintf("at %s%sV", calc(t.supplyV*easedSupply), nbsp))
	}
	switch {
	case len(how) == 0 || len(c.Corners) == 0:
	case c.Reason == reasonCondition:
		d.say(2, "Short under an assumed condition; with it eased, %s, the same runs don't show it short: so it is open.", strings.Join(how, ", "))
	case c.Verdict == verdict.Short:
		d.say(2, "It is short also with what is assumed eased: %s.", strings.Join(how, ", "))
	}
}

// carriedMean gives each run carried to a corner, and the budget of their mean.
func (d *derivation) carriedMean(c *Claim, channel string, at verdict.CornerResult) {
	supplyV, nominal := d.e.termsOf(c.Rec).supplyV, c.Rec.LoadOhm.Value
	samples := d.speaking(c, channel, at)
	if len(samples) == 0 {
		return
	}
	var values []quantity.Value
	var terms []string
	for _, s := range samples {
		v := electric.Carried(s.channel.Power.value, s.run.SupplyV.value, s.channel.Resistance.value, supplyV, nominal, at.K, at.M)
		values, terms = append(values, v), append(terms, calc(v.X))
		d.say(2, "%s: Pc = %s·(%s/%s)^%s·(%s/%s)^%s = %s%sW", s.run.ID, calc(s.channel.Power.X), calc(supplyV), calc(s.run.SupplyV.X), calc(at.K),
			calc(s.channel.Resistance.X), calc(nominal), calc(at.M), calc(v.X), nbsp)
	}
	d.say(2, "y = (%s)/%d", strings.Join(terms, " + "), len(terms))
	d.budget(figure("mean", "y", formula.Carried, measured{Value: quantity.Mean(values...)}))
}

// speaking are the runs whose mean a corner's verdict rests on.
func (d *derivation) speaking(c *Claim, channel string, at verdict.CornerResult) []sample {
	t := d.e.termsOf(c.Rec)
	groups, _ := d.e.groups(c.Rec, t.thdnPct, d.e.match(c.Rec, t, d.s.Runs).counted)
	for _, g := range groups {
		for _, class := range []string{classAt, classBelow, classAbove} {
			samples := g.classes[class]
			if g.name != channel || len(samples) == 0 {
				continue
			}
			if newCarrier(samples, t.supplyV, c.Rec.LoadOhm.Value).at(at.K, at.M).Y == at.Y {
				return samples
			}
		}
	}
	return nil
}

// verdict gives the rule, what follows, and what would change it.
func (d *derivation) verdict(c *Claim) {
	d.head("Verdict: %s", c.Word)
	d.rule(len(c.Channels))
	if c.HasP {
		d.say(2, "%s (p from %s to %s over the corners)", c.PText, calc(c.PMin), calc(c.PMax))
	}
	d.eased(c)
	code := string(c.Verdict)
	if c.Reason != "" {
		code += ", reason: " + c.Reason
	}
	d.say(2, "%s", code)
	d.say(2, "%s", c.Why)
	if c.FlipText != "" {
		d.say(2, "%s", c.FlipText)
	}
	for _, r := range c.Rules {
		own := ""
		if r.Own {
			own = " (this site's)"
		}
		d.say(2, "By the rule “%s”%s: %s", r.Name, own, r.Verdict)
	}
}
