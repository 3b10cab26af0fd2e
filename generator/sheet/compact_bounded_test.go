package sheet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wattsheet/generator/verdict"
)

// manyCompact are n standings made of those of some units: each with another power, over a
// factor, and with all its supply voltages moved by up to a share.
func manyCompact(random *rand.Rand, from []*Compact, n int, factor, share float64) (out []*Compact) {
	for i := range n {
		c := *from[i%len(from)]
		c.Slug, c.Name = fmt.Sprintf("u%05d", i), fmt.Sprint("Unit ", i)
		q, v := math.Pow(factor, random.Float64()-0.5), 1+share*(2*random.Float64()-1)
		times := func(l Levels, q float64) Levels {
			scaled := func(list []float64) []float64 {
				list = slices.Clone(list)
				for i := range list {
					list[i] *= q
				}
				return list
			}
			return Levels{scaled(l[0]), scaled(l[1])}
		}
		c.Levels, c.SupplyV, c.Watts = times(Levels{c.Levels}, v)[0], c.SupplyV*v, times(c.Watts, q)
		c.Errors = slices.Clone(c.Errors)
		for j := range c.Errors {
			for _, l := range []**Levels{&c.Errors[j].At, &c.Errors[j].Slope} {
				if *l != nil {
					scaled := times(**l, q)
					*l = &scaled
				}
			}
		}
		out = append(out, &c)
	}
	return out
}

// Above the length up to which corners decide, ranks are those that the bounds alone give,
// pair by pair; each holds the rank by corners. Units of doubt, of two nominal loads, near
// the end of the reach and of no power are among them.
func TestBoundedRanksHoldTheExactOnes(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	s := units(t, randomUnits(random, 36)...)
	at := fourOhms(s[0])
	from := compactOf(t, s, at)
	wider, apart := 0, 0
	for n, share := range []float64{0, 0.003, 0.02, 0.12, 0.25} {
		all := manyCompact(random, from, 150, []float64{10, 3, 1.5, 4, 30}[n], share)
		for i, c := range all {
			switch i % 25 {
			case 3:
				c.Doubt, c.DoubtCode = "its readings disagree", "readings"
			case 8:
				c.Ohm = 3.98
			case 13:
				c.Slug, c.Ohm = all[i-1].Slug, 4.03
			}
		}
		exact, bounded := rankCompact(all, at, len(all)), rankCompact(all, at, 0)
		if len(exact) != len(bounded) {
			t.Fatalf("%d tables, want %d", len(bounded), len(exact))
		}
		for n, table := range bounded {
			byPairs := ranksOf(len(table.Rows), func(i, j int) verdict.Side {
				side, _ := table.clear(i, j)
				return side
			})
			for i, r := range table.Rows {
				want := exact[n].Rows[i]
				if r.Compact != want.Compact || exact[n].Bounded || !table.Bounded {
					t.Fatalf("row %d is of another unit, or of another kind of table", i)
				}
				if r.First > want.First || r.Last < want.Last {
					t.Errorf("voltages ±%g: %s has rank %s by bounds, and %s by corners", share, r.Slug, r.Rank, want.Rank)
				}
				if got := (interval{r.First, r.Last}); got != byPairs[i] {
					t.Errorf("voltages ±%g: %s has rank %v, pair by pair %v", share, r.Slug, got, byPairs[i])
				}
				wider += r.Last - r.First - want.Last + want.First
				apart += exact[n].Apart(i)
			}
		}
	}
	if wider == 0 || apart == 0 || wider > apart/5 {
		t.Errorf("of %d times that units are told apart, the bounds lose %d", apart, wider)
	}
	t.Logf("of %d times that units are told apart, the bounds lose %d", apart, wider)
}

// Up to the length, ranks are exact.
func TestCornersDecideUpToALength(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 9))
	s := units(t, unitText{"one", run("r1")}, unitText{"two", run("r1", "out_v = 19")})
	at := fourOhms(s[0])
	from := compactOf(t, s, at)
	for _, n := range []int{MostByCorners, MostByCorners + 1} {
		tables := RankCompact(manyCompact(random, from, n, 1000, 0), at)
		if got := tables[0].Bounded; len(tables) != 1 || got != (n > MostByCorners) {
			t.Errorf("%d units: ranked by bounds alone: %v", n, got)
		}
	}
}

// BenchmarkRankBounded ranks ten thousand units spread over a factor of ten: of nearly one
// supply voltage, and of voltages 4 % around it.
func BenchmarkRankBounded(b *testing.B) {
	random := rand.New(rand.NewPCG(3, 5))
	s := units(b, randomUnits(random, 60)...)
	from := compactOf(b, s, fourOhms(s[0]))
	for _, share := range []float64{0, 0.04} {
		all := manyCompact(random, from, 10_000, 4, share)
		b.Run(fmt.Sprint(share), func(b *testing.B) {
			for b.Loop() {
				RankCompact(all, fourOhms(s[0]))
			}
		})
	}
}
