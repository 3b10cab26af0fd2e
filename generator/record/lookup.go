package record

import (
	"math"
	"strings"
)

// ReadQuantities are the keys of everything that an instrument reads in a run,
// in the order of the schema.
var ReadQuantities = []string{"power_w", "out_v", "thdn_pct", "supply_v", "supply_a", "supply_w", "load_c"}

// Method gives the method with this id, or nil.
func (c *Content) Method(id string) *Method {
	if c.Methods == nil {
		return nil
	}
	for i := range c.Methods.Methods {
		if c.Methods.Methods[i].ID == id {
			return &c.Methods.Methods[i]
		}
	}
	return nil
}

// Load gives the load with this id, or nil.
func (b *Bench) Load(id string) *Load {
	if b == nil {
		return nil
	}
	for i := range b.Loads {
		if b.Loads[i].ID == id {
			return &b.Loads[i]
		}
	}
	return nil
}

// Readers are the ids of the instruments that have a range for a quantity.
func (b *Bench) Readers(quantity string) []string {
	if b == nil {
		return nil
	}
	var ids []string
	for i := range b.Instruments {
		if in := &b.Instruments[i]; in.RangeFor(quantity, 0) != nil {
			ids = append(ids, in.ID)
		}
	}
	return ids
}

// Instrument gives the instrument with this id, or nil.
func (b *Bench) Instrument(id string) *Instrument {
	if b == nil {
		return nil
	}
	for i := range b.Instruments {
		if b.Instruments[i].ID == id {
			return &b.Instruments[i]
		}
	}
	return nil
}

// RangeFor gives the smallest of the instrument's ranges for a quantity that
// holds a value, in the quantity's unit, or nil.
func (i *Instrument) RangeFor(quantity string, value float64) *Range {
	if i == nil {
		return nil
	}
	var best *Range
	for n := range i.Ranges {
		r := &i.Ranges[n]
		if r.Reads == quantity && math.Abs(value) <= r.To.Value && (best == nil || r.To.Value < best.To.Value) {
			best = r
		}
	}
	return best
}

// Of names the instrument of a quantity; its Place is zero where none is named.
func (q *Quantities) Of(quantity string) Ref {
	switch quantity {
	case "power_w":
		return q.PowerW
	case "out_v":
		return q.OutV
	case "thdn_pct":
		return q.ThdnPct
	case "supply_v":
		return q.SupplyV
	case "supply_a":
		return q.SupplyA
	case "supply_w":
		return q.SupplyW
	case "load_c":
		return q.LoadC
	}
	return Ref{}
}

// Readings gives the run's readings of a quantity: one a driven channel, or
// one for the whole unit where it is read at the supply.
func (r *Run) Readings(quantity string) []Number {
	switch quantity {
	case "power_w":
		return r.PowerW.Items
	case "out_v":
		return r.OutV.Items
	case "thdn_pct":
		return r.ThdnPct.Items
	case "load_c":
		return r.LoadC.Items
	case "supply_v":
		return given(r.SupplyV)
	case "supply_a":
		return given(r.SupplyA)
	case "supply_w":
		return given(r.SupplyW)
	}
	return nil
}

func given(n Number) []Number {
	if n.Given() {
		return []Number{n}
	}
	return nil
}

// InstrumentFor gives the instrument that read a quantity in this run: the one
// the run names, else the bench's usual one, else nil.
func (r *Run) InstrumentFor(quantity string, b *Bench) *Instrument {
	if b == nil {
		return nil
	}
	ref := r.With.Of(quantity)
	if !ref.Given() {
		ref = b.Usual.Of(quantity)
	}
	if !ref.Given() {
		return nil
	}
	return b.Instrument(ref.ID)
}

// DrivenOf gives the names of the channels that the run drove, a bridged pair
// as "L+R": the run's own, else all channels of the unit.
func (r *Run) DrivenOf(u *Unit) []string {
	if len(r.Driven) > 0 {
		return r.Driven
	}
	return u.Channels
}

// pair splits a bridged pair's name; ok is false for a single channel.
func pair(driven string) (first, second string, ok bool) {
	return strings.Cut(driven, "+")
}
