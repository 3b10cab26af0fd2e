package charts

import (
	"math"
	"strconv"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// sweep draws distortion over power of a level that rises, with the method's limit, where
// clipping begins and the clipped power marked. It returns nil for what doesn't rise.
func sweep(r *sheet.Run) *Chart {
	p := &plot{id: "sweep-" + r.ID, x: axis{name: "P / W", tens: true}, views: []view{{id: "%", about: "distortion in percent", axis: "THD+N / %", log: true}}}
	kept := map[*point]*sheet.CapturedLevel{}
	for i, c := range r.Captured.Channels {
		p.addSweep(r, c, i, len(r.Captured.Channels) > 1, kept)
	}
	if len(p.series) == 0 {
		return nil
	}
	limit := 0.0
	if r.Method != nil {
		limit = r.Method.ThdnPct.Value
	}
	if limit > 0 {
		p.rules = []rule{{"limit, " + tickText(limit) + nbsp + "%", []float64{limit}}}
	}
	p.number()
	caption := "THD+N over power per channel as the level rises, run " + r.ID + ", both on logarithmic axes. Hollow: the first (onset) and the strongest level with a flat side."
	if limit > 0 {
		caption += " Filled: the power at the limit, between levels."
	}
	return p.chart(p.sweepTitle(r, limit), caption, "Power to the right, distortion upwards, both on logarithmic axes. "+strconv.Itoa(len(p.points))+" points.", p.sweepTable(kept))
}

func (p *plot) addSweep(r *sheet.Run, c *sheet.CapturedChannel, style int, named bool, kept map[*point]*sheet.CapturedLevel) {
	line := &series{name: "channel " + c.Name, label: "levels", style: style, bare: true, quiet: !named}
	marks := &series{name: line.name + ", marked", label: "marked", style: style, quiet: true}
	if named {
		line.label, marks.label = line.name, marks.name
	}
	first, most := -1, -1
	at := func(one *series, n int) *point {
		l := &c.Levels[n]
		q := &point{x: l.PowerW, run: r, in: []reading{plain(l.THDNPct, quantity.Significant(l.THDNPct, 3)+nbsp+"%")}}
		q.lines = []string{"at " + quantity.Significant(l.PowerW, 4) + nbsp + "W, channel " + c.Name, "at " + quantity.Fixed(l.AtS, 2) + nbsp + "s of the capture"}
		one.points, kept[q] = append(one.points, q), l
		return q
	}
	for n := range c.Levels {
		l := &c.Levels[n]
		if !(l.THDNPct > 0) || !(l.PowerW > 0) || math.IsInf(l.PowerW, 0) {
			continue
		}
		at(line, n)
		if l.Flat && first < 0 {
			first = n
		}
		if l.Flat && (most < 0 || l.PowerW > c.Levels[most].PowerW) {
			most = n
		}
	}
	if len(line.points) < 2 {
		return
	}
	line.joins = [][]*point{append([]*point(nil), line.points...)}
	hollow := func(n int, word, about string) {
		q := at(marks, n)
		q.hollow, q.about, q.word = true, about, word
	}
	if first >= 0 && first != most {
		hollow(first, "onset", "the first level with a flat side: clipping has begun")
	}
	if most >= 0 {
		hollow(most, "clipped", "the strongest level with a flat side")
	}
	p.addLimit(r, c, marks)
	p.series = append(p.series, line)
	if len(marks.points) > 0 {
		p.series = append(p.series, marks)
	}
}

// addLimit marks the power at the method's limit.
func (p *plot) addLimit(r *sheet.Run, c *sheet.CapturedChannel, marks *series) {
	for _, ch := range r.Channels {
		if ch.Name != c.Name || !usable(ch.Nominal, ch.Power) || ch.Distortion == nil || !(ch.Distortion.X > 0) {
			continue
		}
		q := pointOf(ch.Power.X, r, ch, ch.Distortion, plain(ch.Distortion.X, quantity.Significant(ch.Distortion.X, 3)+nbsp+"%"))
		q.hollow, q.about = false, ""
		q.word = ch.Power.ValueText + nbsp + "W"
		q.lines = []string{"at " + ch.Power.Text + ", channel " + c.Name, "the method's limit, between levels"}
		marks.points = append(marks.points, q)
	}
}

// sweepTitle speaks of the first channel: its power at the limit, else its range.
func (p *plot) sweepTitle(r *sheet.Run, limit float64) string {
	for _, q := range p.points {
		if q.fig != nil && limit > 0 {
			of := ""
			if len(r.Captured.Channels) > 1 {
				of = " in channel " + q.ch.Name
			}
			return "Distortion reaches " + tickText(limit) + nbsp + "% at " + q.ch.Power.Text + of
		}
	}
	low, high := p.points[0].in[0], p.points[0].in[0]
	for _, q := range p.points {
		if q.in[0].y < low.y {
			low = q.in[0]
		}
		if q.in[0].y > high.y {
			high = q.in[0]
		}
	}
	return "As the level rises, distortion lies between " + low.text + " and " + high.text
}

func (p *plot) sweepTable(kept map[*point]*sheet.CapturedLevel) Table {
	t := Table{Head: []string{"P / W", "THD+N / %", "THD / %", "Channel", "At / s", "Mark"}}
	for _, q := range p.points {
		l := kept[q]
		if l == nil {
			t.add(t.row().text(q.ch.Power.ValueText, quantity.Significant(q.in[0].y, 3), "", q.ch.Name, "", "at the limit"))
			continue
		}
		mark := q.word
		if mark == "" && l.Flat {
			mark = "flat"
		}
		name := p.series[q.series].name[len("channel "):]
		if q.word != "" {
			name = name[:len(name)-len(", marked")]
		}
		t.add(t.row().text(quantity.Significant(q.x, 4), quantity.Significant(q.in[0].y, 3), quantity.Significant(l.THDPct, 3), name, quantity.Fixed(l.AtS, 2), mark))
	}
	return t
}
