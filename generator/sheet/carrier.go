package sheet

import (
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// A carrier carries the mean of one channel's runs of a class to any corner.
type carrier struct {
	blend  *quantity.Blend
	values [][]quantity.Value // P, Vs, Rt of each run
	x      []float64          // each run's carried power, kept between uses
	// The logarithms of Vclaim/Vs and Rt/Rnom of each run.
	logV, logR []float64
	// known are the means that were asked for, by k and m. They depend on nothing
	// else, and are not changed.
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
