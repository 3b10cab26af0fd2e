package capture

import (
	"bufio"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
)

// A Table says how a table of samples is written. What is left at zero is told
// from the table's first lines.
type Table struct {
	// Rate in samples a second; 0 where a time column tells it.
	Rate float64
	// TimeColumn is the column of the times, from 1. 0: a first column that is headed
	// "time" or "t", or with a unit of time. They are seconds, or what the heading says.
	TimeColumn int
	// Separator between cells: comma, semicolon or tab.
	Separator byte
	// DecimalComma: 1,5 is one and a half. Told only where the separator is none.
	DecimalComma bool
	// HeaderLines before the first row of samples; 0: all lines up to the first
	// row of numbers. Names are taken from the last of them, or from the one before
	// where the last has units.
	HeaderLines int
}

// The limits of a table: a line, and the first lines that tell how it is written.
const (
	longestLine = 1 << 16
	firstLines  = 1000
)

// A CSV reads a table of samples as a stream.
type CSV struct {
	lines   *bufio.Scanner
	table   Table
	format  Format
	columns int
	seconds float64     // that 1 in the column of times stands for
	row     int         // lines read
	ahead   [][]float64 // rows read before the format was known
	rows    []int       // their numbers
	times   timing
	ended   error
}

// ReadCSV reads the first lines of a table, one row a frame, and returns a source
// of its samples. Numbers are as written; a time column is looked at and left out.
//
// Times have to rise evenly: each step within half of the sampling interval, and
// all together within 0.1 % of the rate that the first rows gave, or that was
// stated. An error is a *[Problem] with row and column.
func ReadCSV(r io.Reader, t Table) (*CSV, error) {
	c := &CSV{lines: bufio.NewScanner(r), table: t}
	c.lines.Buffer(make([]byte, 0, 4096), longestLine)
	if math.IsNaN(t.Rate) || t.Rate < 0 || t.Rate > highestRate {
		return nil, atFrame(-1, "0 to 10,000,000 are possible", "%g samples a second can't be", t.Rate)
	}
	first, heads, err := c.head()
	if err != nil {
		return nil, err
	}
	if err := c.name(heads, len(first)); err != nil {
		return nil, err
	}
	c.timed(first)
	c.keep(first)
	for c.ended == nil && len(c.ahead) < firstLines {
		c.next()
	}
	var p *Problem
	if errors.As(c.ended, &p) && len(c.ahead) < 2 {
		return nil, p
	}
	return c, c.rate()
}

// head reads up to the first row of numbers, and returns that and the cells of the
// two lines before, the last one first.
func (c *CSV) head() (first []float64, heads [2][]string, err error) {
	guess := c.table.Separator == 0
	for c.scan() {
		line := strings.TrimPrefix(c.lines.Text(), "\ufeff")
		if strings.ContainsRune(line, 0) {
			return nil, heads, &Problem{Summary: "this is no plain text of one byte a digit: it has zeros between them, as UTF-16 has", Hint: "save the table as CSV in UTF-8", Offset: -1, Frame: -1, Row: c.row}
		}
		if guess {
			c.guess(line)
		}
		cells := strings.Split(line, string(c.table.Separator))
		if c.row > c.table.HeaderLines {
			numbers, wrong := c.numbers(cells)
			switch {
			case wrong == nil:
				return numbers, heads, nil
			case c.commas(cells):
				wrong.Hint = "these are decimal commas: decimal_comma = true in the [[capture]] says so"
				return nil, heads, wrong
			}
			if c.table.HeaderLines > 0 || c.row > firstLines {
				return nil, heads, wrong
			}
		}
		if strings.TrimSpace(line) != "" {
			heads[0], heads[1] = cells, heads[0]
		}
	}
	if c.ended != io.EOF {
		return nil, heads, c.ended
	}
	return nil, heads, &Problem{Summary: "the table has no row of numbers", Hint: "save the samples as text: one row a sample, one column a channel", Offset: -1, Frame: -1, Row: max(1, c.row)}
}

// guess takes the separator that a line speaks for, and commas as decimal ones
// where another separates.
func (c *CSV) guess(line string) {
	switch {
	case strings.Contains(line, "\t"):
		c.table.Separator = '\t'
	case strings.Contains(line, ";"):
		c.table.Separator = ';'
	default:
		c.table.Separator = ','
	}
	c.table.DecimalComma = c.table.Separator != ','
}

// name finds the time column and names the channels.
func (c *CSV) name(lines [2][]string, columns int) error {
	c.columns = columns
	t := &c.table
	heads, units := lines[0], lines[0]
	if len(lines[1]) == columns && len(units) == columns && unitsOnly(units) {
		heads = lines[1]
	}
	if t.TimeColumn == 0 && len(heads) == columns && columns > 1 && (isTime(heads[0]) || timeUnit(units[0]) > 0) {
		t.TimeColumn = 1
	}
	channels := columns
	if t.TimeColumn > 0 {
		channels--
	}
	problem := func(hint, summary string) error {
		return &Problem{Summary: summary, Hint: hint, Offset: -1, Frame: -1, Row: c.row}
	}
	switch {
	case t.TimeColumn < 0 || t.TimeColumn > columns:
		return problem("count from 1", "the table has no column "+strconv.Itoa(t.TimeColumn)+" for the times")
	case channels < 1:
		return problem("save the samples beside the times", "the table has times only")
	case channels > mostChannels:
		return problem("save the channels that are needed, 8 at most", "the table has "+strconv.Itoa(channels)+" channels")
	case t.TimeColumn == 0 && t.Rate == 0:
		return problem("state the samples a second, rate_hz, or the column of the times, time_column = 1", "nothing says how many samples a second these are")
	}
	c.format.Names, c.seconds = numbered(channels), 1
	if len(heads) == columns {
		c.format.Names = c.format.Names[:0]
		for i, h := range heads {
			if i+1 != t.TimeColumn {
				c.format.Names = append(c.format.Names, headed(h))
			} else if s := max(timeUnit(units[i]), timeUnit(h)); s > 0 {
				c.seconds = s
			}
		}
	}
	return nil
}

// timed makes the time of a row seconds.
func (c *CSV) timed(row []float64) {
	if i := c.table.TimeColumn; i > 0 && i <= len(row) {
		row[i-1] *= c.seconds
	}
}

// rate settles the samples a second by the rows read ahead.
func (c *CSV) rate() error {
	c.format.Rate, c.format.Frames = c.table.Rate, -1
	if c.table.TimeColumn == 0 {
		return nil
	}
	if len(c.ahead) < 2 {
		return &Problem{Summary: "one row does not tell how many samples a second there are", Hint: "save more samples, or state the rate", Offset: -1, Frame: -1, Row: c.row}
	}
	rate := c.slope()
	switch {
	case math.IsNaN(rate) || rate <= 0 || rate > highestRate:
		return &Problem{Summary: "the times do not rise", Hint: "times are seconds, each later than the one before", Offset: -1, Frame: -1, Row: c.row, Column: c.table.TimeColumn}
	case c.table.Rate != 0 && math.Abs(rate/c.table.Rate-1) > 0.01:
		return &Problem{Summary: "the times tell " + short(rate) + " samples a second, not the stated " + short(c.table.Rate), Hint: "state the rate that the recorder used; times are seconds", Offset: -1, Frame: -1, Row: c.row, Column: c.table.TimeColumn}
	case c.table.Rate == 0:
		c.format.Rate = rate
	}
	c.times.expected = c.format.Rate
	c.times.last = c.times.first
	for i, row := range c.ahead {
		if p := c.step(row[c.table.TimeColumn-1], i > 0, c.rows[i]); p != nil {
			return p
		}
	}
	return nil
}

// slope is the samples a second by least squares through the times of the first rows,
// which rounded times tell better than the first and the last of them.
func (c *CSV) slope() float64 {
	var products, squares float64
	middle := float64(len(c.ahead)-1) / 2
	for i, row := range c.ahead {
		d := float64(i) - middle
		products, squares = products+d*(row[c.table.TimeColumn-1]-c.times.first), squares+d*d
	}
	return squares / products
}

func short(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// timing follows the times of a table.
type timing struct {
	first, last float64
	rows        int
	expected    float64 // samples a second, 0 while not known
}

func (t timing) rate() float64 { return float64(t.rows-1) / (t.last - t.first) }

// step compares a row's time with that of the row before.
func (c *CSV) step(t float64, follows bool, row int) *Problem {
	steps := (t - c.times.last) * c.times.expected
	c.times.last = t
	if !follows || steps > 0.5 && steps < 1.5 {
		return nil
	}
	summary := "the times do not rise"
	if steps >= 1.5 {
		summary = "samples are missing: " + short(steps) + " sampling intervals lie between this row and the one before"
	}
	return &Problem{Summary: summary, Hint: "export the capture with all its samples, evenly spaced, and all digits of the times", Offset: -1, Frame: -1, Row: row, Column: c.table.TimeColumn}
}

// Format tells rate and channels; the length is not known before the end.
func (c *CSV) Format() Format { return c.format }

// Read gives the next samples; see [Source].
func (c *CSV) Read(into [][]float64) (int, error) {
	for n := range into[0] {
		if len(c.ahead) == 0 {
			c.next()
		}
		if len(c.ahead) == 0 {
			return n, c.ended
		}
		ch := 0
		for i, x := range c.ahead[0] {
			if i+1 != c.table.TimeColumn {
				into[ch][n] = x
				ch++
			}
		}
		c.ahead = c.ahead[1:]
	}
	return len(into[0]), nil
}

// next reads one row more, or sets ended.
func (c *CSV) next() {
	if c.ended != nil {
		return
	}
	for c.scan() {
		text := c.lines.Text()
		if strings.TrimSpace(text) == "" {
			continue
		}
		numbers, wrong := c.numbers(strings.Split(text, string(c.table.Separator)))
		if wrong == nil && len(numbers) != c.columns {
			wrong = &Problem{Summary: "the row has " + strconv.Itoa(len(numbers)) + " cells, the first one has " + strconv.Itoa(c.columns), Hint: "the file may have been cut short; export it again", Offset: -1, Frame: -1, Row: c.row}
		}
		if wrong == nil {
			c.timed(numbers)
		}
		if wrong == nil && c.times.expected > 0 {
			wrong = c.step(numbers[c.table.TimeColumn-1], true, c.row)
		}
		if wrong != nil {
			c.ended = wrong
			return
		}
		c.keep(numbers)
		return
	}
}

// keep holds a row until it is asked for.
func (c *CSV) keep(row []float64) {
	if c.table.TimeColumn > 0 {
		t := row[c.table.TimeColumn-1]
		if c.times.rows == 0 {
			c.times.first = t
		}
		c.times.last = t
		c.times.rows++
	}
	c.ahead = append(c.ahead, row)
	if c.times.expected == 0 {
		c.rows = append(c.rows, c.row)
	}
}

// scan goes to the next line; at the end it sets ended.
func (c *CSV) scan() bool {
	if c.lines.Scan() {
		c.row++
		return true
	}
	place := Problem{Offset: -1, Frame: -1, Row: c.row + 1}
	switch err := c.lines.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		place.Summary, place.Hint = "the line is longer than 65,536 characters", "one row holds one sample of each channel"
		c.ended = &place
	case err != nil:
		place.Summary, place.Hint = "the file can't be read on: "+err.Error(), "copy the file to a disk that can be read"
		c.ended = &place
	case c.times.expected > 0 && c.times.rows > firstLines && math.Abs(c.times.rate()/c.times.expected-1) > 0.001:
		place.Row, place.Column = c.row, c.table.TimeColumn
		place.Summary, place.Hint = "over all rows the times tell "+short(c.times.rate())+" samples a second, at the beginning "+short(c.times.expected), "state the rate that the recorder used"
		c.ended = &place
	default:
		c.ended = io.EOF
	}
	return false
}

// commas reports whether cells are numbers once a comma in them is a decimal one.
func (c *CSV) commas(cells []string) bool {
	if c.table.DecimalComma || c.table.Separator == ',' {
		return false
	}
	with := *c
	with.table.DecimalComma = true
	_, wrong := with.numbers(cells)
	return wrong == nil
}

// numbers reads the cells of a row.
func (c *CSV) numbers(cells []string) ([]float64, *Problem) {
	row := make([]float64, 0, len(cells))
	for i, cell := range cells {
		text := strings.Trim(strings.TrimSpace(cell), `"`)
		if text == "" && i == len(cells)-1 && i > 0 {
			break // a separator at the end of the line
		}
		if c.table.DecimalComma {
			text = strings.Replace(text, ",", ".", 1)
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || !(math.Abs(x) <= largest) || !plain(text) {
			return nil, &Problem{Summary: strconv.QuoteToGraphic(shortened(cell)) + " is no number", Hint: "a sample is a decimal number such as -0.125 or 1.5e-3", Offset: -1, Frame: -1, Row: c.row, Column: i + 1}
		}
		row = append(row, x)
	}
	return row, nil
}

// largest is beyond what any recorder writes; squares and products of it are numbers.
const largest = 1e30

// plain refuses what the language reads as a number and a table never means so:
// hexadecimal digits and underscores.
func plain(text string) bool { return !strings.ContainsAny(text, "xXpP_") }

func shortened(cell string) string {
	if r := []rune(cell); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return cell
}
