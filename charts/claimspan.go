package charts

import (
	"math"

	"wattsheet/generator/sheet"
)

// A ClaimSpan says where what a claim line shows stands, for drawings that are no SVG:
// in parts of a thousand of the line's width.
type ClaimSpan struct {
	Limit             int
	Drawn             bool // there is a mean
	Mean, From, To    int  // the mean, and the whiskers' ends
	Low, High         int  // the bar; none where they are equal
	EndFrom, EndTo    bool // the whisker ends within the scale
	OpenLow, OpenHigh bool // the bar has no end there
	Off               int  // −1 or 1 where the mean lies off the scale, to the left or right
}

// ClaimSpans gives the places of each claim's line as [ClaimLines] draws it, on the scale
// that they share; nil for a claim that states no power.
func ClaimSpans(claims []*sheet.Claim) []*ClaimSpan {
	low, high := ClaimScale(claims)
	s := percentScale{float64(low), float64(high)}
	spans := make([]*ClaimSpan, len(claims))
	for i, c := range claims {
		if c.ClaimW > 0 && !math.IsInf(c.ClaimW, 0) {
			spans[i] = claimSpan(c, s)
		}
	}
	return spans
}

func claimSpan(c *sheet.Claim, s percentScale) *ClaimSpan {
	percent := func(watts float64) float64 { return 100 * watts / c.ClaimW }
	place := func(watts float64) int { return int(math.Round(10 * s.x(percent(watts)))) }
	span := &ClaimSpan{Limit: place(c.LimitW)}
	f := meanOf(c)
	if f == nil {
		return span
	}
	span.Drawn, span.Mean, span.From, span.To = true, place(f.X), place(f.X-f.U), place(f.X+f.U)
	switch mean := percent(f.X); {
	case mean < s.low:
		span.Off = -1
	case mean > s.high:
		span.Off = 1
	}
	if f.U > 0 {
		span.EndFrom, span.EndTo = s.holds(percent(f.X-f.U)), s.holds(percent(f.X+f.U))
	}
	span.Low, span.High = place(c.BarLow), place(c.BarHigh)
	span.OpenLow, span.OpenHigh = c.BarLowOpen, c.BarHighOpen
	return span
}
