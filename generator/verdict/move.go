package verdict

import (
	"cmp"
	"math"
	"slices"
)

// A move is a change of the means or of the uncertainties, by some x.
type move struct {
	oneWay bool    // the decisions go one way with x
	rest   float64 // the x that changes nothing
	word   func(x float64) Word
	hair   func(x float64) float64 // how far beside a crossing to look
	// at is the x at which an estimate's low or high reach crosses the limit.
	at func(d *Decision, place int, reach float64, high bool) float64
	// met and short are the signs of the way in which x has to go until an estimate
	// shows a claim met, and short.
	met, short float64
}

// A crossing is the x at which one estimate crosses a bound.
type crossing struct {
	d     *Decision
	place int
	high  bool    // the bound of short
	span          // what x lies between; equal when it is exact
	from  float64 // how far it is from rest, at least
}

// crossing is that of the estimate at a place.
func (m *move) crossing(d *Decision, place int, high bool) crossing {
	r := d.ends[place].low
	if high {
		r = d.ends[place].high
	}
	a, b := m.at(d, place, r.least, high), m.at(d, place, r.most, high)
	return crossing{d: d, place: place, high: high, span: span{min(a, b), max(a, b)}}
}

// settle makes a crossing exact.
func (m *move) settle(c *crossing) {
	exact := c.d.low
	if c.high {
		exact = c.d.high
	}
	x := m.at(c.d, c.place, exact(c.place), c.high)
	c.span = span{x, x}
	c.from = m.from(*c)
}

// nearest finds the crossing nearest to rest that changes the verdict, and to what;
// the empty word where none does.
func (m *move) nearest(now Word, of []*Decision) (x float64, to Word) {
	var left []crossing
	for _, d := range of {
		d.reaches()
		left = m.crossings(d, left)
	}
	for i := range left {
		left[i].from = m.from(left[i])
	}
	slices.SortStableFunc(left, func(a, b crossing) int { return cmp.Compare(a.from, b.from) })
	for len(left) > 0 {
		if c := left[0]; c.least != c.most {
			m.settle(&c)
			left[0] = c
			for i := 1; i < len(left) && left[i].from < c.from; i++ {
				left[i-1], left[i] = left[i], c
			}
			continue
		}
		if w, changed := m.changed(now, left[0].least); changed {
			return left[0].least, w
		}
		left = left[1:]
	}
	return 0, ""
}

// from is how far a crossing is from rest, at least.
func (m *move) from(c crossing) float64 { return max(0, c.least-m.rest, m.rest-c.most) }

// changed tries a crossing from both sides and returns the other verdict, if any.
func (m *move) changed(now Word, x float64) (Word, bool) {
	hair := m.hair(x)
	for _, x := range [...]float64{x - hair, x + hair} {
		if w := m.word(x); w != now {
			return w, true
		}
	}
	return now, false
}

// crossings appends those at which a decision may turn: of one that goes one way those
// beside the x at which it does.
func (m *move) crossings(d *Decision, out []crossing) []crossing {
	turns := [2]span{{math.Inf(-1), math.Inf(1)}, {math.Inf(1), math.Inf(-1)}}
	if m.oneWay {
		turns = [2]span{m.turn(d, Met), m.turn(d, Short)}
	}
	for i := range d.spots {
		if d.spots[i].Estimate == nil {
			continue
		}
		for _, high := range [...]bool{false, true} {
			c := m.crossing(d, i, high)
			if math.IsInf(c.most, 0) || math.IsInf(c.least, 0) || m.rest > 0 && c.most <= 0 {
				continue
			}
			beside := 3 * m.hair(math.Abs(c.most))
			if turns[0].meets(c.span, beside) || turns[1].meets(c.span, beside) {
				out = append(out, c)
			}
		}
	}
	return out
}

// A span is what a number lies between.
type span struct{ least, most float64 }

func (s span) meets(o span, beside float64) bool {
	return o.most >= s.least-beside && o.least <= s.most+beside
}

func (s span) times(sign float64) span {
	if sign < 0 {
		return span{-s.most, -s.least}
	}
	return s
}

func (s span) larger(o span) span { return span{max(s.least, o.least), max(s.most, o.most)} }
func (s span) lesser(o span) span { return span{min(s.least, o.least), min(s.most, o.most)} }

// never is where no x is far enough, always where any is.
var never, always = span{math.Inf(1), math.Inf(1)}, span{math.Inf(-1), math.Inf(-1)}

// turn is the x at which a decision turns met or short: every channel is met, or any
// is short, at every corner.
func (m *move) turn(d *Decision, to Word) span {
	sign := m.met
	if to == Short {
		sign = m.short
	}
	turn := always
	for n := range d.corners {
		corner := always
		if to == Short {
			corner = never
		}
		for channel := range d.channels {
			x := m.channelTurn(d, d.first(n, channel), to, sign)
			if to == Short {
				corner = corner.lesser(x)
			} else {
				corner = corner.larger(x)
			}
		}
		turn = turn.larger(corner)
	}
	return turn.times(sign)
}

// channelTurn is the x, times sign, from which on the channel with the first spot i is
// met, or short.
func (m *move) channelTurn(d *Decision, i int, to Word, sign float64) span {
	at, below, above := d.spots[i+placeAt].Estimate != nil, d.spots[i+placeBelow].Estimate != nil, d.spots[i+placeAbove].Estimate != nil
	low := func(place int) span { return m.crossing(d, i+place, false).span.times(sign) }
	high := func(place int) span { return m.crossing(d, i+place, true).span.times(sign) }
	switch {
	case at && to == Met:
		return low(placeAt)
	case at:
		return high(placeAt)
	case below && above: // each also has to stop contradicting the other
		return low(placeBelow).larger(high(placeAbove))
	case below && to == Met:
		return low(placeBelow)
	case above && to == Short:
		return high(placeAbove)
	}
	return never
}
