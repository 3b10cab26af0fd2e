package site

import (
	"html/template"
	"math"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// estimates are the sentences of a sheet that speak of no measurement.
func estimates(s *sheet.Sheet) []string {
	var out []string
	for _, l := range s.Lines {
		out = append(out, l.Text)
	}
	if s.Exponent != nil {
		out = append(out, s.Exponent.Text)
	}
	for _, c := range s.Claims {
		if c.Estimate != nil {
			out = append(out, "Claim "+c.Label+": "+c.Estimate.Text)
		}
	}
	return out
}

// A lineRow is one load line.
type lineRow struct {
	Lead   string        // which channel
	Method link          // the method of its runs
	Fits   bool          // the line fits the points; else it feeds nothing
	Facts  factList      // voltage, resistance and fit of the line
	Points template.HTML // the table of measured points
	Curve  template.HTML // empty where the line doesn't fit
}

// lineRows are the load lines of a sheet.
func lineRows(lines []*sheet.LoadLine, methodology string) []lineRow {
	rows := make([]lineRow, 0, len(lines))
	for _, l := range lines {
		r := lineRow{Lead: "Channel " + sheet.Isolated(l.Channel), Fits: l.Fits}
		name := r.Lead
		if l.Method != nil {
			r.Method = link{methodology + "#method-" + l.Method.ID, l.Method.Title}
			name += ", " + sheet.Isolated(l.Method.Title)
		}
		if l.Fits && l.E != nil && l.Rs != nil {
			r.Facts = append(r.Facts,
				fact{Name: "Volts behind it, E", Text: l.E.Text, Href: formulaHref(methodology, l.E)},
				fact{Name: "Resistance, Rs", Text: l.Rs.Text, Href: formulaHref(methodology, l.Rs)})
			r.Curve = curveTable(l, name, methodology)
		}
		r.Facts = append(r.Facts, fact{Name: "How well it fits, χ²", Text: goodness(l), Href: methodology + "#load-lines"})
		r.Points = pointTable(l, name, methodology)
		rows = append(rows, r)
	}
	return rows
}

// goodness is a line's χ² with its degrees of freedom, and what follows.
func goodness(l *sheet.LoadLine) string {
	says := "it fits"
	if !l.Fits {
		says = "it doesn't fit"
	}
	degrees := " degrees"
	if l.Free == 1 {
		degrees = " degree"
	}
	return quantity.Significant(l.Chi2, 2) + ", with " + quantity.Fixed(float64(l.Free), 0) + degrees + " of freedom, p = " + quantity.Significant(l.P, 2) + ": " + says
}

// pointTable is what a line was fitted to, and how far each point lies from it.
func pointTable(l *sheet.LoadLine, name, methodology string) template.HTML {
	t := table{Caption: "Points of the load line: " + name, Class: "small", Head: []column{
		{Text: "Load / Ω", Numeric: true}, {Text: "Power / W", Numeric: true},
		{Text: "U / W", Numeric: true, Href: methodology + "#formula-" + formula.Expanded},
		{Text: "Off the line / W", Numeric: true, Href: methodology + "#formula-" + formula.LineResidual}, {Text: "U / W", Numeric: true, Href: methodology + "#formula-" + formula.Expanded}, {Text: "Runs"},
	}}
	rows := make([]row, 0, len(l.Points))
	for _, p := range l.Points {
		cells := []cell{{Text: quantity.Significant(p.Load, 4), Column: 0}}
		cells = append(cells, valueAndU(p.Power, 1, methodology)...)
		runs := cell{Column: 5, Class: "figure-cell"}
		for i, id := range p.Runs {
			if i > 0 {
				runs.Markup += ", "
			}
			runs.Markup += template.HTML(anchored("#run-"+id, escape(id)))
		}
		rows = append(rows, row{Cells: append(cells, cell{Text: residual(p.Residual.X), Column: 3}, cell{Text: p.Residual.UText, Column: 4}, runs)})
	}
	t.Groups = [][]row{rows}
	return t.html()
}

// residual writes how far a point lies above or below its line.
func residual(w float64) string {
	text := strings.Replace(quantity.Significant(math.Abs(w), 2), "-", "−", 1)
	switch {
	case w > 0:
		return "+" + text
	case w < 0:
		return "−" + text
	}
	return text
}

// curveStep is by how many of a curve's points its table goes on.
const curveStep = 4

// curveTable is what a line gives at loads between those tested.
func curveTable(l *sheet.LoadLine, name, methodology string) template.HTML {
	t := table{Caption: "Estimates by the load line: " + name, Class: "small", Head: []column{
		{Text: "Load / Ω", Numeric: true}, {Text: "Estimate / W", Numeric: true},
		{Text: "U / W", Numeric: true, Href: methodology + "#formula-" + formula.Expanded},
	}}
	var rows []row
	for i := 0; i < len(l.Curve); i += curveStep {
		at := l.Curve[i]
		cells := []cell{{Text: quantity.Significant(at.Load, 4), Column: 0}}
		rows = append(rows, row{Cells: append(cells, valueAndU(at.Power, 1, methodology)...)})
	}
	if len(rows) == 0 {
		return ""
	}
	t.Groups = [][]row{rows}
	return t.html()
}
