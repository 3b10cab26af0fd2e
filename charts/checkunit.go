package charts

import (
	"strconv"
	"time"

	"wattsheet/generator/sheet"
)

// CheckUnit draws the power of the bench's check unit by test day, with the mean of
// all days as a line, and the days that are off hollow. It returns nil for fewer
// than two days.
func CheckUnit(c *sheet.Check) *Chart {
	p := &plot{id: "check-unit", x: axis{name: "test day", dodge: true}, views: []view{
		{id: "W", about: "power in watts", axis: "P / W"}, {id: "%", about: "deviation from the mean in percent", axis: "deviation / %"}}}
	if c == nil || c.Mean == nil {
		return nil
	}
	one := p.seriesOf("the check unit", "check unit", 0, false)
	days := map[*point]*sheet.CheckDay{}
	for i := range c.Days {
		d := &c.Days[i]
		if reads(d.Power).text == "" {
			continue
		}
		x, ok := dayOf(d.Date)
		if !ok {
			continue
		}
		q := &point{x: x, fig: d.Power, hollow: d.Off, in: []reading{reads(d.Power), plain(d.DeviationPct, deviationText(d.DeviationPct)+nbsp+"%")}}
		q.lines = []string{d.Date}
		if d.Off {
			q.word, q.about = "off", "off: beyond the uncertainty of its difference from the other days"
			q.lines = append(q.lines, q.about)
		}
		one.points = append(one.points, q)
		days[q] = d
	}
	if len(one.points) < 2 {
		return nil
	}
	p.rules = []rule{{"mean", []float64{c.Mean.X, 0}}}
	p.number()
	p.dayTicks(days)
	one.joins = [][]*point{one.points}
	caption := p.caption("Power of the check unit by test day, in" + nbsp + "W, and the mean of all days.")
	if p.any(func(q *point) bool { return q.hollow }) {
		caption += " Hollow: days beyond the uncertainty of their difference from the others."
	}
	first, last := p.points[0], p.points[len(p.points)-1]
	description := "Test days from " + days[first].Date + " to " + days[last].Date + "; power upwards. Mean of all days: " + c.Mean.Text + "."
	return p.chart(p.checkTitle(), caption, description, p.checkTable(days))
}

// dayOf counts days, for their places on the axis.
func dayOf(date string) (float64, bool) {
	t, err := time.Parse(time.DateOnly, date)
	return float64(t.Unix() / 86400), err == nil
}

// dayTicks marks every test day once.
func (p *plot) dayTicks(days map[*point]*sheet.CheckDay) {
	for _, q := range p.points {
		if n := len(p.x.ticks); n == 0 || p.x.ticks[n-1].at != q.x {
			p.x.ticks = append(p.x.ticks, tick{q.x, days[q].Date})
		}
	}
}

func (p *plot) checkTitle() string {
	off := 0
	for _, q := range p.points {
		if q.hollow {
			off++
		}
	}
	title := "On " + strconv.Itoa(len(p.x.ticks)) + " test days the check unit's power " + between(p.points, "W")
	if len(p.x.ticks) == 1 {
		title = "On one test day the check unit's power " + between(p.points, "W")
	}
	if off > 0 {
		title += "; " + strconv.Itoa(off) + " of " + strconv.Itoa(len(p.points)) + " off"
	}
	return title
}

func (p *plot) checkTable(days map[*point]*sheet.CheckDay) Table {
	t := Table{Head: []string{"Day", "P / W", "U(P) / W", "k", "Deviation / %", "Remark"}}
	for _, q := range p.points {
		d, remark := days[q], ""
		if d.Off {
			remark = "off"
		}
		t.add(t.row().text(d.Date).figure(q.fig).text(deviationText(d.DeviationPct), remark))
	}
	return t
}
