package charts

import (
	"math"
	"slices"
)

// placeDodge moves marks that would cover each other beside their load, so far that
// of each more than half is seen. A mark that covers none stands exactly on it; the
// marks that a line joins come first.
func (l *layout) placeDodge() {
	l.dodge = make([]float64, len(l.points))
	for load := range l.loads {
		l.dodgeColumn(load)
	}
}

func (l *layout) dodgeColumn(load int) {
	var placed []box
	widest := 0.0
	column := l.column(load)
	for _, q := range column {
		offset := l.freeOffset(q, placed)
		l.dodge[q.n] = offset
		widest = max(widest, math.Abs(offset))
		placed = append(placed, l.coreBox(q))
	}
	// Where there are more marks than room, they close ranks and overlap a little.
	if room := l.room(load); widest > room {
		for _, q := range column {
			l.dodge[q.n] *= room / widest
		}
	}
}

// column returns the points at a load, those on the lines first.
func (l *layout) column(load int) []*point {
	var first, rest []*point
	for _, s := range l.series {
		line := s.lowest()
		for _, q := range s.points {
			switch {
			case q.load != load:
			case slices.Contains(line, q):
				first = append(first, q)
			default:
				rest = append(rest, q)
			}
		}
	}
	return append(first, rest...)
}

// freeOffset returns the smallest offset at which a mark covers none of the others,
// in steps of one, to the left before the right.
func (l *layout) freeOffset(q *point, placed []box) float64 {
	l.dodge[q.n] = 0
	at := l.coreBox(q)
	for step := 0.0; step < 200; step++ {
		for _, offset := range []float64{-step, step} {
			if !(box{at.x0 + offset, at.y0, at.x1 + offset, at.y1}).touches(placed, 0) {
				return offset
			}
		}
	}
	return 0
}

// markBox is what a mark and its upright cover.
func (l *layout) markBox(q *point) box {
	at, ok := l.spot(q)
	if !ok {
		return box{}
	}
	r := markRadius + 0.6
	if q.run.Bridged {
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
	if q.run.Bridged {
		r = ringRadius * 0.65
	}
	return box{at.x - r, at.y - r, at.x + r, at.y + r}
}

// room is how far marks may stand beside a load: less than half way to the next.
func (l *layout) room(load int) float64 {
	room := l.inset - ringRadius - 1
	for other := range l.loads {
		if other != load {
			room = min(room, math.Abs(l.x[other]-l.x[load])/2-ringRadius-1)
		}
	}
	return max(room, 0)
}
