package charts

import (
	"math"
	"slices"
	"strconv"

	"wattsheet/generator/sheet"
)

// Temperatures draws the sheet's temperatures: series over minutes, single readings
// as single marks. It returns nil for fewer than two.
func Temperatures(s *sheet.Sheet) *Chart {
	p := &plot{id: "temperatures", x: axis{name: "time / min", zero: true, dodge: true},
		views: []view{{id: "°C", about: "temperature in degrees Celsius", axis: "T / °C"}}}
	timed, of, rise := false, map[*point]*sheet.Thermal{}, map[*point]*sheet.Figure{}
	for _, t := range s.Thermals {
		one := p.thermalSeries(t)
		for _, at := range t.Points {
			if reads(at.TempC).text == "" || math.IsNaN(at.Min) || math.IsInf(at.Min, 0) {
				continue
			}
			q := &point{x: at.Min, fig: at.TempC, in: []reading{reads(at.TempC)}, run: t.After}
			one.points = append(one.points, q)
			of[q], rise[q] = t, at.Rise
		}
		timed = timed || len(one.points) > 1
	}
	p.series = slices.DeleteFunc(p.series, func(one *series) bool { return len(one.points) == 0 })
	if len(of) < 2 {
		return nil
	}
	if !timed {
		p.inOrder("reading")
	}
	p.number()
	for _, one := range p.series {
		one.joins = [][]*point{one.points}
		for _, q := range one.points {
			q.lines = thermalLines(one, q, of[q], rise[q], timed)
		}
	}
	caption := p.caption("Temperatures of the unit, in" + nbsp + "°C.")
	if timed {
		caption = p.caption("Temperatures of the unit over the minutes since a series began, in" + nbsp + "°C.")
		if slices.ContainsFunc(p.series, func(one *series) bool { return len(one.points) == 1 }) {
			caption += " Single readings stand at their minute, or at 0."
		}
	}
	axes, unit := "Minutes to the right; temperature upwards.", "min"
	if !timed {
		axes, unit = "Readings side by side; temperature upwards.", ""
	}
	return p.chart(p.thermalTitle(timed), caption, p.overview(axes, unit), p.thermalTable(of, rise, timed))
}

// thermalSeries makes the series of a thermal: the spot, and the run where one spot
// was read more than once.
func (p *plot) thermalSeries(t *sheet.Thermal) *series {
	name := "temperature"
	if t.Rec != nil && t.Rec.Spot != "" {
		name = t.Rec.Spot
	}
	taken := func() bool {
		return slices.ContainsFunc(p.series, func(one *series) bool { return one.name == name })
	}
	if taken() && t.After != nil {
		name += ", run " + t.After.ID
	}
	for n, base := 2, name; taken(); n++ {
		name = base + " (" + strconv.Itoa(n) + ")"
	}
	return p.seriesOf(name, name, len(p.series), false)
}

// inOrder puts one point a series side by side, numbered.
func (p *plot) inOrder(name string) {
	p.x = axis{name: name, wide: true}
	for i, one := range p.series {
		one.points[0].x = float64(i + 1)
		p.x.ticks = append(p.x.ticks, tick{float64(i + 1), strconv.Itoa(i + 1)})
	}
}

func thermalLines(one *series, q *point, t *sheet.Thermal, rise *sheet.Figure, timed bool) []string {
	first := one.name
	if timed && len(one.points) > 1 {
		first += ", after " + tickText(q.x) + nbsp + "min"
	}
	lines := []string{first}
	if rise != nil {
		lines = append(lines, rise.Text+" above the air")
	}
	if t.Rec != nil && t.Rec.How != "" {
		lines = append(lines, t.Rec.How)
	}
	if q.run != nil {
		lines = append(lines, "run "+q.run.ID)
	}
	return lines
}

// thermalTitle names the highest temperature: no other is written higher.
func (p *plot) thermalTitle(timed bool) string {
	top := p.points[0]
	for _, q := range p.points {
		if written(q.fig) > written(top.fig) {
			top = q
		}
	}
	one := p.series[top.series]
	title := "The highest temperature read is " + top.fig.Text + ": " + one.name
	if timed && len(one.points) > 1 {
		title += ", after " + tickText(top.x) + nbsp + "min"
	}
	return title
}

func (p *plot) thermalTable(of map[*point]*sheet.Thermal, rise map[*point]*sheet.Figure, timed bool) Table {
	t := Table{Head: []string{"Time / min", "Spot", "Run", "T / °C", "U(T) / °C", "k", "Rise / K", "U(Rise) / K", "How"}}
	if !timed {
		t.Head[0] = "Reading"
	}
	for _, q := range p.points {
		row := t.row().text(tickText(q.x), p.series[q.series].name)
		if q.run != nil {
			row = row.run(q.run)
		} else {
			row = row.text("")
		}
		how := ""
		if rec := of[q].Rec; rec != nil {
			how = rec.How
		}
		t.add(row.figure(q.fig).value(rise[q]).text(how))
	}
	return t
}
