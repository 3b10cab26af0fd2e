package charts

import (
	"iter"
	"slices"
)

// What the parts of a drawing have in common stands at their groups: a chart has dozens of
// marks, and a unit's page each chart twice.

// ofSeries begins an element with its series' colour.
func (w *svg) ofSeries(begins string, s *series) *svg {
	return w.raw(begins).raw(` class="series-`).count(s.styleIndex() + 1).raw(`" color="`).raw(s.look().colour).raw(`"`)
}

// drawCurves draws thin lines in their series' colours, broken where they do not fit.
func (l *layout) drawCurves(w *svg) {
	if len(l.curves) == 0 {
		return
	}
	w.raw(`<g class="still-curves" fill="none" stroke="currentColor">`)
	for _, k := range l.curves {
		line := l.curveLine(k).thinned(curveSlack)
		if len(line) < 2 {
			continue
		}
		w.ofSeries("<path", l.series[k.series])
		if k.broken {
			w.raw(` stroke-dasharray="`).dashes(brokenCurve).raw(`"`)
		}
		w.raw(` d="`).line(line).raw(`"/>`)
	}
	w.raw("</g>")
}

// curveSlack is how far, in pixels, what is drawn of a curve may lie beside it: no farther
// than rounding puts any place.
const curveSlack = 0.05

// dashes adds the value of stroke-dasharray.
func (w *svg) dashes(of []int) *svg {
	for i, d := range of {
		w.raw(" "[:min(i, 1)]).count(d)
	}
	return w
}

// drawLines draws the lines of the series; a bridged series' line is double.
func (l *layout) drawLines(w *svg) {
	if len(l.lines) == 0 {
		return
	}
	w.raw(`<g class="still-joins" fill="none" stroke="currentColor" stroke-width="2">`)
	for i, line := range l.lines {
		s := l.series[l.of[i]]
		strokePath(w.ofSeries("<path", s), s, func() { w.line(line) })
	}
	w.raw("</g>")
}

// strokePath ends the path that is begun as a line, whose d a function adds, in a series' dash.
// Its group says a width of 2, for all but double lines.
func strokePath(w *svg, s *series, d func()) {
	if s.bridged {
		w.raw(` stroke-width="5"`)
	}
	if dash := s.look().dash; dash != nil {
		w.raw(` stroke-dasharray="`).dashes(dash).raw(`"`)
	}
	w.raw(` d="`)
	d()
	w.raw(`"/>`)
	if s.bridged {
		w.raw(`<path class="still-core" stroke="` + cardColour + `" d="`)
		d()
		w.raw(`"/>`)
	}
}

// A rows writes, as data-n, the rows of the table that the parts of a group show, in their order.
type rows struct {
	*svg
	before string
}

func (w *svg) rows() rows { return rows{w, ` data-n="`} }

func (r *rows) add(n int) {
	r.raw(r.before).count(n)
	r.before = " "
}

func (r *rows) end() {
	if r.before == " " {
		r.raw(`"`)
	}
	r.raw(">")
}

// drawClaims draws a heavy stroke for each claim, a double one where it is for
// bridged channels.
func (l *layout) drawClaims(w *svg) {
	if len(l.strokes) == 0 {
		return
	}
	w.raw(`<g class="still-claim" fill="` + inkColour + `"`)
	of := w.rows()
	for _, k := range l.strokes {
		if k.in[l.at].text != "" {
			of.add(k.n)
		}
	}
	of.end()
	for _, k := range l.strokes {
		b, ok := l.strokeBox(k)
		if !ok {
			continue
		}
		w.raw(`<path d="`)
		if k.claim.Rec.Bridged {
			w.bar(b.x0, b.y0-0.5, b.x1, 2.2).bar(b.x0, b.y1-1.7, b.x1, 2.2)
		} else {
			w.bar(b.x0, b.y0+0.4, b.x1, 4.2)
		}
		w.raw(`"/>`)
	}
	w.raw("</g>")
}

// bar adds a rectangle to the value of d.
func (w *svg) bar(x0, y, x1, height float64) *svg {
	w.raw("M").number(x0).raw(" ").number(y).raw("h").number(x1 - x0).raw("v").number(height)
	return w.raw("h").number(x0 - x1).raw("z")
}

// drawMarks draws the series' marks, each with a thin rim that parts it from its neighbours.
func (l *layout) drawMarks(w *svg) {
	if !slices.ContainsFunc(l.series, func(s *series) bool { return !s.bare }) {
		return
	}
	w.raw(`<g class="still-marks" fill="currentColor" stroke="` + cardColour + `">`)
	for _, s := range l.series {
		if s.bare {
			continue
		}
		w.ofSeries("<g", s)
		of := w.rows()
		for q := range l.drawn(s) {
			of.add(q.n)
		}
		of.end()
		l.drawUprights(w, s)
		l.drawMarksOf(w, s)
		w.raw("</g>")
	}
	w.raw("</g>")
}

// drawn gives the points of a series that the view has a figure of, with where they are.
func (l *layout) drawn(s *series) iter.Seq2[*point, spot] {
	return func(yield func(*point, spot) bool) {
		for _, q := range s.points {
			if at, ok := l.spot(q); ok && !yield(q, at) {
				return
			}
		}
	}
}

// drawUprights draws a series' uprights (± U), as one path.
func (l *layout) drawUprights(w *svg, s *series) {
	end := ""
	for _, at := range l.drawn(s) {
		if !(at.low > at.high) {
			continue
		}
		if end == "" {
			w.raw(`<path class="still-upright" stroke="currentColor" stroke-width="1.6" d="`)
			end = `"/>`
		}
		w.raw("M").number(at.x).raw(" ").number(at.high).raw("V").number(at.low)
	}
	w.raw(end)
}

// drawMarksOf draws a series' marks, hollow where the run did not end as planned; under them,
// where the channels were bridged, the outlines that double them.
func (l *layout) drawMarksOf(w *svg, s *series) {
	if s.bridged {
		w.raw(`<g class="still-rings" fill="none" stroke="currentColor" stroke-width="1.3">`)
		for _, at := range l.drawn(s) {
			w.marker(s, at.x, at.y, ringRadius, "", "")
		}
		w.raw("</g>")
	}
	for q, at := range l.drawn(s) {
		if q.hollow {
			w.marker(s, at.x, at.y, markRadius, ` class="still-hollow" fill="`+cardColour+`" stroke="currentColor" stroke-width="1.8"`, q.about)
		} else {
			w.marker(s, at.x, at.y, markRadius, "", "")
		}
	}
}
