package verdict

import "math"

// byReach shows what means shifted and uncertainties scaled would show.
type byReach struct {
	d            *Decision
	shift, scale float64
}

func (b *byReach) met(i int) bool {
	y, r := b.d.spots[i].Y, b.d.ends[i].low
	switch {
	case b.moved(y, r.least) >= b.d.limit:
		return true
	case b.moved(y, r.most) < b.d.limit:
		return false
	}
	return b.moved(y, b.d.low(i)) >= b.d.limit
}

func (b *byReach) short(i int) bool {
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
func (b *byReach) moved(y, reach float64) float64 { return y + b.shift + b.scale*(reach-y) }

// Moved is the verdict with all means shifted by so many W, and all uncertainties
// times scale >= 0, alike at all corners and of all channels.
func (d *Decision) Moved(shift, scale float64) Word {
	d.reaches()
	d.by = byReach{d, shift, scale}
	return d.word(&d.by)
}

// Flip is the smallest shift and the smallest scaling that change the verdict; nil
// where none does.
func (d *Decision) Flip() *Flip { return FlipOf(d.Word(), d.limit, d.Moved, d) }

// FlipOf finds the smallest shift and the smallest scaling that change a verdict
// against the limit in W: nil where none does. It rests on one or several decisions;
// word is what follows from them when they are moved: it changes only where one of
// theirs does. Each can only change where an estimate crosses a bound, so those are
// tried in order of size, a hair beyond.
func FlipOf(now Word, limit float64, word func(shift, scale float64) Word, of ...*Decision) *Flip {
	hair := 1e-9 * math.Max(math.Abs(limit), 1e-3)
	shifts := word(0, 1) == now
	scales := shifts
	for _, d := range of {
		scales = scales && d.oneWay()
	}
	f := &Flip{}
	f.Shift, f.ShiftTo = (&move{
		oneWay: shifts, rest: 0, word: func(x float64) Word { return word(x, 1) },
		hair: func(float64) float64 { return hair }, at: shiftTo, met: 1, short: -1,
	}).nearest(now, of)
	f.Scale, f.ScaleTo = (&move{
		oneWay: scales, rest: 1, word: func(x float64) Word { return word(0, x) },
		hair: func(x float64) float64 { return 1e-9 * x }, at: scaleTo, met: -1, short: -1,
	}).nearest(now, of)
	if f.ShiftTo == "" && f.ScaleTo == "" {
		return nil
	}
	return f
}

// oneWay reports whether a decision goes one way with the uncertainty: both met and
// short become open with a larger one, but for a channel of runs below and above the
// claim's distortion, which decides again when one of them no longer contradicts the
// other. With a higher mean it always goes from short over open to met.
func (d *Decision) oneWay() bool {
	for i := 0; i < len(d.spots); i += places {
		if d.spots[i+placeAt].Estimate == nil && d.spots[i+placeBelow].Estimate != nil && d.spots[i+placeAbove].Estimate != nil {
			return false
		}
	}
	return d.rule.MetFrom >= 0.5 && d.short <= 0.5
}

// shiftTo is the shift that brings the reach of the estimate at a place to the limit.
func shiftTo(d *Decision, _ int, reach float64, _ bool) float64 { return d.limit - reach }

// scaleTo is the scale that brings the reach of the estimate at a place to the limit:
// up to it the estimate shows what it does. It is not above 0 where it shows nothing at
// any scale, +Inf where it does at all.
func scaleTo(d *Decision, place int, reach float64, high bool) float64 {
	z, t := d.spots[place].Y-d.limit, d.spots[place].Y-reach
	switch {
	case t != 0:
		return z / t
	case z == 0: // shows both; at the claim's distortion met goes before short
		if high && place%places == placeAt {
			return math.Inf(-1)
		}
	case z > 0 == high:
		return math.Inf(-1)
	}
	return math.Inf(1)
}
