package sheet

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"wattsheet/generator/quantity"
)

// What the index gives is what going through all parts of all members gives, in their order,
// for one source and for several that were joined, also where the room was used before.
func TestMemberIndexIsAScan(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 9))
	sources := make([]*quantity.Source, 12)
	for i := range sources {
		sources[i] = &quantity.Source{ID: fmt.Sprintf("s%d", i), U: float64(1 + i%3)}
	}
	var index memberIndex
	for range 200 {
		members := make([]quantity.Value, 2+rng.IntN(6))
		for i := range members {
			for _, s := range sources {
				if rng.IntN(3) == 0 {
					members[i].Parts = append(members[i].Parts, quantity.Part{Source: s, C: rng.Float64()})
				}
			}
		}
		index.take(members)
		asked := []*quantity.Source{{ID: "nobody's"}, {ID: "joined", Joined: []string{"s3", "s1", "s1", "nobody's"}}}
		for _, s := range append(asked, sources...) {
			var want []quantity.Part
			for _, m := range members {
				for _, p := range m.Parts {
					if s.Joined == nil && p.Source.ID == s.ID || slices.Contains(s.Joined, p.Source.ID) {
						want = append(want, p)
					}
				}
			}
			if got := index.of(s); !slices.Equal(got, want) {
				t.Fatalf("%s: %v, want %v", s.ID, got, want)
			}
		}
	}
}

// A figure of very many members costs what its components do, not their square: each of them
// looks at its own parts alone.
func TestMemberIndexLooksAtItsOwnParts(t *testing.T) {
	members := make([]quantity.Value, 3000)
	for i := range members {
		members[i].Parts = []quantity.Part{{Source: &quantity.Source{ID: fmt.Sprint("run ", i), U: 1}, C: 1}, {Source: &quantity.Source{ID: "meter", U: 1}, C: 1}}
	}
	var index memberIndex
	index.take(members)
	for i := range members {
		if index.of(members[i].Parts[0].Source); len(index.at) != 1 {
			t.Fatalf("run %d: %d parts are looked at", i, len(index.at))
		}
	}
	if n := len(index.of(members[0].Parts[1].Source)); n != len(members) {
		t.Errorf("the meter has %d parts", n)
	}
}
