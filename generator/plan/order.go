package plan

import (
	"cmp"
	"slices"
)

// sustainedS is from what duration on a run counts as sustained.
const sustainedS = 60

// order puts the runs in their order, from gentle to severe, and numbers them.
//
// Bursts go first: a burst heats little, and shows wiring, meters and channels right
// before anything gets hot. Sustained runs go after short ones: a unit that shuts
// down hot spoils what comes after. What is below the maker's lowest load goes last
// of all: it is the likeliest to end the test.
func (p *planner) order() {
	p.plan.Order = "Bursts first, which heat little and show that wiring and meters are right; then runs of up to a minute, then longer ones; a load below the maker's lowest last of all. Within each, by the heat in the unit, then by the supply current."
	p.plan.Rest = "After each run at least four times as long as the signal stood at full level, and a minute; and until the unit's heat sink is back within 5 K of where it began (common practice, no source)."
	stage := func(r *Run) int {
		_, _, below := p.belowLowest(r.job)
		switch {
		case below:
			return 3
		case r.Signal == "burst":
			return 0
		case r.DurationS <= sustainedS:
			return 1
		}
		return 2
	}
	runs := p.plan.Runs
	slices.SortStableFunc(runs, func(a, b *Run) int {
		return cmp.Or(cmp.Compare(stage(a), stage(b)), cmp.Compare(clean(a.Heat.UnitW), clean(b.Heat.UnitW)), cmp.Compare(clean(a.Supply.A), clean(b.Supply.A)),
			cmp.Compare(harder(a), harder(b)), cmp.Compare(a.DurationS, b.DurationS), cmp.Compare(a.Method, b.Method))
	})
	for i, r := range runs {
		r.Number = i + 1
		p.plan.TotalS += r.DurationS
		if i+1 < len(runs) {
			p.plan.TotalS += r.RestS
		}
	}
	for i, c := range p.plan.Claims {
		for _, r := range runs {
			if slices.Contains(c.jobs, r.job) {
				c.Runs = append(c.Runs, r.Number)
				r.claims = append(r.claims, p.plan.Claims[i])
			}
		}
	}
}

// harder orders runs of one heat: by the distortion that they go to, clipping last.
func harder(r *Run) Number {
	if r.Clipping {
		return 1e6
	}
	return r.ThdnPct
}

// clean takes off a figure's last digits, in which processors differ, so that equal
// ones compare as equal.
func clean(n Number) float64 {
	return figureOf(float64(n), 9)
}
