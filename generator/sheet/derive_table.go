package sheet

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
)

// pageWide is the first column of a page's budgets, which don't stand in.
const pageWide = sourceWide + 4

// pageHead is the first row of a page's budgets.
var pageHead = piece{row: true, plain: true, fixed: pad("source", pageWide) + padLeft("u of source", ownWide) + padLeft("c", numberWide) + padLeft("c·u", numberWide) + "  as"}

// pageRow adds the row of a line of the budget. The instrument's name is left out of
// the source's, since its reading says it.
func (d *derivation) pageRow(l quantity.Line, joined bool) {
	start := d.before(0, true)
	name := d.pageName(l.Source)
	d.buf = append(d.buf, name.first...)
	plain := name.plain
	if joined {
		d.buf = append(append(d.buf, joinedOwn...), noNumber...)
	} else {
		plain = d.own(l.Source) && plain
		d.number(l.C / l.Source.U)
	}
	d.number(l.C)
	if l.Sharing == quantity.Common {
		d.buf = append(append(d.buf, "  "...), d.tally.letter(l.Source.Group)...)
	}
	d.lined(start, plain)
	d.fixed(name.rest...)
}

func (d *derivation) pageName(s *quantity.Source) sourceName {
	known, ok := d.said.short[s.Name]
	if ok {
		return known
	}
	name := s.Name
	if s.Kind == "instrument" {
		for _, i := range d.s.Content.Bench.Instruments {
			name = strings.Replace(name, " ("+i.Name+")", "", 1)
		}
		name = strings.TrimSuffix(name, ", in all repeats") // it is said to be joined
		name = strings.TrimSuffix(name, " since calibration")
	}
	lines := wrapped(name, pageWide)
	n := sourceName{first: pad(lines[0], pageWide), plain: !marked(name)}
	for _, l := range lines[1:] {
		n.rest = append(n.rest, piece{row: true, plain: n.plain, fixed: "  " + l})
	}
	if d.said.short == nil {
		d.said.short = map[string]sourceName{}
	}
	d.said.short[s.Name] = n
	return n
}

// A column is a figure of a table that several have in common.
type column struct {
	f     *Figure
	label string
	joins bool // it has components that are taken as one error
	at    int  // the component that the row before was followed by
}

// gathered writes the table of the figures that were gathered, and what the components
// of each add up to.
func (d *derivation) gathered() {
	all := d.columns
	d.gathers, d.columns = false, d.columns[:0]
	switch len(all) {
	case 0:
		return
	case 1:
		d.pageBudget(all[0].f, nil, false)
		return
	}
	for i := range all {
		all[i].label, all[i].joins = cut(all[i].label, numberWide-len(" : c")), commonIn(all[i].f)
	}
	d.columnHeads(all)
	most := 0 // the figure with the most components has its rows first, in its order
	for i := range all {
		if len(all[i].f.Lines) > len(all[most].f.Lines) {
			most = i
		}
	}
	for _, l := range all[most].f.Lines {
		if l.C != 0 {
			d.columnRow(l.Source, all)
		}
	}
	for i := range all {
		for _, l := range all[i].f.Lines {
			if l.C != 0 && all[most].of(l.Source) == nil && !listed(l.Source, all[:i]) {
				d.columnRow(l.Source, all)
			}
		}
	}
	for i := range all {
		f := all[i].f
		if !math.IsInf(f.DoF, 1) {
			d.tally.take(f.Lines, &d.numbers, false)
		}
		s := d.begun(2)
		s.any(all[i].label).put(": ")
		d.pageSum(&s, f)
		d.end(&s)
	}
}

// columnHeads adds the first row.
func (d *derivation) columnHeads(all []column) {
	start := d.before(0, true)
	d.buf = append(d.buf, columnsHead...)
	for i := range all {
		of := all[i].label + ": c"
		d.buf = append(append(blanks(d.buf, max(numberWide-width(of), 1)), of...), columnHead...)
		if all[i].joins {
			d.buf = append(d.buf, "  as"...)
		}
	}
	d.lined(start, false)
}

var (
	columnsHead = pad("source", pageWide) + padLeft("u of source", ownWide)
	columnHead  = padLeft("c·u", numberWide)
)

// commonIn reports whether some components of a figure are taken as one error.
func commonIn(f *Figure) bool {
	return slices.ContainsFunc(f.Lines, func(l quantity.Line) bool { return l.C != 0 && l.Sharing == quantity.Common })
}

// sameSource reports whether two are one error, as large in both.
func sameSource(a, b *quantity.Source) bool { return a == b || a.U == b.U && a.ID == b.ID }

// listed reports whether a source has its row by a column before.
func listed(s *quantity.Source, before []column) bool {
	for i := range before {
		if before[i].of(s) != nil {
			return true
		}
	}
	return false
}

// of is the figure's component of a source; nil where it has none.
func (c *column) of(s *quantity.Source) *quantity.Line {
	lines := c.f.Lines
	for n := range lines {
		i := (c.at + n) % len(lines) // rows follow each other as a figure's components do
		if l := &lines[i]; l.C != 0 && sameSource(l.Source, s) {
			c.at = i
			return l
		}
	}
	return nil
}

// columnRow adds the row of a source.
func (d *derivation) columnRow(source *quantity.Source, all []column) {
	start := d.before(0, true)
	name := d.pageName(source)
	d.buf = append(d.buf, name.first...)
	plain := name.plain
	if source.U == 0 {
		d.buf = append(d.buf, joinedOwn...)
	} else {
		plain = d.own(source) && plain
	}
	for i := range all {
		c := &all[i]
		l := c.of(source)
		switch {
		case l == nil:
			d.buf = append(append(d.buf, noNumber...), noNumber...)
		case source.U == 0:
			d.buf = append(d.buf, noNumber...)
			d.number(l.C)
		default:
			d.number(l.C / source.U)
			d.number(l.C)
		}
		if c.joins {
			letter := ""
			if l != nil && l.Sharing == quantity.Common {
				letter = letterOf(c.f.Lines, l.Source.Group)
			}
			d.buf = append(d.buf, pad("  "+letter, 4)...)
		}
	}
	d.lined(start, plain)
	d.fixed(name.rest...)
}
