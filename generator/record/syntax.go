package record

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// largest is the size of a file that is still taken for one that people write.
const largest = 16 << 20

// scan gives the file's text and the tree of its places; no tree where the text can't
// be looked at, the problem is added then.
func (d *decoder) scan() (string, *scanner) {
	text := withoutMark(d.file.Text)
	if len(text) > largest {
		d.add(Place{d.file, nil}.Problem("the file has "+strconv.Itoa(len(text)>>20)+" MiB, more than anybody writes by hand", "split it, or take out what isn't a record"))
		return "", nil
	}
	whole := string(text)
	if at := invalid(whole); at >= 0 {
		d.at(whole, at, 1, fmt.Sprintf("byte 0x%02X is no UTF-8 text", whole[at]), "save the file as UTF-8 in your editor")
		return "", nil
	}
	s := scan(whole)
	if s.fault != nil && s.fault.why != "" {
		d.at(whole, s.fault.at, 1, s.fault.why, fmt.Sprintf("the schema needs no more than three levels; at most %d are read", deepest))
		return "", nil
	}
	return whole, s
}

// parse gives the file's values and the tree of their places. The values are
// nil when the file is no valid TOML; the problem is added then.
func (d *decoder) parse() (map[string]any, *node) {
	whole, s := d.scan()
	top := &node{value: span{line: 1, column: 1}, unread: true}
	if s == nil {
		return nil, top
	}
	values, err := authority(s.readable())
	switch {
	case err != nil:
		d.syntax(whole, s, err)
		return nil, top
	case s.fault != nil:
		d.at(whole, s.fault.at, 1, "the line can't be read from here", "a line is key = value; a table's head is [unit] or [[run]]")
		return nil, top
	case s.again != nil: // the TOML decoder lets some pass within lists
		d.twice(whole, s)
		return nil, top
	}
	return values, s.root
}

// invalid gives the first byte that is no UTF-8, or -1.
func invalid(text string) int {
	if utf8.ValidString(text) {
		return -1
	}
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return -1
}

// readable is the text up to the end of the line in which the scanner stopped.
// The TOML decoder, which calls itself for each level, sees nothing that the
// scanner's limits haven't been applied to.
func (s *scanner) readable() string {
	if s.fault == nil {
		return s.text
	}
	at := min(s.fault.at, len(s.text))
	if n := strings.IndexByte(s.text[at:], '\n'); n >= 0 {
		return s.text[:at+n+1]
	}
	return s.text
}

// authority decodes a text into plain values. The TOML decoder panics where it
// finds a mistake of its own.
func authority(text string) (values map[string]any, err error) {
	defer func() {
		if r := recover(); r != nil {
			values, err = nil, fmt.Errorf("the file can't be read: %v", r)
		}
	}()
	var v any
	if _, err := toml.Decode(text, &v); err != nil {
		return nil, err
	}
	values, _ = v.(map[string]any)
	if values == nil {
		values = map[string]any{}
	}
	return values, nil
}

// at adds a problem at a byte of the text.
func (d *decoder) at(text string, at, length int, summary, hint string) {
	at = max(0, min(at, len(text)))
	s := scanner{text: text, line: 1, column: 1}
	here := s.start(at)
	here.length = int32(max(1, length))
	d.add(Place{d.file, &node{value: here}}.Problem(summary, hint))
}

// syntax adds the problem of a text that is no valid TOML.
func (d *decoder) syntax(text string, s *scanner, err error) {
	var parse toml.ParseError
	if !errors.As(err, &parse) {
		d.at(text, 0, 1, strings.TrimPrefix(err.Error(), "toml: "), "look for an open quote or bracket")
		return
	}
	if s.again != nil && int(s.again.key.line) == parse.Position.Line && strings.Contains(parse.Message, "already") {
		d.twice(text, s)
		return
	}
	at, to := marked(text, parse)
	summary, hint := plainer(parse.Message, lineAround(text, at))
	end := at
	if strings.HasPrefix(parse.Message, "unexpected EOF") { // then it marks the last character
		end = len(text)
	}
	if open, than := unclosed(text, end, parse.Position.Line, summary); than != (plainly{}) {
		if summary, hint = than.summary, than.hint; int(open.line) != parse.Position.Line {
			summary += "; it starts in line " + strconv.Itoa(int(open.line))
		}
	} else if s.fault != nil && s.fault.open.line > 0 && (strings.Contains(summary, "never closed") || strings.Contains(summary, "isn't closed, or")) {
		open := s.fault.open
		if strings.Contains(summary, "never") {
			at, to = int(open.at), int(open.at)+3
		} else if int(open.line) != parse.Position.Line {
			summary += "; it starts in line " + strconv.Itoa(int(open.line))
		}
	}
	d.at(text, at, utf8.RuneCountInString(text[at:min(to, len(text))]), summary, hint)
}

// newLine is a line as it stands outside of a list: a key with its =, or the head of a table.
var newLine = regexp.MustCompile(`^\s*(?:[\w-]+\s*=|\[\[?[\w.-]+\]\]?\s*(?:#.*)?$)`)

// unclosed tells what a mistake rather is that stands within an open list, or a table in a line: what is missing is its
// bracket. The TOML decoder takes the next lines for further items, and complains of them.
func unclosed(text string, at, number int, summary string) (open span, than plainly) {
	s := scan(text[:at])
	if s.fault == nil || s.fault.list.line == 0 {
		return open, than
	}
	if open, than = s.fault.list, openList; text[open.at] == '{' {
		than = openTable
	}
	rest := strings.TrimLeft(lineAround(text[at:], 0), " \t")
	switch {
	case (rest == "" || rest[0] == '#') && (summary == noValue || summary == noKey || summary == noSign):
	case int(open.line) != number && strings.HasSuffix(summary, " is no value") && newLine.MatchString(lineAround(text, at)):
	default:
		than = plainly{}
	}
	return open, than
}

// marked gives the bytes that the TOML decoder complains of. It puts control
// characters one too early, and includes the blanks before a surplus word.
func marked(text string, parse toml.ParseError) (from, to int) {
	from = max(0, min(parse.Position.Start, len(text)))
	to = max(from, min(from+parse.Position.Len, len(text)))
	if strings.Contains(parse.Message, "control characters") {
		from = max(0, min(parse.Position.Start+1, len(text)))
		return from, from + 1
	}
	for from > 0 && from < len(text) && !utf8.RuneStart(text[from]) {
		from-- // it may also point into a character
	}
	for to-from > 1 && (text[from] == ' ' || text[from] == '\t') {
		from++
	}
	return from, to
}

// twice adds the problem of a key or table that is given twice.
func (d *decoder) twice(text string, s *scanner) {
	hint := "keep one of the two; a further run or claim starts with its own head, [[run]] or [[claim]]"
	if s.first.list && !s.again.list && s.again.text == "" {
		hint = "where there may be several tables, each head has two brackets: [[" + short(s.again.name) + "]]"
	}
	d.at(text, int(s.again.key.at), int(s.again.key.length),
		quoted(s.again.name)+" is given twice; the first is in line "+strconv.Itoa(int(s.first.key.line)), hint)
}

// lineAround is the line that a byte of the text stands in, without line ends.
func lineAround(text string, at int) string {
	from := strings.LastIndexByte(text[:at], '\n') + 1
	to := len(text)
	if n := strings.IndexByte(text[at:], '\n'); n >= 0 {
		to = at + n
	}
	return strings.TrimRight(text[from:to], "\r")
}
