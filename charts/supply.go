package charts

import "wattsheet/generator/sheet"

// EfficiencyByLoad draws the efficiency of each completed run that has one by load,
// one series a method, bridged apart. It returns nil for fewer than two points.
func EfficiencyByLoad(s *sheet.Sheet) *Chart {
	c := &byLoad{noun: "efficiency", unit: "%", plot: &plot{id: "efficiency-by-load",
		views: []view{{id: "%", about: "efficiency in percent", axis: "η / %", zero: true}}}}
	return c.ofRuns(s, func(r *sheet.Run) *sheet.Figure { return r.Efficiency }, "η",
		"Power of all driven channels divided by the supply's power, by load and method, in"+nbsp+"%.")
}

// HeatByLoad draws the heat of each completed run that has one by load, as
// [EfficiencyByLoad] does.
func HeatByLoad(s *sheet.Sheet) *Chart {
	c := &byLoad{noun: "heat", unit: "W", plot: &plot{id: "heat-by-load",
		views: []view{{id: "W", about: "heat in watts", axis: "H / W", zero: true}}}}
	return c.ofRuns(s, func(r *sheet.Run) *sheet.Figure { return r.Heat }, "H",
		"Supply's power that does not reach the loads, by load and method, in"+nbsp+"W.")
}

// ofRuns draws a figure of whole runs.
func (c *byLoad) ofRuns(s *sheet.Sheet, of func(*sheet.Run) *sheet.Figure, symbol, caption string) *Chart {
	points := 0
	for _, r := range s.Runs {
		if f := of(r); r.Completed && usable(r.Nominal, f) {
			c.add(s, r, pointOf(r.Nominal, r, nil, f, reads(f)))
			points++
		}
	}
	if points < 2 {
		return nil
	}
	c.finish()
	return c.chart(c.title(), c.caption(caption), c.description(), c.runTable(symbol))
}

// runTable lists the points drawn, in their order, with the powers that the figure
// is made of.
func (c *byLoad) runTable(symbol string) Table {
	unit := " / " + c.unit
	t := Table{Head: []string{"Load / Ω", "Method", "Run", "Outcome", symbol + unit, "U(" + symbol + ")" + unit, "k",
		"Ptotal / W", "U(Ptotal) / W", "Ps / W", "U(Ps) / W"}}
	for _, q := range c.points {
		row := t.row().text(c.loadText(q.x), c.series[q.series].name).ended(q.run)
		t.add(row.figure(q.fig).value(q.run.Total).value(q.run.SupplyPower))
	}
	return t
}
