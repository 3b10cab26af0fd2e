package verdict

import (
	"cmp"
	"math"
	"slices"
)

// A Mover tells what a decision would be with its means shifted and its
// uncertainties scaled, alike at all corners and of all channels.
type Mover struct{ d decision }

// MoverOf prepares a decision for moving; the arguments are those of [Decide].
func MoverOf(rule Rule, limit float64, corners []Corner) Mover {
	return Mover{newDecision(rule, limit, corners)}
}

// Word is the verdict with all means shifted by so many W, and all uncertainties
// times scale.
func (m Mover) Word(shift, scale float64) Word { return m.d.word(m.d.moved(shift, scale)) }

func (d decision) words() func(shift, scale float64) Word { return Mover{d}.Word }

// bounds are the shifts and the scales at which one estimate at one corner crosses a
// bound: only there can the verdict change.
func (m Mover) bounds() (shifts, scales []float64) {
	d := m.d
	for _, c := range d.corners {
		for _, channel := range c.Channels {
			for _, e := range []*Estimate{channel.At, channel.Below, channel.Above} {
				if e == nil {
					continue
				}
				for _, at := range []float64{d.reaches[e].low, d.reaches[e].high} {
					shifts = append(shifts, d.limit-at)
					if t := e.Y - at; t != 0 && (e.Y-d.limit)/t > 0 {
						scales = append(scales, (e.Y-d.limit)/t)
					}
				}
			}
		}
	}
	return shifts, scales
}

// FlipOf finds the smallest shift and the smallest scaling that change a verdict
// against the limit in W: nil where none does. It rests on one or several decisions,
// the movers; word is what follows from them when they are moved. Each can only
// change where a mover's estimate crosses a bound, so those are tried in order of
// size, a hair beyond.
func FlipOf(now Word, limit float64, word func(shift, scale float64) Word, movers ...Mover) *Flip {
	var shifts, scales []float64
	for _, m := range movers {
		s, c := m.bounds()
		shifts, scales = append(shifts, s...), append(scales, c...)
	}
	slices.SortFunc(shifts, func(a, b float64) int { return cmp.Compare(math.Abs(a), math.Abs(b)) })
	slices.SortFunc(scales, func(a, b float64) int { return cmp.Compare(math.Abs(a-1), math.Abs(b-1)) })
	f := &Flip{}
	hair := 1e-9 * math.Max(math.Abs(limit), 1e-3)
	for _, s := range shifts {
		if w, changed := changedBy(now, word, [2]float64{s - hair, s + hair}, [2]float64{1, 1}); changed {
			f.Shift, f.ShiftTo = s, w
			break
		}
	}
	for _, s := range scales {
		if w, changed := changedBy(now, word, [2]float64{}, [2]float64{s * (1 - 1e-9), s * (1 + 1e-9)}); changed {
			f.Scale, f.ScaleTo = s, w
			break
		}
	}
	if f.ShiftTo == "" && f.ScaleTo == "" {
		return nil
	}
	return f
}

// changedBy tries a bound from both sides and returns the other verdict, if any.
func changedBy(now Word, word func(shift, scale float64) Word, shifts, scales [2]float64) (Word, bool) {
	for i := range 2 {
		if w := word(shifts[i], scales[i]); w != now {
			return w, true
		}
	}
	return now, false
}
