package sheet

import (
	"cmp"
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// A CompactTable is units at one point, ranked by their compact standings: as a
// [RankTable] ranks them by their sheets.
type CompactTable struct {
	At         Point
	Conditions string // "1 kHz, supply 13.51 to 14.41 V"; empty where no unit has a figure
	Rows       []CompactRow
	Without    []*Compact // in a point's first table: units with valid runs there but no figure, by slug
	// Bounded says that the table is too long to compare close pairs by their corners: what
	// the bounds leave open counts as not told apart, so that ranks may be wider.
	Bounded bool

	bounds []compactBounds
	t      float64 // as in [RankTable]
}

// A CompactRow is one unit of a table.
type CompactRow struct {
	*Compact
	First, Last int
	Rank        string
}

// RankCompact ranks compact standings of one point, as [Rank] ranks the sheets that they
// are of. The order of units whose totals are nearly the same may be another. A table of
// more than [MostByCorners] units is ranked by bounds alone.
func RankCompact(all []*Compact, at Point) []*CompactTable {
	return rankCompact(all, at, MostByCorners)
}

// rankCompact is [RankCompact] with the length up to which corners decide close pairs.
func rankCompact(all []*Compact, at Point, most int) []*CompactTable {
	var rows []CompactRow
	var without []*Compact
	for _, c := range all {
		if c.stands() {
			rows = append(rows, CompactRow{Compact: c})
		} else {
			without = append(without, c)
		}
	}
	slices.SortFunc(without, func(a, b *Compact) int { return cmp.Compare(a.Slug, b.Slug) })
	var out []*CompactTable
	for _, group := range groupsOf(rows) {
		t := &CompactTable{At: at, Conditions: conditionsOf(group), Rows: group}
		t.order()
		t.prepare()
		t.Bounded = len(t.Rows) > most
		for i, r := range t.ranks() {
			t.Rows[i].First, t.Rows[i].Last, t.Rows[i].Rank = r.first, r.last, r.text()
		}
		out = append(out, t)
	}
	if len(out) == 0 {
		out = []*CompactTable{{At: at}}
	}
	out[0].Without = without
	return out
}

// ranks are those that each row may have.
func (t *CompactTable) ranks() []interval {
	if t.Bounded {
		return t.ranksByBounds()
	}
	return ranksOf(len(t.Rows), t.Side)
}

// order sorts the rows as [RankTable.order] does.
func (t *CompactTable) order() {
	volts := t.Rows[len(t.Rows)/2].SupplyV
	carried := map[*Compact]float64{}
	for _, r := range t.Rows {
		for l, v := range r.Levels {
			// Halfway between the load exponents −1 and +1.
			watts := math.Sqrt(r.Watts[0][l] * r.Watts[1][l])
			carried[r.Compact] += watts * math.Pow(volts/v, supplyMost/2) * r.Ohm / t.At.Ohm
		}
	}
	slices.SortFunc(t.Rows, func(a, b CompactRow) int {
		return cmp.Or(-cmp.Compare(carried[a.Compact], carried[b.Compact]), cmp.Compare(a.Slug, b.Slug))
	})
}

// Side tells two rows apart: First where row i gives more than row j. It is what
// [CompactApart] says of the two, mostly without their corners.
func (t *CompactTable) Side(i, j int) verdict.Side {
	if side, sure := t.clear(i, j); sure {
		return side
	}
	return CompactSide(t.Rows[i].Compact, t.Rows[j].Compact, t.At)
}

// CompactSide is the side of [CompactApart], without its words.
func CompactSide(a, b *Compact, at Point) verdict.Side {
	switch {
	case a.Slug > b.Slug:
		return -CompactSide(b, a, at)
	case cannotCompare(a, b) != "":
		return verdict.Neither
	}
	r := compactRooms.Get().(*compactRoom)
	defer compactRooms.Put(r)
	d := r.duel(a, b, (a.SupplyV+b.SupplyV)/2, at.Ohm)
	if d.together() {
		return verdict.Neither
	}
	return d.difference().Side
}

// Apart counts the rows that a row is told apart from.
func (t *CompactTable) Apart(i int) int {
	r := &t.Rows[i]
	return r.First - 1 + len(t.Rows) - r.Last
}

// compactBounds decide clear pairs, as [bounds] do. Carried from one voltage to another,
// a total and all its errors go with one factor, so that the ends of the exponents are
// exact at any voltage; within them, where runs lie on both sides of the voltage, the
// total is bounded level by level. Errors that have neither id nor group are the unit's
// own, and add in squares in a difference; of the others u has at most the sum of both.
type compactBounds struct {
	ends              [4]compactEnd // at the mean supply voltage; first both of k = 0
	least, most       float64       // levels
	ownMost, restMost float64       // relative to the total, at any exponent
	doubt             bool
	twin              bool    // the unit stands here at another nominal load too
	low, high         float64 // the total less and plus t·u, at any voltage that it may be carried to
}

// A compactEnd is the total at one end of both exponents, in W.
type compactEnd struct {
	y, own float64
	rest   float64 // at most
}

func (t *CompactTable) prepare() {
	dof := math.Inf(1)
	for _, r := range t.Rows {
		for _, e := range r.Errors {
			if e.DoF > 0 {
				dof = math.Min(dof, e.DoF)
			}
		}
	}
	t.t = quantity.Quantile(apartRule.MetFrom, dof)
	count := map[string]int{}
	for _, r := range t.Rows {
		count[r.Slug]++
	}
	for _, r := range t.Rows {
		b := t.boundsOf(r.Compact)
		b.twin = count[r.Slug] > 1
		t.bounds = append(t.bounds, b)
	}
}

func (t *CompactTable) boundsOf(c *Compact) compactBounds {
	b := compactBounds{least: slices.Min(c.Levels), most: slices.Max(c.Levels), doubt: c.Doubt != ""}
	all := make([]int, len(c.Levels))
	for l := range all {
		all[l] = l
	}
	for i, k := range supplyExponents {
		for m := range loadExponents {
			ohms := math.Pow(c.Ohm/t.At.Ohm, loadExponents[m])
			b.ends[2*i+m] = c.endOf(k, m, all, ohms)
			for l := range c.Levels {
				one := c.endOf(k, m, all[l:l+1], ohms)
				if one.y > 0 {
					b.ownMost, b.restMost = math.Max(b.ownMost, one.own/one.y), math.Max(b.restMost, one.rest/one.y)
				}
			}
		}
	}
	from, to := b.at(c.SupplyV, b.most/(1+supplyReach)), b.at(c.SupplyV, b.least/(1-supplyReach))
	u := to.own + to.rest
	b.low, b.high = from.low-t.t*u, to.high+t.t*u
	return b
}

// endOf is what some levels come to at the mean supply voltage, carried by a factor to the
// point's nominal load.
func (c *Compact) endOf(k float64, m int, levels []int, ohms float64) (out compactEnd) {
	factor := func(l int) float64 { return ohms * math.Pow(c.SupplyV/c.Levels[l], k) }
	for _, l := range levels {
		out.y += c.Watts[m][l] * factor(l)
	}
	groups := map[string]float64{}
	var own, rest float64
	for _, e := range c.Errors {
		sum := 0.0
		for _, l := range levels {
			x := 0.0
			if e.At != nil {
				x = e.At[m][l]
			}
			if e.Slope != nil {
				x += k * e.Slope[m][l]
			}
			sum += x * factor(l)
		}
		switch {
		case e.Group != "":
			groups[e.Group] += math.Abs(sum)
		case e.ID != "":
			rest += sum * sum
		default:
			own += sum * sum
		}
	}
	for _, sum := range groups {
		rest += sum * sum
	}
	out.own, out.rest = math.Sqrt(own), math.Sqrt(rest)
	return out
}

// A compactSpan is what is known of a total at all corners, carried to a voltage.
type compactSpan struct {
	low, high   float64    // over all exponents
	least, most compactEnd // the smallest and the largest end
	own, rest   float64    // at most
}

// at carries from the mean supply voltage to another.
func (b *compactBounds) at(mean, volts float64) compactSpan { return b.over(mean, volts, volts) }

// over carries from the mean supply voltage to all voltages of a range: what it gives holds
// at each of them.
func (b *compactBounds) over(mean, from, to float64) compactSpan {
	low := carriedBy(from / mean)
	high := low
	if to != from {
		high = carriedBy(to / mean)
	}
	s := compactSpan{}
	for i := range b.ends {
		less, more := b.ends[i], b.ends[i]
		if i >= 2 {
			less, more = less.times(low), more.times(high)
		}
		if i == 0 || less.y < s.least.y {
			s.least = less
		}
		if i == 0 || more.y > s.most.y {
			s.most = more
		}
		s.own, s.rest = max(s.own, more.own), max(s.rest, more.rest)
	}
	s.low, s.high = s.least.y, s.most.y
	if b.least < to && from < b.most {
		s.low = min(s.low, min(b.ends[0].y, b.ends[1].y)*carriedBy(from/b.most))
		s.high = max(s.high, max(b.ends[0].y, b.ends[1].y)*carriedBy(to/b.least))
		s.own, s.rest = max(s.own, s.high*b.ownMost), max(s.rest, s.high*b.restMost)
	}
	return s
}

func (e compactEnd) times(q float64) compactEnd { return compactEnd{e.y * q, e.own * q, e.rest * q} }

// carriedBy is the factor by which a ratio of voltages moves a total at the largest supply
// exponent, but for rounding: a bound has [slack] for that.
func carriedBy(ratio float64) float64 {
	if ratio == 1 {
		return 1
	}
	return math.Exp(supplyMost * math.Log(ratio))
}

// clear decides a pair by its bounds; sure is false where its corners have to be looked
// at.
func (t *CompactTable) clear(i, j int) (side verdict.Side, sure bool) {
	a, b := &t.bounds[i], &t.bounds[j]
	if a.doubt || b.doubt || a.twin && t.Rows[i].Slug == t.Rows[j].Slug {
		return verdict.Neither, true
	}
	va, vb := t.Rows[i].SupplyV, t.Rows[j].SupplyV
	volts := (va + vb) / 2
	if math.Min(a.least, b.least) < volts*(1-supplyReach)*(1+slack) || math.Max(a.most, b.most) > volts*(1+supplyReach)*(1-slack) {
		return verdict.Neither, false // near the end of the reach, or beyond it
	}
	switch {
	case a.low > b.high*(1+slack):
		return verdict.First, true
	case b.low > a.high*(1+slack):
		return verdict.Second, true
	}
	x, y := a.at(va, volts), b.at(vb, volts)
	u := math.Sqrt(x.own*x.own + y.own*y.own + (x.rest+y.rest)*(x.rest+y.rest))
	need := t.t*u*(1+slack) + slack*math.Max(x.high, y.high)
	switch {
	case x.low-y.high > need:
		return verdict.First, true
	case y.low-x.high > need:
		return verdict.Second, true
	case x.least.y > y.most.y:
		return verdict.Neither, surelyClose(x.least, y.most)
	case y.least.y > x.most.y:
		return verdict.Neither, surelyClose(y.least, x.most)
	}
	// at one corner the first gives more, at another the second
	return verdict.Neither, true
}

// surelyClose reports whether the difference at a corner is surely too small to be told
// from nothing: below the normal quantile times what the units' own errors bring.
func surelyClose(more, less compactEnd) bool {
	return more.y-less.y < normalBound*math.Hypot(more.own, less.own)*(1-slack)
}
