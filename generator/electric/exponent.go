package electric

import (
	"errors"
	"math"

	"wattsheet/generator/quantity"
)

// An ExponentPoint is the power P > 0 in W that a channel gives at the supply
// voltage V > 0 in volts. Points of one Group differ in nothing else: same method,
// channel, loads and frequency.
type ExponentPoint struct {
	P, V  quantity.Value
	Group int // 0, 1, 2 …
}

// An Exponent is the least-squares fit of one common exponent k,
//
//	ln P = a(group) + k·ln V
//
// to points of one or several groups, each with its own a.
type Exponent struct {
	K quantity.Value
	// X and Y are ln V and ln P of each point less their weighted means in its
	// group; Residuals are Y − k·X.
	X, Y, Residuals []float64
	// Weights are 1/u² of ln P − k·ln V, of what is the point's own.
	Weights []float64
}

// ErrNoExponent says that points give no exponent: no group has two different
// voltages.
var ErrNoExponent = errors.New("the points give no supply exponent")

// FitExponent fits the exponent to points. The weights are 1/u² of what is a
// point's own, without the sources that common names; they are settled by iteration
// and then kept fixed. With them
//
//	k = Σ w·(x − x̄)·(y − ȳ) / Σ w·(x − x̄)²,  x = ln V, y = ln P
//
// with weighted means over each group (linear least squares). The uncertainty comes
// by the partial derivatives of k by every power and voltage, so that what points
// share cancels or adds there (JCGM 100:2008, 5.2; own derivation).
func FitExponent(points []ExponentPoint, common func(*quantity.Source) bool) (Exponent, error) {
	e := Exponent{Weights: make([]float64, len(points))}
	x, y := make([]float64, len(points)), make([]float64, len(points))
	group := make([]int, len(points))
	for i, p := range points {
		x[i], y[i], group[i] = math.Log(p.V.X), math.Log(p.P.X), p.Group
	}
	k := 1.0
	for range 50 {
		before := k
		for i, p := range points {
			e.Weights[i] = exponentWeight(p, k, common)
		}
		e.X, e.Y = centred(x, e.Weights, group), centred(y, e.Weights, group)
		k = slope(e.X, e.Y, e.Weights)
		if math.IsNaN(k) || math.IsInf(k, 0) {
			return Exponent{}, ErrNoExponent
		}
		if math.Abs(k-before) <= 1e-13*(1+math.Abs(k)) {
			break
		}
	}
	for i := range points {
		e.Residuals = append(e.Residuals, e.Y[i]-k*e.X[i])
	}
	var terms []quantity.Term
	byX, byY := slopeDerivatives(e.X, e.Residuals, e.Weights, k)
	for i, p := range points {
		terms = append(terms,
			quantity.Term{Value: p.P, Sensitivity: byY[i] / p.P.X},
			quantity.Term{Value: p.V, Sensitivity: byX[i] / p.V.X})
	}
	e.K = quantity.Combine(k, "", terms...)
	return e, nil
}

// exponentWeight is 1/u² of a point's ln P − k·ln V without the common sources; 1
// where nothing is uncertain.
func exponentWeight(p ExponentPoint, k float64, common func(*quantity.Source) bool) float64 {
	v := quantity.Combine(0, "",
		quantity.Term{Value: p.P, Sensitivity: 1 / p.P.X},
		quantity.Term{Value: p.V, Sensitivity: -k / p.V.X})
	return weightOf(v, common)
}

// centred returns values less their weighted means over each group.
func centred(x, w []float64, group []int) []float64 {
	sums, weights := map[int]float64{}, map[int]float64{}
	for i, g := range group {
		sums[g] += w[i] * x[i]
		weights[g] += w[i]
	}
	out := make([]float64, len(x))
	for i, g := range group {
		out[i] = x[i] - sums[g]/weights[g]
	}
	return out
}

// slope is Σ w·x·y/Σ w·x² of centred values; not a number where all x agree.
func slope(x, y, w []float64) float64 {
	var n, d float64
	for i := range x {
		n += w[i] * x[i] * y[i]
		d += w[i] * x[i] * x[i]
	}
	return n / d
}

// slopeDerivatives are the derivatives of the slope k by each x and each y, the
// weights kept fixed.
func slopeDerivatives(x, residual, w []float64, k float64) (byX, byY []float64) {
	d := 0.0
	for i := range x {
		d += w[i] * x[i] * x[i]
	}
	for i := range x {
		byX = append(byX, w[i]*(residual[i]-k*x[i])/d)
		byY = append(byY, w[i]*x[i]/d)
	}
	return byX, byY
}

// CarriedByOwn returns the mean power of runs at another supply voltage,
//
//	mean of p·(toV/v)^k
//
// with an exponent k that is itself uncertain; toV in volts is exact, the load as it
// was. What an instrument is wrong by is one error within the mean
// ([quantity.Mean]); what the runs share with k is counted once where it isn't.
func CarriedByOwn(p, v []quantity.Value, toV float64, k quantity.Value) quantity.Value {
	carried := make([]quantity.Value, len(p))
	by := 0.0
	for i := range p {
		carried[i] = Carried(p[i], v[i], quantity.Exact(1, "Ω"), toV, 1, k.X, 0)
		by += carried[i].X * math.Log(toV/v[i].X) / float64(len(p))
	}
	mean := quantity.Mean(carried...)
	if len(k.Parts) == 0 {
		return mean.In("W")
	}
	return quantity.Combine(mean.X, "W", quantity.Term{Value: mean, Sensitivity: 1}, quantity.Term{Value: k, Sensitivity: by})
}

// CarriedByOwnEstimate is the estimate of [CarriedByOwn] alone.
func CarriedByOwnEstimate(p, v []quantity.Value, toV, k float64) float64 {
	sum := 0.0
	for i := range p {
		if p[i].X != 0 {
			sum += CarriedEstimate(p[i].X, v[i].X, 1, toV, 1, k, 0)
		}
	}
	return 1 / float64(len(p)) * sum
}
