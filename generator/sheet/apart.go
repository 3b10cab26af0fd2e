package sheet

import (
	"iter"
	"math"
	"slices"

	"wattsheet/generator/electric"
	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// apartRule are the probabilities from which two units are told apart. They are the
// same on every site, so that ranks of two sites mean the same.
var apartRule = verdict.Rule{MetFrom: 0.95, ShortTo: 0.05}

// Why two units are not told apart, beside the reasons of the rule (close, supply,
// load: the corners along which the decision differs) and readings.
const (
	apartSame      = "same"      // it is one unit
	apartNoFigure  = "no-figure" // one of them has no figure at the point
	apartFrequency = "frequency" // measured at different frequencies
	apartVoltage   = "voltage"   // supply voltages too far apart
)

// A Pair is two units compared at a point.
type Pair struct {
	At   Point
	A, B *Standing
	Difference
}

// A Difference is what the comparison of two totals A and B comes to.
type Difference struct {
	Side   verdict.Side // First: A gives more; Second: B does
	Reason string       // why they are not told apart: a code, joined by ", "; empty where they are
	Why    string       // the result in a sentence

	// What follows is given only where the two could be compared by numbers.
	Corners     []PairCorner
	Volts       float64 // the voltage that both are carried to
	PMin, PMax  float64 // P(A > B) over the corners
	PText       string  // the same for people: "0.31 … 0.88"
	ALow, AHigh float64 // A's total carried, over the corners, in W
	BLow, BHigh float64 // B's
}

// A PairCorner is one extreme of the conditions, each unit with its own exponents.
type PairCorner struct {
	KA, MA, KB, MB float64 // supply and load exponents
	YA, YB         float64 // totals carried there, W
	U, DoF         float64 // of the difference YA − YB
	P              float64 // P(A > B), formula [formula.Difference]
}

// Apart compares two units at a point. The result doesn't depend on their order:
// Apart(b, a) is the mirror image.
func Apart(a, b *Sheet, at Point) *Pair { return compare(StandingOf(a, at), StandingOf(b, at)) }

// compare compares two standings at one point. It is done in the order of the
// slugs and turned round where the order is the other, so that both ways agree to
// the last digit.
func compare(a, b *Standing) *Pair {
	if a.Sheet.Slug > b.Sheet.Slug {
		p := compareInOrder(b, a).mirrored()
		p.say()
		return p
	}
	p := compareInOrder(a, b)
	p.say()
	return p
}

func compareInOrder(a, b *Standing) *Pair {
	p := &Pair{At: a.At, A: a, B: b}
	if p.Reason = cannotCompare(a, b); p.Reason != "" {
		return p
	}
	p.Difference = newDuel(a, b, (a.SupplyV+b.SupplyV)/2).difference()
	return p
}

// cannotCompare is why two can't be told apart whatever their powers; empty where
// they may be.
func cannotCompare(one, other party) string {
	slug, _ := one.who()
	twin, _ := other.who()
	a, b := one.facts(), other.facts()
	volts := (a.SupplyV + b.SupplyV) / 2
	switch {
	case slug == twin:
		return apartSame
	case !one.stands() || !other.stands():
		return apartNoFigure
	case math.Abs(a.FreqHz-b.FreqHz) > nominalReach*math.Max(a.FreqHz, b.FreqHz):
		return apartFrequency
	case !one.supplyReaches(volts) || !other.supplyReaches(volts):
		return apartVoltage
	case a.Doubt != "":
		return a.DoubtCode
	}
	return b.DoubtCode
}

// decide sets what follows from the corners.
func (p *Difference) decide() {
	var chances []float64
	for i, c := range p.Corners {
		chances = append(chances, c.P)
		if i == 0 {
			p.PMin, p.PMax, p.ALow, p.AHigh, p.BLow, p.BHigh = c.P, c.P, c.YA, c.YA, c.YB, c.YB
		}
		p.PMin, p.PMax = math.Min(p.PMin, c.P), math.Max(p.PMax, c.P)
		p.ALow, p.AHigh = math.Min(p.ALow, c.YA), math.Max(p.AHigh, c.YA)
		p.BLow, p.BHigh = math.Min(p.BLow, c.YB), math.Max(p.BHigh, c.YB)
	}
	if p.Side = verdict.Apart(apartRule, chances); p.Side == verdict.Neither {
		p.Reason = p.conditions()
	}
}

// conditions names the conditions along which the corners of a pair that is not
// told apart differ; close where none does.
func (p *Difference) conditions() string {
	side := func(c PairCorner) verdict.Side { return verdict.Apart(apartRule, []float64{c.P}) }
	var supply, load bool
	for i, c := range p.Corners {
		for _, o := range p.Corners[:i] {
			if side(c) == side(o) {
				continue
			}
			sameLoad, sameSupply := c.MA == o.MA && c.MB == o.MB, c.KA == o.KA && c.KB == o.KB
			supply, load = supply || sameLoad, load || sameSupply
		}
	}
	switch {
	case supply && load:
		return verdict.Supply + ", " + verdict.Load
	case supply:
		return verdict.Supply
	case load:
		return verdict.Load
	}
	return verdict.Close
}

// mirrored is the pair with A and B exchanged.
func (p *Pair) mirrored() *Pair {
	return &Pair{At: p.At, A: p.B, B: p.A, Difference: p.Difference.mirrored()}
}

// mirrored is the difference with A and B exchanged.
func (p *Difference) mirrored() Difference {
	q := *p
	if q.Side = -p.Side; len(p.Corners) == 0 {
		return q
	}
	q.PMin, q.PMax = 1-p.PMax, 1-p.PMin
	q.ALow, q.AHigh, q.BLow, q.BHigh = p.BLow, p.BHigh, p.ALow, p.AHigh
	q.Corners = nil
	for _, c := range p.Corners {
		q.Corners = append(q.Corners, PairCorner{c.KB, c.MB, c.KA, c.MA, c.YB, c.YA, c.U, c.DoF, 1 - c.P})
	}
	return q
}

// A duel carries two totals to any corner and evaluates their difference.
type duel struct {
	volts  float64
	levels [2][]float64 // the supply voltages of each side's runs
	// estimate is a corner without its probability. What both units share, such as a
	// load element, enters with both signs.
	estimate func(ka, ma, kb, mb float64) PairCorner
}

// A bout is the duel of two standings, by all that their runs are made of.
type bout struct {
	volts, ohms float64
	members     []duelist // of the first side, then of the second
	blend       *quantity.Blend
	x           []float64 // each member's share of the difference, kept between uses
}

// A duelist is one channel of one run.
type duelist struct {
	side    int
	weight  float64 // 1/n of the side's runs; negative on the second side
	p, v, r float64
}

func newDuel(a, b *Standing, volts float64) *duel {
	d, t := &duel{volts: volts}, &bout{volts: volts, ohms: a.At.Ohm}
	var values [][]quantity.Value
	for side, s := range [2]*Standing{a, b} {
		weight := 1 / float64(len(s.runs))
		if side == 1 {
			weight = -weight
		}
		for _, r := range s.runs {
			d.levels[side] = append(d.levels[side], r.SupplyV.X)
			for _, c := range r.Channels {
				t.members = append(t.members, duelist{side, weight, c.Power.X, r.SupplyV.X, c.Resistance.X})
				values = append(values, []quantity.Value{c.Power.value, r.SupplyV.value, c.Resistance.value})
			}
		}
	}
	t.blend, t.x = quantity.NewBlend(values...), make([]float64, len(values))
	d.estimate = t.estimate
	return d
}

// at evaluates a corner (formulas [formula.CarriedPair] and [formula.Difference]).
func (d *duel) at(ka, ma, kb, mb float64) PairCorner {
	c := d.estimate(ka, ma, kb, mb)
	c.P = quantity.ProbabilityPositive(c.YA-c.YB, c.U, c.DoF)
	return c
}

// estimate is [duel.estimate].
func (t *bout) estimate(ka, ma, kb, mb float64) PairCorner {
	c := PairCorner{KA: ka, MA: ma, KB: kb, MB: mb}
	k, m := [2]float64{ka, kb}, [2]float64{ma, mb}
	for i, w := range t.members {
		t.x[i] = w.weight * electric.CarriedEstimate(w.p, w.v, w.r, t.volts, t.ohms, k[w.side], m[w.side])
		if w.side == 0 {
			c.YA += t.x[i]
		} else {
			c.YB -= t.x[i]
		}
	}
	c.U, c.DoF = t.blend.SumAt(func(i, j int) float64 {
		w := &t.members[i]
		switch {
		case j == 1:
			return -k[w.side] * t.x[i] / w.v
		case j == 2:
			return m[w.side] * t.x[i] / w.r
		case w.p == 0:
			return 0
		}
		return t.x[i] / w.p
	})
	return c
}

// difference is what all corners come to.
func (d *duel) difference() Difference {
	p := Difference{Volts: d.volts, Corners: d.corners()}
	p.decide()
	return p
}

// corners are all corners: each unit's supply exponent 0 and 2.6 and, where its
// runs lie on both sides of the voltage, the worst between; each unit's load
// exponent −1 and +1.
func (d *duel) corners() []PairCorner {
	kas, kbs := d.exponents(0), d.exponents(1)
	out := make([]PairCorner, 0, len(kas)*len(kbs)*len(loadExponents)*len(loadExponents))
	for _, ka := range kas {
		for _, kb := range kbs {
			for _, ma := range loadExponents {
				for _, mb := range loadExponents {
					out = append(out, d.at(ka, ma, kb, mb))
				}
			}
		}
	}
	return out
}

var (
	supplyExponents = [2]float64{0, supplyMost}
	loadExponents   = [2]float64{-1, 1}
)

// exponents are a side's supply exponents: the ends and, where its runs lie on both
// sides of the voltage, those within at which the difference stands lowest and
// highest, by what is published, (y1 − y2)/u, and by what is decided,
// y1 − y2 ∓ t·u, with the t of the middle, as it hardly changes with the exponent.
func (d *duel) exponents(side int) []float64 {
	ks := slices.Clone(supplyExponents[:])
	if !onBothSides(slices.Values(d.levels[side]), d.volts) {
		return ks
	}
	along := d.slices(side)
	t := quantity.Quantile(apartRule.MetFrom, along[0].middle.DoF)
	for _, sign := range []float64{-1, 1} {
		for _, f := range []func(c PairCorner) float64{
			func(c PairCorner) float64 { return sign * (c.YA - c.YB) / c.U },
			func(c PairCorner) float64 { return sign*(c.YA-c.YB) - t*c.U },
		} {
			if k, inside := leastOf(along, f); inside {
				ks = append(ks, k)
			}
		}
	}
	return distinct(ks)
}

// onBothSides reports whether supply voltages lie on both sides of the one that they are carried
// to. One within a billionth of it is on neither: what rounding leaves tells no side.
func onBothSides(levels iter.Seq[float64], volts float64) bool {
	var under, over bool
	for v := range levels {
		under, over = under || v < volts*(1-1e-9), over || v > volts*(1+1e-9)
	}
	return under && over
}

// distinct sorts exponents and drops those within that are nearly another: the
// difference is flat there.
func distinct(ks []float64) []float64 {
	slices.Sort(ks)
	out := ks[:1]
	for _, k := range ks[1:] {
		if k == supplyMost || math.Min(k-out[len(out)-1], supplyMost-k) > 0.01 {
			out = append(out, k)
		}
	}
	return out
}

// together reports whether the corners at which the difference is smallest and
// largest already leave two standings together; if they don't, all have to be seen.
func (d *duel) together() bool {
	var low, high [2]PairCorner // each side's ends, as the corner that gives both the same exponents
	for i, k := range supplyExponents {
		for j, m := range loadExponents {
			c := d.estimate(k, m, k, m)
			first := i == 0 && j == 0
			if first || c.YA < low[0].YA {
				low[0] = c
			}
			if first || c.YA > high[0].YA {
				high[0] = c
			}
			if first || c.YB < low[1].YB {
				low[1] = c
			}
			if first || c.YB > high[1].YB {
				high[1] = c
			}
		}
	}
	least := d.at(low[0].KA, low[0].MA, high[1].KB, high[1].MB)
	most := d.at(high[0].KA, high[0].MA, low[1].KB, low[1].MB)
	return verdict.Apart(apartRule, []float64{least.P, most.P}) == verdict.Neither
}

// A slice is the corners along one side's supply exponent, all other exponents kept.
type slice struct {
	at                 func(k float64) PairCorner
	first, middle, end PairCorner
}

// slices are all of them at the ends of the other exponents.
func (d *duel) slices(side int) []slice {
	var out []slice
	for _, own := range loadExponents {
		for _, m := range loadExponents {
			for _, k := range supplyExponents {
				s := slice{at: func(x float64) PairCorner { return d.estimate(x, own, k, m) }}
				if side == 1 {
					s.at = func(x float64) PairCorner { return d.estimate(k, m, x, own) }
				}
				s.first, s.middle, s.end = s.at(0), s.at(supplyMost/2), s.at(supplyMost)
				out = append(out, s)
			}
		}
	}
	return out
}

// leastOf is the exponent at which a function of the corner is smallest over all
// slices; inside is false where that is an end. Along a slice the function is nearly
// a parabola, as a mean of powers with exponents times the logarithm of nearly equal
// voltages is: two fits find its lowest point far within what is printed.
func leastOf(all []slice, f func(PairCorner) float64) (k float64, inside bool) {
	least := math.Inf(1)
	var of slice
	for _, s := range all {
		first, middle, end := f(s.first), f(s.middle), f(s.end)
		if y := math.Min(first, end); y < least {
			least, inside = y, false
		}
		const half = supplyMost / 2
		if x, y := lowest(half, half, first, middle, end); y < least && x > 0 && x < supplyMost {
			least, k, inside, of = y, x, true, s
		}
	}
	if !inside {
		return 0, false
	}
	const near = 0.05
	k = math.Min(math.Max(k, near), supplyMost-near)
	x, _ := lowest(k, near, f(of.at(k-near)), f(of.at(k)), f(of.at(k+near)))
	if math.Abs(x-k) < near {
		k = x
	}
	return k, true
}

// lowest is the lowest point of the parabola through three points, a step apart, the
// middle one at x; where it has none, the lowest of the three.
func lowest(x, step, before, at, after float64) (place, value float64) {
	slope, bend := (after-before)/2, before-2*at+after
	if !(bend > 0) {
		switch least := math.Min(before, math.Min(at, after)); least {
		case before:
			return x - step, least
		case after:
			return x + step, least
		}
		return x, at
	}
	return x - step*slope/bend, at - slope*slope/(2*bend)
}
