package charts

import (
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A view is a scale on which the same points are shown.
type view struct {
	id    string // also what its button says
	about string
	axis  string // quantity divided by unit
	zero  bool   // the scale begins at zero
	of    func(ch *sheet.Channel) (reading, bool)
	text  func(ch *sheet.Channel) string // where of has a reading
	claim func(w float64) (float64, bool)
}

// A reading is a point's position in a view: high and low are y ± U; low may be -Inf.
type reading struct{ y, low, high float64 }

var watts = view{
	id: "W", about: "power in watts", axis: "P / W", zero: true,
	of:    func(ch *sheet.Channel) (reading, bool) { return figureReading(ch.Power) },
	text:  func(ch *sheet.Channel) string { return ch.Power.Text },
	claim: func(w float64) (float64, bool) { return w, true },
}

// decibelWatts shows 10·lg(P/1 W). The ends of a bar are the ends in watts
// converted, so that a bar covers the same powers in both views.
var decibelWatts = view{
	id: "dBW", about: "power in decibels above 1 W", axis: "P / dBW",
	of:    levelReading,
	text:  levelText,
	claim: func(w float64) (float64, bool) { return dBW(w), true },
}

// volts shows the volts at the unit's terminals. A claim is of power into its
// nominal load: it has no volts of its own, and is left out.
var volts = view{
	id: "V", about: "voltage at the unit's terminals", axis: "V / V", zero: true,
	of:    func(ch *sheet.Channel) (reading, bool) { return figureReading(ch.OutV) },
	text:  func(ch *sheet.Channel) string { return ch.OutV.Text },
	claim: func(float64) (float64, bool) { return 0, false },
}

// views are all, in the order of their buttons.
var views = []view{watts, decibelWatts, volts}

func figureReading(f *sheet.Figure) (reading, bool) {
	if f == nil || math.IsNaN(f.X) || math.IsInf(f.X, 0) {
		return reading{}, false
	}
	return reading{f.X, f.X - f.U, f.X + f.U}, true
}

func levelReading(ch *sheet.Channel) (reading, bool) {
	r, ok := figureReading(ch.Power)
	if !ok || r.y <= 0 {
		return reading{}, false
	}
	return reading{dBW(r.y), dBW(max(r.low, 0)), dBW(r.high)}, true
}

// levelText writes a level and its range to the place of half the range.
func levelText(ch *sheet.Channel) string {
	l, _ := levelReading(ch)
	half := (l.high - l.low) / 2
	if half == 0 || math.IsInf(half, 0) {
		return quantity.Significant(l.y, 4) + " dBW"
	}
	_, decimals := quantity.RoundUncertainty(half)
	text := func(x float64) string { return signed(quantity.Fixed(x, decimals)) }
	return text(l.y) + " dBW (" + text(l.low) + " to " + text(l.high) + ")"
}

func dBW(w float64) float64 { return 10 * math.Log10(w) }
