package sheet

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"wattsheet/generator/verdict"
)

// ranked is the first table of units at 4 Ω.
func ranked(t testing.TB, texts ...unitText) *RankTable {
	t.Helper()
	s := units(t, texts...)
	return Rank(s, fourOhms(s[0]))[0]
}

// Rank intervals worked by hand. All on one element and at one voltage: for two
// units of nearly one power P, the worst corner has the element's 0.5 %/√3 against
// them twice, once for each way of the load exponents, so u of the difference is
// about √(2·(2·0.56 % + …)²) ≈ 2.2 % of P. 18 V against 17.7 V is 3.4 % in power
// and 1.5 u: together. 18 V against 17.2 V is 9.1 % and 4 u: apart. 17.7 V against
// 17.2 V is 5.7 % and 2.6 u: apart. 17.45 V is 2.8 % below 17.7 V and 2.9 % above
// 17.2 V: together with both, and apart from 18 V by 6.2 %.
func TestRankIntervalsByHand(t *testing.T) {
	u := func(slug, volts string) unitText { return unitText{slug, run("r1", "out_v = "+volts)} }
	for _, r := range []struct {
		units []unitText
		want  []string
	}{
		{[]unitText{u("a", "18")}, []string{"a 1"}},
		{[]unitText{u("a", "17.2"), u("b", "18")}, []string{"b 1", "a 2"}},
		{[]unitText{u("a", "17.7"), u("b", "18")}, []string{"b 1–2", "a 1–2"}},
		{[]unitText{u("b", "18"), u("a", "18")}, []string{"a 1–2", "b 1–2"}},
		// being together isn't handed on: c is told from a, but b from neither
		{[]unitText{u("a", "18"), u("b", "17.7"), u("c", "17.45")}, []string{"a 1–2", "b 1–3", "c 2–3"}},
		{[]unitText{u("a", "18"), u("b", "17.7"), u("c", "17.45"), u("d", "17.2"), u("e", "10")},
			[]string{"a 1–2", "b 1–3", "c 2–4", "d 3–4", "e 5"}},
		// one that is told apart from none may stand anywhere
		{[]unitText{u("a", "18"), u("b", "10"), {"c", run("r1", "out_v = 14", `load = "far4"`)}}, []string{"a 1–2", "c 1–3", "b 2–3"}},
	} {
		table := ranked(t, r.units...)
		var got []string
		for _, row := range table.Rows {
			got = append(got, row.Sheet.Slug+" "+row.Rank)
		}
		if !slices.Equal(got, r.want) {
			t.Errorf("%v, want %v", got, r.want)
		}
	}
}

// Units that can't be compared stand in tables of their own; those without a figure
// are named, those without a run aren't.
func TestRankTablesByConditions(t *testing.T) {
	s := units(t, unitText{"a", run("r1")}, unitText{"b", run("r1", "freq_hz = 50")}, unitText{"c", run("r1", "supply_v = 230")},
		unitText{"d", run("r1", "supply_v = 13", "out_v = 12")}, unitText{"e", run("r1", `outcome = "fuse"`)}, unitText{"f", run("r1", `load = "a8"`)})
	var got []string
	for _, table := range RankTables(s) {
		text := table.Title
		for _, r := range table.Rows {
			text += ", " + r.Sheet.Slug + " " + r.Rank
		}
		for _, w := range table.Without {
			text += ", without " + w.Sheet.Slug
		}
		got = append(got, plainBlanks(text))
	}
	want := []string{
		"4 Ω, at 1 % THD+N, 1 kHz, supply 13.00 to 14.40 V, a 1, d 2, without e",
		"4 Ω, at 1 % THD+N, 50 Hz, supply 14.40 V, b 1",
		"4 Ω, at 1 % THD+N, 1 kHz, supply 230.00 V, c 1",
		"8 Ω, at 1 % THD+N, 1 kHz, supply 14.40 V, f 1",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func plainBlanks(text string) string {
	return shown(text)
}

// randomUnits are units with powers close to each other and with all that a bound
// has to hold for: other voltages, elements, channels, repeats on both sides.
func randomUnits(random *rand.Rand, n int) []unitText {
	var out []unitText
	for i := range n {
		text, level := "", 12+8*random.Float64()
		for j := range 1 + random.IntN(3) {
			supply := fmt.Sprintf("supply_v = %.2f", 13.2+2*random.Float64())
			volts := func() string { return fmt.Sprintf("%.2f", level*(1+0.02*random.NormFloat64())) }
			id := fmt.Sprint("r", j)
			load := []string{"a4", "b4", "c4"}[random.IntN(3)]
			switch {
			case i%3 == 0:
				text += run(id, supply, `driven = ["L", "R"]`, `load = ["a4", "c4"]`, "out_v = ["+volts()+", "+volts()+"]", "thdn_pct = [1, 1]")
			case i%3 == 1:
				text += run(id, supply, "out_v = "+volts(), fmt.Sprintf("load = %q", load), `with.out_v = "common"`)
			default:
				text += run(id, supply, "out_v = "+volts(), fmt.Sprintf("load = %q", load))
			}
		}
		out = append(out, unitText{fmt.Sprintf("u%05d", i), text})
	}
	return out
}

// What the bounds say, the corners say too; no unit stands above one that is told
// apart as better; ranks are what all pairs give.
func TestBoundsAgreeWithTheCorners(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	sure, all, apart := 0, 0, 0
	for range 4 {
		table := ranked(t, randomUnits(random, 36)...)
		better, worse := make([]int, len(table.Rows)), make([]int, len(table.Rows))
		for i := range table.Rows {
			sides := table.Sides(i)
			for j := range table.Rows {
				if i == j {
					continue
				}
				want := table.byCorners(i, j)
				all++
				side, clear := table.clear(i, j)
				if clear {
					sure++
				}
				if clear && side != want || sides[j] != want || table.Pair(i, j).Side != want {
					t.Errorf("%s, %s: the bounds say %d (%v), the corners %d", table.Rows[i].Sheet.Slug, table.Rows[j].Sheet.Slug, side, clear, want)
				}
				switch want {
				case verdict.First:
					worse[i]++
					apart++
				case verdict.Second:
					better[i]++
					if i < j {
						t.Errorf("%s stands above %s, which is told apart as better", table.Rows[i].Sheet.Slug, table.Rows[j].Sheet.Slug)
					}
				}
			}
		}
		for i, r := range table.Rows {
			if r.First != 1+better[i] || r.Last != len(table.Rows)-worse[i] || r.First > r.Last {
				t.Errorf("%s: ranks %d to %d, told apart from %d better and %d worse", r.Sheet.Slug, r.First, r.Last, better[i], worse[i])
			}
		}
	}
	if sure < all/2 || sure == all || apart == 0 {
		t.Errorf("of %d pairs the bounds decide %d; %d are apart", all, sure, apart)
	}
}

// BenchmarkRank ranks many units whose powers lie close: the worst that lists bring.
func BenchmarkRank(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		if n > 1000 && testing.Short() {
			continue
		}
		random := rand.New(rand.NewPCG(3, 5))
		s := units(b, randomUnits(random, n)...)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Rank(s, fourOhms(s[0]))
			}
		})
	}
}
