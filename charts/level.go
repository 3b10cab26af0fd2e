package charts

import (
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// levelReading shows 10·lg(P/1 W). The ends of a bar are the ends in watts
// converted, so that a bar covers the same powers in both views.
func levelReading(power *sheet.Figure) reading {
	r := reads(power)
	if r.text == "" || r.y <= 0 {
		return reading{}
	}
	l := reading{dBW(r.y), dBW(max(r.low, 0)), dBW(r.high), ""}
	l.text = levelText(l)
	return l
}

// levelText writes a level and its range to the place of half the range.
func levelText(l reading) string {
	half := (l.high - l.low) / 2
	if half == 0 || math.IsInf(half, 0) {
		return quantity.Significant(l.y, 4) + " dBW"
	}
	_, decimals := quantity.RoundUncertainty(half)
	text := func(x float64) string { return signed(quantity.Fixed(x, decimals)) }
	return text(l.y) + " dBW (" + text(l.low) + " to " + text(l.high) + ")"
}

// levelCell is a level without its unit, which is in the head.
func levelCell(l reading) string {
	if l.text == "" {
		return ""
	}
	half := (l.high - l.low) / 2
	value, _ := quantity.Pair(l.y, finite(half))
	if finite(half) == 0 {
		return quantity.Significant(l.y, 4)
	}
	return value
}

func dBW(w float64) float64 { return 10 * math.Log10(w) }
