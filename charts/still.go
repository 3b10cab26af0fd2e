package charts

import "strconv"

// Colours for a drawing outside a page: those of the theme, light. Inside a page,
// chart.css gives each class its custom property, and dark schemes follow.
const (
	inkColour  = "#1b1f23"
	softColour = "#5a6068"
	lineColour = "#d9d6cd"
	cardColour = "#ffffff"
)

// still draws a chart for one frame.
func still(c *Chart, l *layout) string {
	var w svg
	id := c.ID + "-" + l.name
	w.open("svg", "xmlns", "http://www.w3.org/2000/svg", "class", "still still-"+l.name,
		"viewBox", "0 0 "+number(l.width)+" "+number(l.height), "width", number(l.width), "height", number(l.height),
		"role", "img", "aria-labelledby", id+"-title "+id+"-desc",
		"font-family", "system-ui, sans-serif", "font-size", number(fontSize))
	w.text("title", c.Title, "id", id+"-title")
	w.text("desc", c.Description, "id", id+"-desc")
	l.drawAxes(&w)
	l.drawClaims(&w)
	for i := range l.series {
		l.drawLine(&w, i)
	}
	for i := range l.series {
		l.drawMarks(&w, i)
	}
	l.drawLabels(&w)
	l.drawLegend(&w)
	w.close("svg")
	return w.String()
}

// drawAxes draws horizontal grid lines with their powers, and the loads tested.
func (l *layout) drawAxes(w *svg) {
	right := l.width - l.right
	for _, t := range l.scale.ticks {
		y := number(l.y(t))
		w.empty("path", "class", "still-line", "stroke", lineColour, "d", "M"+number(l.left)+" "+y+"H"+number(right))
		l.softText(w, tickText(t), l.left-10, l.y(t)+5, "end")
	}
	base := l.height - l.bottom
	for i, load := range l.loads {
		y := base + 24
		if l.rows == 2 && i%2 == 1 {
			y += lineHeight
		}
		w.empty("path", "class", "still-tick", "stroke", inkColour, "d", "M"+number(l.x[i])+" "+number(base)+"v6")
		l.softText(w, loadText(load), l.x[i], y, "middle")
	}
	l.axisTitle(w, l.view.axis, l.titleEnd(), l.top-20, "end")
	below := base + 24 + lineHeight*float64(l.rows)
	l.axisTitle(w, "load / Ω", l.left+l.plotWidth()/2, below+2, "middle")
}

func (l *layout) softText(w *svg, text string, x, y float64, anchor string) {
	w.text("text", text, "class", "still-soft", "fill", softColour, "x", number(x), "y", number(y), "text-anchor", anchor)
}

func (l *layout) axisTitle(w *svg, text string, x, y float64, anchor string) {
	w.text("text", text, "class", "still-soft", "fill", softColour, "font-weight", "600",
		"x", number(x), "y", number(y), "text-anchor", anchor)
}

// drawClaims draws a heavy stroke for each claim, a double one where it is for
// bridged channels.
func (l *layout) drawClaims(w *svg) {
	for _, k := range l.strokes {
		b, ok := l.strokeBox(k)
		if !ok {
			continue
		}
		w.open("g", "class", "still-claim", "fill", inkColour, "data-n", strconv.Itoa(k.n))
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
	w.empty("rect", "x", number(x0), "y", number(y0), "width", number(x1-x0), "height", number(y1-y0))
}

// seriesGroup opens a group in a series' colour.
func (l *layout) seriesGroup(w *svg, series int, class string) {
	s := l.series[series]
	w.open("g", "class", class+" series-"+strconv.Itoa(s.styleIndex()+1), "color", s.look().colour)
}

// drawLine joins a series' lowest completed marks; a bridged series' line is double.
func (l *layout) drawLine(w *svg, series int) {
	line := l.line(series)
	if len(line) < 2 {
		return
	}
	d := "M"
	for i, p := range line {
		if i > 0 {
			d += "L"
		}
		d += number(p.x) + " " + number(p.y)
	}
	l.seriesGroup(w, series, "still-join")
	strokePath(w, l.series[series], d)
	w.close("g")
}

// strokePath draws a line in a series' dash.
func strokePath(w *svg, s *series, d string) {
	width := "2"
	if s.bridged {
		width = "5"
	}
	attributes := []string{"d", d, "fill", "none", "stroke", "currentColor", "stroke-width", width}
	if dashes := s.look().dashes(); dashes != "" {
		attributes = append(attributes, "stroke-dasharray", dashes)
	}
	w.empty("path", attributes...)
	if s.bridged {
		w.empty("path", "class", "still-core", "d", d, "fill", "none", "stroke", cardColour, "stroke-width", "2")
	}
}

// drawMarks draws a series' uprights (± U) and, over them, its marks.
func (l *layout) drawMarks(w *svg, series int) {
	s := l.series[series]
	l.seriesGroup(w, series, "still-marks")
	for _, q := range s.points {
		at, ok := l.spot(q)
		if !ok || !(at.low > at.high) {
			continue
		}
		w.empty("path", "class", "still-upright", "stroke", "currentColor", "stroke-width", "1.6",
			"d", "M"+number(at.x)+" "+number(at.high)+"V"+number(at.low))
	}
	for _, q := range s.points {
		if at, ok := l.spot(q); ok {
			drawMark(w, s.look(), q, at)
		}
	}
	w.close("g")
}

// drawMark draws one mark, with a thin rim that parts it from its neighbours: hollow where the run did not end as planned, with a
// second outline where the channels were bridged.
func drawMark(w *svg, look style, q *point, at spot) {
	n := strconv.Itoa(q.n)
	outline := look.path(at.x, at.y, markRadius)
	if q.done() {
		w.empty("path", "class", "still-mark", "fill", "currentColor", "stroke", cardColour, "stroke-width", "1", "d", outline, "data-n", n)
	} else {
		w.open("path", "class", "still-mark still-hollow", "fill", cardColour, "stroke", "currentColor", "stroke-width", "1.8", "d", outline, "data-n", n)
		w.text("title", q.run.OutcomeText)
		w.close("path")
	}
	if q.run.Bridged {
		w.empty("path", "class", "still-ring", "fill", "none", "stroke", "currentColor", "stroke-width", "1.3", "d", look.path(at.x, at.y, ringRadius))
	}
}

// drawLabels writes every label over a rim of the ground's colour, so that a grid
// line behind it does not cut it.
func (l *layout) drawLabels(w *svg) {
	for _, name := range l.labels {
		if !name.placed {
			continue
		}
		class, colour, weight := "still-label still-ink", inkColour, "600"
		if name.series >= 0 {
			s := l.series[name.series]
			class, colour = "still-label series-"+strconv.Itoa(s.styleIndex()+1), s.look().colour
		}
		if name.light {
			weight = "400"
		}
		w.text("text", name.text, "class", class, "color", colour, "fill", "currentColor", "font-weight", weight,
			"x", number((name.box.x0+name.box.x1)/2), "y", number(name.box.y1-2), "text-anchor", "middle",
			"stroke", cardColour, "stroke-width", "4", "stroke-linejoin", "round", "paint-order", "stroke")
	}
}

// drawLegend names the series that have no room at their lines.
func (l *layout) drawLegend(w *svg) {
	for _, item := range l.legend {
		s := l.series[item.series]
		l.seriesGroup(w, item.series, "still-legend")
		middle := item.y - 5
		strokePath(w, s, "M"+number(item.x)+" "+number(middle)+"h"+number(swatchWidth))
		w.empty("path", "fill", "currentColor", "d", s.look().path(item.x+swatchWidth/2, middle, markRadius))
		if s.bridged {
			w.empty("path", "fill", "none", "stroke", "currentColor", "stroke-width", "1.3", "d", s.look().path(item.x+swatchWidth/2, middle, ringRadius))
		}
		w.text("text", item.text, "fill", "currentColor", "font-weight", "600", "x", number(item.x+swatchWidth+6), "y", number(item.y))
		w.close("g")
	}
}
