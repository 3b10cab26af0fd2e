// Package electric is the circuit arithmetic of the bench: load, power, supply,
// efficiency and heat, each with its uncertainty.
package electric

import (
	"math"

	"wattsheet/generator/quantity"
)

// LoadAt returns the resistance of an element in use,
//
//	R = r0·(1 + alpha·rise)
//
// with r0 in Ω, alpha in 1/K and rise = T − T0 in K (JCGM 100:2008, 4.1.1).
func LoadAt(r0, alpha, rise quantity.Value) quantity.Value {
	x := r0.X * (1 + alpha.X*rise.X)
	return quantity.Combine(x, "Ω",
		quantity.Term{Value: r0, Sensitivity: 1 + alpha.X*rise.X},
		quantity.Term{Value: alpha, Sensitivity: r0.X * rise.X},
		quantity.Term{Value: rise, Sensitivity: r0.X * alpha.X})
}

// InElement returns the power in a load element, P = v²/r, from true-rms volts
// across it and its resistance in Ω, r > 0.
func InElement(v, r quantity.Value) quantity.Value {
	return quantity.Combine(v.X*v.X/r.X, "W",
		quantity.Term{Value: v, Sensitivity: 2 * v.X / r.X},
		quantity.Term{Value: r, Sensitivity: -v.X * v.X / (r.X * r.X)})
}

// AtTerminals returns the power at the unit's terminals,
//
//	P·(1 + lead/r)
//
// from the power P in the element, the lead's resistance and the element's, both
// in Ω, r > 0: the lead carries the element's current.
func AtTerminals(p, lead, r quantity.Value) quantity.Value {
	return quantity.Combine(p.X*(1+lead.X/r.X), "W",
		quantity.Term{Value: p, Sensitivity: 1 + lead.X/r.X},
		quantity.Term{Value: lead, Sensitivity: p.X / r.X},
		quantity.Term{Value: r, Sensitivity: -p.X * lead.X / (r.X * r.X)})
}

// Volts returns the rms volts across a resistance r > 0 in Ω that takes the power
// p >= 0 in W: √(p·r).
func Volts(p, r quantity.Value) quantity.Value {
	x := math.Sqrt(p.X * r.X)
	if x == 0 {
		return quantity.Exact(0, "V")
	}
	return quantity.Combine(x, "V",
		quantity.Term{Value: p, Sensitivity: r.X / (2 * x)},
		quantity.Term{Value: r, Sensitivity: p.X / (2 * x)})
}

// SupplyPower returns Ps = v·i·ripple from the mean supply voltage and current;
// ripple is a factor of 1 with the uncertainty of taking the product of means for
// the mean of the product.
func SupplyPower(v, i, ripple quantity.Value) quantity.Value {
	return quantity.Combine(v.X*i.X*ripple.X, "W",
		quantity.Term{Value: v, Sensitivity: i.X * ripple.X},
		quantity.Term{Value: i, Sensitivity: v.X * ripple.X},
		quantity.Term{Value: ripple, Sensitivity: v.X * i.X})
}

// Efficiency returns out/supply in percent; supply > 0.
func Efficiency(out, supply quantity.Value) quantity.Value {
	return out.Div(supply, "%").Scale(100)
}

// Heat returns the power that stays in the unit: supply − out, in W.
func Heat(out, supply quantity.Value) quantity.Value { return supply.Sub(out) }

// Level returns 10·lg(p/reference) in dB for p > 0 and an exact reference > 0 in
// the same unit.
func Level(p quantity.Value, reference float64) quantity.Value {
	return quantity.Combine(10*math.Log10(p.X/reference), "dB",
		quantity.Term{Value: p, Sensitivity: 10 / (math.Ln10 * p.X)})
}

// OfFundamental turns a distortion relative to the whole signal into one relative
// to the fundamental, both in percent: d/√(1 − d²), 0 <= d < 100 %.
func OfFundamental(d quantity.Value) quantity.Value {
	x := d.X / 100
	rest := 1 - x*x
	return quantity.Combine(100*x/math.Sqrt(rest), "%",
		quantity.Term{Value: d, Sensitivity: 1 / (rest * math.Sqrt(rest))})
}

// Carried returns what a unit may have given at a claim's conditions,
//
//	p·(claimV/v)^k·(r/nominal)^m
//
// from the power p measured at the supply voltage v into the load r at the
// terminals; claimV in V and nominal in Ω are exact. The parts that p, v and r
// share are counted once.
func Carried(p, v, r quantity.Value, claimV, nominal, k, m float64) quantity.Value {
	x := CarriedEstimate(p.X, v.X, r.X, claimV, nominal, k, m)
	if p.X == 0 {
		return p
	}
	return quantity.Combine(x, "W",
		quantity.Term{Value: p, Sensitivity: x / p.X},
		quantity.Term{Value: v, Sensitivity: -k * x / v.X},
		quantity.Term{Value: r, Sensitivity: m * x / r.X})
}

// CarriedEstimate is the estimate of [Carried] alone.
func CarriedEstimate(p, v, r, claimV, nominal, k, m float64) float64 {
	return p * math.Pow(claimV/v, k) * math.Pow(r/nominal, m)
}

// ClassBLimit returns the highest efficiency in percent that an ideal class B
// stage can have with a sine that is clipped to the distortion thdPct (relative
// to the fundamental): π/4 for a pure sine, rising as the wave squares. It
// solves the symmetric hard clip of a sine for the clip level c:
//
//	mean |v| = (2/π)·(1 − cos θ + c·(π/2 − θ)), θ = asin c
//	mean v²  = (2/π)·(θ/2 − c·cos θ/2 + c²·(π/2 − θ))
//	η        = mean v²/(c·mean |v|)
//
// At 1 % it is 80.3 %, at 10 % 87.4 %. The curve ends at a square wave, 100 %.
func ClassBLimit(thdPct float64) float64 {
	switch square := math.Sqrt(math.Pi*math.Pi/8 - 1); {
	case thdPct < 1e-4: // no different from a pure sine, and below what clipTHD can tell
		return 100 * math.Pi / 4
	case thdPct/100 >= square:
		return 100
	}
	low, high := 1e-9, 1.0
	for range 200 {
		if c := (low + high) / 2; clipTHD(c) > thdPct/100 {
			low = c
		} else {
			high = c
		}
	}
	c := (low + high) / 2
	return 100 * clipSquare(c) / (c * clipMean(c))
}

func clipMean(c float64) float64 {
	theta := math.Asin(c)
	return 2 / math.Pi * (1 - math.Cos(theta) + c*(math.Pi/2-theta))
}

func clipSquare(c float64) float64 {
	theta := math.Asin(c)
	return 2 / math.Pi * (theta/2 - c*math.Cos(theta)/2 + c*c*(math.Pi/2-theta))
}

func clipTHD(c float64) float64 {
	theta := math.Asin(c)
	first := 2 / math.Pi * (theta + c*math.Cos(theta))
	return math.Sqrt(math.Max(0, 2*clipSquare(c)/(first*first)-1))
}
