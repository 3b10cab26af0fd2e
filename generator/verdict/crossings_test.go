package verdict

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wattsheet/generator/quantity"
)

// The nearest change is found without trying every crossing: it is the one that trying
// all of them in order of size gives, at many corners that lie close together, too.
func TestFlipIsTheNearestOfAllCrossings(t *testing.T) {
	c := cases{Rand: rand.New(rand.NewPCG(20, 26)), mixed: true}
	for n := range 200 {
		limit, corners := c.claim()
		for range c.IntN(30) {
			corners = append(corners, Corner{Channels: c.carried(corners[0].Channels, limit*math.Pow(10, -2-6*c.Float64()))})
		}
		rule := []Rule{usual, simpleRule, {0.8, 0.1}, {0.975, 0.025}}[n%4]
		var shifts, scales []float64
		for _, corner := range corners {
			for _, channel := range corner.Channels {
				for _, e := range []*Estimate{channel.At, channel.Below, channel.Above} {
					for _, p := range []float64{rule.MetFrom, rule.ShortOf(len(corner.Channels))} {
						if e == nil {
							continue
						}
						to := quantity.Quantile(p, e.DoF) * e.U
						shifts = append(shifts, limit-e.Y+to)
						if scale := (e.Y - limit) / to; to != 0 && scale > 0 {
							scales = append(scales, scale)
						}
					}
				}
			}
		}
		got := Decide(rule, limit, corners)
		f := got.Flip
		if f == nil {
			f = &Flip{}
		}
		hair := 1e-9 * limit
		x, to := first(shifts, 0, got.Word, func(x float64) Word { return NewDecision(rule, limit, changed(corners, x, 1)).Word() }, hair)
		if to != f.ShiftTo || to != "" && math.Abs(x-f.Shift) > 1.5*hair {
			t.Fatalf("case %d, %s: shift %v to %q, all crossings give %v to %q", n, got.Word, f.Shift, f.ShiftTo, x, to)
		}
		x, to = first(scales, 1, got.Word, func(x float64) Word { return NewDecision(rule, limit, changed(corners, 0, x)).Word() }, 1e-9)
		if to != f.ScaleTo || to != "" && math.Abs(x-f.Scale) > 1e-8*x {
			t.Fatalf("case %d, %s: scale %v to %q, all crossings give %v to %q", n, got.Word, f.Scale, f.ScaleTo, x, to)
		}
	}
}

// first is the crossing nearest to rest beside which the verdict is another.
func first(crossings []float64, rest float64, now Word, word func(float64) Word, hair float64) (float64, Word) {
	slices.SortFunc(crossings, func(a, b float64) int {
		if math.Abs(a-rest) < math.Abs(b-rest) {
			return -1
		}
		return 1
	})
	for _, x := range crossings {
		for _, beside := range []float64{x - hair, x + hair} {
			if w := word(beside); w != now {
				return x, w
			}
		}
	}
	return 0, ""
}

func BenchmarkDecide(b *testing.B) {
	c := cases{Rand: rand.New(rand.NewPCG(20, 26))}
	limit, corners := c.claim()
	for len(corners) < 28 {
		corners = append(corners, Corner{K: 0.1 * float64(len(corners)), M: 1, Channels: c.carried(corners[0].Channels, limit*0.003)})
	}
	b.ReportAllocs()
	for b.Loop() {
		Decide(usual, limit, corners)
	}
}
