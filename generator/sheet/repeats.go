package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/record"
)

// A repeatKey is what repeats have in common.
type repeatKey struct {
	method  *record.Method
	load    *record.Load
	channel string
	driven  int
	freqHz  float64
}

// repeats gathers the completed runs that repeat each other, channel by channel:
// same method, load element, driven channels and frequency, supply within ±3 %, and
// the distortion at the method's limit where it has one.
func (e *evaluator) repeats(runs []*Run) []*Repeat {
	groups := map[repeatKey][]sample{}
	var order []repeatKey
	for _, r := range runs {
		if !r.Completed || r.SupplyV == nil {
			continue
		}
		for _, c := range r.Channels {
			key := repeatKey{r.Method, c.Load, c.Name, len(r.Channels), r.FreqHz}
			if c.Power == nil || c.Power.X <= 0 || c.Load == nil || !atLimit(r.Method, c) {
				continue
			}
			if groups[key] == nil {
				order = append(order, key)
			}
			groups[key] = append(groups[key], sample{r, c})
		}
	}
	var out []*Repeat
	for _, key := range order {
		for _, samples := range byVolts(groups[key]) {
			if len(samples) > 1 {
				out = append(out, repeatOf(key, samples))
			}
		}
	}
	return out
}

// atLimit reports whether a channel stands at its method's distortion limit, or the
// method has none, or the distortion isn't known.
func atLimit(m *record.Method, c *Channel) bool {
	d := c.Distortion
	return !m.ThdnPct.Given() || d == nil || math.Abs(d.X-m.ThdnPct.Value) <= d.U
}

// byVolts parts runs by their supply voltage: each stands within ±3 % of the first
// of its set.
func byVolts(samples []sample) [][]sample {
	var sets [][]sample
	for _, s := range samples {
		i := slices.IndexFunc(sets, func(set []sample) bool { return nearSupply(s.run, set[0].run) })
		if i < 0 {
			i, sets = len(sets), append(sets, nil)
		}
		sets[i] = append(sets[i], s)
	}
	return sets
}

// repeatOf carries repeats to their mean supply voltage with k = 2 and compares
// them with their mean.
func repeatOf(key repeatKey, samples []sample) *Repeat {
	r := &Repeat{Method: key.method, Nominal: samples[0].channel.Nominal, Channel: key.channel,
		Bridged: samples[0].run.Bridged, PoolPct: key.method.Pool.RelPct.Value, SPct: spread(samples, 2), samples: samples}
	for i, d := range deviations(nil, samples, 2) {
		r.Points = append(r.Points, RepeatPoint{samples[i].run.ID, d})
	}
	return r
}

// deviations are the repeats' deviations from their mean in percent, carried to
// their mean supply voltage with the exponent k (formula [formula.Deviation]); they are
// appended to an empty list.
func deviations(carried []float64, samples []sample, k float64) []float64 {
	n, volts, mean := float64(len(samples)), 0.0, 0.0
	for _, s := range samples {
		volts += s.run.SupplyV.X / n
	}
	for i, s := range samples {
		carried = append(carried, s.channel.Power.X*math.Pow(volts/s.run.SupplyV.X, k))
		mean += carried[i] / n
	}
	for i := range carried {
		carried[i] = 100 * (carried[i]/mean - 1)
	}
	return carried
}
