package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/electric"
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
	for _, g := range groups {
		for _, class := range []string{classAt, classBelow, classAbove} {
			if bothSides(g.classes[class], supplyV) {
				ks = append(ks, e.between(g.classes[class], limit, supplyV, c.LoadOhm.Value)...)
			}
		}
	}
	slices.Sort(ks)
	var corners []verdict.Corner
	for _, k := range slices.Compact(ks) {
		for _, m := range []float64{-1, 1} {
			corner := verdict.Corner{K: k, M: m}
			for _, g := range groups {
				at := func(class string) *verdict.Estimate {
					return estimate(g.classes[class], supplyV, c.LoadOhm.Value, k, m)
				}
				corner.Channels = append(corner.Channels, verdict.Channel{At: at(classAt), Below: at(classBelow), Above: at(classAbove)})
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
// channel stand worst and best, by what is decided and printed: the end y − t·u of
// the interval that the rule decides by, and (y − L)/u, with which p goes.
func (e *evaluator) between(samples []sample, limit, supplyV, nominal float64) []float64 {
	var ks []float64
	for _, m := range []float64{-1, 1} {
		low := func(k float64) float64 {
			x := estimate(samples, supplyV, nominal, k, m)
			return x.Y - quantity.Quantile(e.rule.MetFrom, x.DoF)*x.U
		}
		standing := func(k float64) float64 {
			x := estimate(samples, supplyV, nominal, k, m)
			return (x.Y - limit) / x.U
		}
		for _, f := range []func(float64) float64{low, standing, func(k float64) float64 { return -standing(k) }} {
			if k, inside := leastWithin(f, 0, supplyMost); inside {
				ks = append(ks, k)
			}
		}
	}
	return ks
}

// leastWithin finds where a function is smallest on an interval, by a coarse grid
// and golden sections; inside is false when that is at an end.
func leastWithin(f func(float64) float64, from, to float64) (x float64, inside bool) {
	const steps = 13
	at := func(i int) float64 { return from + (to-from)*float64(i)/steps }
	best := 0
	for i := 1; i <= steps; i++ {
		if f(at(i)) < f(at(best)) {
			best = i
		}
	}
	low, high := at(max(best-1, 0)), at(min(best+1, steps))
	const golden = 0.6180339887498949
	for high-low > 1e-7 {
		a, b := high-golden*(high-low), low+golden*(high-low)
		if f(a) < f(b) {
			high = b
		} else {
			low = a
		}
	}
	x = (low + high) / 2
	return x, f(x) < f(from) && f(x) < f(to)
}

// estimate is the mean of one channel's runs of a class at a corner; nil when
// there are none.
func estimate(samples []sample, supplyV, nominal, k, m float64) *verdict.Estimate {
	if len(samples) == 0 {
		return nil
	}
	values := make([]quantity.Value, len(samples))
	for i, s := range samples {
		values[i] = electric.Carried(s.channel.Power.value, s.run.SupplyV.value, s.channel.Resistance.value, supplyV, nominal, k, m)
	}
	mean := quantity.Mean(values...)
	b := mean.Budget()
	return &verdict.Estimate{Y: mean.X, U: b.U, DoF: b.DoF}
}

// offLoad returns the sample whose load at the terminals is further from the
// claim's than the load exponents can bridge; nil when there is none.
func offLoad(groups []*group, nominal float64) *sample {
	return anySample(groups, func(s sample) bool {
		return math.Abs(s.channel.Resistance.X-nominal) > loadReach*nominal
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
