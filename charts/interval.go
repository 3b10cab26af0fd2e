package charts

import (
	"math"
)

// An Interval is a power with its expanded uncertainty, in watts.
type Interval struct{ X, U float64 }

// Intervals draws each power of a list as a ring with whiskers, all on the scale from
// zero to [IntervalScale]: as whole <svg class="interval-line"> elements that say nothing
// to a screen reader, for the figure stands beside.
func Intervals(list []Interval) []string {
	scale := percentScale{0, IntervalScale(list)}
	out := make([]string, len(list))
	for i, one := range list {
		out[i] = intervalLine(one, scale)
	}
	return out
}

// IntervalScale is the end of the scale that a list of powers shares, in watts: 1, 1.5,
// 2, 3, 4, 5, 6 or 8 times a power of ten, with room for every whisker.
func IntervalScale(list []Interval) float64 {
	most := 0.0
	for _, one := range list {
		if end := one.X + one.U; end > most && !math.IsInf(end, 0) {
			most = end
		}
	}
	if most <= 0 {
		return 1
	}
	step := math.Pow(10, math.Floor(math.Log10(most)))
	for _, times := range []float64{1, 1.5, 2, 3, 4, 5, 6, 8, 10} {
		if most <= 0.99*times*step {
			return times * step
		}
	}
	return 15 * step
}

// The height of an interval, and where its ring stands.
const (
	intervalHeight = 22
	intervalMiddle = 11
)

func intervalLine(one Interval, s percentScale) string {
	at := func(watts float64) float64 { return hundredths(s.x(watts)) }
	return drawing(func(w *svg) {
		w.raw(`<svg class="interval-line" width="100%" height="`).count(intervalHeight).raw(`" aria-hidden="true" focusable="false">`)
		rect(w, "interval-ground", 0, 100, intervalMiddle-6, 12, `fill="`+inkColour+`" fill-opacity="0.035"`)
		rect(w, "interval-power", 0, at(one.X), intervalMiddle-6, 12, `fill="`+inkColour+`" fill-opacity="0.1"`)
		upright(w, "interval-zero", 0, 1, intervalHeight-1, `stroke="`+inkColour+`" stroke-width="2.6"`)
		if one.U > 0 {
			low, high := at(one.X-one.U), at(one.X+one.U)
			level(w, "interval-whisker", low, high, intervalMiddle, `stroke-width="1.6"`)
			for _, end := range []float64{low, high} {
				upright(w, "interval-whisker", end, intervalMiddle-7, intervalMiddle+7, `stroke="currentColor" stroke-width="1.6"`)
			}
		}
		w.raw(`<circle class="interval-ring"`).percentage(` cx="`, at(one.X)).raw(` cy="`).count(intervalMiddle)
		w.raw(`" r="3.3" fill="` + cardColour + `" stroke="currentColor" stroke-width="1.8"/>`)
		w.close("svg")
	})
}
