package charts

import "math"

// A scale is a linear axis from low to high with a tick at each step.
type scale struct {
	low, high, step float64
	ticks           []float64
}

// scaleOf chooses a scale that holds low and high with at most so many intervals;
// from zero where zero is set.
func scaleOf(low, high float64, zero bool, intervals int) scale {
	if zero {
		low = 0
	}
	if !(high > low) {
		high = low + 1
	}
	step := niceStep((high - low) / float64(intervals))
	first, last := steps(low, high, step)
	for last-first > float64(intervals) {
		step = niceStep(step * 1.01)
		first, last = steps(low, high, step)
	}
	s := scale{low: first * step, high: last * step, step: step}
	for i := first; i <= last; i++ {
		s.ticks = append(s.ticks, i*step)
	}
	return s
}

// steps returns the numbers of the first and the last step that hold low and high.
func steps(low, high, step float64) (first, last float64) {
	return math.Floor(low/step + 1e-9), math.Ceil(high/step - 1e-9)
}

// niceStep returns the smallest of 1, 2, 2.5, 5 times a power of ten that is not
// below x.
func niceStep(x float64) float64 {
	power := math.Pow10(int(math.Floor(math.Log10(x))))
	for _, m := range []float64{1, 2, 2.5, 5, 10} {
		if m*power >= x*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// finite returns x, or 0 where it is not finite.
func finite(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
