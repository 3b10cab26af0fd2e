package charts

import "math"

// A frame is the size of a drawing, in the units of its viewBox.
type frame struct {
	name                     string
	width, height            float64
	left, right, top, bottom float64 // from the edges to the plot
	inset                    float64 // from the plot's sides to the first and last load
	stroke                   float64 // half the width of a claim's stroke
	intervals                int     // between ticks of power
}

// The frames. The tall one is narrow enough for its text to be at least 12 px on a
// screen of 360 px with a page's margins; see fontSize.
var (
	wideFrame = frame{"wide", 720, 410, 54, 12, 40, 54, 44, 19, 7}
	tallFrame = frame{"tall", 328, 450, 32, 4, 40, 54, 30, 14, 7}
)

// frames are those of a plot, wide and tall.
func (p *plot) frames() (wide, tall frame) {
	wide, tall = wideFrame, tallFrame
	if p.low {
		wide.height, tall.height = 260, 260
		wide.intervals, tall.intervals = 4, 4
	}
	return wide, tall
}

const (
	fontSize   = 14.0
	lineHeight = 18.0
	markRadius = 4.6
	ringRadius = 7.6 // of the outline that doubles a bridged mark
)

// A layout is a plot in a frame, seen in a view: where everything lies.
type layout struct {
	frame
	*plot
	at     int // which view
	view   view
	scale  scale
	ticks  []placedTick
	u0, u1 float64    // the ends of the axis of places: see axis.u
	dodge  []float64  // of each point, by its number: how far it stands beside its place
	spots  []spot     // of each point, by its number: where it is drawn
	lines  []polyline // of the series' joins
	of     []int      // of each line: its series
	labels []label    // of the series, by index; then of the hollow marks, claims and rules
	rows   int        // rows of texts under the plot: 2 where they would touch in one
	legend []legendItem
}

// layoutOf places everything. It is deterministic and knows no measured text: the
// widths are estimates on the wide side.
func layoutOf(p *plot, f frame, view int) *layout {
	l := &layout{frame: f, plot: p, at: view, view: p.views[view]}
	l.placeScale()
	l.placeTicks()
	l.placeSpots()
	l.placeDodge()
	l.placeLines()
	l.placeLabels()
	l.placeLegend()
	return l
}

func (l *layout) placeScale() {
	low, high := math.Inf(1), math.Inf(-1)
	hold := func(y float64) {
		if !math.IsInf(y, 0) && !math.IsNaN(y) && (!l.view.log || y > 0) {
			low, high = min(low, y), max(high, y)
		}
	}
	for _, q := range l.points {
		if r, ok := l.read(q); ok {
			hold(r.low)
			hold(r.y)
			hold(r.high)
		}
	}
	for _, k := range l.strokes {
		if k.in[l.at].text != "" {
			hold(k.in[l.at].y)
		}
	}
	for _, k := range l.curves {
		for _, y := range k.y[l.at] {
			hold(y)
		}
	}
	for _, r := range l.rules {
		hold(r.y[l.at])
	}
	for _, b := range l.shades() {
		hold(b.low)
		hold(b.high)
	}
	l.scale = scaleOf(finite(low), finite(high), l.view.zero, l.intervals)
	if l.view.log {
		l.scale = logScale(low, high)
	}
	widest := 0.0
	for _, t := range l.scale.ticks {
		widest = max(widest, textWidth(tickText(t), false))
	}
	l.left = max(l.left, widest+16)
}

// shades are the bands of the view: only the first has them.
func (l *layout) shades() []band {
	if l.at > 0 {
		return nil
	}
	return l.bands
}

// titleEnd is where the title of the axis of figures ends: over the figures' own
// ends, or where it begins at the drawing's edge, so that a long one takes no room from
// the plot.
func (l *layout) titleEnd() float64 { return max(l.left-10, textWidth(l.view.axis, true)+2) }

func (l *layout) plotWidth() float64  { return l.width - l.left - l.right }
func (l *layout) plotHeight() float64 { return l.height - l.top - l.bottom }

// y is the position of a value; below the scale it is the scale's end.
func (l *layout) y(value float64) float64 {
	return l.top + l.plotHeight()*(1-l.scale.part(max(value, l.scale.low)))
}

// value is what stands at a position: the inverse of y.
func (l *layout) value(y float64) float64 {
	return l.scale.at(1 - (y-l.top)/l.plotHeight())
}

// read returns a point's reading, or false where the view has none of it.
func (l *layout) read(q *point) (*reading, bool) { return &q.in[l.at], q.in[l.at].text != "" }

// A spot is where a point is drawn.
type spot struct{ x, y, low, high float64 }

// spot returns where a point is drawn, or false where the view has no such figure.
func (l *layout) spot(q *point) (spot, bool) {
	return l.spots[q.n], q.in[l.at].text != ""
}

// placeSpots finds where the points would stand if none made room for another.
func (l *layout) placeSpots() {
	l.spots = make([]spot, len(l.points))
	for _, q := range l.points {
		if r, ok := l.read(q); ok {
			l.spots[q.n] = spot{l.px(q.x), l.y(r.y), l.y(r.low), l.y(r.high)}
		}
	}
}

// strokeBox returns where a claim is drawn, or false where the view has none.
func (l *layout) strokeBox(k *stroke) (box, bool) {
	if k.in[l.at].text == "" {
		return box{}, false
	}
	half := l.stroke
	for _, q := range l.points {
		if q.x == k.load {
			half = max(half, math.Abs(l.dodge[q.n])+markRadius+5)
		}
	}
	x, y := l.px(k.load), l.y(k.in[l.at].y)
	return box{x - half, y - 2.5, x + half, y + 2.5}, true
}

// placeLines finds where the series' lines lie.
func (l *layout) placeLines() {
	for i, s := range l.series {
		for _, join := range s.joins {
			var line polyline
			for _, q := range join {
				if at, ok := l.spot(q); ok {
					line = append(line, dot{at.x, at.y})
				}
			}
			if len(line) > 1 {
				l.lines, l.of = append(l.lines, line), append(l.of, i)
			}
		}
	}
}

// curveLine is where a curve lies in the plot.
func (l *layout) curveLine(k *curve) polyline {
	var line polyline
	for i, y := range k.y[l.at] {
		if x := l.px(k.x[i]); x >= l.left && x <= l.width-l.right {
			line = append(line, dot{x, l.y(y)})
		}
	}
	return line
}
