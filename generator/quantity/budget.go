package quantity

import (
	"math"
	"slices"
	"strings"
)

// How a group's parts were taken in a figure.
const (
	Own         = ""            // the part has no group, or stands alone in it
	Independent = "independent" // correlation 0 within the group
	Common      = "common"      // correlation 1 within the group
)

// A Line is one row of an uncertainty budget.
type Line struct {
	Source  *Source
	C       float64 // signed contribution in the value's unit: sensitivity times standard uncertainty
	Sharing string  // Own, Independent or Common
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
func (v Value) Budget() Budget {
	b := Budget{Lines: make([]Line, len(v.Parts))}
	for i, p := range v.Parts {
		b.Lines[i] = Line{Source: p.Source, C: p.C}
	}
	slices.SortStableFunc(b.Lines, func(a, b Line) int { return strings.Compare(a.Source.Group, b.Source.Group) })
	var sum welch
	for start := 0; start < len(b.Lines); {
		end := start + 1
		for end < len(b.Lines) && together(b.Lines[start].Source, b.Lines[end].Source) {
			end++
		}
		group := b.Lines[start:end]
		sharing := sum.group(len(group), func(i int) (*Source, float64) { return group[i].Source, group[i].C })
		for i := range group {
			group[i].Sharing = sharing
		}
		start = end
	}
	b.U, b.DoF = sum.result()
	return b
}

// together reports whether two sources are of one group.
func together(a, b *Source) bool { return a.Group != "" && a.Group == b.Group }

// group adds n contributions of one group, as independent or as one error,
// whichever brings the larger variance, and returns which.
func (w *welch) group(n int, part func(i int) (*Source, float64)) (sharing string) {
	squares, sum := 0.0, 0.0
	for i := range n {
		_, c := part(i)
		squares += c * c
		sum += c
	}
	if n > 1 && sum*sum > squares {
		fewest, _ := part(0)
		for i := range n {
			s, _ := part(i)
			fewest = fewer(fewest, s)
		}
		w.add(fewest, sum*sum)
		return Common
	}
	for i := range n {
		s, c := part(i)
		w.add(s, c*c)
	}
	if n == 1 {
		return Own
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
	if math.IsInf(s.DoF, 1) || s.DoF == 0 || variance == 0 {
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

// Std returns the combined standard uncertainty.
func (v Value) Std() float64 { return v.Budget().U }
