package charts

import (
	"math"
	"strconv"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// The claim line shows one claim on one horizontal scale in percent of the claim:
// a heavy upright stroke at the limit, the measured mean as a ring, on a thick bar
// that spans what the rule decides by, with thin whiskers for U; the ground short of
// the limit is darker. Positions are percentages, so that a line is as wide as its
// place and no stroke is stretched.
const (
	claimHeight = 36
	claimMiddle = 18
)

// The widest scale of a list, in percent of the claim. What lies beyond is drawn as
// an arrow with its figure, so that one claim far off doesn't squeeze the others.
const (
	leastPercent = 50
	mostPercent  = 150
)

// ClaimLines draws a claim line for each claim, as a whole <svg class="claim-line">
// element, all on the scale that [ClaimScale] gives. A claim that has no figure to
// show (untested, incomparable) gets the ground and the stroke alone, and "" where
// it states no power.
func ClaimLines(claims []*sheet.Claim) []string {
	low, high := ClaimScale(claims)
	lines := make([]string, len(claims))
	for i, c := range claims {
		if c.ClaimW > 0 && !math.IsInf(c.ClaimW, 0) {
			lines[i] = claimLine(c, percentScale{float64(low), float64(high)})
		}
	}
	return lines
}

// ClaimScale returns the ends of the scale that a list of claims shares, in percent
// of each claim: multiples of 5 that hold 100 % and, between 50 % and 150 %, every
// bar and whisker.
func ClaimScale(claims []*sheet.Claim) (low, high int) {
	least, most := 95.0, 105.0
	for _, c := range claims {
		if !(c.ClaimW > 0) {
			continue
		}
		for _, w := range extremes(c) {
			least, most = min(least, 100*w/c.ClaimW-1), max(most, 100*w/c.ClaimW+1)
		}
	}
	least, most = max(least, leastPercent), min(most, mostPercent)
	return 5 * int(math.Floor(least/5)), 5 * int(math.Ceil(most/5))
}

// extremes lists the powers that a claim line should show.
func extremes(c *sheet.Claim) []float64 {
	all := []float64{c.LimitW}
	if f := meanOf(c); f != nil {
		all = append(all, f.X-f.U, f.X+f.U)
		if c.BarHigh > c.BarLow {
			all = append(all, c.BarLow, c.BarHigh)
		}
	}
	return all
}

// meanOf returns the figure that decides a claim, or nil.
func meanOf(c *sheet.Claim) *sheet.Figure {
	if c.Weakest == nil {
		return nil
	}
	return c.Weakest.Mean
}

// A percentScale places percent of a claim between the sides of a drawing.
type percentScale struct{ low, high float64 }

func (s percentScale) holds(percent float64) bool { return percent >= s.low && percent <= s.high }

// x is a position as a percentage of the drawing's width, kept within it.
func (s percentScale) x(percent float64) float64 {
	return 100 * (min(max(percent, s.low), s.high) - s.low) / (s.high - s.low)
}

func percentage(x float64) string {
	return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) + "%"
}

var verdictColours = map[verdict.Word]string{
	verdict.Met: "#0b6e63", verdict.Short: "#b3400a", verdict.Open: "#5b4bb0",
	verdict.Untested: softColour, verdict.Incomparable: softColour,
}

func claimLine(c *sheet.Claim, s percentScale) string {
	return drawing(func(w *svg) {
		w.open("svg", "xmlns", "http://www.w3.org/2000/svg", "class", "claim-line verdict-"+string(c.Verdict),
			"width", "100%", "height", strconv.Itoa(claimHeight), "role", "img", "aria-label", claimAlternative(c),
			"color", verdictColours[c.Verdict], "font-family", "system-ui, sans-serif", "font-size", "13")
		limit := s.x(100 * c.LimitW / c.ClaimW)
		rect(w, "claim-ground-short", 0, limit, 11, 14, "fill", inkColour, "fill-opacity", "0.1")
		rect(w, "claim-ground", limit, 100, 11, 14, "fill", inkColour, "fill-opacity", "0.035")
		upright(w, "claim-limit", limit, 2, claimHeight-2, "stroke", inkColour, "stroke-width", "2.6")
		if f := meanOf(c); f != nil {
			measured(w, c, f, s)
		}
		w.close("svg")
	})
}

// measured draws whiskers, bar and ring; an arrow where the mean is off the scale.
func measured(w *svg, c *sheet.Claim, f *sheet.Figure, s percentScale) {
	percent := func(watts float64) float64 { return 100 * watts / c.ClaimW }
	low, high := percent(f.X-f.U), percent(f.X+f.U)
	if !s.holds(percent(f.X)) {
		arrow(w, f, percent(f.X) > s.high)
		return
	}
	if f.U > 0 {
		w.empty("line", "class", "claim-whisker", "x1", percentage(s.x(low)), "x2", percentage(s.x(high)),
			"y1", strconv.Itoa(claimMiddle), "y2", strconv.Itoa(claimMiddle), "stroke", "currentColor", "stroke-width", "1.6")
		for _, end := range []float64{low, high} {
			if s.holds(end) {
				upright(w, "claim-whisker", s.x(end), claimMiddle-7, claimMiddle+7, "stroke", "currentColor", "stroke-width", "1.6")
			}
		}
	}
	if c.BarHigh > c.BarLow {
		rect(w, "claim-bar", s.x(percent(c.BarLow)), s.x(percent(c.BarHigh)), 14, 8, "fill", "currentColor")
	}
	openEnds(w, c, s, percent)
	w.empty("circle", "class", "claim-ring", "cx", percentage(s.x(percent(f.X))), "cy", strconv.Itoa(claimMiddle), "r", "4.4",
		"fill", cardColour, "stroke", "currentColor", "stroke-width", "2.2")
}

// openEnds leads a bar to the edge of the scale, dashed, on a side where the runs
// bound nothing.
func openEnds(w *svg, c *sheet.Claim, s percentScale, percent func(float64) float64) {
	dashed := func(from, to float64) {
		w.empty("line", "class", "claim-open", "x1", percentage(from), "x2", percentage(to), "y1", strconv.Itoa(claimMiddle), "y2", strconv.Itoa(claimMiddle),
			"stroke", "currentColor", "stroke-width", "8", "stroke-dasharray", "3 4")
	}
	if c.BarLowOpen {
		dashed(0, s.x(percent(c.BarLow)))
	}
	if c.BarHighOpen {
		dashed(s.x(percent(c.BarHigh)), 100)
	}
}

// arrow points off the scale, with the figure that lies there.
func arrow(w *svg, f *sheet.Figure, right bool) {
	x, tip, text, anchor := "0%", "M2 18l10 -7v14z", "18", "start"
	if right {
		x, tip, text, anchor = "100%", "M-2 18l-10 -7v14z", "-18", "end"
	}
	w.open("svg", "class", "claim-arrow", "x", x, "overflow", "visible")
	w.empty("path", "d", tip, "fill", "currentColor")
	w.text("text", f.ValueText+nbsp+f.Unit, "x", text, "y", "22.5", "text-anchor", anchor, "fill", "currentColor", "font-weight", "600",
		"stroke", cardColour, "stroke-width", "4", "stroke-linejoin", "round", "paint-order", "stroke")
	w.close("svg")
}

// rect writes a rectangle between two positions in percent.
func rect(w *svg, class string, from, to float64, y, height int, paint ...string) {
	w.empty("rect", append([]string{"class", class, "x", percentage(from), "width", percentage(max(to-from, 0)),
		"y", strconv.Itoa(y), "height", strconv.Itoa(height)}, paint...)...)
}

// upright writes a vertical line at a position in percent.
func upright(w *svg, class string, at float64, top, bottom int, paint ...string) {
	x := percentage(at)
	w.empty("line", append([]string{"class", class, "x1", x, "x2", x, "y1", strconv.Itoa(top), "y2", strconv.Itoa(bottom)}, paint...)...)
}

// claimAlternative says in words what a claim line shows.
func claimAlternative(c *sheet.Claim) string {
	claimed := signed(quantity.Float(c.ClaimW))
	if c.Rec != nil && c.Rec.PowerW.Text != "" {
		claimed = c.Rec.PowerW.Text
	}
	claimed += nbsp + "W claimed"
	if c.LimitW != c.ClaimW {
		claimed += ", limit " + signed(quantity.Significant(c.LimitW, 4)) + nbsp + "W"
	}
	if f := meanOf(c); f != nil {
		text := c.Word + ": " + f.Text + " measured, " + claimed
		switch {
		case c.BarLowOpen && !c.BarHighOpen:
			text += "; the runs bound the power only from above"
		case c.BarHighOpen && !c.BarLowOpen:
			text += "; the runs bound the power only from below"
		}
		return text
	}
	return c.Word + ": " + claimed
}
