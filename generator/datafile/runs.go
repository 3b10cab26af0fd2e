package datafile

import (
	"fmt"
	"strconv"
	"strings"

	"wattsheet/generator/sheet"
)

// CSV is a sheet as units/<slug>/runs.csv (RFC 4180): a header, then a row
// for each run and channel. Units stand in the header; a number's cell holds
// nothing but the number, with at most 12 significant digits. Figures of a whole
// run stand in each of its rows.
//
// A text that a spreadsheet would take for a formula gets an apostrophe before
// it, which spreadsheets take for the mark of a text.
func CSV(s *sheet.Sheet) ([]byte, error) {
	desk := fileDesks.Get().(*[]byte)
	return AppendRuns(append(append((*desk)[:0], strings.Join(csvHead(), ",")...), "\r\n"...), s, nil)
}

// AppendRuns appends the rows of a sheet's runs, each behind the same first cells.
func AppendRuns(b []byte, s *sheet.Sheet, first []byte) (_ []byte, err error) {
	figures := make([]csvKept, len(csvFigures))
	for _, r := range s.Runs {
		channels := r.Channels
		if len(channels) == 0 {
			channels = []*sheet.Channel{nil} // the run is there all the same
		}
		for _, c := range channels {
			if b, err = appendRow(append(b, first...), csvRow{s, r, c}, figures); err != nil {
				return nil, fmt.Errorf("run %s: %w", r.ID, err)
			}
		}
	}
	return b, nil
}

// A csvRow is what one row is about; the channel is nil for a run without any.
type csvRow struct {
	sheet   *sheet.Sheet
	run     *sheet.Run
	channel *sheet.Channel
}

// A csvColumn is one column of the conditions.
type csvColumn struct {
	name string
	cell func([]byte, csvRow) []byte // appends it
}

// The columns before the figures.
var csvBefore = []csvColumn{
	{"sheet", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.sheet.Number)) }},
	{"unit", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.sheet.Name)) }},
	{"run", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.run.ID)) }},
	{"at", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.run.Rec.At.Text)) }},
	{"outcome", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.run.Rec.Outcome)) }},
	{"valid", func(b []byte, r csvRow) []byte { return strconv.AppendBool(b, r.run.Valid) }},
	{"invalid_because", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.run.Rec.Invalid)) }},
	{"method", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.run.Rec.Method.ID)) }},
	{"freq_hz", func(b []byte, r csvRow) []byte { return appendPositive(b, r.run.FreqHz) }},
	{"driven", func(b []byte, r csvRow) []byte { return strconv.AppendInt(b, int64(len(r.run.Channels)), 10) }},
	{"channel", ofChannel(func(b []byte, c *sheet.Channel) []byte { return AppendCell(b, CellText(c.Name)) })},
	{"bridged", func(b []byte, r csvRow) []byte { return strconv.AppendBool(b, r.run.Bridged) }},
	{"load", ofChannel(appendLoad)},
	{"nominal_ohm", ofChannel(func(b []byte, c *sheet.Channel) []byte { return appendPositive(b, c.Nominal) })},
}

// The columns behind the figures.
var csvAfter = []csvColumn{
	{"ambient_c", func(b []byte, r csvRow) []byte { return AppendTyped(b, r.run.Rec.AmbientC) }},
	{"warm_up_min", func(b []byte, r csvRow) []byte { return AppendTyped(b, r.run.Rec.WarmUpMin) }},
	{"lasted_s", func(b []byte, r csvRow) []byte { return AppendTyped(b, r.run.Rec.LastedS) }},
	{"remarks", func(b []byte, r csvRow) []byte { return AppendCell(b, CellText(r.run.Rec.Remarks)) }},
}

// A csvFigure makes four columns: the value, its expanded uncertainty, its
// coverage factor, and what its uncertainty lacks.
type csvFigure struct {
	name, ending string // power, w: power_w, power_expanded_w, power_k, power_lacks
	unit         string // the unit that the ending stands for
	of           func(csvRow) *sheet.Figure
}

var csvFigures = []csvFigure{
	{"load_at_terminals", "ohm", "Ω", inChannel(func(c *sheet.Channel) *sheet.Figure { return c.Resistance })},
	{"power", "w", "W", inChannel(func(c *sheet.Channel) *sheet.Figure { return c.Power })},
	{"out", "v", "V", inChannel(func(c *sheet.Channel) *sheet.Figure { return c.OutV })},
	{"thdn", "pct", "%", inChannel(func(c *sheet.Channel) *sheet.Figure { return c.Distortion })},
	{"total", "w", "W", func(r csvRow) *sheet.Figure { return r.run.Total }},
	{"supply", "v", "V", func(r csvRow) *sheet.Figure { return r.run.SupplyV }},
	{"supply", "a", "A", func(r csvRow) *sheet.Figure { return r.run.SupplyA }},
	{"supply", "w", "W", func(r csvRow) *sheet.Figure { return r.run.SupplyPower }},
	{"efficiency", "pct", "%", func(r csvRow) *sheet.Figure { return r.run.Efficiency }},
	{"heat", "w", "W", func(r csvRow) *sheet.Figure { return r.run.Heat }},
}

// columns are the names of the figure's columns. The unit stands in each of the
// last two as well: supply_v and supply_a have their own k.
func (f csvFigure) columns() []string {
	return []string{
		f.name + "_" + f.ending, f.name + "_expanded_" + f.ending,
		f.name + "_" + f.ending + "_k", f.name + "_" + f.ending + "_lacks",
	}
}

// append appends the figure's four cells, and a comma after each.
func (f csvFigure) append(b []byte, figure *sheet.Figure) ([]byte, error) {
	switch {
	case figure == nil:
		return append(b, ",,,,"...), nil
	case figure.Unit != f.unit:
		return b, fmt.Errorf("the figure for %s is in %q and not in %q", f.columns()[0], figure.Unit, f.unit)
	}
	b = append(AppendNumber(b, figure.X), ',')
	if figure.U > 0 {
		b = AppendNumber(append(AppendNumber(b, figure.U), ','), figure.K)
	} else {
		b = append(b, ',')
	}
	return append(AppendCell(append(b, ','), CellText(strings.Join(figure.Incomplete, "; "))), ','), nil
}

func csvHead() []string {
	var names []string
	for _, c := range RunColumns() {
		names = append(names, c.Name)
	}
	return names
}

// A RunColumn is one column of runs.csv.
type RunColumn struct {
	Name string
	// Figure is the figure that it is of: power; empty for a condition of the run.
	Figure string
	// Part says what it is of the figure.
	Part FigurePart
	// Unit is that of the figure's value, as in sheet.json.
	Unit string
}

// A FigurePart says which of a figure's four columns one is.
type FigurePart int

const (
	TheValue    FigurePart = iota // also of a condition, which has no other
	TheExpanded                   // its expanded uncertainty
	TheK                          // the coverage factor of that
	TheLacks                      // what its uncertainty lacks
)

// RunColumns are the columns of runs.csv, in their order.
func RunColumns() (out []RunColumn) {
	for _, c := range csvBefore {
		out = append(out, RunColumn{Name: c.name})
	}
	for _, f := range csvFigures {
		for part, name := range f.columns() {
			out = append(out, RunColumn{name, f.name, FigurePart(part), f.unit})
		}
	}
	for _, c := range csvAfter {
		out = append(out, RunColumn{Name: c.name})
	}
	return out
}

// A csvKept is a figure and its cells: those of the whole run stay for its next row.
type csvKept struct {
	figure *sheet.Figure
	cells  []byte // nil where there are none yet
}

// appendRow appends a row; figures are the ones of the row before.
func appendRow(b []byte, r csvRow, figures []csvKept) (_ []byte, err error) {
	for _, column := range csvBefore {
		b = append(column.cell(b, r), ',')
	}
	for i, f := range csvFigures {
		known, figure := &figures[i], f.of(r)
		if figure != known.figure || known.cells == nil {
			if known.cells, err = f.append(known.cells[:0], figure); err != nil {
				return b, err
			}
			known.figure = figure
		}
		b = append(b, known.cells...)
	}
	for i, column := range csvAfter {
		if i > 0 {
			b = append(b, ',')
		}
		b = column.cell(b, r)
	}
	return append(b, "\r\n"...), nil
}

func inChannel(of func(*sheet.Channel) *sheet.Figure) func(csvRow) *sheet.Figure {
	return func(r csvRow) *sheet.Figure {
		if r.channel == nil {
			return nil
		}
		return of(r.channel)
	}
}

func ofChannel(of func([]byte, *sheet.Channel) []byte) func([]byte, csvRow) []byte {
	return func(b []byte, r csvRow) []byte {
		if r.channel == nil {
			return b
		}
		return of(b, r.channel)
	}
}

func appendLoad(b []byte, c *sheet.Channel) []byte {
	if c.Load == nil {
		return b
	}
	return AppendCell(b, CellText(c.Load.ID))
}
