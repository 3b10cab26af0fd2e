package sheet

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"wattsheet/generator/verdict"
)

// MostByCorners is how many units a table may have for its close pairs to be compared by
// their corners, some 15 µs a pair. In a longer one a pair that the bounds leave open counts
// as not told apart: that can only widen ranks.
const MostByCorners = 300

// BoundedNote stands beside a table whose ranks are by bounds alone.
const BoundedNote = "The table has more than 300 units. In one as long as that, pairs that quick bounds can’t tell apart count as not told apart: a rank may be wider than in a shorter table, never narrower."

// voltsStep is by how much the supply voltages of units may differ, as a ratio, that are
// carried to a voltage together: it widens their totals by its power 2.6.
const voltsStep = 1.005

// ranksByBounds gives the ranks that [compactBounds] alone tell. Units of nearly one
// voltage stand in a step. The voltages that those of one step and those of another meet at
// are a narrow range, so that each unit has bounds that don't depend on its partner: whole
// ranges of sorted rows are told apart at once. Only pairs close to each other are looked
// at one by one.
func (t *CompactTable) ranksByBounds() []interval {
	r := ranking{t, openRanks(len(t.Rows))}
	steps := t.steps()
	for n, one := range steps {
		r.within(one)
		for _, other := range steps[n+1:] {
			r.between(one, other)
		}
	}
	return r.ranks
}

// steps are the rows that may be told apart at all, by number, in steps of voltage.
func (t *CompactTable) steps() (out [][]int) {
	var rows []int
	for i := range t.Rows {
		if !t.bounds[i].doubt {
			rows = append(rows, i)
		}
	}
	volts := func(i int) float64 { return t.Rows[i].SupplyV }
	slices.SortFunc(rows, func(a, b int) int { return cmp.Or(cmp.Compare(volts(a), volts(b)), cmp.Compare(a, b)) })
	for len(rows) > 0 {
		n := sort.Search(len(rows), func(n int) bool { return volts(rows[n]) > voltsStep*volts(rows[0]) })
		out, rows = append(out, rows[:n]), rows[n:]
	}
	return out
}

// A ranking counts who is told apart.
type ranking struct {
	table *CompactTable
	ranks []interval
}

// pair looks at one pair.
func (r *ranking) pair(i, j int) {
	switch side, _ := r.table.clear(i, j); side {
	case verdict.First:
		r.ranks[i].last--
		r.ranks[j].first++
	case verdict.Second:
		r.ranks[i].first++
		r.ranks[j].last--
	}
}

// within tells the rows of one step apart.
func (r *ranking) within(step []int) {
	from, to := r.table.meeting(step, step)
	all := r.table.carried(step, from, to)
	r.better(&all, &all)
	for n, i := range all.edge {
		for _, j := range all.edge[n+1:] {
			r.pair(i, j)
		}
		for _, j := range all.rows {
			r.pair(i, j.row)
		}
	}
}

// between tells the rows of two steps apart.
func (r *ranking) between(one, other []int) {
	from, to := r.table.meeting(one, other)
	a, b := r.table.carried(one, from, to), r.table.carried(other, from, to)
	r.better(&a, &b)
	r.better(&b, &a)
	for _, i := range a.edge {
		for _, j := range b.edge {
			r.pair(i, j)
		}
		for _, j := range b.rows {
			r.pair(i, j.row)
		}
	}
	for _, j := range b.edge {
		for _, i := range a.rows {
			r.pair(i.row, j)
		}
	}
}

// meeting is the range of the mean voltages of the rows of two steps.
func (t *CompactTable) meeting(one, other []int) (from, to float64) {
	volts := func(i int) float64 { return t.Rows[i].SupplyV }
	return (volts(one[0]) + volts(other[0])) / 2, (volts(one[len(one)-1]) + volts(other[len(other)-1])) / 2
}

// A carriedSet is rows carried to a range of voltages.
type carriedSet struct {
	rows []carriedRow // by high
	lows []float64    // of all rows, sorted
	gap  float64      // the largest ratio of high to mayHigh
	edge []int        // rows that are looked at one by one: they reach a part of the range only
}

// A carriedRow is a row whose runs surely reach the range. One is told apart as better than
// another where its low is above the other's high; its bounds don't tell it where its
// mayLow isn't above the other's mayHigh. Both follow from what the u of a difference is
// at most, the sum of both, and at least, the root of the sum of both squares, which is no
// less than the sum by √2.
type carriedRow struct {
	row             int
	low, high       float64
	mayLow, mayHigh float64
}

// carried carries rows to a range of voltages; those that don't reach any of it are left out.
func (t *CompactTable) carried(rows []int, from, to float64) (out carriedSet) {
	const least, most = (1 - supplyReach) * (1 + slack), (1 + supplyReach) * (1 - slack)
	for _, i := range rows {
		switch b := &t.bounds[i]; {
		case b.least < from*least || b.most > to*most:
		case b.twin || b.least < to*least || b.most > from*most:
			out.edge = append(out.edge, i)
		default:
			c := t.carriedRow(i, from, to)
			out.rows, out.lows, out.gap = append(out.rows, c), append(out.lows, c.low), math.Max(out.gap, c.high/c.mayHigh)
		}
	}
	slices.SortFunc(out.rows, func(a, b carriedRow) int { return cmp.Or(cmp.Compare(a.high, b.high), cmp.Compare(a.row, b.row)) })
	slices.Sort(out.lows)
	if slices.ContainsFunc(out.rows, func(c carriedRow) bool { return !(c.mayHigh > 0) }) {
		out.gap = math.Inf(1)
	}
	return out
}

func (t *CompactTable) carriedRow(i int, from, to float64) carriedRow {
	b, mean := &t.bounds[i], t.Rows[i].SupplyV
	s := b.over(mean, from, to)
	u := t.t*(s.own+s.rest)*(1+slack) + slack*s.high
	down := carriedBy(from / mean)
	up := down
	if to != from {
		up = carriedBy(to / mean)
	}
	low, high, own, rest := math.Inf(1), 0.0, 0.0, 0.0
	for i, e := range b.ends {
		less, more := e, e
		if i >= 2 {
			less, more = e.times(down), e.times(up)
		}
		low, high, own, rest = min(low, more.y), max(high, less.y), max(own, less.own), max(rest, less.rest)
	}
	least := t.t * math.Sqrt((own*own+rest*rest)/2) * (1 - slack)
	return carriedRow{i, s.low - u, s.high + u, low*(1+slack) - least, high*(1-slack) + least}
}

// better counts the rows of a set that are told apart as better than those of another, or
// than others of the same.
func (r *ranking) better(x, y *carriedSet) {
	for _, a := range x.rows {
		n := sort.Search(len(y.rows), func(n int) bool { return y.rows[n].high >= a.low })
		r.ranks[a.row].last -= n
		for _, b := range y.rows[n:] {
			if b.high >= a.mayLow*y.gap {
				break
			}
			if b.mayHigh >= a.mayLow || b.row == a.row {
				continue
			}
			if side, _ := r.table.clear(a.row, b.row); side == verdict.First {
				r.ranks[a.row].last--
				r.ranks[b.row].first++
			}
		}
	}
	for _, b := range y.rows {
		r.ranks[b.row].first += len(x.lows) - sort.Search(len(x.lows), func(n int) bool { return x.lows[n] > b.high })
	}
}
