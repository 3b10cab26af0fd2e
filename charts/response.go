package charts

import (
	"math"
	"strconv"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// OfResponse draws the responses that stated figures of one capture were read from, level
// over frequency, each once with its corners and boosts marked, under the first of its figures.
// Figures without a response have none.
func OfResponse(specs []*sheet.Spec) map[*sheet.Spec]*Chart {
	type part struct{ from, to, of string }
	first, all := map[part]*sheet.Spec{}, map[*sheet.Spec][]*sheet.Spec{}
	for _, s := range specs {
		if s.Captured == nil || len(s.Captured.Taken.Curve) < 2 {
			continue
		}
		key := part{s.Rec.FromS.Text, s.Rec.ToS.Text, s.Rec.Of}
		if first[key] == nil {
			first[key] = s
		}
		all[first[key]] = append(all[first[key]], s)
	}
	out := map[*sheet.Spec]*Chart{}
	for s, group := range all {
		out[s] = response(group)
	}
	return out
}

func response(specs []*sheet.Spec) *Chart {
	s := specs[0]
	curve := s.Captured.Taken.Curve
	p := &plot{id: "response-" + s.ID, x: axis{name: "f / Hz", tens: true}, views: []view{{id: "dB", about: "level in decibels", axis: "level / dB"}}}
	line := &series{name: "response", label: "response", bare: true, quiet: true}
	at := func(one *series, f, db float64, lines ...string) *point {
		q := &point{x: f, in: []reading{plain(db, signed(quantity.Fixed(db, 1))+nbsp+"dB")}, lines: lines}
		one.points = append(one.points, q)
		return q
	}
	for _, g := range curve {
		at(line, g.FreqHz, g.DB, "at "+hertz(g.FreqHz))
	}
	line.joins = [][]*point{line.points}
	marked := &series{name: "stated figures", label: "marked", style: 1, quiet: true}
	for _, one := range specs {
		if one.Rec.Unit == "Hz" {
			at(marked, one.Measured.X, levelAt(one, one.Measured.X), "at "+one.Measured.Text, one.Rec.Name).word = one.Measured.ValueText + nbsp + "Hz"
		}
	}
	p.series = []*series{line}
	if len(marked.points) > 0 {
		p.series = append(p.series, marked)
	}
	p.number()
	against := "to 1" + nbsp + "V"
	for i := range s.Captured.Rec.Channels {
		if s.Captured.Rec.Channels[i].Role == "in" {
			against = "to the input"
		}
	}
	caption := "Level of the output over frequency, in" + nbsp + "dB " + against + ", from " + s.Captured.Where + "."
	if len(marked.points) > 0 {
		caption += " Marks: the corners and centres that were read from it."
	}
	return p.chart(responseTitle(specs), caption, "Frequency to the right on a logarithmic axis, level upwards. "+strconv.Itoa(len(p.points))+" points.", p.responseTable())
}

// responseTitle speaks of the first figure.
func responseTitle(specs []*sheet.Spec) string {
	s := specs[0]
	switch s.Rec.CaptureAs {
	case "slope":
		return "The response is as steep as " + s.Measured.Text
	case "boost-centre":
		return "The boost is highest at " + s.Measured.Text
	case "boost-height":
		return "The boost raises the level by " + s.Measured.Text
	}
	return "The response has fallen by " + quantity.Float(s.Rec.DropDB.Value) + nbsp + "dB at " + s.Measured.Text
}

// levelAt is the place of a frequency on the drawn line.
func levelAt(s *sheet.Spec, f float64) float64 {
	curve := s.Captured.Taken.Curve
	for i := 1; i < len(curve); i++ {
		a, b := curve[i-1], curve[i]
		if f <= b.FreqHz {
			return a.DB + (b.DB-a.DB)*math.Log(f/a.FreqHz)/math.Log(b.FreqHz/a.FreqHz)
		}
	}
	return curve[len(curve)-1].DB
}

func (p *plot) responseTable() Table {
	t := Table{Head: []string{"f / Hz", "Level / dB", "Mark"}}
	for _, q := range p.points {
		mark := ""
		if q.word != "" {
			mark = q.lines[1]
		}
		t.add(t.row().text(quantity.Significant(q.x, 4), signed(quantity.Fixed(q.in[0].y, 2)), mark))
	}
	return t
}
