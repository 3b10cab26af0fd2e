package sheet

import (
	"math"

	"wattsheet/generator/quantity"
)

// between finds the supply exponents within (0, 2.6) at which the runs of a
// channel stand worst and best, for the site's rule and the usual ones, by what is
// decided, printed and flipped: the end y − t·u of the interval that a rule decides
// by, (y − L)/u, with which p goes, and (y − L)/(t·u), which scales u to the limit.
func (e *evaluator) between(c *carrier, limit float64) []float64 {
	rules := usualRules
	if !usual(e.rule) {
		rules = append([]RuleSays{{Rule: e.rule}}, usualRules...)
	}
	var ks []float64
	for _, m := range []float64{-1, 1} {
		w := c.sweep(m)
		add := func(f func(y, u, k float64) float64) {
			if k, inside := w.least(f); inside {
				ks = append(ks, k)
			}
		}
		add(func(y, u, _ float64) float64 { return (y - limit) / u })
		add(func(y, u, _ float64) float64 { return (limit - y) / u })
		for _, rule := range rules {
			t := c.quantile(rule.Rule.MetFrom, m)
			add(func(y, u, k float64) float64 { return y - t(k)*u })
			if rule.Rule.MetFrom > 0.5 {
				add(func(y, u, k float64) float64 { return (y - limit) / (t(k) * u) })
				add(func(y, u, k float64) float64 { return (limit - y) / (t(k) * u) })
			}
		}
	}
	return ks
}

// quantile is Student's t at the degrees of freedom that the mean has at a supply
// exponent, interpolated between three of them: they hardly change with it.
func (c *carrier) quantile(p, m float64) func(k float64) float64 {
	if known := c.quantiles[[2]float64{p, m}]; known != nil {
		return known
	}
	const h = supplyMost / 2
	near := quantity.NearQuantile(p)
	t0, t1, t2 := near(c.at(0, m).DoF), near(c.at(h, m).DoF), near(c.at(2*h, m).DoF)
	t := func(k float64) float64 {
		s := k/h - 1
		return t1 + s*(t2-t0)/2 + s*s*(t2-2*t1+t0)/2
	}
	if c.quantiles == nil {
		c.quantiles = map[[2]float64]func(k float64) float64{}
	}
	c.quantiles[[2]float64{p, m}] = t
	return t
}

// A sweep is a carrier's mean and standard uncertainty for one load exponent, along the
// supply exponent. It is for searching: the last digits may differ from [carrier.at].
type sweep struct {
	c       *carrier
	m       float64
	path    *quantity.Path
	weights []float64
	grid    [gridSteps + 1]sweepPoint // every search looks at it first
	beside  [2]sweepPoint             // and many at one a hair inside an end
}

type sweepPoint struct{ k, y, u float64 }

func (c *carrier) sweep(m float64) *sweep {
	if known := c.sweeps[m]; known != nil {
		return known
	}
	w := &sweep{c: c, m: m, weights: make([]float64, len(c.values))}
	of := func(i, j int) float64 {
		if x := c.values[i][j].X; x != 0 {
			return 1 / x
		}
		return 0
	}
	if c.sweeps == nil {
		c.sweeps = map[float64]*sweep{}
	}
	c.sweeps[m] = w
	w.path = c.blend.Path(
		func(i, j int) float64 { return [...]float64{1, 0, m}[j] * of(i, j) },
		func(i, j int) float64 { return [...]float64{0, -1, 0}[j] * of(i, j) })
	for i := range w.grid {
		k := gridPoint(0, supplyMost, i)
		y, u := w.at(k)
		w.grid[i] = sweepPoint{k, y, u}
	}
	for i, k := range [...]float64{searchHair, supplyMost - searchHair} {
		y, u := w.at(k)
		w.beside[i] = sweepPoint{k, y, u}
	}
	return w
}

// least is [leastWithin] of a function of the sweep's mean and uncertainty, from 0 to
// supplyMost.
func (w *sweep) least(f func(y, u, k float64) float64) (k float64, inside bool) {
	var grid [gridSteps + 1]float64
	for i, at := range w.grid {
		grid[i] = f(at.y, at.u, at.k)
	}
	return leastBeside(&grid, func(k float64) float64 {
		y, u := w.at(k)
		return f(y, u, k)
	}, 0, supplyMost)
}

func (w *sweep) at(k float64) (y, u float64) {
	for _, p := range w.beside {
		if p.k == k && k > 0 {
			return p.y, p.u
		}
	}
	c := w.c
	for i := range w.weights {
		w.weights[i] = c.values[i][0].X * math.Exp(k*c.logV[i]+w.m*c.logR[i])
		y += w.weights[i]
	}
	return y / float64(len(w.weights)), w.path.At(k, w.weights)
}

// gridSteps is how many steps the grid of a search has, and searchHair to what width it
// narrows down.
const (
	gridSteps  = 13
	searchHair = 1e-4
)

// leastWithin finds where a function is smallest on an interval, by a coarse grid
// and golden sections, and rounds that to 4 decimals: the figures that follow are
// then the same on every processor, and can be followed with the printed exponent.
// inside is false when the least is at an end.
func leastWithin(f func(float64) float64, from, to float64) (x float64, inside bool) {
	var grid [gridSteps + 1]float64
	for i := range grid {
		grid[i] = f(gridPoint(from, to, i))
	}
	return leastBeside(&grid, f, from, to)
}

// gridPoint is a point of the grid of a search: the first and the last are the ends.
func gridPoint(from, to float64, i int) float64 {
	if i == gridSteps {
		return to
	}
	return from + (to-from)*float64(i)/gridSteps
}

// leastBeside is [leastWithin] with what the function is on the grid.
func leastBeside(grid *[gridSteps + 1]float64, f func(float64) float64, from, to float64) (x float64, inside bool) {
	at := func(i int) float64 { return from + (to-from)*float64(i)/gridSteps }
	first, last := grid[0], grid[gridSteps]
	best, least := 0, first
	for i := 1; i < gridSteps; i++ {
		if grid[i] < least {
			best, least = i, grid[i]
		}
	}
	switch {
	case last < least: // it may still turn before the end
		if f(to-searchHair) >= last {
			return to, false
		}
		best = gridSteps
	case best == 0 && f(from+searchHair) >= first:
		return from, false
	}
	x = goldenLeast(f, at(max(best-1, 0)), at(min(best+1, gridSteps)), searchHair)
	x = math.Round(x*1e4) / 1e4
	return x, f(x) < first && f(x) < last
}

// goldenLeast narrows an interval around the least value of a function down to a
// width, by golden sections.
func goldenLeast(f func(float64) float64, low, high, width float64) float64 {
	const golden = 0.6180339887498949
	a, b := high-golden*(high-low), low+golden*(high-low)
	fa, fb := f(a), f(b)
	for high-low > width {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - golden*(high-low)
			fa = f(a)
		} else {
			low, a, fa = a, b, fb
			b = low + golden*(high-low)
			fb = f(b)
		}
	}
	return (low + high) / 2
}
