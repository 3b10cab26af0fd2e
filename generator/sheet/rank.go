package sheet

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/verdict"
)

// A RankTable is units at one point, with the ranks that each may have. It has
// those that were measured at one frequency and with supply voltages that may be
// compared: others could not be told apart from them, and would only widen ranks.
type RankTable struct {
	At      Point
	Title   string      // "4 Ω, at 1 % THD+N, 1 kHz, supply 13.51 to 14.41 V"
	Rows    []RankRow   // by total carried to a common voltage, the largest first, then by slug
	Without []*Standing // in a point's first table: units with valid runs there but no figure, by slug
	Note    string      // [PairwiseNote]

	bounds []bounds // one for each row
	t      float64  // Student's t beyond which any pair of the table is told apart
}

// A RankRow is one unit of a table.
type RankRow struct {
	*Standing
	First, Last int    // the ranks that it may have: 1 + told apart as better … n − told apart as worse
	Rank        string // "1–2", or "3"
}

// Rank ranks the units at a point: one table for each frequency and kind of supply,
// the longest first. A unit without a run there is left out; one whose runs give no
// figure is named with the reason. There is one table at least.
//
// All n·(n − 1)/2 pairs of a table are compared, but few by their corners: bounds
// decide the clear ones first, and never otherwise than the corners would. What is
// left takes some 50 µs a pair: a second or two of processor time for 1,000 units
// that lie within a factor of three, a hundred times that for 10,000 (see
// BenchmarkRank); less the further units lie apart.
func Rank(sheets []*Sheet, at Point) []*RankTable {
	var rows []RankRow
	var without []*Standing
	for _, s := range sheets {
		if !slices.ContainsFunc(s.Runs, func(r *Run) bool {
			return r.Valid && r.Method.ID == at.Method.ID && r.Bridged == at.Bridged && atLoad(r, at.Ohm)
		}) {
			continue
		}
		if st := StandingOf(s, at); st.Total == nil {
			without = append(without, st)
		} else {
			rows = append(rows, RankRow{Standing: st})
		}
	}
	slices.SortFunc(without, func(a, b *Standing) int { return cmp.Compare(a.Sheet.Slug, b.Sheet.Slug) })
	var out []*RankTable
	for _, group := range groupsOf(rows) {
		t := &RankTable{At: at, Rows: group, Note: PairwiseNote}
		t.Title = at.Title() + ", " + conditionsOf(group)
		t.order()
		t.prepare()
		t.rank()
		out = append(out, t)
	}
	if len(out) == 0 {
		out = []*RankTable{{At: at, Title: at.Title(), Note: PairwiseNote}}
	}
	out[0].Without = without
	return out
}

// RankTables ranks at every point at which a unit has a figure.
func RankTables(sheets []*Sheet) []*RankTable {
	var out []*RankTable
	for _, p := range Points(sheets) {
		if tables := Rank(sheets, p); len(tables[0].Rows) > 0 {
			out = append(out, tables...)
		}
	}
	return out
}

// groupsOf are the rows that may be compared, directly or through others: of one
// frequency, and then by supply voltage in steps that two units may differ by. The
// largest group comes first, then by frequency and voltage; a group is sorted by
// voltage.
func groupsOf[R party](rows []R) [][]R {
	const step = (1 + supplyReach) / (1 - supplyReach)
	slices.SortStableFunc(rows, func(a, b R) int {
		x, y := a.facts(), b.facts()
		return cmp.Or(cmp.Compare(x.FreqHz, y.FreqHz), cmp.Compare(x.SupplyV, y.SupplyV), cmp.Compare(slugOf(a), slugOf(b)))
	})
	var out [][]R
	for start := 0; start < len(rows); {
		end := start + 1
		for first := rows[start].facts().FreqHz; end < len(rows) && rows[end].facts().FreqHz-first <= nominalReach*first; {
			end++
		}
		same := slices.Clone(rows[start:end])
		slices.SortStableFunc(same, func(a, b R) int { return cmp.Compare(a.facts().SupplyV, b.facts().SupplyV) })
		for len(same) > 0 {
			n := 1
			for n < len(same) && same[n].facts().SupplyV <= step*same[n-1].facts().SupplyV {
				n++
			}
			out, same = append(out, same[:n:n]), same[n:]
		}
		start = end
	}
	slices.SortStableFunc(out, func(a, b []R) int { return len(b) - len(a) })
	return out
}

func slugOf(p party) string {
	slug, _ := p.who()
	return slug
}

// conditionsOf is the frequency and the supply voltages of a group, which is sorted by
// voltage: "1 kHz, supply 13.51 to 14.41 V".
func conditionsOf[R party](group []R) string {
	first, last := group[0].facts(), group[len(group)-1].facts()
	text := hertz(first.FreqHz) + ", supply " + first.SupplyText()
	if last.SupplyText() != first.SupplyText() {
		text = strings.TrimSuffix(text, nbsp+"V") + " to " + last.SupplyText()
	}
	return text
}

// order sorts the rows by total carried to the median supply voltage and the
// nominal load, in the middle of the supply exponents and without a load exponent:
// so no unit stands above one that is told apart as better.
func (t *RankTable) order() {
	volts := t.Rows[len(t.Rows)/2].SupplyV
	carried := map[*Standing]float64{}
	for _, r := range t.Rows {
		for _, run := range r.runs {
			carried[r.Standing] += electric.CarriedEstimate(run.Total.X, run.SupplyV.X, t.At.Ohm, volts, t.At.Ohm, supplyMost/2, 0) / float64(len(r.runs))
		}
	}
	slices.SortFunc(t.Rows, func(a, b RankRow) int {
		return cmp.Or(-cmp.Compare(carried[a.Standing], carried[b.Standing]), cmp.Compare(a.Sheet.Slug, b.Sheet.Slug))
	})
}

// rank counts for each row how many are told apart as better and as worse.
func (t *RankTable) rank() {
	for i, r := range ranksOf(len(t.Rows), t.Side) {
		t.Rows[i].First, t.Rows[i].Last, t.Rows[i].Rank = r.first, r.last, r.text()
	}
}

// An interval is the ranks that one of a list may have.
type interval struct{ first, last int }

// ranksOf gives the ranks of n units by what tells each pair apart.
func ranksOf(n int, side func(i, j int) verdict.Side) []interval {
	out := openRanks(n)
	for i := range out {
		for j := i + 1; j < n; j++ {
			switch side(i, j) {
			case verdict.First:
				out[j].first++
				out[i].last--
			case verdict.Second:
				out[i].first++
				out[j].last--
			}
		}
	}
	return out
}

// openRanks are the ranks of n units none of which is told apart yet.
func openRanks(n int) []interval {
	return slices.Repeat([]interval{{1, n}}, n)
}

// text is the interval for people: "1–2", or "3".
func (r interval) text() string {
	if r.last > r.first {
		return strconv.Itoa(r.first) + "–" + strconv.Itoa(r.last)
	}
	return strconv.Itoa(r.first)
}

// Side tells two rows apart: First where row i gives more than row j. It is what
// [Apart] says of the two, mostly without its corners.
func (t *RankTable) Side(i, j int) verdict.Side {
	if side, sure := t.clear(i, j); sure {
		return side
	}
	return t.byCorners(i, j)
}

// byCorners is [RankTable.Side] by the corners alone.
func (t *RankTable) byCorners(i, j int) verdict.Side {
	a, b := t.Rows[i].Standing, t.Rows[j].Standing
	switch {
	case cannotCompare(a, b) != "":
		return verdict.Neither
	case a.Sheet.Slug > b.Sheet.Slug:
		return -t.byCorners(j, i)
	}
	d := newDuel(a, b, (a.SupplyV+b.SupplyV)/2)
	if d.together() {
		return verdict.Neither
	}
	return d.difference().Side
}

// Pair compares two rows in full.
func (t *RankTable) Pair(i, j int) *Pair { return compare(t.Rows[i].Standing, t.Rows[j].Standing) }

// Sides tells a row apart from each row of the table, itself included.
func (t *RankTable) Sides(i int) []verdict.Side {
	out := make([]verdict.Side, len(t.Rows))
	for j := range out {
		if j != i {
			out[j] = t.Side(i, j)
		}
	}
	return out
}
