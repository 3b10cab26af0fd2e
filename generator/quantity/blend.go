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
	slots   []Line  // sorted by group; sources of one strand have one slot
	ends    []int32 // of the groups among the slots
	parts   []blendPart
	values  []blendValue
}

type blendPart struct {
	value, slot int32
	c           float64
}

// A blendValue is one value of a member.
type blendValue struct {
	member, value int
	sensitivity   float64
}

// NewBlend prepares the mean of members, each a function of its own values.
func NewBlend(members ...[]Value) *Blend {
	b := new(Blend)
	b.Mix(members...)
	return b
}

// Mix makes a blend one of other members: [NewBlend] in the room that it has.
func (b *Blend) Mix(members ...[]Value) {
	b.members = len(members)
	n, all := 0, 0
	for _, values := range members {
		all += len(values)
		for _, v := range values {
			n += len(v.Parts)
		}
	}
	b.parts, b.values = slices.Grow(b.parts[:0], n), slices.Grow(b.values[:0], all)
	var few [256]int32
	table := slotsFor(n, few[:])
	var room [64]Line
	slots := room[:0]
	for i, values := range members {
		for j, v := range values {
			for _, p := range v.Parts {
				slot := table.of(&slots, p.Source, len(members) > 1)
				b.parts = append(b.parts, blendPart{int32(len(b.values)), int32(slot), p.C})
			}
			b.values = append(b.values, blendValue{member: i, value: j})
		}
	}
	b.sort(slots)
}

// A slotTable finds the slot of a source by its ID, or by its strand: open addressing, of
// slots from 1 on, 0 where there is none.
type slotTable []int32

// slotsFor is a table for n sources, in the given room where that is enough.
func slotsFor(n int, few []int32) slotTable {
	size := len(few)
	for size < 2*n {
		size *= 2
	}
	if size > len(few) {
		return make(slotTable, size)
	}
	return few
}

// of is the slot of a source, which is added where it isn't there. Of several it keeps
// the one with the fewest degrees of freedom.
func (t slotTable) of(slots *[]Line, s *Source, strands bool) int {
	strands = strands && s.Strand != ""
	name, mask := s.ID, len(t)-1
	if strands {
		name = s.Strand
	}
	for at := int(mixed(name)) & mask; ; at = (at + 1) & mask {
		slot := int(t[at]) - 1
		if slot < 0 {
			*slots = append(*slots, Line{Source: s})
			t[at] = int32(len(*slots))
			return len(*slots) - 1
		}
		there := (*slots)[slot].Source
		if there == s {
			return slot
		}
		if strands && there.Strand == name || !strands && there.ID == name {
			(*slots)[slot].Source = fewer(there, s)
			return slot
		}
	}
}

// mixed is a number that hardly any two names have in common.
func mixed(name string) uint32 {
	const odd = 0x9e3779b97f4a7c15
	h := uint64(len(name)) * odd
	for len(name) >= 8 {
		eight := uint64(name[0]) | uint64(name[1])<<8 | uint64(name[2])<<16 | uint64(name[3])<<24 |
			uint64(name[4])<<32 | uint64(name[5])<<40 | uint64(name[6])<<48 | uint64(name[7])<<56
		h = (h ^ eight) * odd
		h ^= h >> 29
		name = name[8:]
	}
	for i := range len(name) {
		h = (h ^ uint64(name[i])) * odd
	}
	return uint32(h >> 32)
}

// sort takes the slots in the order of their groups, each group's as they came.
func (b *Blend) sort(slots []Line) {
	var names [16]string
	var numbers [128]int32
	groups, group := names[:0], numbers[:0]
	for i := range slots {
		name := slots[i].Source.Group
		at := slices.Index(groups, name)
		if at < 0 {
			at, groups = len(groups), append(groups, name)
		}
		group = append(group, int32(at))
	}
	var room [16]int32
	order := room[:0]
	for i := range groups {
		order = append(order, int32(i))
	}
	slices.SortFunc(order, func(i, j int32) int { return strings.Compare(groups[i], groups[j]) })
	b.slots, b.ends = slices.Grow(b.slots[:0], len(slots)), slices.Grow(b.ends[:0], len(slots))
	for _, of := range order {
		for i := range slots {
			if group[i] == of {
				group[i] = ^int32(len(b.slots)) // its place, which no group is
				b.slots = append(b.slots, slots[i])
				if groups[of] == "" { // each by itself
					b.ends = append(b.ends, int32(len(b.slots)))
				}
			}
		}
		if groups[of] != "" {
			b.ends = append(b.ends, int32(len(b.slots)))
		}
	}
	for i := range b.parts {
		b.parts[i].slot = ^group[b.parts[i].slot]
	}
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
	for i := range b.slots {
		b.slots[i].C = 0
	}
	for i := range b.values {
		v := &b.values[i]
		v.sensitivity = sensitivity(v.member, v.value)
	}
	for i := range b.parts {
		p := &b.parts[i]
		b.slots[p.slot].C += p.c * b.values[p.value].sensitivity / n
	}
	var sum welch
	start := int32(0)
	for _, end := range b.ends {
		sum.group(b.slots[start:end])
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
	sums := make([]pathTerm, len(b.slots)*b.members)
	p := &Path{members: float64(b.members), slots: make([]pathSlot, len(b.slots)), terms: sums[:0]}
	for _, part := range b.parts {
		v := b.values[part.value]
		t := &sums[int(part.slot)*b.members+v.member]
		t.base += part.c * base(v.member, v.value)
		t.slope += part.c * slope(v.member, v.value)
	}
	for i, t := range sums {
		slot := i / b.members
		p.slots[slot].joined = slot > 0 && together(b.slots[slot-1].Source, b.slots[slot].Source)
		if t.base != 0 || t.slope != 0 { // the terms close up what has none
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
