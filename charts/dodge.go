package charts

import (
	"math"
	"slices"
)

// placeDodge moves marks that would cover each other beside their place, so far
// that of each more than half is seen. A mark that covers none stands exactly on it;
// the marks that a line joins come first.
func (l *layout) placeDodge() {
	l.dodge = make([]float64, len(l.points))
	if !l.x.dodge {
		return
	}
	var places []float64 // few
	all := l.joinedFirst()
	for _, q := range all {
		if !slices.Contains(places, q.x) {
			places = append(places, q.x)
		}
	}
	column, placed := make([]*point, 0, len(all)), make([]box, 0, len(all))
	for _, x := range places {
		column = column[:0]
		for _, q := range all {
			if q.x == x {
				column = append(column, q)
			}
		}
		l.dodgeColumn(column, placed, l.room(x, places))
	}
	for n := range l.spots {
		l.spots[n].x += l.dodge[n]
	}
}

// dodgeColumn moves the marks of one place; placed is room for as many boxes.
func (l *layout) dodgeColumn(column []*point, placed []box, room float64) {
	widest := 0.0
	beside := make([]box, 0, len(column)) // room that is used again: of a thousand marks each may have all
	for _, q := range column {
		at := l.coreBox(q)
		offset := freeOffset(at, placed, beside)
		l.dodge[q.n] = offset
		widest = max(widest, math.Abs(offset))
		placed = append(placed, box{at.x0 + offset, at.y0, at.x1 + offset, at.y1})
	}
	// Where there are more marks than room, they close ranks and overlap a little.
	if widest > room {
		for _, q := range column {
			l.dodge[q.n] *= room / widest
		}
	}
}

// joinedFirst lists the points, those on the lines before the others.
func (l *layout) joinedFirst() []*point {
	onLine := make([]bool, len(l.points))
	all := make([]*point, 0, len(l.points))
	for _, s := range l.series {
		for _, join := range s.joins {
			for _, q := range join {
				if !onLine[q.n] {
					onLine[q.n], all = true, append(all, q)
				}
			}
		}
	}
	for _, q := range l.points {
		if !onLine[q.n] {
			all = append(all, q)
		}
	}
	return all
}

// freeOffset returns the smallest offset at which a mark covers none of the others,
// in steps of one, to the left before the right; beside is room for as many boxes.
func freeOffset(at box, placed, beside []box) float64 {
	beside = beside[:0] // of the others, those that an offset can bring under the mark
	for i := range placed {
		if o := &placed[i]; at.y0 < o.y1 && o.y0 < at.y1 {
			beside = append(beside, *o)
		}
	}
	left, right := freeStep(at, beside, -1), freeStep(at, beside, 1)
	switch {
	case left <= right && left < mostOffset:
		return -left
	case right < mostOffset:
		return right
	}
	return 0
}

// mostOffset is more than a mark is ever moved.
const mostOffset = 200

// freeStep returns the smallest number of steps in a direction at which a mark covers
// none of the others, all of which lie beside it. It leaps to just before the end of
// one that it covers: until there it covers that one.
func freeStep(at box, beside []box, direction float64) float64 {
	step := 0.0
	for step < mostOffset {
		offset := direction * step
		i := firstOverlap(box{at.x0 + offset, at.y0, at.x1 + offset, at.y1}, beside)
		if i < 0 {
			break
		}
		left := at.x1 - beside[i].x0 // to where it has left that one behind
		if direction > 0 {
			left = beside[i].x1 - at.x0
		}
		step = max(step+1, math.Floor(left)-1)
	}
	return step
}

// markBox is what a mark and its upright cover.
func (l *layout) markBox(q *point) box {
	at, ok := l.spot(q)
	if !ok {
		return box{}
	}
	r := markRadius + 0.6
	switch s := l.series[q.series]; {
	case s.bare:
		r = 1
	case s.bridged:
		r = ringRadius + 0.6
	}
	return box{at.x - r, min(at.y-r, at.high), at.x + r, max(at.y+r, at.low)}
}

// coreBox is the part of a mark that no other may cover.
func (l *layout) coreBox(q *point) box {
	at, ok := l.spot(q)
	if !ok {
		return box{}
	}
	r := markRadius * 0.65
	if l.series[q.series].bridged {
		r = ringRadius * 0.65
	}
	return box{at.x - r, at.y - r, at.x + r, at.y + r}
}

// room is how far marks may stand beside a place: less than half way to the next.
func (l *layout) room(x float64, places []float64) float64 {
	room := l.inset - ringRadius - 1
	for _, other := range places {
		if other != x {
			room = min(room, math.Abs(l.px(other)-l.px(x))/2-ringRadius-1)
		}
	}
	return max(room, 0)
}
