package verdict

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// A search looks for the smallest change of a verdict.
type search struct {
	now     Word
	settled bool // once changed it stays so for larger changes
	word    func(shift, scale float64) Word
	rest    float64                 // the shift or scale that changes nothing
	hair    func(x float64) float64 // how far beside a crossing to look
	// at is the shift and the scale for a crossing's x.
	at func(x float64) (shift, scale float64)
}

// changed tries a crossing from both sides and returns the other verdict, if any.
func (s search) changed(x float64) (Word, bool) {
	hair := s.hair(x)
	for _, x := range [...]float64{x - hair, x + hair} {
		if w := s.word(s.at(x)); w != s.now {
			return w, true
		}
	}
	return s.now, false
}

// smallest finds the crossing nearest to rest that changes the verdict, and to what;
// the empty word where none does.
func (s search) smallest(all []crossing) (x float64, to Word) {
	var beside, up, down []crossing
	for _, c := range all {
		if c.least < s.rest && c.most > s.rest {
			c.settle()
		}
		switch {
		case s.near(c) < 3*s.hair(s.rest): // a hair on the other side is the other direction
			beside = append(beside, c)
		case c.least > s.rest:
			up = append(up, c)
		default:
			down = append(down, c)
		}
	}
	if x, to = s.inOrder(beside); to != "" {
		return x, to
	}
	if s.settled {
		up, down = s.around(up), s.around(down)
	}
	return s.inOrder(append(up, down...))
}

// near and far are the least and the largest distance of a crossing from rest.
func (s search) near(c crossing) float64 {
	return math.Min(math.Abs(c.least-s.rest), math.Abs(c.most-s.rest))
}

func (s search) far(c crossing) float64 {
	return math.Max(math.Abs(c.least-s.rest), math.Abs(c.most-s.rest))
}

// around leaves, of crossings on one side of rest, those that may be the first to
// change the verdict: it has changed where all of them are behind, and not yet where
// the others are.
func (s search) around(side []crossing) []crossing {
	slices.SortFunc(side, func(a, b crossing) int { return cmp.Compare(s.far(a), s.far(b)) })
	first := sort.Search(len(side), func(i int) bool {
		x := side[i].most
		if x < s.rest {
			x = side[i].least
		}
		_, changed := s.changed(x)
		return changed
	})
	if first == len(side) {
		return nil
	}
	reach := s.far(side[first])
	return slices.DeleteFunc(side[first:], func(c crossing) bool { return s.near(c) > reach })
}

// inOrder tries crossings from the nearest to rest on.
func (s search) inOrder(left []crossing) (x float64, to Word) {
	for len(left) > 0 {
		n := 0
		for i := range left {
			if s.near(left[i]) < s.near(left[n]) {
				n = i
			}
		}
		c := &left[n]
		switch {
		case c.least != c.most && c.settle():
			continue
		case c.least == c.most:
			if w, changed := s.changed(c.least); changed {
				return c.least, w
			}
		}
		left[n] = left[len(left)-1]
		left = left[:len(left)-1]
	}
	return 0, ""
}
