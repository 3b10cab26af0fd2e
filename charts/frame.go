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
	tallFrame = frame{"tall", 328, 450, 46, 4, 40, 54, 30, 14, 7}
)

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
	view   view
	seen   []seen // of each point, by its number
	scale  scale
	x      []float64 // of each load
	dodge  []float64 // of each point, by its number: how far it stands beside its load
	labels []label   // of the series, by index; then of the hollow marks and claims
	rows   int       // rows of load labels: 2 where they would touch in one
	legend []legendItem
}

// layoutOf places everything. It is deterministic and knows no measured text: the
// widths are estimates on the wide side.
func layoutOf(p *plot, f frame, v view) *layout {
	l := &layout{frame: f, plot: p, view: v}
	for _, q := range p.points {
		r, ok := v.of(q.ch)
		l.seen = append(l.seen, seen{r, ok})
	}
	l.placeScale()
	l.placeLoads()
	l.placeDodge()
	l.placeLabels()
	l.placeLegend()
	return l
}

func (l *layout) placeScale() {
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range l.points {
		if r, ok := l.read(q); ok {
			bottom := r.low
			if math.IsInf(bottom, 0) {
				bottom = r.y
			}
			low, high = min(low, bottom), max(high, r.high)
		}
	}
	for _, k := range l.strokes {
		if y, ok := l.view.claim(k.claim.ClaimW); ok {
			low, high = min(low, y), max(high, y)
		}
	}
	l.scale = scaleOf(finite(low), finite(high), l.view.zero, l.intervals)
	widest := 0.0
	for _, t := range l.scale.ticks {
		widest = max(widest, textWidth(tickText(t), false))
	}
	l.left = max(l.left, widest+16, textWidth(l.view.axis, true)+2)
}

// titleEnd is where the title of the axis of figures ends: over the figures' own
// ends where it is not too long for that.
func (l *layout) titleEnd() float64 { return max(l.left-10, textWidth(l.view.axis, true)) }

// placeLoads puts the loads on a logarithmic axis to base 2, highest at the left.
func (l *layout) placeLoads() {
	from, width := l.left+l.inset, l.plotWidth()-2*l.inset
	octaves := math.Log2(l.loads[0] / l.loads[len(l.loads)-1])
	right := math.Inf(-1)
	l.rows = 1
	for _, load := range l.loads {
		x := from + width/2
		if octaves > 0 {
			x = from + width*math.Log2(l.loads[0]/load)/octaves
		}
		half := textWidth(loadText(load), false)/2 + 3
		if x-half < right {
			l.rows = 2
		}
		right = x + half
		l.x = append(l.x, x)
	}
	if l.rows == 2 {
		l.bottom += lineHeight
	}
}

func (l *layout) plotWidth() float64  { return l.width - l.left - l.right }
func (l *layout) plotHeight() float64 { return l.height - l.top - l.bottom }

// y is the position of a value; below the scale it is the scale's end.
func (l *layout) y(value float64) float64 {
	part := (max(value, l.scale.low) - l.scale.low) / (l.scale.high - l.scale.low)
	return l.top + l.plotHeight()*(1-part)
}

// value is what stands at a position: the inverse of y.
func (l *layout) value(y float64) float64 {
	return l.scale.low + (l.scale.high-l.scale.low)*(1-(y-l.top)/l.plotHeight())
}

// octave is the width of one octave of load; with a single load, of the plot.
func (l *layout) octave() float64 {
	if len(l.loads) == 1 {
		return l.plotWidth() - 2*l.inset
	}
	return (l.x[len(l.x)-1] - l.x[0]) / math.Log2(l.loads[0]/l.loads[len(l.loads)-1])
}

// ohm is the load that stands at a position: the inverse of the axis.
func (l *layout) ohm(x float64) float64 {
	return l.loads[0] * math.Exp2((l.x[0]-x)/l.octave())
}

// seen is a point's reading in the layout's view, if it has one there.
type seen struct {
	reading
	ok bool
}

// read returns a point's reading, or false where the view has none of it.
func (l *layout) read(q *point) (reading, bool) { return l.seen[q.n].reading, l.seen[q.n].ok }

// A spot is where a point is drawn.
type spot struct{ x, y, low, high float64 }

// spot returns where a point is drawn, or false where the view has no such figure.
func (l *layout) spot(q *point) (spot, bool) {
	r, ok := l.read(q)
	if !ok {
		return spot{}, false
	}
	return spot{l.x[q.load] + l.dodge[q.n], l.y(r.y), l.y(r.low), l.y(r.high)}, true
}

// strokeBox returns where a claim is drawn, or false where the view has none.
func (l *layout) strokeBox(k *stroke) (box, bool) {
	y, ok := l.view.claim(k.claim.ClaimW)
	if !ok {
		return box{}, false
	}
	half := l.stroke
	for _, q := range l.points {
		if q.load == k.load {
			half = max(half, math.Abs(l.dodge[q.n])+markRadius+5)
		}
	}
	return box{l.x[k.load] - half, l.y(y) - 2.5, l.x[k.load] + half, l.y(y) + 2.5}, true
}
