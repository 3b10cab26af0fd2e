package sheet

import (
	"math"
	"slices"
	"strconv"
	"sync"

	"wattsheet/generator/quantity"
)

// A Compact is a unit's standing at a point with no more than comparing it with other
// units takes: small enough to be kept of thousands of units and to be sent to a
// browser. It compares as the standing does, but for numbers being rounded to
// [quantity.Digits] digits, which p feels below 1e-9.
//
// The voltage that two units are carried to is exact. So a total carried to V, and
// all that errors contribute to it, go with (V/v)^k from what they are at the run's
// own voltage v; the load exponent m is −1 or +1, and k enters a contribution
// linearly. Runs of one voltage are one level.
type Compact struct {
	Slug string `json:"-"` // whose it is: whoever reads one back sets both
	Name string `json:"-"`

	Method  string  `json:"method"`
	Ohm     float64 `json:"ohm"` // the point's nominal load
	Bridged bool    `json:"bridged,omitempty"`
	Facts
	TotalW     float64  `json:"total_w,omitempty"` // as measured, with its expanded uncertainty
	TotalU     float64  `json:"total_u_w,omitempty"`
	Total      string   `json:"total,omitempty"`      // the same for people: "(166.2 ± 2.9) W"
	Efficiency string   `json:"efficiency,omitempty"` // mean over the same runs, for people; empty where one has none
	Lacks      []string `json:"lacks,omitempty"`      // what the total's uncertainty lacks, in words

	Levels []float64      `json:"levels_v,omitempty"` // supply voltages of the runs, in the order of the runs
	Watts  Levels         `json:"watts,omitzero"`     // each level's share of the mean, at its own voltage
	Errors []CompactError `json:"errors,omitempty"`
}

// Levels are numbers at the load exponents −1 and +1, one for each level.
type Levels [2][]float64

// A CompactError is one cause of error, or several private ones that add in squares.
type CompactError struct {
	// ID names an error that another unit may have too; empty for the unit's own.
	ID string `json:"id,omitempty"`
	// Group names errors whose sharing is not known, within and between units.
	Group string `json:"group,omitempty"`
	// Estimate and DoF are given where the degrees of freedom are finite.
	Estimate string  `json:"estimate,omitempty"`
	DoF      float64 `json:"dof,omitempty"`
	// What it contributes at the supply exponent k is At + k·Slope, in W.
	At    *Levels `json:"at,omitempty"`
	Slope *Levels `json:"slope,omitempty"`
}

// Compact makes a standing compact.
func (s *Standing) Compact() *Compact {
	c := &Compact{
		Slug: s.Sheet.Slug, Name: s.Sheet.Name,
		Method: s.At.Method.ID, Ohm: quantity.Rounded(s.At.Ohm), Bridged: s.At.Bridged, Facts: s.Facts,
	}
	c.FreqHz, c.SupplyV = quantity.Rounded(s.FreqHz), quantity.Rounded(s.SupplyV)
	if s.Total == nil {
		return c
	}
	c.TotalW, c.TotalU, c.Total, c.Lacks = quantity.Rounded(s.Total.X), quantity.Rounded(s.Total.U), s.Total.Text, s.Total.Incomplete
	if e := s.Efficiency(); e != nil {
		c.Efficiency = e.Text
	}
	k := newCompactor(s)
	c.Levels, c.Watts = k.levels, k.watts
	c.Errors = k.errors()
	c.round()
	return c
}

// round rounds all numbers to the digits of published files. What is below 1 part in 10¹² of the
// total is left over where contributions cancel: rounding, in which processors differ.
func (c *Compact) round() {
	least := c.TotalW * 1e-12
	all := [][]float64{c.Levels, c.Watts[0], c.Watts[1]}
	for i := range c.Errors {
		for _, l := range []*Levels{c.Errors[i].At, c.Errors[i].Slope} {
			if l != nil {
				all = append(all, l[0], l[1])
			}
		}
	}
	for _, list := range all {
		for i := range list {
			if list[i] = quantity.Rounded(list[i]); math.Abs(list[i]) < least {
				list[i] = 0
			}
		}
	}
}

func (c *Compact) who() (slug, name string) { return c.Slug, c.Name }
func (c *Compact) facts() *Facts            { return &c.Facts }
func (c *Compact) stands() bool             { return len(c.Levels) > 0 }

func (c *Compact) supplyReaches(volts float64) bool {
	return !slices.ContainsFunc(c.Levels, func(v float64) bool { return !within(v, volts, supplyReach) })
}

// CompactApart compares two compact standings of one method at a point: as [Apart]
// compares the standings. The result is the mirror image in the other order.
func CompactApart(a, b *Compact, at Point) Difference {
	d := compactDifference(a, b, at)
	d.say(at, a, b)
	return d
}

func compactDifference(a, b *Compact, at Point) Difference {
	if a.Slug > b.Slug {
		d := compactDifference(b, a, at)
		return d.mirrored()
	}
	if why := cannotCompare(a, b); why != "" {
		return Difference{Reason: why}
	}
	r := compactRooms.Get().(*compactRoom)
	defer compactRooms.Put(r)
	return r.duel(a, b, (a.SupplyV+b.SupplyV)/2, at.Ohm).difference()
}

// A compactRoom is what duels of compact standings are put together in, one after the other:
// a list of ten thousand units has as many of them for each load.
type compactRoom struct {
	sources [2][]quantity.Source
	parts   []quantity.Part
	each    []quantity.Value
	values  [][]quantity.Value
	members []compactMember
	by      []float64
	blend   quantity.Blend
}

var compactRooms = sync.Pool{New: func() any { return new(compactRoom) }}

// duel prepares the comparison of two compact standings, carried to a voltage and to a
// nominal load within 1 % of their own. It is over when the next one begins.
func (r *compactRoom) duel(a, b *Compact, volts, ohm float64) *duel {
	d := &duel{volts: volts, levels: [2][]float64{a.Levels, b.Levels}}
	n := len(loadExponents) * (len(a.Levels) + len(b.Levels))
	r.members, r.values, r.each = slices.Grow(r.members[:0], n), slices.Grow(r.values[:0], n), slices.Grow(r.each[:0], 2*n)
	r.parts = slices.Grow(r.parts[:0], 2*len(loadExponents)*(len(a.Levels)*len(a.Errors)+len(b.Levels)*len(b.Errors)))
	for side, c := range [2]*Compact{a, b} {
		r.sources[side] = c.sources(r.sources[side], side)
		for m := range loadExponents {
			for level, v := range c.Levels {
				r.members = append(r.members, compactMember{side, m, volts / v, c.Ohm / ohm, c.Watts[m][level]})
				r.addParts(c, side, m, level)
			}
		}
	}
	r.blend.Mix(r.values...)
	r.by = slices.Grow(r.by[:0], n)[:n]
	members, blend, by := r.members, &r.blend, r.by
	d.estimate = func(ka, ma, kb, mb float64) PairCorner {
		c := PairCorner{KA: ka, MA: ma, KB: kb, MB: mb}
		k, m, y := [2]float64{ka, kb}, [2]float64{ma, mb}, [2]float64{}
		for i, w := range members {
			by[i] = 0
			if loadExponents[w.m] == m[w.side] {
				by[i] = math.Pow(w.volts, k[w.side]) * math.Pow(w.ohms, m[w.side])
				y[w.side] += by[i] * w.watts
			}
		}
		c.YA, c.YB = y[0], y[1]
		c.U, c.DoF = blend.SumAt(func(i, j int) float64 {
			f, side := by[i], members[i].side
			if side == 1 {
				f = -f
			}
			if j == 1 {
				f *= k[side]
			}
			return f
		})
		return c
	}
	return d
}

// A compactMember is one level of a unit at one load exponent.
type compactMember struct {
	side, m     int
	volts, ohms float64 // by what it is carried: (V/v) and (own load/the point's)
	watts       float64
}

// sources are a compact standing's causes of error, one for each of its Errors, in a room.
func (c *Compact) sources(room []quantity.Source, side int) []quantity.Source {
	room = slices.Grow(room[:0], len(c.Errors))
	for i := range c.Errors {
		e := &c.Errors[i]
		one := quantity.Source{ID: e.ID, Group: e.Group, Estimate: e.Estimate, DoF: e.DoF}
		if e.ID == "" {
			one.ID = strconv.Itoa(side) + " " + strconv.Itoa(i)
		}
		room = append(room, one)
	}
	return room
}

// addParts adds a member's values: what its side's errors contribute to a level, and by how
// much more with k. There is room for the parts, so that they stay where they are.
func (r *compactRoom) addParts(c *Compact, side, m, level int) {
	sources, all := r.sources[side], len(r.each)
	for _, of := range [2]func(*CompactError) *Levels{
		func(e *CompactError) *Levels { return e.At }, func(e *CompactError) *Levels { return e.Slope },
	} {
		from := len(r.parts)
		for i := range c.Errors {
			if l := of(&c.Errors[i]); l != nil {
				r.parts = append(r.parts, quantity.Part{Source: &sources[i], C: l[m][level]})
			}
		}
		r.each = append(r.each, quantity.Value{Parts: r.parts[from:len(r.parts):len(r.parts)]})
	}
	r.values = append(r.values, r.each[all:len(r.each):len(r.each)])
}
