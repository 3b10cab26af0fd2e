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
	return ClaimLinesOn(claims, low, high)
}

// ClaimLinesOn is [ClaimLines] on a given scale, as where a list goes over several pages.
func ClaimLinesOn(claims []*sheet.Claim, low, high int) []string {
	lines := make([]string, len(claims))
	for i, c := range claims {
		if at, _, ok := PlaceClaim(c, low, high); ok {
			lines[i] = claimLine(c, at)
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

// percentage adds an attribute that is a position in percent, which has two decimals at most.
func (w *svg) percentage(name string, x float64) *svg {
	w.markup = append(w.markup, name...)
	w.markup = append(appendHundredths(w.markup, x), `%"`...)
	return w
}

func appendHundredths(text []byte, x float64) []byte {
	if all := math.Round(x * 100); x >= 0 && x < 1e6 && all/100 == x {
		n := int64(all)
		text = strconv.AppendInt(text, n/100, 10)
		switch {
		case n%100 == 0:
		case n%10 == 0:
			text = append(text, '.', byte('0'+n/10%10))
		default:
			text = append(text, '.', byte('0'+n/10%10), byte('0'+n%10))
		}
		return text
	}
	return strconv.AppendFloat(text, x, 'f', -1, 64)
}

var verdictColours = map[verdict.Word]string{
	verdict.Met: "#0b6e63", verdict.Short: "#b3400a", verdict.Open: "#5b4bb0",
	verdict.Untested: softColour, verdict.Incomparable: softColour,
}

func claimLine(c *sheet.Claim, at ClaimPlace) string {
	return drawing(func(w *svg) {
		w.raw(`<svg class="claim-line verdict-`).escaped(string(c.Verdict)).raw(`" width="100%" height="`).count(claimHeight)
		w.raw(`" role="img" aria-label="`).escaped(claimAlternative(c)).raw(`" color="`).raw(verdictColours[c.Verdict]).raw(`">`)
		rect(w, "claim-ground-short", 0, at.Limit, 11, 14, `fill="`+inkColour+`" fill-opacity="0.1"`)
		rect(w, "claim-ground", at.Limit, hundredths(100-at.Limit), 11, 14, `fill="`+inkColour+`" fill-opacity="0.035"`)
		upright(w, "claim-limit", at.Limit, 2, claimHeight-2, `stroke="`+inkColour+`" stroke-width="2.6"`)
		if f := meanOf(c); f != nil {
			measured(w, f, at)
		}
		w.close("svg")
	})
}

// measured draws whiskers, bar and ring; an arrow where the mean is off the scale.
func measured(w *svg, f *sheet.Figure, at ClaimPlace) {
	if at.Off != 0 {
		arrow(w, f, at.Off > 0)
		return
	}
	if at.HasWhisker {
		level(w, "claim-whisker", at.WhiskerFrom, at.WhiskerTo, claimMiddle, `stroke-width="1.6"`)
	}
	for _, end := range []struct {
		has bool
		x   float64
	}{{at.TickFrom, at.WhiskerFrom}, {at.TickTo, at.WhiskerTo}} {
		if end.has {
			upright(w, "claim-whisker", end.x, claimMiddle-7, claimMiddle+7, `stroke="currentColor" stroke-width="1.6"`)
		}
	}
	if at.HasBar {
		rect(w, "claim-bar", at.BarFrom, at.BarWidth, 14, 8, `fill="currentColor"`)
	}
	openEnds(w, at)
	w.raw(`<circle class="claim-ring"`).percentage(` cx="`, at.Ring).raw(` cy="`).count(claimMiddle)
	w.raw(`" r="4.4" fill="` + cardColour + `" stroke="currentColor" stroke-width="2.2"/>`)
}

// openEnds leads a bar to the edge of the scale, dashed, on a side where the runs
// bound nothing.
func openEnds(w *svg, at ClaimPlace) {
	dashed := func(from, to float64) {
		level(w, "claim-open", from, to, claimMiddle, `stroke-width="8" stroke-dasharray="3 4"`)
	}
	if at.OpenLow {
		dashed(0, at.OpenFrom)
	}
	if at.OpenHigh {
		dashed(at.OpenTo, 100)
	}
}

// arrow points off the scale, with the figure that lies there.
func arrow(w *svg, f *sheet.Figure, right bool) {
	x, tip, text, anchor := "0%", "M2 18l10 -7v14z", "18", "start"
	if right {
		x, tip, text, anchor = "100%", "M-2 18l-10 -7v14z", "-18", "end"
	}
	w.open("svg", "class", "claim-arrow", "x", x, "overflow", "visible", "font-family", "system-ui, sans-serif", "font-size", "13")
	w.empty("path", "d", tip, "fill", "currentColor")
	w.text("text", f.ValueText+nbsp+f.Unit, "x", text, "y", "22.5", "text-anchor", anchor, "fill", "currentColor", "font-weight", "600",
		"stroke", cardColour, "stroke-width", "4", "stroke-linejoin", "round", "paint-order", "stroke")
	w.close("svg")
}

// rect writes a rectangle at a position and as wide as given, in percent; paint are its
// other attributes.
func rect(w *svg, class string, from, width float64, y, height int, paint string) {
	w.raw(`<rect class="`).raw(class).raw(`"`).percentage(` x="`, from).percentage(` width="`, width)
	w.raw(` y="`).count(y).raw(`" height="`).count(height).raw(`" `).raw(paint).raw("/>")
}

// upright writes a vertical line at a position in percent.
func upright(w *svg, class string, at float64, top, bottom int, paint string) {
	w.raw(`<line class="`).raw(class).raw(`"`).percentage(` x1="`, at).percentage(` x2="`, at)
	w.raw(` y1="`).count(top).raw(`" y2="`).count(bottom).raw(`" `).raw(paint).raw("/>")
}

// level writes a horizontal line in the colour of the text around, from and to positions in
// percent.
func level(w *svg, class string, from, to float64, y int, paint string) {
	w.raw(`<line class="`).raw(class).raw(`"`).percentage(` x1="`, from).percentage(` x2="`, to)
	w.raw(` y1="`).count(y).raw(`" y2="`).count(y).raw(`" stroke="currentColor" `).raw(paint).raw("/>")
}

// claimAlternative says in words what a claim line shows.
func claimAlternative(c *sheet.Claim) string {
	claimed := signed(quantity.Float(c.ClaimW))
	if c.Rec != nil && c.Rec.PowerW.Text != "" {
		claimed = c.Rec.PowerW.Text
	}
	claimed += nbsp + "W claimed"
	if limit := ClaimLimitText(c); limit != "" {
		claimed += ", limit " + limit + nbsp + "W"
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
