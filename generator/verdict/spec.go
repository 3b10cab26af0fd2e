package verdict

import (
	"math"

	"wattsheet/generator/quantity"
)

// Missed is the verdict on a stated figure that is no claim of power and doesn't
// hold. Such figures are met, missed or open.
const Missed Word = "missed"

// Limits are the limits of a stated figure, in its unit; −∞ and +∞ where there is
// none on that side.
type Limits struct{ Low, High float64 }

// Spec gives the verdict on a stated figure with a lower limit, an upper one or
// both, by the same bounds as a claim:
//
//	p = P(Low <= Y <= High)
//
// met where p >= MetFrom, missed where side <= ShortTo, else open. side is the probability
// to lie on the right side of the limit that is in more doubt (JCGM 106:2012, 7.3 and 7.4);
// p itself for one limit. With two, p is small also where the uncertainty is much wider
// than the limits are apart, which says nothing against the figure: it is missed only
// beyond one of them (guarded rejection, JCGM 106:2012, 8.3.3, from memory). Without a guard
// band what isn't missed is met.
func Spec(rule Rule, l Limits, e Estimate) (w Word, p, side float64) {
	// Of two limits the tails beyond the nearer one are compared: they are small where p is, so
	// that little cancels.
	above := func(limit float64) float64 { return quantity.ProbabilityAtLeast(e.Y, e.U, e.DoF, limit) }
	below := func(limit float64) float64 { return quantity.ProbabilityAtLeast(-e.Y, e.U, e.DoF, -limit) }
	low, high := !math.IsInf(l.Low, -1), !math.IsInf(l.High, 1)
	p, side = 1, 1
	switch {
	case low && high && e.Y-l.Low > l.High-e.Y:
		p = below(l.High) - below(l.Low)
	case low && high:
		p = above(l.Low) - above(l.High)
	case low:
		p = above(l.Low)
	case high:
		p = below(l.High)
	}
	p = math.Max(p, 0)
	if low {
		side = above(l.Low)
	}
	if high {
		side = math.Min(side, below(l.High))
	}
	switch {
	case p >= rule.MetFrom || rule.MetFrom == rule.ShortTo && side >= rule.MetFrom:
		return Met, p, side
	case side <= rule.ShortTo:
		return Missed, p, side
	}
	return Open, p, side
}
