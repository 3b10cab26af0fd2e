package sheet

import (
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// Bounds on a unit's carried total and its uncertainty, from which clear pairs are
// decided. All hold exactly, whatever two units share:
//
//   - u of a difference is at most the sum of both u, and at least the part that the
//     runs' own scatter brings
//   - the effective degrees of freedom are at least the smallest of any component
//   - over the corners, a carried total has its extremes at their ends but for the
//     mean of runs on both sides of the voltage, where it is bounded run by run
type bounds struct {
	runs        []runBounds
	least, most float64 // supply volts of the runs
	pool        float64 // relative uncertainty that a run's own scatter brings
	// The total less and plus t·u, over all voltages that it may be carried to.
	low, high float64
}

// runBounds is one run: its share of the mean at the ends of the load exponent, and
// the largest relative uncertainty that it has at any corner.
type runBounds struct {
	volts float64
	share [2]float64
	u     float64
}

// slack covers what rounding may do to a bound.
const slack = 1e-9

// prepare sets the bounds of each row.
func (t *RankTable) prepare() {
	dof := math.Inf(1)
	for i := range t.Rows {
		for _, r := range t.Rows[i].runs {
			for _, f := range append([]*Figure{r.SupplyV}, figuresOf(r)...) {
				for _, p := range f.value.Parts {
					if d := p.Source.DoF; d > 0 {
						dof = math.Min(dof, d)
					}
				}
			}
		}
	}
	t.t = quantity.Quantile(apartRule.MetFrom, dof)
	for i := range t.Rows {
		t.bounds = append(t.bounds, t.boundsOf(t.Rows[i].Standing))
	}
}

// figuresOf are the figures of a run's channels that a carried total is made of.
func figuresOf(r *Run) []*Figure {
	var out []*Figure
	for _, c := range r.Channels {
		out = append(out, c.Power, c.Resistance)
	}
	return out
}

func (t *RankTable) boundsOf(s *Standing) bounds {
	b := bounds{least: math.Inf(1), pool: s.At.Method.Pool.RelPct.Value / 100}
	for _, r := range s.runs {
		alone := &Standing{Sheet: s.Sheet, At: s.At, runs: []*Run{r}}
		d := newDuel(alone, &Standing{At: s.At}, r.SupplyV.X)
		rb := runBounds{volts: r.SupplyV.X}
		for i, m := range loadExponents {
			for _, k := range supplyExponents {
				c := d.at(k, m, 0, 0)
				rb.share[i] = c.YA / float64(len(s.runs))
				if c.YA > 0 {
					rb.u = math.Max(rb.u, c.U/c.YA)
				}
			}
		}
		b.runs = append(b.runs, rb)
		b.least, b.most = math.Min(b.least, rb.volts), math.Max(b.most, rb.volts)
	}
	from, to := b.most/(1+supplyReach), b.least/(1-supplyReach)
	b.low, _, _ = b.reach(from)
	_, high, u := b.reach(to)
	b.low, b.high = b.low-t.t*u, high+t.t*u
	return b
}

// reach is between what a total lies at all corners, carried to a voltage, and at
// most how uncertain it is there.
func (b *bounds) reach(volts float64) (low, high, u float64) {
	for i := range b.runs {
		r := &b.runs[i]
		q := math.Pow(volts/r.volts, supplyMost)
		low += math.Min(r.share[0], r.share[1]) * math.Min(1, q)
		most := math.Max(r.share[0], r.share[1]) * math.Max(1, q)
		high += most
		u += most * r.u
	}
	return low, high, u
}

// ends is between what a total lies at the four ends of the exponents.
func (b *bounds) ends(volts float64) (low, high float64) {
	low = math.Inf(1)
	var at [4]float64
	for i := range b.runs {
		r := &b.runs[i]
		q := math.Pow(volts/r.volts, supplyMost)
		at[0], at[1] = at[0]+r.share[0], at[1]+r.share[1]
		at[2], at[3] = at[2]+r.share[0]*q, at[3]+r.share[1]*q
	}
	for _, y := range at {
		low, high = math.Min(low, y), math.Max(high, y)
	}
	return low, high
}

// clear decides a pair by its bounds; sure is false where its corners have to be
// looked at.
func (t *RankTable) clear(i, j int) (side verdict.Side, sure bool) {
	a, b := &t.bounds[i], &t.bounds[j]
	volts := (t.Rows[i].SupplyV + t.Rows[j].SupplyV) / 2
	if cannotCompare(t.Rows[i].Standing, t.Rows[j].Standing) != "" {
		return verdict.Neither, true
	}
	switch {
	case a.low > b.high*(1+slack):
		return verdict.First, true
	case b.low > a.high*(1+slack):
		return verdict.Second, true
	}
	aLow, aHigh, ua := a.reach(volts)
	bLow, bHigh, ub := b.reach(volts)
	need := t.t*(ua+ub)*(1+slack) + slack*math.Max(aHigh, bHigh)
	switch {
	case aLow-bHigh > need:
		return verdict.First, true
	case bLow-aHigh > need:
		return verdict.Second, true
	}
	aLow, aHigh = a.ends(volts)
	bLow, bHigh = b.ends(volts)
	switch {
	case aLow > bHigh:
		return verdict.Neither, a.within(aLow, b, bHigh)
	case bLow > aHigh:
		return verdict.Neither, b.within(bLow, a, aHigh)
	}
	// at one corner the first gives more, at another the second
	return verdict.Neither, true
}

// within reports whether a corner's difference y − other is surely too small to be
// told from nothing: below the normal quantile times what the scatter of the runs
// alone brings, u² >= (pool·y)²/n of each.
func (b *bounds) within(y float64, o *bounds, other float64) bool {
	u := math.Hypot(b.pool*y/math.Sqrt(float64(len(b.runs))), o.pool*other/math.Sqrt(float64(len(o.runs))))
	return y-other < quantity.Quantile(apartRule.MetFrom, math.Inf(1))*u*(1-slack)
}
