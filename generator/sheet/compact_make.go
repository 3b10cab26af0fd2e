package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/electric"
	"wattsheet/generator/quantity"
)

// A compactor gathers what the causes of error contribute to a standing's mean.
type compactor struct {
	levels []float64
	watts  Levels
	slots  []*compactSlot // in the order in which the runs bring them
}

// A compactSlot is one error, or the readings of one strand, which are one error in
// a mean.
type compactSlot struct {
	source    *quantity.Source // of fewest degrees of freedom
	at, slope Levels
}

func newCompactor(s *Standing) *compactor {
	k := &compactor{}
	level := map[float64]int{}
	for _, r := range s.runs {
		if _, seen := level[r.SupplyV.X]; !seen {
			level[r.SupplyV.X], k.levels = len(k.levels), append(k.levels, r.SupplyV.X)
		}
	}
	k.watts = k.room()
	slots := map[string]*compactSlot{}
	for _, r := range s.runs {
		for _, c := range r.Channels {
			k.add(slots, level[r.SupplyV.X], 1/float64(len(s.runs)), r, c, s.At.Ohm)
		}
	}
	return k
}

func (k *compactor) room() Levels {
	n := len(k.levels)
	return Levels{make([]float64, n), make([]float64, n)}
}

// add adds a channel of a run at both load exponents: its power and what the errors
// of power, supply voltage and load contribute, by the partial derivatives of
// formula [formula.CarriedPair] at the run's own voltage.
func (k *compactor) add(slots map[string]*compactSlot, level int, weight float64, r *Run, c *Channel, ohms float64) {
	for i, m := range loadExponents {
		x := weight * electric.CarriedEstimate(c.Power.X, r.SupplyV.X, c.Resistance.X, r.SupplyV.X, ohms, 0, m)
		k.watts[i][level] += x
		perWatt := 0.0
		if c.Power.X != 0 {
			perWatt = x / c.Power.X
		}
		for _, p := range c.Power.value.Parts {
			k.slot(slots, p.Source).at[i][level] += p.C * perWatt
		}
		for _, p := range r.SupplyV.value.Parts {
			k.slot(slots, p.Source).slope[i][level] -= p.C * x / r.SupplyV.X
		}
		for _, p := range c.Resistance.value.Parts {
			k.slot(slots, p.Source).at[i][level] += p.C * m * x / c.Resistance.X
		}
	}
}

func (k *compactor) slot(slots map[string]*compactSlot, s *quantity.Source) *compactSlot {
	name := "error " + s.ID
	if s.Strand != "" {
		name = "strand " + s.Strand
	}
	slot := slots[name]
	if slot == nil {
		slot = &compactSlot{source: s, at: k.room(), slope: k.room()}
		slots[name], k.slots = slot, append(k.slots, slot)
	}
	if s.DoF > 0 && (s.DoF < slot.source.DoF || slot.source.DoF == 0) {
		slot.source = s
	}
	return slot
}

// errors are the slots for other units: what can't be another's loses its name, and
// goes into one where it adds in squares.
func (k *compactor) errors() []CompactError {
	var out []CompactError
	for _, slot := range k.joined() {
		if e := slot.error(); e.At != nil || e.Slope != nil {
			out = append(out, e)
		}
	}
	return out
}

func (s *compactSlot) error() CompactError {
	var e CompactError
	if !ownError(s.source) {
		e.ID = s.source.ID
	}
	if !ownGroup(s.source) {
		e.Group = s.source.Group
	}
	e.Estimate, e.DoF = freedomIn(s.source)
	if !s.at.zero() {
		e.At = &s.at
	}
	if !s.slope.zero() {
		e.Slope = &s.slope
	}
	return e
}

// ownError reports whether an error's name has the unit's slug: no other unit has it.
func ownError(s *quantity.Source) bool {
	return s.Strand != "" || s.Kind == "pool" || s.Kind == "spread"
}

// ownGroup reports whether all of an error's group is of one run.
func ownGroup(s *quantity.Source) bool { return s.Group == "" || s.Kind == "pool" }

// freedomIn are an error's finite degrees of freedom and what estimate they are of.
func freedomIn(s *quantity.Source) (name string, dof float64) {
	if s.DoF == 0 || math.IsInf(s.DoF, 1) {
		return "", 0
	}
	if s.Estimate == "" {
		return s.ID, s.DoF
	}
	return s.Estimate, s.DoF
}

// joined are the slots, with those joined that are the unit's own, don't go with the
// supply and are of one run, or of runs at one voltage: at any corner their variances
// only take a common factor. The channels of a run, in a group of their own, are taken
// with correlation 0 or 1 first, whichever is the larger, as anywhere.
func (k *compactor) joined() []*compactSlot {
	var out []*compactSlot
	for start := 0; start < len(k.slots); start++ {
		s := k.slots[start]
		if !k.plain(s) {
			out = append(out, s)
			continue
		}
		if slices.ContainsFunc(k.slots[:start], func(o *compactSlot) bool { return s.source.Group != "" && o.source.Group == s.source.Group }) {
			continue // it went with its group
		}
		group := []*compactSlot{s}
		if s.source.Group != "" {
			group = slices.DeleteFunc(slices.Clone(k.slots), func(o *compactSlot) bool { return o.source.Group != s.source.Group })
		}
		sum := k.squared(group)
		to := slices.IndexFunc(out, func(o *compactSlot) bool {
			return k.plain(o) && o.source.Group == "" && k.levelOf(o) == k.levelOf(sum) && sameEstimate(o.source, sum.source)
		})
		if to < 0 {
			out = append(out, sum)
			continue
		}
		out[to] = k.squared([]*compactSlot{out[to], sum})
	}
	return out
}

// plain reports whether a slot may be joined with others: all of its group may.
func (k *compactor) plain(s *compactSlot) bool {
	if !ownError(s.source) || !ownGroup(s.source) || !s.slope.zero() || k.levelOf(s) < 0 {
		return false
	}
	if s.source.Group == "" {
		return true
	}
	return !slices.ContainsFunc(k.slots, func(o *compactSlot) bool {
		return o.source.Group == s.source.Group && (!o.slope.zero() || k.levelOf(o) != k.levelOf(s) || !sameEstimate(o.source, s.source))
	})
}

// levelOf is the one level that a slot contributes to; −1 where there are several.
func (k *compactor) levelOf(s *compactSlot) int {
	level := -1
	for i := range k.levels {
		if s.at[0][i] == 0 && s.at[1][i] == 0 {
			continue
		}
		if level >= 0 {
			return -1
		}
		level = i
	}
	return level
}

func sameEstimate(a, b *quantity.Source) bool {
	name, dof := freedomIn(a)
	other, freedom := freedomIn(b)
	return name == other && dof == freedom
}

// squared is several slots of one level as one of the same variance.
func (k *compactor) squared(slots []*compactSlot) *compactSlot {
	source := *slots[0].source
	out := &compactSlot{source: &source, at: k.room(), slope: k.room()}
	for m := range loadExponents {
		for level := range k.levels {
			squares, sum := 0.0, 0.0
			for _, s := range slots {
				c := s.at[m][level]
				squares, sum = squares+c*c, sum+c
			}
			if source.Group != "" {
				squares = math.Max(squares, sum*sum)
			}
			out.at[m][level] = math.Sqrt(squares)
		}
	}
	source.Estimate, _ = freedomIn(&source)
	source.Group = ""
	return out
}

func (l *Levels) zero() bool {
	return !slices.ContainsFunc(l[0], nonZero) && !slices.ContainsFunc(l[1], nonZero)
}

func nonZero(x float64) bool { return x != 0 }
