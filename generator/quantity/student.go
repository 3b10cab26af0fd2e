package quantity

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// studentQuantile returns the quantile of Student's t distribution with finite
// dof > 0 at 0 < p < 1, by Newton's method on the upper tail
//
//	Q(t) = I_x(dof/2, 1/2)/2,  x = dof/(dof + t²)
//
// (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.1 and 26.5.27),
// from the expansion 26.7.5 about the normal quantile. It takes a few evaluations
// of the library's incomplete beta function, where the library's own inverse takes
// some sixty. Usual probabilities go by a [quantileCurve].
func studentQuantile(p, dof float64) float64 {
	switch {
	case p == 0.5:
		return 0
	case p < 0.5:
		return -upperQuantile(p, dof)
	}
	return upperQuantile(upperTail(p), dof)
}

// upperTail is the smaller of the two probabilities that a quantile divides.
func upperTail(p float64) float64 {
	if p < 0.5 {
		return p
	}
	return 1 - p
}

// upperQuantile is the t > 0 above which the probability tail < 0.5 lies.
func upperQuantile(tail, dof float64) float64 {
	if dof >= curveFrom {
		if c := curveOf(tail); c != nil {
			return c.at(dof)
		}
	}
	return invertedTail(tail, dof)
}

// invertedTail is [upperQuantile] for any tail and degrees of freedom.
func invertedTail(tail, dof float64) float64 {
	t := firstGuess(-distuv.UnitNormal.Quantile(tail), dof)
	logGamma := func(x float64) float64 { l, _ := math.Lgamma(x); return l }
	scale, logTail := logGamma((dof+1)/2)-logGamma(dof/2)-math.Log(dof*math.Pi)/2, math.Log(tail)
	for range 100 {
		q := mathext.RegIncBeta(dof/2, 0.5, dof/(dof+t*t)) / 2
		density := math.Exp(scale - (dof+1)/2*math.Log1p(t*t/dof))
		// Newton's step for ln Q as a function of ln t, which is nearly straight
		// in the tail and holds t above 0.
		step := (math.Log(q) - logTail) * q / (density * t)
		if math.IsNaN(step) {
			break
		}
		t *= math.Exp(math.Max(-3, math.Min(3, step)))
		if math.Abs(step) < 1e-8 { // what is left goes with its square
			break
		}
	}
	return t
}

// firstGuess expands the quantile about the normal one z.
func firstGuess(z, dof float64) float64 {
	z2 := z * z
	t := z * (1 + (z2+1)/4/dof + ((5*z2+16)*z2+3)/96/(dof*dof))
	return math.Max(t, 1e-8)
}

// QuantileBounds returns bounds of [Quantile] at p for any degrees of freedom: by the
// expansion about the normal quantile z in powers of 1/dof up to the fourth (Abramowitz
// and Stegun, Handbook of Mathematical Functions, 26.7.5), with more on both sides than
// the terms left out and the quantile's own noise come to. They are wide below 10
// degrees of freedom, and a hundred times cheaper than the quantile.
func QuantileBounds(p float64) func(dof float64) (least, most float64) {
	z := distuv.UnitNormal.Quantile(p)
	z2 := z * z
	g1 := z * (z2 + 1) / 4
	g2 := z * ((5*z2+16)*z2 + 3) / 96
	g3 := z * (((3*z2+19)*z2+17)*z2 - 15) / 384
	g4 := z * ((((79*z2+776)*z2+1482)*z2-1920)*z2 - 945) / 92160
	left := math.Abs(z) * (0.1 + 0.001*math.Pow(z2, 5))
	return func(dof float64) (least, most float64) {
		if dof < 3 || z2 > 36 || p == 0.5 {
			t := Quantile(p, dof)
			return t, t
		}
		x := 1 / dof
		t := z + x*(g1+x*(g2+x*(g3+x*g4)))
		off := left*(x*x)*(x*x)*x + 1e-7
		return t - off, t + off
	}
}

// NearQuantile returns what is within 1 part in 10⁶ of [Quantile] at p, for searching: it
// mostly costs a hundredth of it.
func NearQuantile(p float64) func(dof float64) float64 {
	bounds := QuantileBounds(p)
	return func(dof float64) float64 {
		least, most := bounds(dof)
		if most-least > 1e-6*math.Abs(least) {
			return Quantile(p, dof)
		}
		return (least + most) / 2
	}
}
