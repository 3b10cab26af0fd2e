package site

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// runsCSV is a sheet as units/<slug>/runs.csv (RFC 4180): a header, then a row
// for each run and channel. Units stand in the header; a number's cell holds
// nothing but the number, with at most 12 significant digits. Figures of a whole
// run stand in each of its rows.
//
// A text that a spreadsheet would take for a formula gets an apostrophe before
// it, which spreadsheets take for the mark of a text.
func runsCSV(s *sheet.Sheet) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	b.Grow(8 << 10)
	if err := w.Write(csvHead()); err != nil {
		return nil, err
	}
	row := newCSVCells()
	for _, r := range s.Runs {
		channels := r.Channels
		if len(channels) == 0 {
			channels = []*sheet.Channel{nil} // the run is there all the same
		}
		for _, c := range channels {
			if err := row.fill(csvRow{s, r, c}); err != nil {
				return nil, fmt.Errorf("run %s: %w", r.ID, err)
			}
			if err := w.Write(row.cells); err != nil {
				return nil, err
			}
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
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
	cell func(csvRow) string
}

// The columns before the figures.
var csvBefore = []csvColumn{
	{"sheet", func(r csvRow) string { return csvText(r.sheet.Number) }},
	{"unit", func(r csvRow) string { return csvText(r.sheet.Name) }},
	{"run", func(r csvRow) string { return csvText(r.run.ID) }},
	{"at", func(r csvRow) string { return csvText(r.run.Rec.At.Text) }},
	{"outcome", func(r csvRow) string { return csvText(r.run.Rec.Outcome) }},
	{"valid", func(r csvRow) string { return strconv.FormatBool(r.run.Valid) }},
	{"invalid_because", func(r csvRow) string { return csvText(r.run.Rec.Invalid) }},
	{"method", func(r csvRow) string { return csvText(r.run.Rec.Method.ID) }},
	{"freq_hz", func(r csvRow) string { return positive(r.run.FreqHz) }},
	{"driven", func(r csvRow) string { return strconv.Itoa(len(r.run.Channels)) }},
	{"channel", func(r csvRow) string { return ofChannel(r, func(c *sheet.Channel) string { return csvText(c.Name) }) }},
	{"bridged", func(r csvRow) string { return strconv.FormatBool(r.run.Bridged) }},
	{"load", func(r csvRow) string { return ofChannel(r, loadID) }},
	{"nominal_ohm", func(r csvRow) string {
		return ofChannel(r, func(c *sheet.Channel) string { return positive(c.Nominal) })
	}},
}

// The columns behind the figures.
var csvAfter = []csvColumn{
	{"ambient_c", func(r csvRow) string { return typed(r.run.Rec.AmbientC) }},
	{"warm_up_min", func(r csvRow) string { return typed(r.run.Rec.WarmUpMin) }},
	{"lasted_s", func(r csvRow) string { return typed(r.run.Rec.LastedS) }},
	{"remarks", func(r csvRow) string { return csvText(r.run.Rec.Remarks) }},
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

// cells puts the figure's cells into their four places in a row.
func (f csvFigure) cells(at []string, figure *sheet.Figure) error {
	clear(at)
	switch {
	case figure == nil:
		return nil
	case figure.Unit != f.unit:
		return fmt.Errorf("the figure for %s is in %q and not in %q", f.columns()[0], figure.Unit, f.unit)
	}
	at[0], at[3] = plainNumber(figure.X), csvText(strings.Join(figure.Incomplete, "; "))
	if figure.U > 0 {
		at[1], at[2] = plainNumber(figure.U), plainNumber(figure.K)
	}
	return nil
}

func csvHead() []string {
	var names []string
	for _, c := range csvBefore {
		names = append(names, c.name)
	}
	for _, f := range csvFigures {
		names = append(names, f.columns()...)
	}
	for _, c := range csvAfter {
		names = append(names, c.name)
	}
	return names
}

// csvCells are the cells of a row, and the figures that are in them: those of the whole
// run stay for its next row.
type csvCells struct {
	cells   []string
	figures []*sheet.Figure
}

func newCSVCells() csvCells {
	return csvCells{make([]string, len(csvBefore)+4*len(csvFigures)+len(csvAfter)), make([]*sheet.Figure, len(csvFigures))}
}

// fill makes the cells those of a row.
func (c csvCells) fill(r csvRow) error {
	for i, column := range csvBefore {
		c.cells[i] = column.cell(r)
	}
	for i, f := range csvFigures {
		figure, at := f.of(r), len(csvBefore)+4*i
		if figure == c.figures[i] {
			continue
		}
		if err := f.cells(c.cells[at:at+4], figure); err != nil {
			return err
		}
		c.figures[i] = figure
	}
	for i, column := range csvAfter {
		c.cells[len(csvBefore)+4*len(csvFigures)+i] = column.cell(r)
	}
	return nil
}

func inChannel(of func(*sheet.Channel) *sheet.Figure) func(csvRow) *sheet.Figure {
	return func(r csvRow) *sheet.Figure {
		if r.channel == nil {
			return nil
		}
		return of(r.channel)
	}
}

func ofChannel(r csvRow, of func(*sheet.Channel) string) string {
	if r.channel == nil {
		return ""
	}
	return of(r.channel)
}

func loadID(c *sheet.Channel) string {
	if c.Load == nil {
		return ""
	}
	return csvText(c.Load.ID)
}

// csvText is a text's cell. Spreadsheets take a text that begins with one of the
// signs below for a formula, the wide ones as well.
func csvText(text string) string {
	if first, _ := utf8.DecodeRuneInString(text); text == "" || !strings.ContainsRune("=+-@\t\r\n＝＋－＠", first) {
		return text
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil && !strings.ContainsAny(text, "xXpPiInN_") {
		return text
	}
	return "'" + text
}

// plainNumber is a number's cell; empty where it is infinite or none.
func plainNumber(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	var room [32]byte
	return string(quantity.AppendFloat(room[:0], x))
}

// positive is a number's cell; empty where it is not known.
func positive(x float64) string {
	if x <= 0 {
		return ""
	}
	return plainNumber(x)
}

// typed is the cell of a number of the record, which may be absent.
func typed(n record.Number) string {
	if n.Text == "" {
		return ""
	}
	return plainNumber(n.Value)
}
