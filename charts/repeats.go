package charts

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// Repeats draws the deviations of repeated runs from the mean of their repeats, run
// by run in the order of the sheet's repeats, over the pool's band of one and two
// standard deviations. It returns nil when there are none.
func Repeats(s *sheet.Sheet) *Chart {
	p := &plot{id: "repeats", x: axis{name: "run", dodge: true, wide: true},
		views: []view{{id: "%", about: "deviation in percent", axis: "deviation / %"}}}
	columns, pools, of := map[string]float64{}, []float64(nil), map[*point]*sheet.Repeat{}
	runs := map[string]*sheet.Run{}
	for _, r := range s.Runs {
		runs[r.ID] = r
	}
	for _, rep := range s.Repeats {
		title, style := "method not stated", math.MaxInt32
		if rep.Method != nil {
			title, style = rep.Method.Title, styleOf(s, rep.Method.ID)
		}
		one := p.seriesOf(title, strings.TrimPrefix(title, "at "), style, rep.Bridged)
		for _, at := range rep.Points {
			run := runs[at.Run]
			if run == nil || math.IsNaN(at.DeviationPct) || math.IsInf(at.DeviationPct, 0) {
				continue
			}
			if columns[at.Run] == 0 {
				pools = append(pools, rep.PoolPct)
				columns[at.Run] = float64(len(pools))
				p.x.ticks = append(p.x.ticks, tick{columns[at.Run], shortened(at.Run, 70, false)})
			}
			q := &point{x: columns[at.Run], run: run, in: []reading{plain(at.DeviationPct, deviationText(at.DeviationPct)+nbsp+"%")}}
			q.lines = []string{ohms(rep.Nominal) + ", " + one.name + ", channel " + rep.Channel, "run " + at.Run}
			one.points = append(one.points, q)
			of[q] = rep
		}
	}
	if len(of) < 2 {
		return nil
	}
	p.series = slices.DeleteFunc(p.series, func(one *series) bool { return len(one.points) == 0 })
	p.rules = []rule{{"mean", []float64{0}}}
	p.addPools(pools)
	p.number()
	caption := "Deviation of each repeat from the mean of its repeats (one channel, method and load), carried to one supply voltage, in" + nbsp + "%."
	if len(p.bands) > 0 {
		caption += " Grey: one and two standard deviations of the method's pool, either side."
	}
	if p.any(func(q *point) bool { return p.series[q.series].bridged }) {
		caption += " Drawn double: bridged."
	}
	description := "Runs side by side, those that repeat each other together; deviation upwards, the mean as a line at 0" + nbsp + "%. " + strconv.Itoa(len(p.points)) + " points."
	return p.chart(p.repeatsTitle(), caption, description, p.repeatsTable(of))
}

// addPools puts the pool's bands behind the runs, joined where neighbours' are alike.
func (p *plot) addPools(pools []float64) {
	for from := 0; from < len(pools); {
		to := from + 1
		for to < len(pools) && pools[to] == pools[from] {
			to++
		}
		if s := pools[from]; s > 0 && !math.IsInf(s, 0) {
			x0, x1 := float64(from)+0.5, float64(to)+0.5
			p.bands = append(p.bands, band{x0, x1, -2 * s, 2 * s, false}, band{x0, x1, -s, s, true})
		}
		from = to
	}
}

func deviationText(pct float64) string {
	text := signed(quantity.Fixed(pct, 2))
	if strings.Trim(text, "−0.") == "" {
		return "0.00"
	}
	return text
}

// repeatsTitle says how far the furthest repeat is from its mean, rounded up.
func (p *plot) repeatsTitle() string {
	most := 0.0
	for _, q := range p.points {
		most = max(most, math.Abs(q.in[0].y))
	}
	return "Every repeat lies within " + quantity.Fixed(math.Ceil(most*10-1e-9)/10, 1) + nbsp + "% of the mean of its repeats"
}

func (p *plot) repeatsTable(of map[*point]*sheet.Repeat) Table {
	t := Table{Head: []string{"Run", "Load / Ω", "Method", "Channel", "Deviation / %", "s of these / %", "s of the pool / %"}}
	for _, q := range p.points {
		rep, pool := of[q], ""
		if rep.PoolPct > 0 {
			pool = quantity.Float(rep.PoolPct)
		}
		row := t.row().run(q.run).text(loadText(rep.Nominal), p.series[q.series].name, rep.Channel)
		t.add(row.text(deviationText(q.in[0].y), quantity.Significant(rep.SPct, 2), pool))
	}
	return t
}
