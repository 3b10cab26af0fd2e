package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// supplyMost is the largest supply exponent that is physically expected: an
// unregulated supply with a fixed drop has 2·Vs/(Vs − Vd), 2.3 at a drop of 2 V;
// 2.6 leaves room.
const supplyMost = 2.6

// A group is the runs of one channel, by class.
type group struct {
	name    string
	classes map[string][]sample
}

// A sample is one channel of one run.
type sample struct {
	run     *Run
	channel *Channel
}

// leading is the class that speaks for the channel: at, else below, else above.
func (g *group) leading() string {
	for _, class := range []string{classAt, classBelow, classAbove} {
		if len(g.classes[class]) > 0 {
			return class
		}
	}
	return ""
}

// groups sorts the channels of counted runs by name and class. Runs that decide
// nothing go to the uses with their reason.
func (e *evaluator) groups(c *record.Claim, limit float64, counted []chosen) (groups []*group, uses []Use) {
	for _, picked := range counted {
		r, why, counts := picked.run, "", false
		for _, ch := range picked.channels {
			class, reason := e.classOf(c, limit, r, ch)
			if class == "" {
				why = reason
				continue
			}
			if !counts {
				why = reason
			}
			counts = true
			i := slices.IndexFunc(groups, func(g *group) bool { return g.name == ch.Name })
			if i < 0 {
				i = len(groups)
				groups = append(groups, &group{ch.Name, map[string][]sample{}})
			}
			groups[i].classes[class] = append(groups[i].classes[class], sample{r, ch})
		}
		uses = append(uses, Use{r.ID, counts, why})
	}
	order := e.rec.Unit.Channels
	slices.SortStableFunc(groups, func(a, b *group) int { return place(order, a.name) - place(order, b.name) })
	return groups, uses
}

// place is where a channel, or a pair's first channel, stands in the unit's order.
func place(order []string, name string) int {
	for i, o := range order {
		if name == o || len(name) > len(o) && name[:len(o)+1] == o+"+" {
			return i
		}
	}
	return len(order)
}

// corners carries every channel's runs to the corners of the conditions: the
// supply exponent 0 and 2.6 and, where runs lie on both sides of the claim's
// voltage, the exponents between at which a channel stands worst and best; the
// load exponent −1 and +1.
func (e *evaluator) corners(c *record.Claim, limit, supplyV float64, groups []*group) []verdict.Corner {
	ks := []float64{0, supplyMost}
	carriers := make([][3]*carrier, len(groups))
	for i, g := range groups {
		for j, class := range [3]string{classAt, classBelow, classAbove} {
			samples := g.classes[class]
			if len(samples) == 0 {
				continue
			}
			carriers[i][j] = newCarrier(samples, supplyV, c.LoadOhm.Value)
			if bothSides(samples, supplyV) {
				ks = append(ks, e.between(carriers[i][j], limit)...)
			}
		}
	}
	slices.Sort(ks)
	var corners []verdict.Corner
	for _, k := range slices.Compact(ks) {
		for _, m := range []float64{-1, 1} {
			corner := verdict.Corner{K: k, M: m}
			for _, of := range carriers {
				corner.Channels = append(corner.Channels, verdict.Channel{At: of[0].at(k, m), Below: of[1].at(k, m), Above: of[2].at(k, m)})
			}
			corners = append(corners, corner)
		}
	}
	return corners
}

// bothSides reports whether the runs lie on both sides of the claim's voltage.
func bothSides(samples []sample, supplyV float64) bool {
	var under, over bool
	for _, s := range samples {
		under = under || s.run.SupplyV.X < supplyV
		over = over || s.run.SupplyV.X > supplyV
	}
	return under && over
}

// between finds the supply exponents within (0, 2.6) at which the runs of a
// channel stand worst and best, for the site's rule and the usual ones, by what is
// decided, printed and flipped: the end y − t·u of the interval that a rule decides
// by, (y − L)/u, with which p goes, and (y − L)/(t·u), which scales u to the limit.
func (e *evaluator) between(c *carrier, limit float64) []float64 {
	var ks []float64
	for _, m := range []float64{-1, 1} {
		add := func(f func(x *verdict.Estimate, k float64) float64) {
			if k, inside := leastWithin(func(k float64) float64 { return f(c.at(k, m), k) }, 0, supplyMost); inside {
				ks = append(ks, k)
			}
		}
		add(func(x *verdict.Estimate, _ float64) float64 { return (x.Y - limit) / x.U })
		add(func(x *verdict.Estimate, _ float64) float64 { return (limit - x.Y) / x.U })
		for _, rule := range append([]RuleSays{{Rule: e.rule}}, usualRules...) {
			t := c.quantile(rule.Rule.MetFrom, m)
			add(func(x *verdict.Estimate, k float64) float64 { return x.Y - t(k)*x.U })
			if rule.Rule.MetFrom > 0.5 {
				add(func(x *verdict.Estimate, k float64) float64 { return (x.Y - limit) / (t(k) * x.U) })
				add(func(x *verdict.Estimate, k float64) float64 { return (limit - x.Y) / (t(k) * x.U) })
			}
		}
	}
	return ks
}

// quantile is Student's t at the degrees of freedom that the mean has at a supply
// exponent, interpolated between three of them: they hardly change with it.
func (c *carrier) quantile(p, m float64) func(k float64) float64 {
	const h = supplyMost / 2
	t0, t1, t2 := quantity.Quantile(p, c.at(0, m).DoF), quantity.Quantile(p, c.at(h, m).DoF), quantity.Quantile(p, c.at(2*h, m).DoF)
	return func(k float64) float64 {
		s := k/h - 1
		return t1 + s*(t2-t0)/2 + s*s*(t2-2*t1+t0)/2
	}
}

// leastWithin finds where a function is smallest on an interval, by a coarse grid
// and golden sections, and rounds that to 4 decimals: the figures that follow are
// then the same on every processor, and can be followed with the printed exponent.
// inside is false when the least is at an end.
func leastWithin(f func(float64) float64, from, to float64) (x float64, inside bool) {
	const steps = 13
	at := func(i int) float64 { return from + (to-from)*float64(i)/steps }
	first, last := f(from), f(to)
	best, least := 0, first
	for i := 1; i < steps; i++ {
		if y := f(at(i)); y < least {
			best, least = i, y
		}
	}
	const hair = 1e-4
	switch {
	case last < least: // it may still turn before the end
		if f(to-hair) >= last {
			return to, false
		}
		best = steps
	case best == 0 && f(from+hair) >= first:
		return from, false
	}
	x = goldenLeast(f, at(max(best-1, 0)), at(min(best+1, steps)), hair)
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

// A carrier carries the mean of one channel's runs of a class to any corner.
type carrier struct {
	blend  *quantity.Blend
	values [][]quantity.Value // P, Vs, Rt of each run
	x      []float64          // each run's carried power, kept between uses
	// The logarithms of Vclaim/Vs and Rt/Rnom of each run.
	logV, logR []float64
	// known are the means that were asked for, by k and m: every search looks at the
	// same grid first. They depend on nothing else, and are not changed.
	known map[[2]float64]*verdict.Estimate
}

func newCarrier(samples []sample, supplyV, nominal float64) *carrier {
	c := &carrier{x: make([]float64, len(samples)), known: map[[2]float64]*verdict.Estimate{}}
	for _, s := range samples {
		c.values = append(c.values, []quantity.Value{s.channel.Power.value, s.run.SupplyV.value, s.channel.Resistance.value})
		c.logV = append(c.logV, math.Log(supplyV/s.run.SupplyV.X))
		c.logR = append(c.logR, math.Log(s.channel.Resistance.X/nominal))
	}
	c.blend = quantity.NewBlend(c.values...)
	return c
}

// at is the mean at a corner (formula [formula.Carried], [electric.Carried]); nil
// for a class without runs.
func (c *carrier) at(k, m float64) *verdict.Estimate {
	if c == nil {
		return nil
	}
	if e := c.known[[2]float64{k, m}]; e != nil {
		return e
	}
	e := &verdict.Estimate{}
	c.known[[2]float64{k, m}] = e
	for i, v := range c.values {
		c.x[i] = v[0].X * math.Exp(k*c.logV[i]+m*c.logR[i])
		e.Y += c.x[i] / float64(len(c.values))
	}
	e.U, e.DoF = c.blend.At(func(i, j int) float64 {
		switch v := c.values[i][j].X; j {
		case 0:
			if v == 0 {
				return 0
			}
			return c.x[i] / v
		case 1:
			return -k * c.x[i] / v
		default:
			return m * c.x[i] / v
		}
	})
	return e
}

// offLoad returns the sample whose load at the terminals is further from the
// claim's than the load exponents can bridge; nil when there is none.
func offLoad(groups []*group, nominal float64) *sample {
	return anySample(groups, func(s sample) bool {
		return !within(s.channel.Resistance.X, nominal, loadReach)
	})
}

// disagreeing returns the sample of a deciding class whose watt-meter and volts
// differ by more than the U of the difference; nil when there is none.
func disagreeing(groups []*group) *sample {
	return anySample(groups, func(s sample) bool {
		d := s.channel.Check
		return d != nil && math.Abs(d.X) > d.U
	})
}

// anySample finds a sample in the classes that decide.
func anySample(groups []*group, odd func(sample) bool) *sample {
	for _, g := range groups {
		for _, class := range []string{classAt, classBelow, classAbove} {
			for _, s := range g.classes[class] {
				if odd(s) {
					return &s
				}
			}
			if class == classAt && len(g.classes[classAt]) > 0 {
				break
			}
		}
	}
	return nil
}
