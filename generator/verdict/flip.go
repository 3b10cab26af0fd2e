package verdict

import (
	"math"
	"slices"
)

// byReach shows what means shifted and uncertainties scaled would show.
type byReach struct {
	d            *Decision
	shift, scale float64
}

func (b byReach) met(i int) bool {
	y, r := b.d.spots[i].Y, b.d.ends[i].low
	switch {
	case b.moved(y, r.least) >= b.d.limit:
		return true
	case b.moved(y, r.most) < b.d.limit:
		return false
	}
	return b.moved(y, b.d.low(i)) >= b.d.limit
}

func (b byReach) short(i int) bool {
	y, r := b.d.spots[i].Y, b.d.ends[i].high
	switch {
	case b.moved(y, r.most) <= b.d.limit:
		return true
	case b.moved(y, r.least) > b.d.limit:
		return false
	}
	return b.moved(y, b.d.high(i)) <= b.d.limit
}

// moved is where an estimate's reach would lie.
func (b byReach) moved(y, reach float64) float64 { return y + b.shift + b.scale*(reach-y) }

// Moved is the verdict with all means shifted by so many W, and all uncertainties
// times scale >= 0, alike at all corners and of all channels.
func (d *Decision) Moved(shift, scale float64) Word {
	d.reaches()
	return d.word(byReach{d, shift, scale})
}

// Flip is the smallest shift and the smallest scaling that change the verdict; nil
// where none does.
func (d *Decision) Flip() *Flip { return FlipOf(d.Word(), d.limit, d.Moved, d) }

// FlipOf finds the smallest shift and the smallest scaling that change a verdict
// against the limit in W: nil where none does. It rests on one or several decisions;
// word is what follows from them when they are moved. Each can only change where an
// estimate of theirs crosses a bound, so those are tried, a hair beyond.
func FlipOf(now Word, limit float64, word func(shift, scale float64) Word, of ...*Decision) *Flip {
	s := search{now: now, settled: word(0, 1) == now, word: word}
	for _, d := range of {
		s.settled = s.settled && d.oneWay()
	}
	hair := 1e-9 * math.Max(math.Abs(limit), 1e-3)
	f := &Flip{}
	s.rest, s.hair = 0, func(float64) float64 { return hair }
	s.at = func(x float64) (shift, scale float64) { return x, 1 }
	f.Shift, f.ShiftTo = s.smallest(crossings(of, shiftTo))
	s.rest, s.hair = 1, func(x float64) float64 { return 1e-9 * x }
	s.at = func(x float64) (shift, scale float64) { return 0, x }
	f.Scale, f.ScaleTo = s.smallest(crossings(of, scaleTo))
	if f.ShiftTo == "" && f.ScaleTo == "" {
		return nil
	}
	return f
}

// oneWay reports whether a decision, once changed by a shift or a scaling, stays so for
// larger ones. With a higher mean it goes from short over open to met; with a larger
// uncertainty both become open, but for a channel of runs below and above the claim's
// distortion, which decides again when one of them no longer contradicts the other.
func (d *Decision) oneWay() bool {
	for i := 0; i < len(d.spots); i += places {
		if d.spots[i+placeAt].Estimate == nil && d.spots[i+placeBelow].Estimate != nil && d.spots[i+placeAbove].Estimate != nil {
			return false
		}
	}
	return d.rule.MetFrom >= 0.5 && d.short <= 0.5
}

// A crossing is the shift or the scale at which one estimate crosses a bound.
type crossing struct {
	d           *Decision
	place       int
	high        bool // the bound of short
	to          func(d *Decision, place int, reach float64) (x float64, ok bool)
	least, most float64 // what it lies between; equal when it is exact
}

// shiftTo is the shift that brings a reach to the limit.
func shiftTo(d *Decision, _ int, reach float64) (float64, bool) { return d.limit - reach, true }

// scaleTo is the scale that brings a reach to the limit, if any does.
func scaleTo(d *Decision, place int, reach float64) (float64, bool) {
	y := d.spots[place].Y
	t := y - reach
	s := (y - d.limit) / t
	return s, t != 0 && s > 0
}

// crossings are those of all estimates of some decisions.
func crossings(of []*Decision, to func(*Decision, int, float64) (float64, bool)) []crossing {
	var out []crossing
	for _, d := range of {
		out = slices.Grow(out, 2*len(d.spots))
		for i, e := range d.reaches() {
			if d.spots[i].Estimate == nil {
				continue
			}
			for _, high := range [...]bool{false, true} {
				c, r := crossing{d: d, place: i, high: high, to: to}, e.low
				if high {
					r = e.high
				}
				a, okA := to(d, i, r.least)
				b, okB := to(d, i, r.most)
				switch {
				case okA && okB:
					c.least, c.most = math.Min(a, b), math.Max(a, b)
				case okA != okB:
					if !c.settle() {
						continue
					}
				default:
					continue
				}
				out = append(out, c)
			}
		}
	}
	return out
}

// settle makes a crossing exact; false when there is none.
func (c *crossing) settle() bool {
	exact := c.d.low
	if c.high {
		exact = c.d.high
	}
	x, ok := c.to(c.d, c.place, exact(c.place))
	c.least, c.most = x, x
	return ok
}
