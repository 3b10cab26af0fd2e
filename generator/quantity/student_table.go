package quantity

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
)

// A quantileCurve is the t above which Student's t lies with one probability, as a
// function of x = 1/dof: smooth down to x = 0, so that few Chebyshev polynomials give it
// within the rounding of a float64. It takes a fiftieth of the time of an inversion, and is
// more exact, since the library's incomplete beta function loses digits from some hundred
// degrees of freedom on.
type quantileCurve struct {
	tail  float64
	once  sync.Once
	terms [curveTerms]float64
}

// A curve goes from infinitely many degrees of freedom down to curveFrom.
const (
	curveFrom  = 4.0
	curveTerms = 18
)

// usualCurves are those of the probabilities that are asked for again and again: of U, and
// of the usual rules for one channel and two.
var usualCurves = curvesFor(0.975, 0.95, 0.05, 0.05/2, 0.025, 0.025/2)

// curvesFor are the curves for some probabilities, by their tails as [studentQuantile]
// takes them.
func curvesFor(ps ...float64) []*quantileCurve {
	var out []*quantileCurve
	for _, p := range ps {
		out = append(out, &quantileCurve{tail: upperTail(p)})
	}
	return out
}

// curveOf is the curve for a probability in the upper tail; nil where there is none.
func curveOf(tail float64) *quantileCurve {
	for _, c := range usualCurves {
		if c.tail == tail {
			c.once.Do(c.fit)
			return c
		}
	}
	return nil
}

// at is the quantile at dof >= curveFrom, by Clenshaw's recurrence.
func (c *quantileCurve) at(dof float64) float64 {
	x := 2*curveFrom/dof - 1
	var a, b float64
	for i := curveTerms - 1; i > 0; i-- {
		a, b = c.terms[i]+2*x*a-b, a
	}
	return c.terms[0] + x*a - b
}

// fit finds the terms from the quantile at the zeros of the first polynomial left out.
func (c *quantileCurve) fit() {
	const n = curveTerms
	for i := range n {
		at := math.Pi * (float64(i) + 0.5) / n
		y := exactQuantile(c.tail, 2*curveFrom/(1+math.Cos(at)))
		for j := range n {
			c.terms[j] += 2.0 / n * y * math.Cos(float64(j)*at)
		}
	}
	c.terms[0] /= 2
}

// exactQuantile is the quantile at dof >= curveFrom for a tail that isn't tiny, by Newton's
// method on the integral of the density.
func exactQuantile(tail, dof float64) float64 {
	scale := gammaRatio(dof/2) / math.Sqrt(dof*math.Pi)
	density := func(t float64) float64 { return scale * math.Exp(-(dof+1)/2*math.Log1p(t*t/dof)) }
	t := firstGuess(Quantile(1-tail, math.Inf(1)), dof)
	for range 20 {
		step := (0.5 - tail - quad.Fixed(density, 0, t, 24, quad.Legendre{}, 1)) / density(t)
		t += step
		if math.Abs(step) < 1e-9 { // what is left goes with its square
			break
		}
	}
	return t
}

// gammaRatio is Γ(a + 1/2)/Γ(a) for a >= 1, by the expansion in powers of 1/a (of the
// difference of two of Stirling's series; Abramowitz and Stegun, Handbook of Mathematical
// Functions, 6.1.40), far enough up, and the recurrence 6.1.15 down from there.
func gammaRatio(a float64) float64 {
	down := 1.0
	for ; a < 20; a++ {
		down *= a / (a + 0.5)
	}
	x := 1 / (a * a)
	return down * math.Sqrt(a) * math.Exp((-1.0/8+x*(1.0/192+x*(-1.0/640+x*(17.0/14336-x*31/18432))))/a)
}
