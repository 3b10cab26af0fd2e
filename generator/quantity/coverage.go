package quantity

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Level is the coverage probability of every expanded uncertainty.
const Level = 0.95

// nearNormal is the number of degrees of freedom from which Student's t is taken
// by its normal approximation, whose error is then below 1 part in 10^9 where
// probabilities differ from 0 and 1; the library's own values grow noisy further
// up.
const nearNormal = 1e5

// Quantile returns the value that a variate of Student's t distribution with
// dof degrees of freedom stays below with probability p, 0 < p < 1; the normal
// distribution's when dof is infinite. dof need not be whole.
func Quantile(p, dof float64) float64 {
	if dof >= nearNormal {
		z := distuv.UnitNormal.Quantile(p) / (1 - 1/(4*dof))
		return z / math.Sqrt(1-z*z/(2*dof))
	}
	return studentQuantile(p, dof)
}

// Probability returns P(T <= t) for Student's t with dof degrees of freedom; the
// normal distribution's when dof is infinite. Many degrees of freedom go by
//
//	z = t·(1 − 1/(4·dof))/√(1 + t²/(2·dof))
//
// (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.8). Within 1e-5
// of 0 it is 1/2 + t·f(0), f the density: the library's value is 1/2 there, also where
// t is just below 0, and a rule may ask for exactly 1/2.
func Probability(t, dof float64) float64 {
	if math.Abs(t) < 1e-5 {
		if dof >= nearNormal {
			return 0.5 + t*distuv.UnitNormal.Prob(0)
		}
		return 0.5 + t*distuv.StudentsT{Sigma: 1, Nu: dof}.Prob(0)
	}
	if dof >= nearNormal {
		return distuv.UnitNormal.CDF(t * (1 - 1/(4*dof)) / math.Sqrt(1+t*t/(2*dof)))
	}
	return distuv.StudentsT{Sigma: 1, Nu: dof}.CDF(t)
}

// ChiSquared returns the value that a χ² variate with dof degrees of freedom, at
// least 1, stays below with probability p, 0 < p < 1.
func ChiSquared(p float64, dof int) float64 {
	return distuv.ChiSquared{K: float64(dof)}.Quantile(p)
}

// ChiSquaredAbove returns the probability that a χ² variate with dof degrees of
// freedom, at least 1, is x or larger, x >= 0.
func ChiSquaredAbove(x float64, dof int) float64 {
	return distuv.ChiSquared{K: float64(dof)}.Survival(x)
}

// FRatio returns the value that the ratio of two variances, with upper and lower
// degrees of freedom, stays below with probability p when both estimate the same
// variance (Fisher's F distribution).
func FRatio(p, upper, lower float64) float64 {
	return distuv.F{D1: upper, D2: lower}.Quantile(p)
}

// Coverage returns the coverage factor k of a two-sided interval that holds with
// probability p (JCGM 100:2008, G.3.2): k = t((1+p)/2, dof).
func Coverage(p, dof float64) float64 {
	if math.IsInf(dof, 1) && p == Level {
		return normalCoverage
	}
	return Quantile((1+p)/2, dof)
}

var normalCoverage = Quantile((1+Level)/2, math.Inf(1))

// ProbabilityAtLeast returns P(Y >= limit) for a quantity with the estimate x,
// the standard uncertainty u and dof effective degrees of freedom (JCGM
// 106:2012, 7.3). With u = 0 it is 1 or 0.
func ProbabilityAtLeast(x, u, dof, limit float64) float64 {
	if u == 0 {
		if x >= limit {
			return 1
		}
		return 0
	}
	return Probability((x-limit)/u, dof)
}

// ProbabilityPositive returns P(D > 0) for a difference with the estimate x, the
// standard uncertainty u and dof effective degrees of freedom (JCGM 106:2012, 7.3,
// with the limit 0). With u = 0 it is 1 or 0, and 1/2 where x is 0 too: then
// nothing speaks for either side.
func ProbabilityPositive(x, u, dof float64) float64 {
	if u == 0 && x == 0 {
		return 0.5
	}
	return ProbabilityAtLeast(x, u, dof, 0)
}

// The functions below turn a half-width a into the standard uncertainty of its shape
// (JCGM 100:2008, 4.3.7 and 4.3.9; JCGM 101:2008, 6.4 for the U-shaped one).

// Rectangular returns a/√3.
func Rectangular(a float64) float64 { return a / math.Sqrt(3) }

// Triangular returns a/√6.
func Triangular(a float64) float64 { return a / math.Sqrt(6) }

// UShaped returns a/√2.
func UShaped(a float64) float64 { return a / math.Sqrt2 }
