package sheet

import (
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// Bounds on a unit's carried total and its uncertainty, from which clear pairs are
// decided. All hold exactly, whatever two units share:
//
//   - the scatter of a run is its own, and adds in squares; of all else u of a
//     difference has at most the sum of both, and at least nothing
//   - the effective degrees of freedom are at least the smallest of any component
//   - over the corners, a carried total has its extremes at their ends but for the
//     mean of runs on both sides of the voltage, where it is bounded run by run
type bounds struct {
	runs        []runBounds
	least, most float64 // supply volts of the runs
	pool        float64 // relative uncertainty that a run's own scatter brings
	doubt       bool
	// The total less and plus t·u, over all voltages that it may be carried to.
	low, high float64
}

// runBounds is one run: its share of the mean at the ends of the load exponent, and
// the largest relative uncertainty that it has at any corner beside its scatter.
type runBounds struct {
	volts float64
	share [2]float64
	rest  float64
}

// A span is what is known of a total at all corners, carried to a voltage.
type span struct {
	low, high float64 // over all exponents
	least     float64 // the smallest and largest at the ends of the exponents
	most      float64
	scatter   float64 // at most, of all runs, in W
	rest      float64 // at most, of all else, in W
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
	b := bounds{least: math.Inf(1), pool: s.At.Method.Pool.RelPct.Value / 100, doubt: s.Doubt != ""}
	for _, r := range s.runs {
		alone := &Standing{Sheet: s.Sheet, At: s.At, runs: []*Run{r}}
		d := newDuel(alone, &Standing{At: s.At}, r.SupplyV.X)
		rb := runBounds{volts: r.SupplyV.X}
		for i, m := range loadExponents {
			for _, k := range supplyExponents {
				c := d.at(k, m, 0, 0)
				rb.share[i] = c.YA / float64(len(s.runs))
				if c.YA > 0 {
					rb.rest = math.Max(rb.rest, math.Sqrt(math.Max(c.U*c.U/(c.YA*c.YA)-b.pool*b.pool, 0)))
				}
			}
		}
		b.runs = append(b.runs, rb)
		b.least, b.most = math.Min(b.least, rb.volts), math.Max(b.most, rb.volts)
	}
	from, to := b.at(b.most/(1+supplyReach)), b.at(b.least/(1-supplyReach))
	u := to.scatter + to.rest
	b.low, b.high = from.low-t.t*u, to.high+t.t*u
	return b
}

// at is what is known of the total carried to a voltage.
func (b *bounds) at(volts float64) span {
	var s span
	var ends [4]float64
	for i := range b.runs {
		r := &b.runs[i]
		q := math.Pow(volts/r.volts, supplyMost)
		s.low += math.Min(r.share[0], r.share[1]) * math.Min(1, q)
		most := math.Max(r.share[0], r.share[1]) * math.Max(1, q)
		s.high += most
		s.rest += most * r.rest
		s.scatter += most * most
		ends[0], ends[1] = ends[0]+r.share[0], ends[1]+r.share[1]
		ends[2], ends[3] = ends[2]+r.share[0]*q, ends[3]+r.share[1]*q
	}
	s.scatter = b.pool * math.Sqrt(s.scatter)
	s.least = math.Min(math.Min(ends[0], ends[1]), math.Min(ends[2], ends[3]))
	s.most = math.Max(math.Max(ends[0], ends[1]), math.Max(ends[2], ends[3]))
	return s
}

// clear decides a pair by its bounds; sure is false where its corners have to be
// looked at.
func (t *RankTable) clear(i, j int) (side verdict.Side, sure bool) {
	a, b := &t.bounds[i], &t.bounds[j]
	volts := (t.Rows[i].SupplyV + t.Rows[j].SupplyV) / 2
	if a.doubt || b.doubt {
		return verdict.Neither, true
	}
	if math.Min(a.least, b.least) < volts*(1-supplyReach)*(1+slack) || math.Max(a.most, b.most) > volts*(1+supplyReach)*(1-slack) {
		return verdict.Neither, false // near the end of the reach, or beyond it
	}
	switch {
	case a.low > b.high*(1+slack):
		return verdict.First, true
	case b.low > a.high*(1+slack):
		return verdict.Second, true
	}
	x, y := a.at(volts), b.at(volts)
	u := math.Sqrt(x.scatter*x.scatter + y.scatter*y.scatter + (x.rest+y.rest)*(x.rest+y.rest))
	need := t.t*u*(1+slack) + slack*math.Max(x.high, y.high)
	switch {
	case x.low-y.high > need:
		return verdict.First, true
	case y.low-x.high > need:
		return verdict.Second, true
	case x.least > y.most:
		return verdict.Neither, a.within(x.least, b, y.most)
	case y.least > x.most:
		return verdict.Neither, b.within(y.least, a, x.most)
	}
	// at one corner the first gives more, at another the second
	return verdict.Neither, true
}

// normalBound is the least that Student's t can be at the probability that decides.
var normalBound = quantity.Quantile(apartRule.MetFrom, math.Inf(1))

// within reports whether a corner's difference y − other is surely too small to be
// told from nothing: below the normal quantile times what the scatter of the runs
// alone brings, u² >= (pool·y)²/n of each.
func (b *bounds) within(y float64, o *bounds, other float64) bool {
	u := math.Hypot(b.pool*y/math.Sqrt(float64(len(b.runs))), o.pool*other/math.Sqrt(float64(len(o.runs))))
	return y-other < normalBound*u*(1-slack)
}
