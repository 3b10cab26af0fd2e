package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// Carriers are those of a unit: several of its claims ask for the same ones.
type carriers map[carrierKey][]*carrier

type carrierKey struct {
	supplyV, nominal float64
	first            *Channel
	runs             int
}

// of is the carrier of samples to a supply voltage and a nominal load.
func (all carriers) of(samples []sample, supplyV, nominal float64) *carrier {
	key := carrierKey{supplyV, nominal, samples[0].channel, len(samples)}
	for _, c := range all[key] {
		if slices.Equal(c.samples, samples) {
			return c
		}
	}
	c := newCarrier(samples, supplyV, nominal)
	all[key] = append(all[key], c)
	return c
}

// A carrier carries the mean of one channel's runs of a class to any corner.
type carrier struct {
	samples []sample

	blend  *quantity.Blend
	values [][]quantity.Value // P, Vs, Rt of each run
	x      []float64          // each run's carried power, kept between uses
	// The logarithms of Vclaim/Vs and Rt/Rnom of each run.
	logV, logR []float64
	// known are the means that were asked for, by k and m. They depend on nothing
	// else, and are not changed.
	known []knownMean
	// sweeps and quantiles are kept for searching, by m, and by p and m.
	sweeps    map[float64]*sweep
	quantiles map[[2]float64]func(k float64) float64
}

type knownMean struct {
	k, m float64
	mean verdict.Estimate
}

func newCarrier(samples []sample, supplyV, nominal float64) *carrier {
	n := len(samples)
	room := make([]float64, 3*n)
	c := &carrier{
		samples: samples, values: make([][]quantity.Value, n), known: make([]knownMean, 0, 4), x: room[:n:n], logV: room[n : 2*n : 2*n], logR: room[2*n:],
	}
	three := make([]quantity.Value, 0, 3*n)
	for i, s := range samples {
		three = append(three, s.channel.Power.value, s.run.SupplyV.value, s.channel.Resistance.value)
		c.values[i] = three[3*i : 3*i+3 : 3*i+3]
		c.logV[i] = math.Log(supplyV / s.run.SupplyV.X)
		c.logR[i] = math.Log(s.channel.Resistance.X / nominal)
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
	for i := range c.known {
		if at := &c.known[i]; at.k == k && at.m == m {
			return &at.mean
		}
	}
	c.known = append(c.known, knownMean{k: k, m: m})
	e := &c.known[len(c.known)-1].mean // it stays there, whatever is appended
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
