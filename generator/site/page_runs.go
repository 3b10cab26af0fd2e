package site

import (
	"html/template"
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// The columns of the table of runs.
const (
	runColumn = iota
	methodColumn
	loadColumn
	channelColumn
	powerColumn
	uncertaintyColumn
	factorColumn
	voltsColumn
	distortionColumn
	supplyVColumn
	supplyAColumn
	efficiencyColumn
	heatColumn
	outcomeColumn
)

// A runTable makes the tables of one sheet's runs.
type runTable struct {
	sheet       *sheet.Sheet
	pictures    map[string][]link // by the run that they are evidence for
	methodology string            // the address of the methodology page
	watching    watching
	to          *late
}

// A runRows makes the rows of such a table on a desk.
type runRows struct {
	runTable
	desk *cellDesk
}

// valid is the table of the runs that stand: one group a run, one row a
// channel, and their sum where there are several.
func (t runTable) valid() template.HTML {
	out := table{Caption: "Every run, a row for each channel", Class: "runs", Head: t.head()}
	rows := runRows{t, takeCells()}
	defer rows.desk.clear()
	for _, r := range t.sheet.Runs {
		if r.Valid {
			out.Groups = append(out.Groups, rows.group(r))
		}
	}
	if len(out.Groups) == 0 {
		return ""
	}
	return t.to.drafted(out.write)
}

func (t runTable) head() []column {
	expanded := t.methodology + "#formula-" + formula.Expanded
	return []column{
		{Text: "Run"}, {Text: "Method"}, {Text: "Load"}, {Text: "Channel"},
		{Text: "Power / W", Numeric: true}, {Text: "U / W", Numeric: true, Href: expanded}, {Text: "k", Numeric: true, Href: expanded},
		{Text: "Output / V", Numeric: true},
		{Text: "THD+N / %", Numeric: true}, {Text: "Supply / V", Numeric: true}, {Text: "Supply / A", Numeric: true},
		{Text: "Efficiency / %", Numeric: true}, {Text: "Heat / W", Numeric: true}, {Text: "Outcome"},
	}
}

// group is the rows of one run.
func (t runRows) group(r *sheet.Run) []row {
	rows := make([]row, 0, len(r.Channels)+1)
	span := len(r.Channels)
	if span > 1 && r.Total != nil {
		span++
	}
	for i, c := range r.Channels {
		id := ""
		if i == 0 {
			id = "run-" + r.ID
			t.desk.add(cell{Text: r.ID, Quote: r.ID, Notes: t.notes(r), Seen: t.watching.seen(r.Rec.Video, "run "+r.ID, ""), Column: runColumn, Head: "rowgroup", Span: span})
			t.desk.add(t.method(r, span))
		}
		t.desk.add(cell{Text: loadText(c), Column: loadColumn})
		t.desk.add(cell{Text: c.Name, Column: channelColumn})
		t.power(c.Power)
		t.desk.add(t.value(c.OutV, voltsColumn, 1))
		t.desk.add(t.value(c.Distortion, distortionColumn, 1))
		if i == 0 {
			t.whole(r, span)
		}
		rows = append(rows, t.desk.row(id))
	}
	if span > len(r.Channels) {
		rows = append(rows, t.sum(r))
	}
	return rows
}

// notes are the links under a run's id: its derivation, and the pictures of it.
func (t runTable) notes(r *sheet.Run) []link {
	out := []link{{stepsHref(r.ID), "steps"}}
	if r.Captured != nil {
		out = append(out, link{capturesName + "/index.html#run-" + r.ID, "capture"})
	}
	return append(out, t.pictures[r.ID]...)
}

func (t runTable) method(r *sheet.Run, span int) cell {
	c := cell{Text: r.Rec.Method.ID, Column: methodColumn, Span: span, Class: "method"}
	if r.Method != nil {
		c.Text, c.Href = r.Method.Title, t.methodology+"#method-"+r.Method.ID
		if r.FreqHz > 0 && r.FreqHz != r.Method.FreqHz.Value {
			c.Note = "at " + hertz(r.FreqHz)
		}
	}
	return c
}

// whole adds the cells of what a run has once: supply, efficiency, heat, outcome.
func (t runRows) whole(r *sheet.Run, span int) {
	outcome := "outcome"
	if r.Rec.Outcome != "completed" {
		outcome += " ended"
	}
	t.desk.add(t.value(r.SupplyV, supplyVColumn, span))
	t.desk.add(t.value(r.SupplyA, supplyAColumn, span))
	t.desk.add(t.withU(r.Efficiency, efficiencyColumn, span))
	t.desk.add(t.withU(r.Heat, heatColumn, span))
	t.desk.add(cell{Text: r.OutcomeText, Column: outcomeColumn, Span: span, Class: outcome})
}

// sum is the row of all driven channels together.
func (t runRows) sum(r *sheet.Run) row {
	t.desk.add(cell{Column: loadColumn})
	t.desk.add(cell{Text: "sum", Column: channelColumn, Class: "sum"})
	t.power(r.Total)
	t.desk.add(cell{Column: voltsColumn})
	t.desk.add(cell{Column: distortionColumn})
	return t.desk.row("")
}

// power adds a power, its expanded uncertainty and its coverage factor.
func (t runRows) power(f *sheet.Figure) {
	if f == nil {
		t.desk.add(cell{Text: "–", Column: powerColumn})
		t.desk.add(cell{Column: uncertaintyColumn})
		t.desk.add(cell{Column: factorColumn})
		return
	}
	power := t.value(f, powerColumn, 1)
	power.Class = "strong"
	u, k := cell{Text: f.UText, Column: uncertaintyColumn}, cell{Column: factorColumn}
	if f.UText != "" {
		k.Text = quantity.Fixed(f.K, 2)
	}
	t.desk.add(power)
	t.desk.add(u)
	t.desk.add(k)
}

// value is a figure's value, with a link to its formula.
func (t runTable) value(f *sheet.Figure, column, span int) cell {
	if f == nil {
		return cell{Text: "–", Column: column, Span: span}
	}
	return cell{Text: f.ValueText, Href: formulaHref(t.methodology, f), Column: column, Span: span}
}

// withU is a figure's value and U in one cell.
func (t runTable) withU(f *sheet.Figure, column, span int) cell {
	c := t.value(f, column, span)
	if f != nil && f.UText != "" {
		c.Text += nbsp + "±" + nbsp + f.UText
	}
	return c
}

// mixed are the runs whose channels drive different nominal loads.
func mixed(s *sheet.Sheet) links {
	var out links
	for _, r := range s.Runs {
		for _, c := range r.Channels {
			if r.Valid && math.Abs(c.Nominal-r.Nominal) > 0.01*r.Nominal {
				out = append(out, link{"#run-" + r.ID, r.ID})
				break
			}
		}
	}
	return out
}

func loadText(c *sheet.Channel) string {
	if c.Nominal == 0 {
		return "–"
	}
	return sheet.Ohms(c.Nominal)
}

// invalid is the table of the runs that don't count, with the reason; empty
// when there are none.
func (t runTable) invalid() template.HTML {
	out := table{Caption: "Runs that don't count", Class: "runs", Head: []column{
		{Text: "Run"}, {Text: "Method"}, {Text: "Load"}, {Text: "Channel"},
		{Text: "Power / W", Numeric: true}, {Text: "U / W", Numeric: true, Href: t.methodology + "#formula-" + formula.Expanded}, {Text: "THD+N / %", Numeric: true}, {Text: "Supply / V", Numeric: true}, {Text: "Why it doesn't count"},
	}}
	for _, r := range t.sheet.Runs {
		if !r.Valid {
			out.Groups = append(out.Groups, t.struck(r))
		}
	}
	if len(out.Groups) == 0 {
		return ""
	}
	return out.html()
}

// struck are the rows of an invalid run.
func (t runTable) struck(r *sheet.Run) []row {
	rows := make([]row, 0, len(r.Channels))
	span := len(r.Channels)
	for i, c := range r.Channels {
		line := row{}
		if i == 0 {
			line.ID = "run-" + r.ID
			line.Cells = append(line.Cells, cell{Text: r.ID, Quote: r.ID, Notes: t.notes(r), Seen: t.watching.seen(r.Rec.Video, "run "+r.ID, ""), Column: 0, Head: "rowgroup", Span: span}, t.method(r, span))
		}
		line.Cells = append(line.Cells,
			cell{Text: loadText(c), Column: 2}, cell{Text: c.Name, Column: 3},
			t.struckValue(c.Power, 4), struckU(c.Power, 5), t.struckValue(c.Distortion, 6))
		if i == 0 {
			supply := t.struckValue(r.SupplyV, 7)
			supply.Span = span
			line.Cells = append(line.Cells, supply, cell{Text: sentence(r.Rec.Invalid), Column: 8, Span: span, Class: "reason"})
		}
		rows = append(rows, line)
	}
	return rows
}

func (t runTable) struckValue(f *sheet.Figure, column int) cell {
	c := t.value(f, column, 1)
	c.Struck = f != nil
	return c
}

func struckU(f *sheet.Figure, column int) cell {
	if f == nil {
		return cell{Column: column}
	}
	return cell{Text: f.UText, Column: column, Struck: true}
}

// A caution is a word of warning and the runs that it is about.
type caution struct {
	Text string // the warning: leave it on the page
	Runs links  // the runs that it is about
}

// cautionsOf gathers the cautions of a sheet's runs, each once.
func cautionsOf(s *sheet.Sheet) []caution {
	var out []caution
	at := map[string]int{}
	for _, r := range s.Runs {
		for _, text := range r.Cautions {
			i, seen := at[text]
			if !seen {
				i = len(out)
				at[text] = i
				out = append(out, caution{Text: text})
			}
			out[i].Runs = append(out[i].Runs, link{"#run-" + r.ID, r.ID})
		}
	}
	return out
}

// surroundings are a sheet's values of something that each run states, such as
// the air's temperature: the value, or from the lowest to the highest.
func surroundings(s *sheet.Sheet, unit string, of func(*record.Run) record.Number) string {
	var low, high record.Number
	for _, r := range s.Runs {
		n := of(r.Rec)
		if !r.Valid || figureOf(n) == "" {
			continue
		}
		if figureOf(low) == "" || n.Value < low.Value {
			low = n
		}
		if figureOf(high) == "" || n.Value > high.Value {
			high = n
		}
	}
	if low.Value == high.Value {
		return with(low, unit)
	}
	return figureOf(low) + " to " + with(high, unit) + ", by run in the downloads"
}
