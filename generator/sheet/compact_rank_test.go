package sheet

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// compactOf are the compact standings of units with a valid run at a point.
func compactOf(t testing.TB, sheets []*Sheet, at Point) (out []*Compact) {
	t.Helper()
	for _, s := range sheets {
		if slices.ContainsFunc(s.Runs, func(r *Run) bool {
			return r.Valid && r.Method.ID == at.Method.ID && r.Bridged == at.Bridged && atLoad(r, at.Ohm)
		}) {
			out = append(out, StandingOf(s, at).Compact())
		}
	}
	return out
}

// Compact standings rank as the sheets do; a bound never says otherwise than the corners.
func TestCompactRanksAsSheets(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	sure, pairs := 0, 0
	for range 3 {
		sheets := units(t, append(randomUnits(random, 36), unitText{"none", run("r1", `outcome = "fuse"`)})...)
		at := fourOhms(sheets[0])
		want := Rank(sheets, at)
		got := RankCompact(compactOf(t, sheets, at), at)
		if len(got) != len(want) || len(got[0].Without) != 1 || got[0].Without[0].Why != want[0].Without[0].Why {
			t.Fatalf("%d tables, want %d; %v", len(got), len(want), got[0].Without)
		}
		for n, table := range got {
			if at.Title()+", "+table.Conditions != want[n].Title {
				t.Errorf("the table is of %q, want %q", table.Conditions, want[n].Title)
			}
			for i, r := range table.Rows {
				w := want[n].Rows[i]
				if r.Slug != w.Sheet.Slug || r.First != w.First || r.Last != w.Last || r.Rank != w.Rank {
					t.Errorf("row %d is %s, %s; want %s, %s", i, r.Slug, r.Rank, w.Sheet.Slug, w.Rank)
				}
				apart := 0
				for j := range table.Rows {
					if i == j {
						continue
					}
					pairs++
					side := CompactApart(r.Compact, table.Rows[j].Compact, at).Side
					if side != 0 {
						apart++
					}
					if told, clear := table.clear(i, j); clear {
						if sure++; told != side {
							t.Errorf("%s, %s: the bounds say %d, the corners %d", r.Slug, table.Rows[j].Slug, told, side)
						}
					}
				}
				if table.Apart(i) != apart {
					t.Errorf("%s is told apart from %d, want %d", r.Slug, table.Apart(i), apart)
				}
			}
		}
	}
	if sure < pairs/2 || sure == pairs {
		t.Errorf("of %d pairs the bounds decide %d", pairs, sure)
	}
	t.Logf("of %d pairs the bounds decide %d", pairs, sure)
}

// BenchmarkRankCompact is [BenchmarkRank] for compact standings.
func BenchmarkRankCompact(b *testing.B) {
	for _, n := range []int{100, 1000} {
		random := rand.New(rand.NewPCG(3, 5))
		s := units(b, randomUnits(random, n)...)
		all := compactOf(b, s, fourOhms(s[0]))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				RankCompact(all, fourOhms(s[0]))
			}
		})
	}
}
