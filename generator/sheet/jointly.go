package sheet

import (
	"iter"
	"math"

	"wattsheet/generator/quantity"
)

// jointly finds the supply exponents within (0, 2.6) at which the channel that stands
// lowest stands best, where runs lie on both sides of the claim's voltage. A claim is
// short where any channel is: so by the one channel at 0 and by another at 2.6, of which
// the one rises with the exponent and the other falls, but perhaps by neither where they
// meet. No channel by itself has its worst or best there. It looks at what is decided,
// printed and flipped: p, the end y + t·u by which a claim is short, and (y − L)/(t·u).
func (e *evaluator) jointly(uppers []*carrier, channels int, supplyV, limit float64) []float64 {
	if len(uppers) < 2 || !onBothSides(levelsOf(uppers), supplyV) {
		return nil
	}
	rules := usualRules
	if !usual(e.rule) {
		rules = append([]RuleSays{{Rule: e.rule}}, usualRules...)
	}
	var ks []float64
	for _, m := range []float64{-1, 1} {
		add := func(of func(c *carrier) func(y, u, k float64) float64) {
			if k, inside := lowestAtBest(uppers, m, of); inside {
				ks = append(ks, k)
			}
		}
		add(func(c *carrier) func(y, u, k float64) float64 {
			dof := c.freedom(m)
			return func(y, u, k float64) float64 { return quantity.ProbabilityAtLeast(y, u, dof(k), limit) }
		})
		for _, rule := range rules {
			short := rule.Rule.ShortOf(channels)
			add(func(c *carrier) func(y, u, k float64) float64 {
				t := c.quantile(1-short, m)
				return func(y, u, k float64) float64 { return y + t(k)*u }
			})
			if short < 0.5 {
				add(func(c *carrier) func(y, u, k float64) float64 {
					t := c.quantile(1-short, m)
					return func(y, u, k float64) float64 { return (y - limit) / (t(k) * u) }
				})
			}
		}
	}
	return ks
}

// lowestAtBest finds the exponent at which the least of several carriers' values is
// largest. inside is false when that is at an end, and when one carrier has the least
// everywhere, which is looked for by itself.
func lowestAtBest(carriers []*carrier, m float64, of func(c *carrier) func(y, u, k float64) float64) (k float64, inside bool) {
	sweeps, values := make([]*sweep, len(carriers)), make([]func(y, u, k float64) float64, len(carriers))
	for i, c := range carriers {
		sweeps[i], values[i] = c.sweep(m), of(c)
	}
	var grid [gridSteps + 1]float64
	first, change := 0, false
	for g := range grid {
		lowest := 0
		grid[g] = math.Inf(-1)
		for i, w := range sweeps {
			if x := -values[i](w.grid[g].y, w.grid[g].u, w.grid[g].k); x > grid[g] {
				grid[g], lowest = x, i
			}
		}
		if g == 0 {
			first = lowest
		}
		change = change || lowest != first
	}
	if !change {
		return 0, false
	}
	return leastBeside(&grid, func(k float64) float64 {
		highest := math.Inf(-1)
		for i, w := range sweeps {
			y, u := w.at(k)
			highest = math.Max(highest, -values[i](y, u, k))
		}
		return highest
	}, 0, supplyMost)
}

// levelsOf are the supply voltages of the runs that carriers carry.
func levelsOf(carriers []*carrier) iter.Seq[float64] {
	return func(yield func(float64) bool) {
		for _, c := range carriers {
			for _, s := range c.samples {
				if !yield(s.run.SupplyV.X) {
					return
				}
			}
		}
	}
}

// freedom is the degrees of freedom that the mean has at a supply exponent, by their
// inverse interpolated between three of them: they hardly change with it.
func (c *carrier) freedom(m float64) func(k float64) float64 {
	const h = supplyMost / 2
	x0, x1, x2 := 1/c.at(0, m).DoF, 1/c.at(h, m).DoF, 1/c.at(2*h, m).DoF
	return func(k float64) float64 {
		s := k/h - 1
		x := x1 + s*(x2-x0)/2 + s*s*(x2-2*x1+x0)/2
		if x <= 0 {
			return math.Inf(1)
		}
		return 1 / x
	}
}
