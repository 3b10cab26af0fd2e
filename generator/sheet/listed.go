package sheet

import (
	"wattsheet/generator/formula"
)

// Best is the completed run by the site's first method with the largest total power:
// the one that the unit's power by price, volume and mass is made of. It is nil where
// there is none.
func (s *Sheet) Best() *Run {
	if len(s.Content.Methods.Methods) == 0 {
		return nil
	}
	return (&evaluator{content: s.Content, rec: s.Record}).best(s.Runs)
}

// PerMoney is the power of [Sheet.Best] by the unit's price, in W for each unit of the
// site's currency, formula [formula.PerDivisor]; nil where no price is stated or there
// is no such run.
func (s *Sheet) PerMoney() *Figure {
	for _, r := range s.Ratios {
		if r.Name == ratioMoney {
			return r.Figure
		}
	}
	return nil
}

// Efficiency is the mean efficiency of the runs that a unit's standing is made of, in
// percent, formula [formula.Mean], or [formula.Efficiency] of a single run. It is nil
// where one of them has none, or there are none.
func (s *Standing) Efficiency() *Figure {
	var all []measured
	for _, r := range s.runs {
		if r.Efficiency == nil {
			return nil
		}
		all = append(all, measured{r.Efficiency.value, r.Efficiency.Incomplete})
	}
	if s.Total == nil || len(all) == 0 {
		return nil
	}
	if len(all) == 1 {
		return s.runs[0].Efficiency
	}
	return figure("efficiency", "η", formula.Mean, meanOf(all))
}
