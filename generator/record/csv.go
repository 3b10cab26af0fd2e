package record

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
)

// separators are the words of [RunsFile.Separator] with their characters.
var separators = map[string]rune{"comma": ',', "semicolon": ';', "tab": '\t'}

// A grid is a text of comma-separated values, cut into cells that know their place.
type grid struct {
	file *File
	head []gridCell // nil where there is no head line
	rows [][]gridCell
}

// A gridCell is one cell: what it holds, without quotes and blanks around, and where
// it stands.
type gridCell struct {
	text  string
	where span
}

// problem is a mistake at a cell.
func (g *grid) problem(c gridCell, summary, hint string) Problem {
	return Place{g.file, &node{value: c.where}}.Problem(summary, hint)
}

// readGrid cuts a text as RFC 4180 has it, with another separator where one is given
// and with any line end. Lines before the head line are passed over, whatever they
// hold; with the head line 0 all are rows.
func readGrid(f *File, separator rune, headLine int) (*grid, Problems) {
	g := &grid{file: f}
	text := withoutMark(f.Text)
	if p := notText(f, text); p != nil {
		return g, Problems{*p}
	}
	text = endedByLineFeeds(text)
	starts := lineStarts(text)
	skipped := max(headLine-1, 0)
	if skipped >= len(starts) || len(bytes.TrimSpace(text)) == 0 {
		return g, Problems{f.Problem(Error, 0, 1, "there is no line "+strconv.Itoa(max(headLine, 1)), "the columns' heads stand there, or head_line of [runs_file] is another")}
	}
	r := csv.NewReader(bytes.NewReader(text[starts[skipped]:]))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = separator, -1, true
	for {
		from := int(r.InputOffset()) + starts[skipped]
		fields, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return g, Problems{csvProblem(g, text, starts, skipped, err)}
		}
		row := cells(text, starts, skipped, r, fields, from)
		switch {
		case headLine > 0 && g.head == nil:
			g.head = row
		case !blankRow(row):
			g.rows = append(g.rows, row)
		}
	}
	if headLine > 0 && g.head == nil {
		return g, Problems{f.Problem(Error, 0, 1, "there is no line of heads", "head_line of [runs_file] says in which line they stand")}
	}
	return g, nil
}

// notText is the problem of bytes that are no UTF-8 text.
func notText(f *File, text []byte) *Problem {
	hint := "save it as CSV in UTF-8; spreadsheets offer that when saving"
	if bytes.HasPrefix(text, []byte{0xff, 0xfe}) || bytes.HasPrefix(text, []byte{0xfe, 0xff}) {
		p := f.Problem(Error, 0, 1, "the file is UTF-16 text", hint)
		return &p
	}
	at := invalid(string(text))
	if nul := bytes.IndexByte(text, 0); nul >= 0 && (at < 0 || nul < at) {
		at = nul
	}
	if at < 0 {
		return nil
	}
	p := Place{f, &node{value: spanAt(text, lineStarts(text), at, 1)}}.Problem(fmt.Sprintf("byte 0x%02X is no text", text[at]), hint)
	return &p
}

// endedByLineFeeds gives a text whose lines end in a bare carriage return the line ends
// that others have; every byte keeps its place.
func endedByLineFeeds(text []byte) []byte {
	if bytes.IndexByte(text, '\n') >= 0 || bytes.IndexByte(text, '\r') < 0 {
		return text
	}
	return bytes.ReplaceAll(text, []byte{'\r'}, []byte{'\n'})
}

// lineStarts are the bytes at which lines begin.
func lineStarts(text []byte) []int {
	starts := []int{0}
	for i, c := range text {
		if c == '\n' && i+1 < len(text) {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// spanAt is the span of some bytes of a text.
func spanAt(text []byte, starts []int, at, length int) span {
	at = min(at, len(text))
	line := sort.SearchInts(starts, at+1) - 1
	to := min(at+max(length, 0), len(text))
	return span{line: int32(line + 1), column: int32(1 + utf8.RuneCount(text[starts[line]:at])), length: int32(max(1, utf8.RuneCount(text[at:to]))), at: int32(at)}
}

// cells are the cells of one record that the reader has just read.
func cells(text []byte, starts []int, skipped int, r *csv.Reader, fields []string, from int) []gridCell {
	end := int(r.InputOffset()) + starts[skipped]
	for end > from && (text[end-1] == '\n' || text[end-1] == '\r') {
		end--
	}
	at := make([]int, len(fields)+1)
	for i := range fields {
		line, column := r.FieldPos(i)
		at[i] = starts[line-1+skipped] + column - 1
	}
	at[len(fields)] = end + 1 // as if a separator stood there
	row := make([]gridCell, len(fields))
	for i, field := range fields {
		raw := text[at[i]:max(at[i], min(at[i+1]-1, len(text)))]
		before := len(raw) - len(bytes.TrimLeft(raw, " \t"))
		row[i] = gridCell{strings.TrimSpace(field), spanAt(text, starts, at[i]+before, len(bytes.TrimSpace(raw)))}
	}
	return row
}

func blankRow(row []gridCell) bool {
	for _, c := range row {
		if c.text != "" {
			return false
		}
	}
	return true
}

// csvProblem explains what the reader can't read.
func csvProblem(g *grid, text []byte, starts []int, skipped int, err error) Problem {
	var e *csv.ParseError
	if !errors.As(err, &e) {
		return g.file.Problem(Error, 0, 1, "it can't be read: "+err.Error(), "")
	}
	line, column := e.Line, e.Column
	summary := "it can't be read from here: " + e.Err.Error()
	switch {
	case errors.Is(e.Err, csv.ErrBareQuote):
		summary = `a " stands within a cell`
	case errors.Is(e.Err, csv.ErrQuote):
		line, column, summary = e.StartLine, 1, `a cell that begins with " doesn't end, or goes on behind its second "`
	}
	at := starts[min(line-1+skipped, len(starts)-1)] + max(column-1, 0)
	return Place{g.file, &node{value: spanAt(text, starts, at, 1)}}.Problem(summary,
		`a cell with a " in it stands between two others, and the inner one is doubled: "5"" wide"`)
}
