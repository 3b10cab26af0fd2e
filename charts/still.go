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
	for _, k := range l.curves {
		l.drawCurve(w, k)
	}
	for i := range l.lines {
		l.drawLine(w, i)
	}
	for i := range l.series {
		l.drawMarks(w, i)
	}
	l.drawLabels(w)
	l.drawLegend(w)
	w.close("svg")
}

// drawAxes draws horizontal grid lines with their powers, and the loads tested.
func (l *layout) drawAxes(w *svg) {
	right := l.width - l.right
	for _, t := range l.scale.ticks {
		w.raw(`<path class="still-line" stroke="` + lineColour + `" d="M`).number(l.left).raw(" ").number(l.y(t)).raw("H").number(right).raw(`"/>`)
		l.softText(w, tickText(t), l.left-10, l.y(t)+5, "end")
	}
	base := l.height - l.bottom
	for _, t := range l.ticks {
		y := base + 24
		if t.low {
			y += lineHeight
		}
		w.raw(`<path class="still-tick" stroke="` + inkColour + `" d="M`).number(t.x).raw(" ").number(base).raw(`v6"/>`)
		if t.text != "" {
			l.softText(w, t.text, t.x, y, "middle")
		}
	}
	l.axisTitle(w, l.view.axis, l.titleEnd(), l.top-20, "end")
	below := base + 24 + lineHeight*float64(l.rows)
	l.axisTitle(w, l.x.name, l.left+l.plotWidth()/2, below+2, "middle")
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

// drawCurve draws a thin line in its series' colour, broken where it does not fit.
func (l *layout) drawCurve(w *svg, k *curve) {
	line := l.curveLine(k)
	if len(line) < 2 {
		return
	}
	l.seriesGroup(w, k.series, "still-curve", "")
	w.raw(`<path d="`).line(line).raw(`" fill="none" stroke="currentColor" stroke-width="1"`)
	if k.broken {
		w.raw(` stroke-dasharray="`).dashes(brokenCurve).raw(`"`)
	}
	w.raw("/></g>")
}

// line adds a line as the value of d.
func (w *svg) line(line polyline) *svg {
	w.polyline(len(line), func(i int) dot { return line[i] })
	return w
}

// dashes adds the value of stroke-dasharray.
func (w *svg) dashes(of []int) *svg {
	for i, d := range of {
		w.raw(" "[:min(i, 1)]).count(d)
	}
	return w
}

// polyline adds a line through so many dots.
func (w *svg) polyline(n int, at func(i int) dot) {
	for i := range n {
		d := at(i)
		w.raw("ML"[min(i, 1):][:1]).number(d.x).raw(" ").number(d.y)
	}
}

const softBegins = `<text class="still-soft" fill="` + softColour + `"`

func (l *layout) softText(w *svg, text string, x, y float64, anchor string) {
	w.raw(softBegins).attribute(` x="`, x).attribute(` y="`, y).raw(` text-anchor="`).raw(anchor).raw(`">`).escaped(text).raw("</text>")
}

func (l *layout) axisTitle(w *svg, text string, x, y float64, anchor string) {
	w.raw(softBegins+` font-weight="600"`).attribute(` x="`, x).attribute(` y="`, y).raw(` text-anchor="`).raw(anchor).raw(`">`).escaped(text).raw("</text>")
}

// drawClaims draws a heavy stroke for each claim, a double one where it is for
// bridged channels.
func (l *layout) drawClaims(w *svg) {
	for _, k := range l.strokes {
		b, ok := l.strokeBox(k)
		if !ok {
			continue
		}
		w.raw(`<g class="still-claim" fill="` + inkColour + `" data-n="`).count(k.n).raw(`">`)
		if k.claim.Rec.Bridged {
			strokeRect(w, b.x0, b.y0-0.5, b.x1, b.y0+1.7)
			strokeRect(w, b.x0, b.y1-1.7, b.x1, b.y1+0.5)
		} else {
			strokeRect(w, b.x0, b.y0+0.4, b.x1, b.y1-0.4)
		}
		w.close("g")
	}
}

func strokeRect(w *svg, x0, y0, x1, y1 float64) {
	w.raw("<rect").attribute(` x="`, x0).attribute(` y="`, y0).attribute(` width="`, x1-x0).attribute(` height="`, y1-y0).raw("/>")
}

// seriesGroup opens a group in a series' colour; more are the attributes that all in it have
// in common.
func (l *layout) seriesGroup(w *svg, series int, class, more string) {
	s := l.series[series]
	w.raw(`<g class="`).raw(class).raw(" series-").count(s.styleIndex() + 1).raw(`" color="`).raw(s.look().colour).raw(`"`).raw(more).raw(">")
}

// drawLine draws a line of a series; a bridged series' line is double.
func (l *layout) drawLine(w *svg, n int) {
	l.seriesGroup(w, l.of[n], "still-join", "")
	strokePath(w, l.series[l.of[n]], func() { w.line(l.lines[n]) })
	w.raw("</g>")
}

// strokePath draws a line, whose d a function adds, in a series' dash.
func strokePath(w *svg, s *series, d func()) {
	w.raw(`<path d="`)
	d()
	w.raw(`" fill="none" stroke="currentColor" stroke-width="`)
	if s.bridged {
		w.raw(`5"`)
	} else {
		w.raw(`2"`)
	}
	if dash := s.look().dash; dash != nil {
		w.raw(` stroke-dasharray="`).dashes(dash).raw(`"`)
	}
	w.raw("/>")
	if s.bridged {
		w.raw(`<path class="still-core" d="`)
		d()
		w.raw(`" fill="none" stroke="` + cardColour + `" stroke-width="2"/>`)
	}
}

// drawMarks draws a series' uprights (± U) and, over them, its marks.
func (l *layout) drawMarks(w *svg, series int) {
	s := l.series[series]
	if s.bare {
		return
	}
	l.seriesGroup(w, series, "still-marks", ` fill="currentColor" stroke="`+cardColour+`" stroke-width="1"`)
	end := ""
	for _, q := range s.points {
		at, ok := l.spot(q)
		if !ok || !(at.low > at.high) {
			continue
		}
		if end == "" {
			w.raw(`<path class="still-upright" stroke="currentColor" stroke-width="1.6" d="`)
			end = `"/>`
		}
		w.raw("M").number(at.x).raw(" ").number(at.high).raw("V").number(at.low)
	}
	w.raw(end)
	for _, q := range s.points {
		if at, ok := l.spot(q); ok {
			drawMark(w, s, q, at)
		}
	}
	w.close("g")
}

// drawMark draws one mark, with the group's thin rim that parts it from its neighbours: hollow
// where the run did not end as planned, with a second outline where the channels
// were bridged.
func drawMark(w *svg, s *series, q *point, at spot) {
	look := s.look()
	if !q.hollow {
		w.raw(`<path class="still-mark" d="`).outline(look, at.x, at.y, markRadius)
		w.raw(`" data-n="`).count(q.n).raw(`"/>`)
	} else {
		w.raw(`<path class="still-mark still-hollow" fill="`+cardColour+`" stroke="currentColor" stroke-width="1.8" d="`).outline(look, at.x, at.y, markRadius)
		w.raw(`" data-n="`).count(q.n).raw(`">`)
		w.text("title", q.about)
		w.close("path")
	}
	if s.bridged {
		w.raw(`<path class="still-ring" fill="none" stroke="currentColor" stroke-width="1.3" d="`).outline(look, at.x, at.y, ringRadius).raw(`"/>`)
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
			s := l.series[name.series]
			w.raw(`<text class="series-`).count(s.styleIndex() + 1).raw(`" color="`).raw(s.look().colour)
		} else {
			w.raw(`<text class="still-ink" color="` + inkColour)
		}
		w.raw(`"`)
		if name.light {
			w.raw(` font-weight="400"`)
		}
		w.attribute(` x="`, (name.box.x0+name.box.x1)/2).attribute(` y="`, name.box.y1-2).raw(">").escaped(name.text).raw("</text>")
	}
	if !first {
		w.close("g")
	}
}

// drawLegend names the series that have no room at their lines.
func (l *layout) drawLegend(w *svg) {
	for _, item := range l.legend {
		s := l.series[item.series]
		l.seriesGroup(w, item.series, "still-legend", "")
		middle := item.y - 5
		strokePath(w, s, func() { w.raw("M").number(item.x).raw(" ").number(middle).raw("h").number(swatchWidth) })
		w.empty("path", "fill", "currentColor", "d", s.look().path(item.x+swatchWidth/2, middle, markRadius))
		if s.bridged {
			w.empty("path", "fill", "none", "stroke", "currentColor", "stroke-width", "1.3", "d", s.look().path(item.x+swatchWidth/2, middle, ringRadius))
		}
		w.text("text", item.text, "fill", "currentColor", "font-weight", "600", "x", number(item.x+swatchWidth+6), "y", number(item.y))
		w.close("g")
	}
}
