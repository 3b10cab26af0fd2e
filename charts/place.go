package charts

import "math"

// A placedTick is a tick where it stands; its text is empty where it would touch
// another, and lower where the texts stand in two rows.
type placedTick struct {
	tick
	x   float64
	low bool
}

// u is an axis' own measure, in which places lie evenly from left to right.
func (a *axis) u(x float64) float64 {
	switch {
	case a.log:
		return -math.Log2(x)
	case a.tens:
		return math.Log10(x)
	}
	return x
}

// place is the inverse of u.
func (a *axis) place(u float64) float64 {
	switch {
	case a.log:
		return math.Exp2(-u)
	case a.tens:
		return math.Pow(10, u)
	}
	return u
}

// placeTicks puts the axis of places under the plot, and its texts in one row or two.
func (l *layout) placeTicks() {
	ticks := l.x.ticks
	if ticks == nil {
		low, high := l.reach()
		intervals := 7
		if l.width < 400 {
			intervals = 5
		}
		ticks = roundTicks(&l.x, low, high, intervals)
		l.inset = markRadius + 8
	}
	l.u0, l.u1 = l.x.u(ticks[0].at), l.x.u(ticks[len(ticks)-1].at)
	l.inset = max(l.inset, halfText(ticks[0])-l.left, halfText(ticks[len(ticks)-1])-l.right)
	if l.x.wide {
		l.inset = max(l.inset, l.plotWidth()/float64(2*len(ticks)))
	}
	l.rows = 1
	right := math.Inf(-1)
	for _, t := range ticks {
		x := l.px(t.at)
		if x-halfText(t) < right {
			l.rows = 2
		}
		right = x + halfText(t)
		l.ticks = append(l.ticks, placedTick{tick: t, x: x})
	}
	if l.rows == 2 {
		l.bottom += lineHeight
		l.thin()
	}
}

// roundTicks are those at round numbers between which all points lie. An end that is no
// power of ten where these are the ticks has no text.
func roundTicks(a *axis, low, high float64, intervals int) (ticks []tick) {
	scale := scaleOf(low, high, a.zero, intervals)
	if a.tens {
		scale = logScale(low, high)
	}
	for _, at := range scale.ticks {
		ticks = append(ticks, tick{at, tickText(at)})
	}
	if scale.ticks[0] != scale.low && a.tens {
		ticks = append([]tick{{at: scale.low}}, ticks...)
	}
	if scale.ticks[len(scale.ticks)-1] != scale.high && a.tens {
		ticks = append(ticks, tick{at: scale.high})
	}
	return ticks
}

// thin puts every second text a line lower, and drops those that still touch.
func (l *layout) thin() {
	ends := [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range l.ticks {
		t := &l.ticks[i]
		t.low = i%2 == 1
		end := &ends[i%2]
		if t.x-halfText(t.tick) < *end {
			t.text = ""
		} else {
			*end = t.x + halfText(t.tick)
		}
	}
}

func halfText(t tick) float64 { return textWidth(t.text, false)/2 + 3 }

// reach is from where to where the points lie.
func (l *layout) reach() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, q := range l.points {
		low, high = min(low, q.x), max(high, q.x)
	}
	return low, high
}

// px is the position of a place; where there is only one, the middle of the plot.
func (l *layout) px(x float64) float64 {
	if l.u1 == l.u0 {
		return l.left + l.plotWidth()/2 + (l.x.u(x)-l.u0)*(l.plotWidth()-2*l.inset)
	}
	return l.left + l.inset + (l.plotWidth()-2*l.inset)*(l.x.u(x)-l.u0)/(l.u1-l.u0)
}

// placeAt is what stands at a position: the inverse of px.
func (l *layout) placeAt(px float64) float64 {
	width := l.plotWidth() - 2*l.inset
	if l.u1 == l.u0 {
		return l.x.place(l.u0 + (px-l.left-l.plotWidth()/2)/width)
	}
	return l.x.place(l.u0 + (px-l.left-l.inset)/width*(l.u1-l.u0))
}
