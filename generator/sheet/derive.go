package sheet

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// Columns is how wide a derivation's lines are at most.
const Columns = 80

// A Passage is one part of a derivation: what it is about, and its lines, each of
// at most [Columns] columns. Parts are the same text before it was broken into
// lines, for a page that breaks it itself.
type Passage struct {
	Head  string
	Lines []string
	Parts []Part

	formulas []string // ids of the formulas that it spells out
}

// A Part is one sentence of a passage, or one row that is laid out in columns.
type Part struct {
	Indent int    // columns from the left; 0 for a row
	Text   string // a row keeps its blanks
	Row    bool
}

// A derivation collects passages.
type derivation struct {
	e        *evaluator
	s        *Sheet
	passages []Passage
	formulas []string // the ids used, in the order met
	saidC    bool     // what a sensitivity is stands under the first budget only
}

func (s *Sheet) derivation() *derivation {
	return &derivation{s: s, e: &evaluator{s.Content, s.Record, ruleOf(s.Content.Site)}}
}

// head starts a passage.
func (d *derivation) head(format string, args ...any) {
	d.passages = append(d.passages, Passage{Head: cut(fmt.Sprintf(format, args...), Columns)})
}

// line adds a row that is laid out in columns.
func (d *derivation) line(text string) {
	p := &d.passages[len(d.passages)-1]
	text = strings.TrimRight(text, " ")
	p.Lines = append(p.Lines, text)
	p.Parts = append(p.Parts, Part{Text: text, Row: true})
}

// say adds a sentence, wrapped; further lines stand further in.
func (d *derivation) say(indent int, format string, args ...any) {
	p := &d.passages[len(d.passages)-1]
	text := fmt.Sprintf(format, args...)
	for i, l := range wrap(text, Columns-indent-2) {
		in := indent
		if i > 0 {
			in += 2
		}
		p.Lines = append(p.Lines, strings.TrimRight(strings.Repeat(" ", in)+l, " "))
	}
	p.Parts = append(p.Parts, Part{Indent: indent, Text: visible(text)})
}

// by names a formula that was used.
func (d *derivation) by(id string) string {
	for _, known := range d.formulas {
		if known == id {
			return "[" + id + "]"
		}
	}
	d.formulas = append(d.formulas, id)
	return "[" + id + "]"
}

// sources lists the formulas that were used, with what they rest on.
func (d *derivation) sources() {
	if len(d.formulas) == 0 {
		return
	}
	d.head("Formulas")
	d.passages[len(d.passages)-1].formulas = d.formulas
	for _, id := range d.formulas {
		f, ok := formula.ByID(id)
		if !ok {
			continue
		}
		d.say(2, "[%s] %s: %s", id, f.Title, f.Expression)
		d.say(4, "rests on: %s", f.Source)
		if f.Note != "" {
			d.say(4, "%s", f.Note)
		}
	}
}

// Symbols is what the symbols stand for in the formulas that a derivation used, each
// with its unit; nil where it used none. It stands apart from the derivation, since on
// a page each formula leads to the catalogue, which has them.
func Symbols(derived []Passage) []Passage {
	d := &derivation{}
	for _, p := range derived {
		for _, id := range p.formulas {
			if f, ok := formula.ByID(id); ok && len(f.Symbols) > 0 {
				if d.passages == nil {
					d.head("Symbols")
				}
				d.say(2, "[%s] %s", id, symbols(f.Symbols))
			}
		}
	}
	return d.passages
}

func symbols(all []formula.Symbol) string {
	texts := make([]string, len(all))
	for i, s := range all {
		texts[i] = s.Name + ": " + s.Meaning
		if s.Unit != "" && s.Unit != "1" {
			texts[i] += " (" + s.Unit + ")"
		}
	}
	return strings.Join(texts, "; ")
}

// calc writes a number for a pocket calculator: six significant digits, without
// trailing zeros.
func calc(x float64) string {
	switch {
	case math.IsInf(x, 0):
		return "∞"
	case x == 0:
		return "0"
	}
	if a := math.Abs(x); a < 1e-4 || a >= 1e7 {
		mantissa, exponent, _ := strings.Cut(fmt.Sprintf("%.5e", x), "e")
		mantissa = strings.TrimRight(strings.TrimRight(mantissa, "0"), ".")
		return mantissa + "e" + strings.TrimPrefix(exponent, "+")
	}
	text := quantity.Significant(x, 6)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return strings.Replace(text, "−", "-", 1)
}

// typed is a number of the record, as written.
func typed(n record.Number) string {
	if n.Text == "" {
		return calc(n.Value)
	}
	return n.Text
}

// width is how many columns a text takes: two for what is wide, at least.
func width(text string) int {
	n := 0
	for _, r := range text {
		n += columnsOf(r)
	}
	return n
}

func columnsOf(r rune) int {
	const wide = 0x2e80 // from here on, terminals may give two columns
	if r >= wide {
		return 2
	}
	return 1
}

// shown makes a text one line of visible characters: what isn't becomes a mark.
func shown(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0', r == '\n', r == '\t':
			return ' '
		case !unicode.IsGraphic(r):
			return utf8.RuneError
		}
		return r
	}, text)
}

// cut shortens a text to so many columns.
func cut(text string, columns int) string {
	text = shown(text)
	if width(text) <= columns {
		return text
	}
	n := 0
	for i, r := range text {
		if n += columnsOf(r); n > columns-1 {
			return text[:i] + "…"
		}
	}
	return text
}

// Wrap breaks a text for a terminal into lines of at most so many columns.
func Wrap(text string, columns int) []string { return wrap(text, columns) }

// wrap breaks a text into lines of at most so many columns, at blanks; a word
// longer than a line is broken anywhere. No-break spaces hold.
func wrap(text string, columns int) []string {
	var lines []string
	var line strings.Builder
	have := 0
	end := func() {
		lines = append(lines, line.String())
		line.Reset()
		have = 0
	}
	for _, word := range words(text) {
		if have > 0 && have+1+width(word) > columns {
			end()
		}
		if have > 0 {
			line.WriteByte(' ')
			have++
		}
		for _, r := range word {
			if have+columnsOf(r) > columns {
				end()
			}
			line.WriteRune(r)
			have += columnsOf(r)
		}
	}
	if have > 0 || len(lines) == 0 {
		end()
	}
	return lines
}

// words are the words of a text, each of visible characters; no-break spaces hold
// words together.
func words(text string) []string {
	out := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' })
	for i, w := range out {
		out[i] = shown(w)
	}
	return out
}

// visible makes a text one line of visible characters that keeps its no-break
// spaces.
func visible(text string) string {
	return strings.Join(strings.FieldsFunc(strings.Map(func(r rune) rune {
		if r == '\u00a0' || r == '\n' || r == '\t' || unicode.IsGraphic(r) {
			return r
		}
		return utf8.RuneError
	}, text), func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }), " ")
}

// pad fills a text up to so many columns, to the right or, for numbers, to the left
// of it; a number too long for its column still stands apart from the one before.
func pad(text string, columns int) string {
	return text + strings.Repeat(" ", max(columns-width(text), 0))
}

func padLeft(text string, columns int) string {
	return strings.Repeat(" ", max(columns-width(text), 1)) + text
}
