package record

import (
	"bytes"
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"
)

// Severity says whether a problem stops publication.
type Severity int

const (
	// Error stops publication: the file can't be read as it stands.
	Error Severity = iota
	// Warning is shown, and publication goes on.
	Warning
)

// A Problem is one mistake in a file: what is wrong, what to do, and where it
// stands. Line and Column count from 1 in characters; Length is in characters,
// on that line or beyond it. Length 0 means the file as a whole.
type Problem struct {
	Severity             Severity
	Summary, Hint        string
	File                 string
	Line, Column, Length int

	source string // the source line, or the part of it around the problem
	caret  int    // characters of source before the problem
	before bool   // source was cut at its beginning
	after  bool   // source was cut at its end
}

// Problems is a list of problems. It is an error, so that a room above can
// return it as one.
type Problems []Problem

// Sort orders problems as somebody reads them: by file, line, column, summary.
func (p Problems) Sort() {
	slices.SortStableFunc(p, func(a, b Problem) int {
		return cmp.Or(
			cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column), cmp.Compare(a.Summary, b.Summary))
	})
}

// Errors reports whether one of the problems stops publication.
func (p Problems) Errors() bool {
	return slices.ContainsFunc(p, func(one Problem) bool { return one.Severity == Error })
}

// Error gives all problems as they are printed.
func (p Problems) Error() string {
	var b strings.Builder
	for _, one := range p {
		b.WriteString(one.String())
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// Problem makes an error at this place. The summary says what is wrong, the
// hint what to do; both are in lower case and without a final period.
func (p Place) Problem(summary, hint string) Problem {
	problem := Problem{Summary: summary, Hint: hint}
	if p.file != nil {
		problem.File = p.file.Name
	}
	if p.node != nil {
		problem.point(p.file, p.node.value)
		if p.node.column != "" {
			problem.Summary = p.node.column + ": " + summary
		}
	}
	return problem
}

// Position gives the place as people write it: the file's name, and the line
// and column, from 1, in characters. It is "", 0, 0 for the zero Place.
func (p Place) Position() (file string, line, column int) {
	if p.file != nil {
		file = p.file.Name
	}
	if p.node != nil {
		line, column = int(p.node.value.line), int(p.node.value.column)
	}
	return file, line, column
}

// Key gives the place of a key's value within this table, or the table's own
// place where the key isn't there.
func (p Place) Key(key string) Place {
	if kid := p.node.kid(key); kid != nil {
		return Place{file: p.file, node: kid}
	}
	return p
}

// Item gives the place of an item of this list, counted from 0, or the list's
// own place where it has no such item.
func (p Place) Item(i int) Place {
	if p.node != nil && i >= 0 && i < len(p.node.items) {
		return Place{file: p.file, node: p.node.items[i]}
	}
	return p
}

// has reports whether the table at this place has the key.
func (p Place) has(key string) bool { return p.node.kid(key) != nil }

// line is the place's line, for "the first is in line 12".
func (p Place) line() int {
	_, line, _ := p.Position()
	return line
}

// keyProblem is a problem with a key itself, not with its value.
func (p Place) keyProblem(summary, hint string) Problem {
	problem := p.Problem(summary, hint)
	problem.point(p.file, p.node.key)
	return problem
}

// window is how many bytes of a source line are kept on each side of a
// problem. It bounds the work and the memory of a file with a very long line
// and very many mistakes in it.
const window = 320

// Problem is a mistake at an offset of a file's text that isn't TOML, such as
// notes: at and length are in bytes.
func (f *File) Problem(severity Severity, at, length int, summary, hint string) Problem {
	at = min(max(at, 0), len(f.Text))
	before := f.Text[:at]
	start := bytes.LastIndexByte(before, '\n') + 1
	p := Problem{Severity: severity, Summary: summary, Hint: hint, File: f.Name}
	p.point(f, span{
		line:   int32(1 + bytes.Count(before, []byte("\n"))),
		column: int32(1 + utf8.RuneCount(before[start:])),
		length: int32(max(1, utf8.RuneCount(f.Text[at:min(at+max(length, 1), len(f.Text))]))),
		at:     int32(at),
	})
	return p
}

// point sets the problem's position and keeps the source around it.
func (p *Problem) point(f *File, s span) {
	p.Line, p.Column, p.Length = int(s.line), int(s.column), int(s.length)
	text := withoutMark(f.Text)
	at := min(int(s.at), len(text))
	from, to := max(0, at-window), min(len(text), at+window)
	p.before, p.after = from > 0, to < len(text)
	for i := at; i > from; i-- {
		if text[i-1] == '\n' {
			from, p.before = i, false
			break
		}
	}
	for i := at; i < to; i++ {
		if text[i] == '\n' {
			to, p.after = i, false
			break
		}
	}
	for p.before && from < at && !utf8.RuneStart(text[from]) {
		from++
	}
	for p.after && to > at && !utf8.RuneStart(text[to]) {
		to--
	}
	p.source = strings.TrimSuffix(string(text[from:to]), "\r")
	p.caret = utf8.RuneCount(text[from:at])
}
