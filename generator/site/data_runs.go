package site

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"

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
	if err := w.Write(csvHead()); err != nil {
		return nil, err
	}
	for _, r := range s.Runs {
		channels := r.Channels
		if len(channels) == 0 {
			channels = []*sheet.Channel{nil} // the run is there all the same
		}
		for _, c := range channels {
			cells, err := csvCells(csvRow{s, r, c})
			if err != nil {
				return nil, fmt.Errorf("run %s: %w", r.ID, err)
			}
			if err := w.Write(cells); err != nil {
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

// cells are the figure's cells in one row.
func (f csvFigure) cells(r csvRow) ([]string, error) {
	figure := f.of(r)
	switch {
	case figure == nil:
		return []string{"", "", "", ""}, nil
	case figure.Unit != f.unit:
		return nil, fmt.Errorf("the figure for %s is in %q and not in %q", f.columns()[0], figure.Unit, f.unit)
	}
	expanded, k := "", ""
	if figure.U > 0 {
		expanded, k = plainNumber(figure.U), plainNumber(figure.K)
	}
	return []string{plainNumber(figure.X), expanded, k, csvText(strings.Join(figure.Incomplete, "; "))}, nil
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

func csvCells(r csvRow) ([]string, error) {
	var cells []string
	for _, c := range csvBefore {
		cells = append(cells, c.cell(r))
	}
	for _, f := range csvFigures {
		four, err := f.cells(r)
		if err != nil {
			return nil, err
		}
		cells = append(cells, four...)
	}
	for _, c := range csvAfter {
		cells = append(cells, c.cell(r))
	}
	return cells, nil
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
	if text == "" || !strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(text)[0]) {
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
	return quantity.Float(x)
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
