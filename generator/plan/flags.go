package plan

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/record"
)

// shockV is the alternating voltage above which an output is dangerous to touch
// (extra-low voltage ends at 50 V AC: IEC 61140, from memory).
const shockV = 50

// flag adds a flag to a run, once.
func (r *Run) flag(id, caution, format string, args ...any) {
	f := Flag{id, fmt.Sprintf(format, args...), caution}
	if !slices.Contains(r.Flags, f) {
		r.Flags = append(r.Flags, f)
	}
}

// limits flags what a run is beyond.
func (p *planner) limits(j *job, r *Run) {
	p.outputLimits(j, r)
	p.loadLimits(j, r)
	p.supplyLimits(j, r)
	if u := p.rec.Unit.Class; u == "AB" || u == "B" {
		if most := electric.ClassBLimit(j.method.ThdnPct.Value); p.about.efficiencyPct > most && !j.method.IntoClipping {
			r.flag("efficiency-above-class-b", "The supply current will be larger than planned.", "bench.toml expects %s of class %s, an ideal class B stage has %s here", percent(p.about.efficiencyPct), u, percent(most))
		}
	}
}

func (p *planner) outputLimits(j *job, r *Run) {
	var over, near []string
	for _, o := range r.Outputs {
		switch {
		case o.V > shockV:
			over = append(over, o.Channel)
		case float64(o.V)*math.Sqrt(headroom) > shockV:
			near = append(near, o.Channel)
		}
	}
	const touch = "Dangerous to touch, at the unit, the load and every clip between: connect with the power off, cover what is bare, touch nothing while it runs."
	most := figure(j.largest(volts), "V")
	if len(over) > 0 {
		r.flag("output-above-50-v-ac", touch, "%s at %s: above %s AC (IEC 61140, from memory)", most, strings.Join(over, ", "), unit(shockV, "V"))
	} else if len(near) > 0 {
		r.flag("output-near-50-v-ac", touch, "%s at %s: a unit that gives more than is claimed exceeds %s AC (IEC 61140, from memory)", most, strings.Join(near, ", "), unit(shockV, "V"))
	}
	if j.bridged {
		r.flag("bridged-output", "Connect no meter, scope or shield whose one side is earthed or joined to another channel's.", "neither side of a bridged output is ground")
	}
}

// belowLowest is the maker's lowest load where a run goes below it; ok is false
// where it doesn't.
func (p *planner) belowLowest(j *job) (lowest, ohm float64, ok bool) {
	n := p.rec.Unit.LowestOhm
	if j.bridged {
		n = p.rec.Unit.LowestBridgedOhm
	}
	for _, d := range j.drives {
		if n.Given() && d.ohm < (1-nominalReach)*n.Value {
			return n.Value, d.ohm, true
		}
	}
	return 0, 0, false
}

func (p *planner) loadLimits(j *job, r *Run) {
	if lowest, ohm, below := p.belowLowest(j); below {
		r.flag("below-lowest-load", "It can damage the unit. Follow the maker's instructions; whether to go on is yours to decide.", "%s is below the maker's lowest load of %s", unit(ohm, "Ω"), unit(lowest, "Ω"))
	}
	taken := map[string]bool{} // what was named for a channel before isn't free for the next
	var whys []string
	lack := map[string][]string{} // channels, by what is said of them
	for i, d := range j.drives {
		heat := float64(r.Outputs[i].HeatW)
		switch {
		case d.load == nil:
			why := fmt.Sprintf("no free load of %s in bench.toml; %s", unit(d.ohm, "Ω"), p.combinations(j, d, taken))
			if lack[why] == nil {
				whys = append(whys, why)
			}
			lack[why] = append(lack[why], d.channel)
		case !d.load.MaxW.Given():
			r.flag("load-unrated", "Look up what it takes before it burns.", "bench.toml doesn't say what %s can take; %s are expected", d.load.ID, figure(heat, "W"))
		case heat > d.load.MaxW.Value:
			r.flag("load-over-rating", "It can burn, and set fire to what is near. Use a larger element, or several.", "%s would take %s and is rated for %s; %s", d.load.ID, figure(heat, "W"), unit(d.load.MaxW.Value, "W"), p.combinations(j, d, taken))
		}
	}
	for _, why := range whys {
		r.flag("no-load", "A load made of others needs a [[load]] of its own, with its resistance as measured.", "%s: %s", channelsOf(lack[why]), why)
	}
}

// channelsOf names channels in a row.
func channelsOf(names []string) string {
	if len(names) == 1 {
		return "channel " + names[0]
	}
	return "channels " + strings.Join(names, ", ")
}

func (p *planner) supplyLimits(j *job, r *Run) {
	s := &r.Supply
	switch {
	case s.ID == "":
		r.flag("no-supply", "A run more than 10"+nbsp+"% off the claim's voltage doesn't count for it.", "no supply of bench.toml is within 10%s%% of %s", nbsp, unit(j.supplyV, "V"))
	case s.MaxA == 0:
		r.flag("supply-unrated", "Look up what it gives.", "bench.toml doesn't say how much %s gives; %s are expected", s.ID, figure(float64(s.A), "A"))
	case s.A > s.MaxA:
		r.flag("current-above-supply", "Its voltage will fall, its protection or its fuse may act, batteries may vent. Such a run bounds the power from below only.", "%s expected, %s gives %s", figure(float64(s.A), "A"), s.ID, unit(float64(s.MaxA), "A"))
	}
	if s.FusesA > 0 && s.MeanA > s.FusesA {
		advice := "They may blow during the run. Never fit larger ones than the maker names, and never bridge one."
		if len(j.drives) > 1 && float64(r.TotalW)*j.share() > float64(s.FusesA)*j.supplyV {
			advice += " Are the claim's watts those of all channels together? power_w is a channel's."
		}
		r.flag("current-above-fuses", advice, "%s expected, the unit's own fuses add up to %s", figure(float64(s.MeanA), "A"), unit(float64(s.FusesA), "A"))
	}
	if most := 0.05 * s.V; s.LeadDropV > most {
		r.flag("lead-drop", "Leads that are too thin get hot; read the volts at the unit's terminals, and use larger cables.", "%s are lost in the leads, more than 5 %% of %s", figure(float64(s.LeadDropV), "V"), unit(j.supplyV, "V"))
	}
}

// unmakeable are the flags that a claim's decision doesn't hold with: the run couldn't
// be made, or would end or read otherwise.
var unmakeable = []string{"no-load", "load-over-rating", "no-supply", "current-above-supply", "current-above-fuses", "below-lowest-load", "no-instrument", "beyond-range", "beyond-bandwidth", "harmonics-beyond-band", "beyond-shortest-burst", "beyond-crest-factor"}

// claimFlags says of a claim what its runs are beyond, and flags the unit where a
// claim has no method or can't be decided.
func (p *planner) claimFlags(c *Claim) {
	for _, r := range p.plan.Runs {
		if !slices.Contains(c.Runs, r.Number) {
			continue
		}
		for _, f := range r.Flags {
			if said := fmt.Sprintf("run %d: %s", r.Number, f.ID); slices.Contains(unmakeable, f.ID) && !slices.Contains(c.Provided, said) {
				c.Provided = append(c.Provided, said)
			}
		}
	}
	switch {
	case len(c.jobs) == 0:
		p.plan.Flags = append(p.plan.Flags, Flag{"no-method", "claim " + c.ID + ": " + lower(c.Why), "It stays untested or incomparable until methods.toml has a method for it."})
	case c.Can == "neither":
		p.plan.Flags = append(p.plan.Flags, Flag{"cannot-decide", "claim " + c.ID + ": " + lower(c.Why), p.needed(c.Why) + "; running it anyway costs the unit and gives no verdict."})
	}
}

// needed says what lets a claim be decided that the bench can't decide as it is.
func (p *planner) needed(why string) string {
	const assumed = "%s in [assume] of site.toml is needed, which is taken where a maker says nothing"
	switch {
	case !strings.Contains(why, "the site assumes none"):
		return "A better instrument, load or method is needed"
	case strings.Contains(why, "no distortion"):
		return fmt.Sprintf(assumed, "thdn_pct")
	case p.about.mains:
		return fmt.Sprintf(assumed, "supply_mains_v")
	}
	return fmt.Sprintf(assumed, "supply_dc_v")
}

// combinations says which two elements of the bank would make a load in series or
// in parallel and take its heat; those that the run uses otherwise are left out, and so are
// those taken for another channel. The first that it names are taken then.
func (p *planner) combinations(j *job, d drive, taken map[string]bool) string {
	used := maps.Clone(taken)
	for i := range j.drives {
		if l := j.drives[i].load; l != nil && j.drives[i].channel != d.channel {
			used[l.ID] = true
		}
	}
	const most = 3
	heat := d.watts * j.share()
	var found []string
	loads := p.bench().Loads
	for a := range loads {
		for b := a + 1; b < len(loads) && len(found) < most; b++ {
			if !used[loads[a].ID] && !used[loads[b].ID] {
				if how := combination(&loads[a], &loads[b], d.ohm, heat); how != "" {
					found = append(found, how)
					if len(found) == 1 {
						taken[loads[a].ID], taken[loads[b].ID] = true, true
					}
				}
			}
		}
	}
	if len(found) == 0 {
		return "no two free elements of the bank make one that takes the heat"
	}
	return "two of the bank would make it: " + strings.Join(found, ", or ")
}

// combination says how two elements make a load that takes a heat in W; empty where
// they don't. In series they carry one current, in parallel one voltage.
func combination(a, b *record.Load, ohm, heat float64) string {
	x, y := a.NominalOhm.Value, b.NominalOhm.Value
	fits := func(first float64) bool { return takes(a, first*heat) && takes(b, (1-first)*heat) }
	switch {
	case sameLoad(x+y, ohm) && fits(x/(x+y)):
		return a.ID + " and " + b.ID + " in series"
	case sameLoad(x*y/(x+y), ohm) && fits(y/(x+y)):
		return a.ID + " and " + b.ID + " in parallel"
	}
	return ""
}
