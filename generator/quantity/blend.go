package quantity

import (
	"math"
	"slices"
	"strings"
)

// A Blend evaluates the uncertainty of a mean of repeats again and again for other
// sensitivities: the same as [Mean] of [Combine]d values and their budget, with all
// merging of parts done once. It is for one goroutine.
type Blend struct {
	members int
	slots   []*Source // sorted by group; sources of one strand have one slot
	parts   []blendPart
	c       []float64 // one for each slot
}

type blendPart struct {
	member, value, slot int
	c                   float64
}

// NewBlend prepares the mean of members, each a function of its own values.
func NewBlend(members ...[]Value) *Blend {
	b := &Blend{members: len(members)}
	n := 0
	for _, values := range members {
		for _, v := range values {
			n += len(v.Parts)
		}
	}
	b.parts = make([]blendPart, 0, n)
	ids, strands := make(map[string]int, n/3), make(map[string]int, 8)
	for i, values := range members {
		for j, v := range values {
			for _, p := range v.Parts {
				slots, name := ids, p.Source.ID
				if p.Source.Strand != "" && len(members) > 1 {
					slots, name = strands, p.Source.Strand
				}
				slot, seen := slots[name]
				if !seen {
					slot = len(b.slots)
					slots[name], b.slots = slot, append(b.slots, p.Source)
				}
				b.slots[slot] = fewer(b.slots[slot], p.Source)
				b.parts = append(b.parts, blendPart{i, j, slot, p.C})
			}
		}
	}
	order := make([]int, len(b.slots))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return strings.Compare(b.slots[i].Group, b.slots[j].Group) })
	place, sorted := make([]int, len(order)), make([]*Source, len(order))
	for to, from := range order {
		place[from], sorted[to] = to, b.slots[from]
	}
	for i := range b.parts {
		b.parts[i].slot = place[b.parts[i].slot]
	}
	b.slots, b.c = sorted, make([]float64, len(sorted))
	return b
}

// At returns the standard uncertainty and the effective degrees of freedom of the
// mean when member i has the partial derivative sensitivity(i, j) by its value j.
func (b *Blend) At(sensitivity func(i, j int) float64) (u, dof float64) {
	return b.over(float64(b.members), sensitivity)
}

// SumAt is [Blend.At] for the sum of the members, whose weights and signs are in
// the sensitivities: what two members share counts with both, so that it cancels
// in a difference as far as it is the same (JCGM 100:2008, 5.2.2 and F.1.2).
func (b *Blend) SumAt(sensitivity func(i, j int) float64) (u, dof float64) {
	return b.over(1, sensitivity)
}

func (b *Blend) over(n float64, sensitivity func(i, j int) float64) (u, dof float64) {
	clear(b.c)
	for _, p := range b.parts {
		b.c[p.slot] += p.c * sensitivity(p.member, p.value) / n
	}
	var sum welch
	for start := 0; start < len(b.slots); {
		end := start + 1
		for end < len(b.slots) && together(b.slots[start], b.slots[end]) {
			end++
		}
		sum.group(end-start, func(i int) (*Source, float64) { return b.slots[start+i], b.c[start+i] })
		start = end
	}
	return sum.result()
}

// A Path is a [Blend] along one number k, where member i has the partial derivative
//
//	weight(i)·(base(i, j) + k·slope(i, j))
//
// by its value j: so quick that a search can afford it.
type Path struct {
	members float64
	slots   []pathSlot
	terms   []pathTerm
}

type pathSlot struct {
	terms  int  // how many belong to it
	joined bool // it is of one group with the slot before
}

type pathTerm struct {
	member      int
	base, slope float64
}

// Path prepares the uncertainty of the mean along k.
func (b *Blend) Path(base, slope func(i, j int) float64) *Path {
	p := &Path{members: float64(b.members), slots: make([]pathSlot, len(b.slots)), terms: make([]pathTerm, 0, len(b.parts))}
	sums := make([]pathTerm, len(b.slots)*b.members)
	for _, part := range b.parts {
		t := &sums[part.slot*b.members+part.member]
		t.base += part.c * base(part.member, part.value)
		t.slope += part.c * slope(part.member, part.value)
	}
	for i, t := range sums {
		slot := i / b.members
		p.slots[slot].joined = slot > 0 && together(b.slots[slot-1], b.slots[slot])
		if t.base != 0 || t.slope != 0 {
			t.member = i % b.members
			p.slots[slot].terms++
			p.terms = append(p.terms, t)
		}
	}
	return p
}

// At returns the standard uncertainty at k, with the members' weights there.
func (p *Path) At(k float64, weights []float64) float64 {
	var variance, squares, sum float64
	terms := p.terms
	for _, slot := range p.slots {
		c := 0.0
		for _, t := range terms[:slot.terms] {
			c += weights[t.member] * (t.base + k*t.slope)
		}
		terms = terms[slot.terms:]
		if !slot.joined {
			variance += math.Max(squares, sum*sum)
			squares, sum = 0, 0
		}
		squares, sum = squares+c*c, sum+c
	}
	return math.Sqrt(variance+math.Max(squares, sum*sum)) / p.members
}
