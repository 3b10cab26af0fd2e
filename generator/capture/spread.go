package capture

import (
	"math"

	"wattsheet/generator/quantity"
)

// batches is how many means of consecutive blocks a spread is told from at most.
const batches = 32

// A Spread is the standard uncertainty of a mean over time, told from how parts of
// the time differ (Type A, JCGM 100:2008, 4.2).
//
// The values, one for each block in their order, are joined to at most 32 batches of
// consecutive ones, whose means take up what correlates within a batch. With s their
// standard deviation, K their number and r their autocorrelation at lag 1,
//
//	u = s/√K · √((1 + r)/(1 − r))    ν = (K − 1)·(1 − r)/(1 + r)
//
// (for a first-order autoregressive sequence; common practice, no source), where r
// is taken as 0 unless it is above 1.645/√K: beyond what independent means show in
// 19 of 20 cases.
type Spread struct {
	U, DoF float64
	Lag1   float64 // r as it was estimated, the mean being subtracted
	Means  int     // K
}

// SpreadOf evaluates two values or more; fewer have no spread, and U is NaN.
func SpreadOf(values []float64) Spread {
	k := min(batches, len(values))
	if k < 2 {
		return Spread{U: math.NaN(), Means: k}
	}
	means, mean := make([]float64, k), 0.0
	for i := range means {
		part := values[i*len(values)/k : (i+1)*len(values)/k]
		for _, v := range part {
			means[i] += v / float64(len(part))
		}
		mean += means[i] / float64(k)
	}
	var squares, products float64
	for i, m := range means {
		squares += (m - mean) * (m - mean)
		if i > 0 {
			products += (m - mean) * (means[i-1] - mean)
		}
	}
	s := Spread{U: math.Sqrt(squares / float64(k-1) / float64(k)), DoF: float64(k - 1), Means: k}
	if squares > 0 {
		s.Lag1 = products / squares
	}
	if r := math.Min(s.Lag1, 0.9); r > 1.645/math.Sqrt(float64(k)) {
		s.U *= math.Sqrt((1 + r) / (1 - r))
		s.DoF = math.Max(1, s.DoF*(1-r)/(1+r))
	}
	return s
}

// onto adds the spread of values to a figure, as an error of that capture's own.
func (s Spread) onto(v quantity.Value, capture, id string) quantity.Value {
	if !(s.U > 0) {
		return v
	}
	own := quantity.New(0, v.Unit, s.U, quantity.Source{ID: "spread/" + capture + "/" + id, Name: "spread of the " + id + " within the capture", Kind: "pool", DoF: s.DoF})
	return v.Add(own)
}
