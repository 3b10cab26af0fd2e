package sheet

import (
	"slices"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// alike is what many derivations of one sheet say alike, written once.
type alike struct {
	pieces map[alikeKey][]piece
	names  map[string]sourceName
	short  map[string]sourceName // as a page has them
	rows   map[*quantity.Source]*sourceRow
	terms  map[string]spelled // formulas' expressions
}

// A spelled text is looked at once.
type spelled struct {
	text        string
	marked, odd bool
}

// expression is that of a formula.
func (a *alike) expression(id string) spelled {
	known, ok := a.terms[id]
	if ok {
		return known
	}
	var s saying
	s.any(expressionOf(id))
	if a.terms == nil {
		a.terms = map[string]spelled{}
	}
	known = spelled{string(s.b), s.marked, s.odd}
	a.terms[id] = known
	return known
}

// An alikeKey is what sentences are about that are the same wherever they stand.
type alikeKey struct {
	load   *record.Load
	span   *record.Range
	indent int
}

// once adds the sentences that say adds, and keeps them for the next time. They
// depend on the key only, and name no formula.
func (d *derivation) once(key alikeKey, say func()) {
	known, ok := d.said.pieces[key]
	if !ok {
		known = d.apart(say)
		if d.said.pieces == nil {
			d.said.pieces = map[alikeKey][]piece{}
		}
		d.said.pieces[key] = known
	}
	d.fixed(known...)
}

// apart is what say adds, taken out again.
func (d *derivation) apart(say func()) []piece {
	markup, first, start, told := d.markup, len(d.pieces), len(d.buf), d.told
	d.markup = nil
	say()
	out := slices.Clone(d.pieces[first:])
	for i := range out {
		if p := &out[i]; p.end > p.start {
			p.fixed, p.start, p.end = string(d.buf[p.start:p.end]), 0, 0
		}
	}
	d.markup, d.pieces, d.buf, d.told = markup, d.pieces[:first], d.buf[:start], told
	return out
}

// A sourceName is a source's name in the budget's first column: what its row begins
// with, and the rows that follow.
type sourceName struct {
	first string
	plain bool
	rest  []piece
}

// wrapped is [wrap], quick for a name that takes one line.
func wrapped(name string, columns int) []string {
	if len(name) <= columns && ascii(name) && !strings.Contains(name, "  ") && strings.Trim(name, " ") == name {
		return []string{name}
	}
	return wrap(name, columns)
}

func (a *alike) name(name string) sourceName {
	known, ok := a.names[name]
	if ok {
		return known
	}
	lines := wrapped(name, sourceWide-2)
	n := sourceName{first: "    " + pad(lines[0], sourceWide), plain: !marked(name)}
	for _, l := range lines[1:] {
		n.rest = append(n.rest, piece{row: true, plain: n.plain, fixed: strings.TrimRight("      "+l, " ")})
	}
	if a.names == nil {
		a.names = map[string]sourceName{}
	}
	a.names[name] = n
	return n
}

// A sourceRow is what every budget says of a source: most stand in several.
type sourceRow struct {
	name  sourceName
	own   []byte // its name and its u, where it has one
	plain bool   // of own
}

// sourceRow makes the row of a source, and keeps it.
func (d *derivation) sourceRow(s *quantity.Source) *sourceRow {
	row := &sourceRow{name: d.said.name(s.Name)}
	if s.U > 0 {
		start := len(d.buf)
		d.buf = append(d.buf, row.name.first...)
		row.plain = d.own(s) && row.name.plain
		row.own = slices.Clone(d.buf[start:])
		d.buf = d.buf[:start]
	}
	if d.said.rows == nil {
		d.said.rows = map[*quantity.Source]*sourceRow{}
	}
	d.said.rows[s] = row
	return row
}
