package site

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"wattsheet/generator/datafile"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// The tables of the whole site stand in data/ (RFC 4180, UTF-8): units.csv has a row for
// each unit, claims.csv for each claim, runs.csv for each run and channel. Units of
// measure stand in the heads; a number's cell holds nothing but the number, with at most
// 12 significant digits, as in sheet.json. data/datapackage.json says what each column is.
//
// A large site has [unitsPerTable] units in a file, in the order of their slugs, and
// claims-2.csv, runs-2.csv … after the first ones: some hosts refuse files above 25 MiB.
const (
	tableUnits  = "units.csv"
	tableClaims = "claims"
	tableRuns   = "runs"

	unitsPerTable = 400
)

// A tableColumn is one column of a table of the site, as datapackage.json says it.
type tableColumn struct {
	name  string
	kind  string // a type of Table Schema: string, number, integer, boolean, date …
	unit  string // of a number, as in sheet.json; empty for none
	about string // what it is, as a sentence without its full stop
	need  bool   // no row lacks it
	words []string
}

// A cellOf is a column with what appends its cell.
type cellOf[T any] struct {
	tableColumn
	cell func([]byte, T) []byte
}

// appendCells appends a row.
func appendCells[T any](b []byte, columns []cellOf[T], of T) []byte {
	for i, c := range columns {
		if i > 0 {
			b = append(b, ',')
		}
		b = c.cell(b, of)
	}
	return append(b, "\r\n"...)
}

// headOf is the first line of a table.
func headOf(columns []tableColumn) string {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.name
	}
	return strings.Join(names, ",") + "\r\n"
}

func columnsOf[T any](cells []cellOf[T]) (out []tableColumn) {
	for _, c := range cells {
		out = append(out, c.tableColumn)
	}
	return out
}

// text, figures and so on make columns of the usual kinds.
func textColumn[T any](name, about string, of func(T) string) cellOf[T] {
	return cellOf[T]{tableColumn{name: name, kind: "string", about: about}, func(b []byte, t T) []byte { return datafile.AppendCell(b, datafile.CellText(of(t))) }}
}

func (c cellOf[T]) needed() cellOf[T] { c.need = true; return c }

func (c cellOf[T]) of(words ...string) cellOf[T] { c.words = words; return c }

func (c cellOf[T]) in(unit string) cellOf[T] { c.unit = unit; return c }

func (c cellOf[T]) as(kind string) cellOf[T] { c.kind = kind; return c }

func typedColumn[T any](name, about string, of func(T) record.Number) cellOf[T] {
	return cellOf[T]{tableColumn{name: name, kind: "number", about: about}, func(b []byte, t T) []byte { return datafile.AppendTyped(b, of(t)) }}
}

func countColumn[T any](name, about string, of func(T) int) cellOf[T] {
	return cellOf[T]{tableColumn{name: name, kind: "integer", about: about, need: true}, func(b []byte, t T) []byte { return strconv.AppendInt(b, int64(of(t)), 10) }}
}

func flagColumn[T any](name, about string, of func(T) bool) cellOf[T] {
	return cellOf[T]{tableColumn{name: name, kind: "boolean", about: about, need: true}, func(b []byte, t T) []byte { return strconv.AppendBool(b, of(t)) }}
}

// numberColumn is a number that some rows lack.
func numberColumn[T any](name, unit, about string, of func(T) (float64, bool)) cellOf[T] {
	return cellOf[T]{tableColumn{name: name, kind: "number", unit: unit, about: about}, func(b []byte, t T) []byte {
		if x, known := of(t); known {
			return datafile.AppendNumber(b, x)
		}
		return b
	}}
}

// verdictWords are the words of a verdict.
func verdictWords() (out []string) {
	for _, w := range verdict.Words {
		out = append(out, string(w))
	}
	return out
}

// unitCells are the columns of units.csv.
var unitCells = unitCellsOf()

func unitCellsOf() []cellOf[*sheet.Sheet] {
	type of = *sheet.Sheet
	cells := []cellOf[of]{
		textColumn("slug", "The unit's name in addresses: its page is units/SLUG/ of the site", func(s of) string { return s.Slug }).needed(),
		textColumn("sheet", "The number of its sheet", func(s of) string { return s.Number }).needed(),
		textColumn("maker", "Who makes the unit", func(s of) string { return s.Record.Unit.Maker }).needed(),
		textColumn("model", "The model's name", func(s of) string { return s.Record.Unit.Model }).needed(),
		typedColumn("year", "Model year", func(s of) record.Number { return s.Record.Unit.Year }).as("year"),
		textColumn("kind", "What kind of amplifier, in the trade's words", func(s of) string { return s.Record.Unit.Kind }),
		textColumn("class", "The output stage's class", func(s of) string { return s.Record.Unit.Class }),
		textColumn("use", "Where the unit is used", func(s of) string { return s.Record.Unit.Use }).of("car", "marine", "home", "stage"),
		textColumn("supply", "What the unit runs from: direct current or the mains", func(s of) string { return s.Record.Unit.Supply }).of("dc", "mains"),
		countColumn("channels", "How many channels it has", func(s of) int { return len(s.Record.Unit.Channels) }),
		textColumn("condition", "New, used or repaired, in the tester's words", func(s of) string { return s.Record.Unit.Condition }),
		typedColumn("price", "Price, in the currency of the next column", func(s of) record.Number { return s.Record.Unit.Price }),
		textColumn("currency", "The currency of prices, by ISO 4217", func(s of) string { return s.Content.Site.Currency }),
		textColumn("came", "How the unit came to the tester: bought for the test, lent, given, or the tester's own", func(s of) string { return s.Record.Source.How }).of("bought", "lent", "given", "own"),
		textColumn("came_from", "From whom it came", func(s of) string { return s.Record.Source.From }),
		flagColumn("links_earn", "True where the tester earns from a link to a shop", func(s of) bool { return s.Record.Source.LinksEarn }),
		textColumn("tested", "The day of the last run", func(s of) string { return dayOf(s.Tested).ISO }).as("date"),
		countColumn("runs", "How many runs the sheet has, invalid ones too", func(s of) int { return len(s.Runs) }),
		countColumn("claims", "How many claims of the maker the sheet decides", func(s of) int { return len(s.Claims) }),
	}
	for _, w := range verdict.Words {
		cells = append(cells, countColumn("claims_"+string(w), "How many of them have the verdict "+string(w), func(s of) (n int) {
			for _, c := range s.Claims {
				if c.Verdict == w {
					n++
				}
			}
			return n
		}))
	}
	return append(cells,
		textColumn("headline", "The verdicts in a sentence", func(s of) string { return s.Headline }),
		textColumn("page", "Address of the unit's page; from the site's root, where the site states no address", func(s of) string { return unitAddress(s) }).needed(),
	)
}

// unitAddress is where a unit's page stands: in full, where the site's address is known.
func unitAddress(s *sheet.Sheet) string {
	path := unitsFolder + "/" + s.Slug + "/"
	if site := s.Content.Site.Address; site != "" {
		return strings.TrimRight(site, "/") + "/" + path
	}
	return "/" + path
}

// runColumns are the columns of runs.csv: the unit's slug, and those of the unit's own
// runs.csv.
func runColumns() []tableColumn {
	out := []tableColumn{{name: "slug", kind: "string", about: "The unit, as in units.csv", need: true}}
	for _, c := range datafile.RunColumns() {
		switch {
		case c.Figure == "":
			out = append(out, runsColumn(c.Name))
		case c.Part == datafile.TheValue:
			out = append(out, tableColumn{name: c.Name, kind: "number", unit: c.Unit, about: runFigures[c.Figure]})
		case c.Part == datafile.TheExpanded:
			value := out[len(out)-1].name
			out = append(out, tableColumn{name: c.Name, kind: "number", unit: c.Unit, about: "Expanded uncertainty U of " + value + ", for a coverage probability of 95 %"})
		case c.Part == datafile.TheK:
			out = append(out, tableColumn{name: c.Name, kind: "number", about: "Coverage factor k of that U"})
		default:
			out = append(out, tableColumn{name: c.Name, kind: "string", about: "What that uncertainty lacks, in words; empty where it is complete"})
		}
	}
	return out
}

// runsColumn says what a column of runs.csv is that is no figure.
func runsColumn(name string) tableColumn {
	c, known := runConditions[name]
	if !known {
		panic("site: the column " + name + " of runs.csv isn't described")
	}
	c.name = name
	return c
}

var runConditions = map[string]tableColumn{
	"sheet":           {kind: "string", about: "The number of the unit's sheet", need: true},
	"unit":            {kind: "string", about: "Maker and model", need: true},
	"run":             {kind: "string", about: "The run's id; its address is #run-ID of the unit's page", need: true},
	"at":              {kind: "string", about: "Date and time of the run as the record has it"},
	"outcome":         {kind: "string", about: "How the run ended", words: []string{"completed", "protected", "fuse", "supply-limit", "stopped"}},
	"valid":           {kind: "boolean", about: "False where the tester marked the run as invalid", need: true},
	"invalid_because": {kind: "string", about: "Why it is invalid"},
	"method":          {kind: "string", about: "The method of the run, as the methodology page names it", need: true},
	"freq_hz":         {kind: "number", unit: "Hz", about: "The signal's frequency"},
	"driven":          {kind: "integer", about: "How many channels were driven; bridged, how many pairs", need: true},
	"channel":         {kind: "string", about: "The channel that the row is about"},
	"bridged":         {kind: "boolean", about: "True where channels were bridged", need: true},
	"load":            {kind: "string", about: "The load at that channel, as the methodology page names it"},
	"nominal_ohm":     {kind: "number", unit: "Ω", about: "Nominal load of that channel"},
	"ambient_c":       {kind: "number", unit: "°C", about: "Temperature of the air"},
	"warm_up_min":     {kind: "number", unit: "min", about: "How long the unit was warmed up"},
	"lasted_s":        {kind: "number", unit: "s", about: "How long the run lasted, where that is told"},
	"remarks":         {kind: "string", about: "The tester's remarks"},
}

var runFigures = map[string]string{
	"load_at_terminals": "Resistance that the channel drove, at the unit's terminals",
	"power":             "Power of the channel at the unit's terminals",
	"out":               "True rms volts of the channel at the unit's terminals",
	"thdn":              "Distortion and noise, relative to the fundamental",
	"total":             "Power of all driven channels",
	"supply":            "Mean of the supply at the unit's terminals",
	"efficiency":        "Total power by supply power",
	"heat":              "Supply power less total power",
}

// tableRows are a unit's rows of claims.csv and runs.csv.
type tableRows struct{ Claims, Runs []byte }

// text is the rows in one: how many bytes those of claims have, in a line, then all.
func (r tableRows) text() []byte {
	return fmt.Appendf(nil, "%d\n%s%s", len(r.Claims), r.Claims, r.Runs)
}

// digest is that of the text: it tells these rows from any other.
func (r tableRows) digest() digest { return publication.DigestOf(r.text()) }

// tableRowsOf are the rows of a sheet.
func tableRowsOf(s *sheet.Sheet) tableRows {
	desk := desks.Get().(*[]byte)
	defer desks.Put(desk)
	rows := (*desk)[:0]
	for _, c := range s.Claims {
		rows = appendCells(rows, claimCells, tabledClaim{s, c})
	}
	claims := len(rows)
	rows, err := datafile.AppendRuns(rows, s, append(datafile.AppendCell(nil, datafile.CellText(s.Slug)), ','))
	if err != nil {
		panic("site: " + err.Error()) // the unit's own runs.csv says so first
	}
	*desk = rows
	rows = bytes.Clone(rows)
	return tableRows{rows[:claims:claims], rows[claims:]}
}
