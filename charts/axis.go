package charts

import "math"

// A scale is an axis of figures from low to high: linear with a tick at each step,
// or logarithmic.
type scale struct {
	low, high, step float64
	ticks           []float64
	log             bool
}

// part is how far up the scale a value stands, from 0 to 1.
func (s scale) part(value float64) float64 {
	if s.log {
		return math.Log10(value/s.low) / math.Log10(s.high/s.low)
	}
	return (value - s.low) / (s.high - s.low)
}

// at is the inverse of part.
func (s scale) at(part float64) float64 {
	if s.log {
		return s.low * math.Pow(s.high/s.low, part)
	}
	return s.low + (s.high-s.low)*part
}

// logScale holds low and high, both above 0, between powers of ten, or between 1, 2
// and 5 times one where that is nearer; its ticks are powers of ten, with 2 and 5
// times each where there are few.
func logScale(low, high float64) scale {
	if !(low > 0) || math.IsInf(low, 0) || math.IsInf(high, 0) {
		low, high = 0.1, 1
	}
	var marks []float64
	first, last := int(math.Floor(math.Log10(low)))-1, int(math.Ceil(math.Log10(high)))+1
	for e := first; e <= last; e++ {
		for _, m := range []float64{1, 2, 5} {
			marks = append(marks, m*math.Pow10(e))
		}
	}
	from, to := 0, len(marks)-1
	for from+1 < len(marks) && marks[from+1] <= low {
		from++
	}
	for to > from+1 && marks[to-1] >= high {
		to--
	}
	s := scale{low: marks[from], high: marks[to], log: true}
	for i := from; i <= to; i++ {
		if to-from <= 7 || i%3 == 0 {
			s.ticks = append(s.ticks, marks[i])
		}
	}
	return s
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
