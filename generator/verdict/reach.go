package verdict

import (
	"math"

	"wattsheet/generator/quantity"
)

// ends is how far down and up an estimate goes for the rule: the limits at which its p
// is just MetFrom, and just the bound of ShortOf.
type ends struct{ low, high reach }

// A reach is a limit at which an estimate's p is a bound. What decides and changes is
// mostly clear from what it lies between, for a fraction of the work.
type reach struct {
	least, most float64 // equal when it is exact
	exact       bool
}

// reaches returns how far the estimates go, found when first asked for.
func (d *Decision) reaches() []ends {
	if d.ends != nil {
		return d.ends
	}
	d.ends = make([]ends, len(d.spots))
	low, high := quantity.QuantileBounds(d.rule.MetFrom), quantity.QuantileBounds(d.short)
	for i, s := range d.spots {
		if s.Estimate == nil {
			d.ends[i] = ends{reach{exact: true}, reach{exact: true}}
			continue
		}
		d.ends[i] = ends{s.reach(low), s.reach(high)}
	}
	return d.ends
}

// reach is an estimate's reach by the bounds of a quantile.
func (s spot) reach(bounds func(dof float64) (least, most float64)) reach {
	if s.U == 0 {
		return reach{s.Y, s.Y, true}
	}
	least, most := bounds(s.DoF)
	return reach{s.Y - most*s.U, s.Y - least*s.U, least == most}
}

// settle makes a reach exact: that of the estimate at a place for a bound p.
func (d *Decision) settle(r *reach, i int, p float64) float64 {
	if !r.exact {
		s := d.spots[i]
		r.least = s.Y - quantity.Quantile(p, s.DoF)*s.U
		r.most, r.exact = r.least, true
	}
	return r.least
}

// low and high are the exact reaches of the estimate at a place.
func (d *Decision) low(i int) float64  { return d.settle(&d.reaches()[i].low, i, d.rule.MetFrom) }
func (d *Decision) high(i int) float64 { return d.settle(&d.reaches()[i].high, i, d.short) }

// bar sets the interval that the rule decides by. Every channel has to reach the
// limit, so one that can't be shown to leaves the low end open; the high end is
// the lowest channel's that can be shown to miss it.
func (d *Decision) bar(r *Result) {
	ends := d.reaches()
	lows := make([]int, 0, len(d.spots)/places)
	for i := 0; i < len(d.spots); i += places {
		n := d.lower(i)
		if n == none {
			r.LowOpen, n = true, d.leading(i)
		}
		lows = append(lows, n)
	}
	r.Low = least(lows, func(i int) reach { return ends[i].low }, d.low)

	atLeast := math.Inf(-1) // what the highest top is at least
	high := func(i int) reach { return ends[i].high }
	var room [8]int
	for n := range d.corners {
		tops, _ := d.tops(n, room[:0])
		from, _ := bounds(tops, high)
		atLeast = math.Max(atLeast, from)
	}
	r.High = math.Inf(-1)
	for n := range d.corners {
		tops, open := d.tops(n, room[:0])
		r.HighOpen = r.HighOpen || open
		if _, to := bounds(tops, high); to >= atLeast {
			r.High = math.Max(r.High, least(tops, high, d.high))
		}
	}
}

// tops appends the estimates of which the lowest is a corner's high end, and whether they
// only stand in for one that can show the claim short.
func (d *Decision) tops(corner int, tops []int) (_ []int, open bool) {
	for channel := range d.channels {
		if i := d.upper(d.first(corner, channel)); i != none {
			tops = append(tops, i)
		}
	}
	if len(tops) > 0 {
		return tops, false
	}
	for channel := range d.channels {
		tops = append(tops, d.leading(d.first(corner, channel)))
	}
	return tops, true
}

// bounds are what the least of some reaches lies between.
func bounds(places []int, of func(int) reach) (from, to float64) {
	from, to = math.Inf(1), math.Inf(1)
	for _, i := range places {
		r := of(i)
		from, to = math.Min(from, r.least), math.Min(to, r.most)
	}
	return from, to
}

// least is the least of some reaches; only those are made exact that may be it.
func least(places []int, of func(int) reach, exact func(int) float64) float64 {
	_, to := bounds(places, of)
	out := math.Inf(1)
	for _, i := range places {
		if of(i).least <= to {
			out = math.Min(out, exact(i))
		}
	}
	return out
}
