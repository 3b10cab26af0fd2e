package quantity

import "sort"

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
	type cause struct {
		strand bool
		name   string
	}
	slots := map[cause]int{}
	for i, values := range members {
		for j, v := range values {
			for _, p := range v.Parts {
				key := cause{false, p.Source.ID}
				if p.Source.Strand != "" && len(members) > 1 {
					key = cause{true, p.Source.Strand}
				}
				slot, seen := slots[key]
				if !seen {
					slot = len(b.slots)
					slots[key], b.slots = slot, append(b.slots, p.Source)
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
	sort.SliceStable(order, func(i, j int) bool { return b.slots[order[i]].Group < b.slots[order[j]].Group })
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
