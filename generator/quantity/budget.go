package quantity

import (
	"math"
	"sort"
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
// brings.
func (v Value) Budget() Budget {
	b := Budget{DoF: math.Inf(1), Lines: make([]Line, 0, len(v.Parts))}
	for _, p := range v.Parts {
		b.Lines = append(b.Lines, Line{Source: p.Source, C: p.C})
	}
	sort.SliceStable(b.Lines, func(i, j int) bool { return b.Lines[i].Source.Group < b.Lines[j].Source.Group })
	variance, satterthwaite := 0.0, 0.0
	estimates := map[string]estimate{}
	var order []string
	add := func(s *Source, part float64) {
		variance += part
		if math.IsInf(s.DoF, 1) || s.DoF == 0 {
			return
		}
		name := s.Estimate
		if name == "" {
			name = s.ID
		}
		e, seen := estimates[name]
		if !seen {
			order = append(order, name)
		}
		estimates[name] = estimate{e.variance + part, s.DoF}
	}
	for start := 0; start < len(b.Lines); {
		end := start + 1
		for end < len(b.Lines) && b.Lines[start].Source.Group != "" && b.Lines[end].Source.Group == b.Lines[start].Source.Group {
			end++
		}
		group := b.Lines[start:end]
		add(group[0].Source, settle(group))
		start = end
	}
	for _, name := range order {
		e := estimates[name]
		satterthwaite += e.variance * e.variance / e.dof
	}
	b.U = math.Sqrt(variance)
	if satterthwaite > 0 {
		b.DoF = variance * variance / satterthwaite
	}
	return b
}

type estimate struct{ variance, dof float64 }

// settle marks how a group was taken and returns the variance it brings. The
// sources of a group have the same degrees of freedom.
func settle(group []Line) float64 {
	squares, sum := 0.0, 0.0
	for _, l := range group {
		squares += l.C * l.C
		sum += l.C
	}
	if len(group) == 1 {
		return squares
	}
	sharing, variance := Independent, squares
	if sum*sum > squares {
		sharing, variance = Common, sum*sum
	}
	for i := range group {
		group[i].Sharing = sharing
	}
	return variance
}

// Std returns the combined standard uncertainty.
func (v Value) Std() float64 { return v.Budget().U }
