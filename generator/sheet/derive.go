package sheet

import (
	"strings"
	"sync"

	"wattsheet/generator/formula"
)

// Columns is how wide a derivation's lines are at most.
const Columns = 80

// A Passage is one part of a derivation: what it is about, and its sentences.
type Passage struct {
	Head  string
	Parts []Part

	formulas []string // ids of the formulas that it spells out
}

// A Part is one sentence of a passage, or one row that is laid out in columns.
type Part struct {
	Indent int    // columns from the left; 0 for a row
	Text   string // a row keeps its blanks
	Row    bool
	Plain  bool // it is sure to hold none of & < > " and ', so that markup takes it as it is
}

// Lines are a passage's parts for a terminal, each line of at most [Columns] columns.
// A page breaks sentences itself.
func (p Passage) Lines() []string {
	var lines []string
	for _, part := range p.Parts {
		if part.Row {
			lines = append(lines, part.Text)
			continue
		}
		for i, l := range wrap(part.Text, Columns-part.Indent-2) {
			in := part.Indent
			if i > 0 {
				in += 2 // further lines stand further in
			}
			lines = append(lines, strings.TrimRight(strings.Repeat(" ", in)+l, " "))
		}
	}
	return lines
}

// A Deriver derives the figures of one sheet, one thing after the other: what many of
// them say alike it writes once. What it returns stands until the next is derived, and
// one goroutine at a time may use it.
type Deriver struct{ d derivation }

// Deriver returns a deriver of the sheet's figures.
func (s *Sheet) Deriver() *Deriver {
	return &Deriver{derivation{s: s, e: &evaluator{content: s.Content, rec: s.Record, rule: ruleOf(s.Content.Site)}}}
}

// begin starts the next derivation. What it holds of the sheet stays valid, since a
// sheet isn't changed once evaluated; all else is of the derivation before.
func (v *Deriver) begin() *derivation {
	d := &v.d
	d.passages, d.pieces, d.buf = d.passages[:0], d.pieces[:0], d.buf[:0]
	d.formulas, d.of, d.saidC, d.page, d.told = nil, nil, false, false, 0
	d.gathers, d.columns = false, d.columns[:0]
	return d
}

// A derivation collects passages.
type derivation struct {
	e        *evaluator
	s        *Sheet
	passages []opened
	pieces   []piece
	buf      []byte   // the text of pieces
	markup   Markup   // nil where parts are kept
	kept     []byte   // with a markup, the derivation's own buffer meanwhile
	told     int      // how many parts there are
	formulas []string // the ids used, in the order met
	saidC    bool     // what a sensitivity is stands under the first budget only
	of       *Run     // the run at hand
	page     bool     // it stands on a page beside others
	common   common   // what those that stand on a page refer to
	parts    []Part   // of the derivation before, to be overwritten

	said      alike
	numbers   numerals
	tally     tally       // of the figure at hand
	gathers   bool        // figures' components are put off, to one table
	columns   []column    // the figures whose components were
	shares    []share     // of the figure at hand
	brought   []brought   // by them, to the component at hand
	ofMembers memberIndex // of the figure at hand
}

// An opened passage has the pieces from its first to the next passage's.
type opened struct {
	head     string
	first    int
	formulas []string
}

// A piece is a part whose text is fixed, or stands in the derivation's buffer.
type piece struct {
	indent     int
	row, plain bool
	fixed      string
	start, end int
}

// done returns what was collected.
func (d *derivation) done() []Passage {
	text := string(d.buf)
	parts := d.parts[:0]
	if cap(parts) < len(d.pieces) {
		parts = make([]Part, 0, len(d.pieces))
	}
	for i := range d.pieces {
		p := &d.pieces[i]
		said := p.fixed
		if p.end > p.start {
			said = text[p.start:p.end]
		}
		parts = append(parts, Part{p.indent, said, p.row, p.plain})
	}
	d.parts = parts
	passages := make([]Passage, len(d.passages))
	for i, p := range d.passages {
		end := len(parts)
		if i+1 < len(d.passages) {
			end = d.passages[i+1].first
		}
		passages[i] = Passage{p.head, parts[p.first:end:end], p.formulas}
	}
	return passages
}

// head starts a passage.
func (d *derivation) head(format string, args ...any) {
	head := format // where nothing is put in, there is no percent sign
	if len(args) > 0 {
		head = text(format, args...)
	}
	head = cut(head, Columns)
	if d.markup != nil {
		d.buf = d.markup.Head(d.buf, head)
		return
	}
	d.passages = append(d.passages, opened{head: head, first: len(d.pieces)})
}

// line adds a row that is laid out in columns.
func (d *derivation) line(text string) {
	d.fixed(piece{row: true, plain: !marked(text), fixed: strings.TrimRight(text, " ")})
}

// lined ends a row that was put into the buffer from a place on.
func (d *derivation) lined(start int, plain bool) {
	for len(d.buf) > start && d.buf[len(d.buf)-1] == ' ' {
		d.buf = d.buf[:len(d.buf)-1]
	}
	d.after(0, true, plain, start)
}

// say adds a sentence; see [write] for what it may be made of.
func (d *derivation) say(indent int, format string, args ...any) {
	start := d.before(indent, false)
	s := write(d.buf, &d.numbers, format, args...)
	if s.odd {
		s.b = append(s.b[:start], visible(string(s.b[start:]))...)
	}
	d.buf = s.b
	d.after(indent, false, !s.marked, start)
}

// state adds a sentence that is always the same.
func (d *derivation) state(indent int, sentence string) {
	d.fixed(piece{indent: indent, fixed: sentence})
}

// by names a formula that was used.
func (d *derivation) by(id string) cited {
	for _, known := range d.formulas {
		if known == id {
			return cited(id)
		}
	}
	d.formulas = append(d.formulas, id)
	return cited(id)
}

// sources lists the formulas that were used, with what they rest on.
func (d *derivation) sources() {
	if len(d.formulas) == 0 || d.page {
		return
	}
	d.head("Formulas")
	if d.markup == nil {
		d.passages[len(d.passages)-1].formulas = d.formulas
	}
	for _, id := range d.formulas {
		d.fixed(spelledOut()[id]...)
	}
}

// spelledOut is every formula of the catalogue as [derivation.sources] lists it.
var spelledOut = sync.OnceValue(func() map[string][]piece {
	all := map[string][]piece{}
	for _, f := range formula.Catalogue() {
		pieces := []piece{
			{indent: 2, fixed: visible("[" + f.ID + "] " + f.Title + ": " + f.Expression)},
			{indent: 4, fixed: visible("rests on: " + f.Source)},
		}
		if f.Note != "" {
			pieces = append(pieces, piece{indent: 4, fixed: visible(f.Note)})
		}
		for i := range pieces {
			pieces[i].plain = !marked(pieces[i].fixed)
		}
		all[f.ID] = pieces
	}
	return all
})

// Symbols is what the symbols stand for in the formulas that a derivation used, each
// with its unit; nil where it used none. It stands apart from the derivation, since on
// a page each formula leads to the catalogue, which has them.
func Symbols(derived []Passage) []Passage {
	d := &derivation{}
	for _, p := range derived {
		for _, id := range p.formulas {
			if f, ok := formula.ByID(id); ok && len(f.Symbols) > 0 {
				if len(d.passages) == 0 {
					d.head("Symbols")
				}
				d.say(2, "[%s] %s", id, symbols(f.Symbols))
			}
		}
	}
	if len(d.passages) == 0 {
		return nil
	}
	return d.done()
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
