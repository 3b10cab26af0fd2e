package charts

import (
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A ClaimPlace is where a claim line has its strokes, in percent of the drawing's
// width with two decimals. A script that draws the same line elsewhere computes
// nothing: it is given these.
type ClaimPlace struct {
	Limit float64 // the heavy stroke
	// Off tells that the mean lies beyond the scale: −1 to the left, +1 to the right. An
	// arrow with the figure stands there, and no ring, bar or whisker.
	Off  int
	Ring float64 // the mean
	// Whisker spans U around the mean; an end that lies beyond the scale is cut, and has no
	// tick. There is none where HasWhisker is false.
	HasWhisker        bool
	WhiskerFrom       float64
	WhiskerTo         float64
	TickFrom, TickTo  bool
	HasBar            bool
	BarFrom, BarWidth float64
	// OpenFrom is where a bar without a lower end leaves the left edge's dashes, and OpenTo
	// where those to the right edge begin.
	OpenLow, OpenHigh bool
	OpenFrom, OpenTo  float64
}

// PlaceClaim tells where the strokes of a claim's line are on a scale from low to high
// percent of the claim. ok is false where there is nothing to draw: no claimed power.
// Without a figure there is the limit alone, and drawn is false.
func PlaceClaim(c *sheet.Claim, low, high int) (at ClaimPlace, drawn, ok bool) {
	if !(c.ClaimW > 0) || math.IsInf(c.ClaimW, 0) {
		return at, false, false
	}
	s := percentScale{float64(low), float64(high)}
	percent := func(watts float64) float64 { return 100 * watts / c.ClaimW }
	x := func(watts float64) float64 { return hundredths(s.x(percent(watts))) }
	at.Limit = x(c.LimitW)
	f := meanOf(c)
	if f == nil {
		return at, false, true
	}
	at.OpenLow, at.OpenHigh = c.BarLowOpen, c.BarHighOpen
	if !s.holds(percent(f.X)) {
		at.Off = -1
		if percent(f.X) > s.high {
			at.Off = 1
		}
		return at, true, true
	}
	at.Ring = x(f.X)
	if f.U > 0 {
		at.HasWhisker, at.WhiskerFrom, at.WhiskerTo = true, x(f.X-f.U), x(f.X+f.U)
		at.TickFrom, at.TickTo = s.holds(percent(f.X-f.U)), s.holds(percent(f.X+f.U))
	}
	from, to := s.x(percent(c.BarLow)), s.x(percent(c.BarHigh))
	if c.BarHigh > c.BarLow {
		at.HasBar, at.BarFrom, at.BarWidth = true, hundredths(from), hundredths(max(to-from, 0))
	}
	at.OpenFrom, at.OpenTo = hundredths(from), hundredths(to)
	return at, true, true
}

// hundredths rounds a position to two decimals.
func hundredths(x float64) float64 { return math.Round(x*100) / 100 }

// ClaimLimitText is the limit that a claim is decided against, in W, where that isn't the
// claim itself; else "".
func ClaimLimitText(c *sheet.Claim) string {
	if c.LimitW == c.ClaimW {
		return ""
	}
	return signed(quantity.Significant(c.LimitW, 4))
}
