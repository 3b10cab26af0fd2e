package charts

// Colours for a drawing outside a page: those of the theme, light. Inside a page,
// chart.css gives each class its custom property, and dark schemes follow.
const (
	inkColour  = "#1b1f23"
	softColour = "#5a6068"
	lineColour = "#d9d6cd"
	cardColour = "#ffffff"
)

// still draws a chart for one frame.
func still(c *Chart, l *layout) string { return drawing(func(w *svg) { l.draw(w, c) }) }

func (l *layout) draw(w *svg, c *Chart) {
	id := c.ID + "-" + l.name
	w.open("svg", "class", "still still-"+l.name,
		"viewBox", "0 0 "+number(l.width)+" "+number(l.height), "width", number(l.width), "height", number(l.height),
		"role", "img", "aria-labelledby", id+"-title "+id+"-desc",
		"font-family", "system-ui, sans-serif", "font-size", number(fontSize))
	w.text("title", c.Title, "id", id+"-title")
	w.text("desc", c.Description, "id", id+"-desc")
	l.drawBands(w)
	l.drawAxes(w)
	l.drawRules(w)
	l.drawClaims(w)
	l.drawCurves(w)
	l.drawLines(w)
	l.drawMarks(w)
	l.drawLabels(w)
	l.drawLegend(w)
	w.close("svg")
}

// drawAxes draws horizontal grid lines with their figures, and the places tested. Lines are
// one element, and so is what the texts of an axis have in common: a chart has many of each.
func (l *layout) drawAxes(w *svg) {
	right, base := l.width-l.right, l.height-l.bottom
	w.raw(`<path class="still-line" stroke="` + lineColour + `" d="`)
	for _, t := range l.scale.ticks {
		w.raw("M").number(l.left).raw(" ").number(l.y(t)).raw("H").number(right)
	}
	w.raw(`"/><path class="still-tick" stroke="` + inkColour + `" d="`)
	for _, t := range l.ticks {
		w.raw("M").number(t.x).raw(" ").number(base).raw("v6")
	}
	w.raw(`"/>`)
	l.softTexts(w, "end", func() {
		for _, t := range l.scale.ticks {
			w.at("<text", l.left-10, l.y(t)+5).raw(">").escaped(tickText(t)).raw("</text>")
		}
		w.at(axisTitle, l.titleEnd(), l.top-20).raw(">").escaped(l.view.axis).raw("</text>")
	})
	l.softTexts(w, "middle", func() {
		for _, t := range l.ticks {
			y := base + 24
			if t.low {
				y += lineHeight
			}
			if t.text != "" {
				w.at("<text", t.x, y).raw(">").escaped(t.text).raw("</text>")
			}
		}
		below := base + 24 + lineHeight*float64(l.rows)
		w.at(axisTitle, l.left+l.plotWidth()/2, below+2).raw(">").escaped(l.x.name).raw("</text>")
	})
}

const axisTitle = `<text font-weight="600"`

// softTexts groups the texts of an axis, its title last.
func (l *layout) softTexts(w *svg, anchor string, texts func()) {
	w.raw(`<g class="still-soft" fill="` + softColour + `" text-anchor="`).raw(anchor).raw(`">`)
	texts()
	w.raw("</g>")
}

// at begins an element that has a place, x and y.
func (w *svg) at(begins string, x, y float64) *svg {
	return w.raw(begins).attribute(` x="`, x).attribute(` y="`, y)
}

// drawBands darkens the ground between figures.
func (l *layout) drawBands(w *svg) {
	for _, b := range l.shades() {
		x0, x1 := max(l.px(b.x0), l.left), min(l.px(b.x1), l.width-l.right)
		w.empty("rect", "class", "still-band", "fill", inkColour, "fill-opacity", b.opacity(),
			"x", number(x0), "y", number(l.y(b.high)), "width", number(x1-x0), "height", number(l.y(b.low)-l.y(b.high)))
	}
}

// opacity is how dark a band is; the strong one lies on the other.
func (b band) opacity() string {
	if b.strong {
		return "0.07"
	}
	return "0.045"
}

// drawRules draws thin lines across the plot.
func (l *layout) drawRules(w *svg) {
	for _, r := range l.rules {
		w.empty("path", "class", "still-rule", "stroke", inkColour, "stroke-width", "1.2",
			"d", "M"+number(l.left)+" "+number(l.y(r.y[l.at]))+"H"+number(l.width-l.right))
	}
}

// drawLabels writes every label over a rim of the ground's colour, so that a grid
// line behind it does not cut it.
func (l *layout) drawLabels(w *svg) {
	first := true
	for _, name := range l.labels {
		if !name.placed || name.text == "" {
			continue
		}
		if first {
			w.raw(`<g class="still-labels" fill="currentColor" font-weight="600" text-anchor="middle" stroke="` + cardColour +
				`" stroke-width="4" stroke-linejoin="round" paint-order="stroke">`)
			first = false
		}
		if name.series >= 0 {
			w.ofSeries("<text", l.series[name.series])
		} else {
			w.raw(`<text class="still-ink" color="` + inkColour + `"`)
		}
		if name.light {
			w.raw(` font-weight="400"`)
		}
		w.at("", (name.box.x0+name.box.x1)/2, name.box.y1-2).raw(">").escaped(name.text).raw("</text>")
	}
	if !first {
		w.close("g")
	}
}

// drawLegend names the series that have no room at their lines.
func (l *layout) drawLegend(w *svg) {
	if len(l.legend) == 0 {
		return
	}
	w.raw(`<g class="still-legend" fill="none" stroke="currentColor" stroke-width="2">`)
	for _, item := range l.legend {
		s := l.series[item.series]
		x, y := item.x+swatchWidth/2, item.y-5
		w.ofSeries("<g", s).raw(">")
		if !item.more {
			strokePath(w.raw("<path"), s, func() { w.raw("M").number(item.x).raw(" ").number(y).raw("h").number(swatchWidth) })
			w.marker(s, x, y, markRadius, ` fill="currentColor" stroke="none"`, "")
		}
		if s.bridged && !item.more {
			w.marker(s, x, y, ringRadius, ` stroke-width="1.3"`, "")
		}
		w.at(`<text fill="currentColor" stroke="none" font-weight="600"`, item.x+swatchWidth+legendGap, item.y).raw(">").escaped(item.text).raw("</text></g>")
	}
	w.raw("</g>")
}
