package quantity

import (
	"math"
	"slices"
	"strings"
)

// Sharing is how a group's parts were taken in a figure.
type Sharing byte

// The ways of sharing.
const (
	Own         Sharing = iota // the part has no group, or stands alone in it
	Independent                // correlation 0 within the group
	Common                     // correlation 1 within the group
)

// String is the word that files have for it: empty, independent or common.
func (s Sharing) String() string {
	return [...]string{Own: "", Independent: "independent", Common: "common"}[s]
}

// A Line is one row of an uncertainty budget.
type Line struct {
	Source  *Source
	C       float64 // signed contribution in the value's unit: sensitivity times standard uncertainty
	Sharing Sharing
}

// A Budget is a value's uncertainty, evaluated.
type Budget struct {
	Lines []Line  // by group, then by source
	U     float64 // combined standard uncertainty, in the value's unit
	DoF   float64 // effective degrees of freedom, not truncated; +Inf when no part has finite ones
}

// Budget evaluates the combined standard uncertainty
//
//	u² = Σ_g max(Σ c², (Σ c)²) + Σ c²
//
// where g runs over the groups whose sharing is not known, and the last sum over
// the parts without a group (JCGM 100:2008, 5.1.2 and 5.2.2), and the effective
// degrees of freedom (Welch–Satterthwaite; JCGM 100, G.4.1, equation G.2b)
//
//	ν = u⁴ / Σ_e (u_e⁴/ν_e)
//
// where e runs over the estimates and u_e² is the variance that estimate e
// brings. A group that is taken as one error counts with the estimate of fewest
// degrees of freedom in it.
func (v Value) Budget() Budget { return v.BudgetIn(nil) }

// BudgetIn is [Value.Budget] with its lines in a room; nil gives them one of their own.
func (v Value) BudgetIn(room *Room) Budget {
	b := Budget{Lines: room.lines(len(v.Parts))}
	b.U, b.DoF = v.evaluate(b.Lines)
	return b
}

// Std returns the combined standard uncertainty, in the value's unit.
func (v Value) Std() float64 {
	u, _ := v.Freedom()
	return u
}

// Freedom returns the combined standard uncertainty and the effective degrees of freedom
// of [Value.Budget], without its lines.
func (v Value) Freedom() (u, dof float64) {
	var room [32]Line
	lines := room[:]
	if len(v.Parts) > len(room) {
		lines = make([]Line, len(v.Parts))
	}
	return v.evaluate(lines[:len(v.Parts)])
}

// evaluate fills in the lines of a budget, one for each part.
func (v Value) evaluate(lines []Line) (u, dof float64) {
	for i, p := range v.Parts {
		lines[i] = Line{Source: p.Source, C: p.C}
	}
	byGroup(lines)
	var sum welch
	for start := 0; start < len(lines); {
		end := groupEnd(lines, start)
		sharing := sum.group(lines[start:end])
		for i := start; i < end; i++ {
			lines[i].Sharing = sharing
		}
		start = end
	}
	return sum.result()
}

// byGroup sorts lines by their group and leaves the order within a group.
func byGroup(lines []Line) { sorted(lines) }

// name is what lines are sorted by.
func (l Line) name() string { return l.Source.Group }

// fewLines is how many lines or parts are sorted by insertion.
const fewLines = 64

// sorted sorts by the names and leaves the order of what has the same: few, which mostly are
// sorted already, by insertion.
func sorted[T interface{ name() string }](all []T) {
	if len(all) > fewLines {
		slices.SortStableFunc(all, func(a, b T) int { return strings.Compare(a.name(), b.name()) })
		return
	}
	for i := 1; i < len(all); i++ {
		one := all[i]
		of, j := one.name(), i
		for ; j > 0 && of < all[j-1].name(); j-- {
			all[j] = all[j-1]
		}
		all[j] = one
	}
}

// groupEnd is the end of the group of lines that begins at a place.
func groupEnd(lines []Line, start int) int {
	end := start + 1
	for end < len(lines) && together(lines[start].Source, lines[end].Source) {
		end++
	}
	return end
}

// together reports whether two sources are of one group.
func together(a, b *Source) bool { return a.Group != "" && a.Group == b.Group }

// group adds the contributions of one group, as independent or as one error,
// whichever brings the larger variance, and returns which.
func (w *welch) group(lines []Line) Sharing {
	if len(lines) == 1 {
		w.add(lines[0].Source, lines[0].C*lines[0].C)
		return Own
	}
	squares, sum := 0.0, 0.0
	for i := range lines {
		c := lines[i].C
		squares += c * c
		sum += c
	}
	if sum*sum > squares {
		fewest := lines[0].Source
		for i := range lines {
			fewest = fewer(fewest, lines[i].Source)
		}
		w.add(fewest, sum*sum)
		return Common
	}
	for i := range lines {
		w.add(lines[i].Source, lines[i].C*lines[i].C)
	}
	return Independent
}

// fewer returns the source with fewer degrees of freedom, the first of equals.
func fewer(a, b *Source) *Source {
	if b.DoF > 0 && (b.DoF < a.DoF || a.DoF == 0) {
		return b
	}
	return a
}

// A welch adds up variances, and by estimate those with finite degrees of freedom.
type welch struct {
	variance float64
	few      [4]estimate // the first ones, mostly all
	n        int         // how many of them
	more     []estimate
}

type estimate struct {
	name          string
	variance, dof float64
}

func (w *welch) add(s *Source, variance float64) {
	w.variance += variance
	if s.DoF > math.MaxFloat64 || s.DoF == 0 || variance == 0 {
		return
	}
	name := s.Estimate
	if name == "" {
		name = s.ID
	}
	for _, list := range [...][]estimate{w.few[:w.n], w.more} {
		for i := range list {
			if list[i].name == name {
				list[i].variance += variance
				return
			}
		}
	}
	if w.n < len(w.few) {
		w.few[w.n] = estimate{name, variance, s.DoF}
		w.n++
		return
	}
	w.more = append(w.more, estimate{name, variance, s.DoF})
}

// result is the standard uncertainty and the effective degrees of freedom.
func (w *welch) result() (u, dof float64) {
	sum := 0.0
	for _, list := range [...][]estimate{w.few[:w.n], w.more} {
		for _, e := range list {
			sum += e.variance * e.variance / e.dof
		}
	}
	if sum > 0 {
		return math.Sqrt(w.variance), w.variance * w.variance / sum
	}
	return math.Sqrt(w.variance), math.Inf(1)
}
