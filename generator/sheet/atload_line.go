package sheet

import (
	"fmt"
	"slices"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// wouldThere is what the load lines of a method estimate for a load without a
// measured figure; nil where none fits and reaches it.
func (e *evaluator) wouldThere(s *Sheet, a *AtLoad, m *record.Method) *LoadResult {
	if !slices.ContainsFunc(s.Lines, func(l *LoadLine) bool { return l.Method == m && l.Bridged == a.Bridged && l.reaches(a.Ohm) }) {
		return nil
	}
	r := &LoadResult{Method: m, Estimate: true}
	var powers []measured
	var of []*LoadLine
	for _, l := range s.Lines {
		if l.Method != m || l.Bridged != a.Bridged {
			continue
		}
		f, err := l.At(a.Ohm)
		if err != nil {
			continue
		}
		of = append(of, l)
		powers = append(powers, measured{f.value, f.Incomplete})
		r.Channels = append(r.Channels, LoadChannel{l.Channel, f})
		for _, p := range l.Points {
			for _, id := range p.Runs {
				if !slices.Contains(r.Runs, id) {
					r.Runs = append(r.Runs, id)
				}
			}
		}
	}
	if len(of) == 0 {
		return nil
	}
	runs := runsNamed(s.Runs, r.Runs)
	for _, run := range runs {
		r.SupplyV += run.SupplyV.X / float64(len(runs))
	}
	if driven := sameDriven(runs); driven == len(of) {
		r.Total = figure("estimate", "Ptotal", formula.PowerTotal, sumOf(powers))
		e.follows(r, s, of[0], a.Ohm)
	}
	e.consequences(r, a.Ohm)
	return r
}

// runsNamed are the runs of these ids, in the record's order.
func runsNamed(all []*Run, ids []string) (out []*Run) {
	for _, r := range all {
		if slices.Contains(ids, r.ID) {
			out = append(out, r)
		}
	}
	return out
}

// sameDriven is how many channels each of the runs drives; 0 where they differ.
func sameDriven(runs []*Run) int {
	for _, r := range runs {
		if len(r.Channels) != len(runs[0].Channels) {
			return 0
		}
	}
	return len(runs[0].Channels)
}

// follows sets what an estimated total means: current and heat, with the efficiency
// between those of the loads beside (formulas [formula.EfficiencyBetween],
// [formula.PlannedSupply], [formula.PlannedHeat]).
func (e *evaluator) follows(r *LoadResult, s *Sheet, l *LoadLine, ohm float64) {
	var below, above *LinePoint
	for i := range l.Points {
		p := &l.Points[i]
		if p.Load <= ohm && (below == nil || p.Load > below.Load) {
			below = p
		}
		if p.Load >= ohm && (above == nil || p.Load < above.Load) {
			above = p
		}
	}
	low := meanFigure(runsNamed(s.Runs, below.Runs), func(r *Run) *Figure { return r.Efficiency })
	high := meanFigure(runsNamed(s.Runs, above.Runs), func(r *Run) *Figure { return r.Efficiency })
	if low == nil || high == nil || low.X <= 0 || high.X <= 0 || r.Total.X <= 0 {
		return
	}
	r.EfficiencyPct = low.X
	if below.Load < above.Load {
		r.EfficiencyPct = electric.Between(ohm, below.Load, low.X, above.Load, high.X)
	}
	r.HeatW = electric.ExpectedHeat(r.Total.X, r.EfficiencyPct)
	r.From = fmt.Sprintf("from the estimate and an efficiency of %s: between %s measured at %s, and %s at %s", percent3(r.EfficiencyPct), percent3(low.X), Ohms(below.Load), percent3(high.X), Ohms(above.Load))
	if e.rec.Unit.Supply != "mains" {
		r.AmpsA = electric.ExpectedSupply(r.Total.X, r.EfficiencyPct, r.SupplyV, 1)
	}
}

func percent3(x float64) string { return quantity.Significant(x, 3) + nbsp + "%" }
