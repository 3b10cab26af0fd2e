package sheet

import (
	"slices"
	"strings"
)

// DeriveClaims is every claim and run of a sheet in short.
func (s *Sheet) DeriveClaims() []Passage {
	d := s.Deriver().begin()
	d.head("%s", s.Name)
	d.say(2, "%s", s.Headline)
	for _, c := range s.Claims {
		d.head("Claim %s: %s, %s%sW", c.ID, c.Label, num(c.ClaimW), nbsp)
		d.say(2, "%s. %s", c.Word, c.Why)
		d.conditions(c)
		if c.Weakest != nil {
			d.say(2, "Channel %s: %s against L = %s%sW; runs %s", c.Weakest.Name, c.Weakest.Mean.Text, num(c.LimitW), nbsp, strings.Join(c.Weakest.Runs, ", "))
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
	d.others()
	return d.done()
}

// others lists what else can be explained.
func (d *derivation) others() {
	if len(d.s.Specs) > 0 {
		d.head("Other stated figures")
	}
	for _, sp := range d.s.Specs {
		measured := "not measured"
		if sp.Measured != nil {
			measured = sp.Measured.Text
		}
		d.say(2, "%s: %s, %s; stated %s: %s", sp.ID, sp.Rec.Name, measured, sp.Stated, lower(sp.Word))
	}
	var also []string
	for _, of := range []struct {
		name string
		n    int
	}{{"ratios", len(d.s.Ratios)}, {"repeats", len(d.s.Repeats)}, {"thermals", len(d.s.Thermals)}} {
		if of.n > 0 {
			also = append(also, of.name)
		}
	}
	if len(also) > 0 {
		d.head("Also explained: %s", strings.Join(also, ", "))
	}
}

// DeriveClaim is how a claim was decided, from the readings on.
func (s *Sheet) DeriveClaim(c *Claim) []Passage { return s.Deriver().Claim(c) }

// Claim is [Sheet.DeriveClaim].
func (v *Deriver) Claim(c *Claim) []Passage {
	d := v.begin()
	d.aboutClaim(c)
	return d.done()
}

func (d *derivation) aboutClaim(c *Claim) {
	s := d.s
	d.head("Claim %s of %s: %s", c.ID, s.Name, c.Label)
	d.conditions(c)
	if c.Rec.PrintedIn != "" {
		d.say(2, "Printed in: %s", c.Rec.PrintedIn)
	}
	d.say(2, "L = claim·(1 − allowance) = %s·(1 − %s%s%%) = %s%sW a channel",
		num(c.ClaimW), num(s.Content.Site.Rule.AllowancePct.Value), nbsp, num(c.LimitW), nbsp)
	d.uses(c)
	t := d.e.termsOf(c.Rec)
	m, groups := c.matched, c.groups
	d.shut(c, m)
	d.supplies(groups)
	for _, g := range groups {
		d.samples(c, t, g)
		d.means(c, g)
	}
	if c.Level != nil {
		d.level(c)
	}
	if len(c.Corners) > 0 {
		d.corners(c, t, groups)
	}
	d.eased(c, t, m)
	d.verdict(c)
	d.estimate(c)
	d.sources()
}

// conditions says what a claim states, and what the site assumes.
func (d *derivation) conditions(c *Claim) {
	d.say(2, "Stated: %s%sW a channel; %s", num(c.ClaimW), nbsp, c.Conditions)
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
		why := u.Why
		if r := d.runCalled(u.Run); r != nil && !r.Valid {
			why += ": " + r.Rec.Invalid
		}
		d.say(2, "%s: %s: %s", u.Run, counts, why)
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
