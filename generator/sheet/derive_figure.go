package sheet

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
)

// figure adds a figure: its formula with the numbers put in, its components, and
// how they make its uncertainty.
//
// Where the figure is a mean of repeats, these are its members: what an error brings
// to each of them is then shown.
func (d *derivation) figure(title string, f *Figure, putIn string, members ...quantity.Value) {
	if d.page {
		d.pageFigure(title, f, putIn, members)
		return
	}
	known, _ := formula.ByID(f.Formula)
	d.say(2, "%s: %s %s", title, known.Expression, d.by(f.Formula))
	if putIn != "" {
		d.say(4, "= %s", putIn)
	}
	d.say(4, "= %s, published as %s", amount{f.X, f.Unit}, f.Text)
	d.budget(f, members...)
	for _, lacks := range f.Incomplete {
		d.say(4, "its uncertainty is not complete: %s", lacks)
	}
}

// The widths of the budget's columns.
const (
	sourceWide  = 28
	ownWide     = 16
	numberWide  = 13
	sharingWide = 3
)

// budgetHead is the budget's first row.
var budgetHead = "    " + pad("source", sourceWide) + padLeft("u of source", ownWide) + padLeft("c", numberWide) + padLeft("c·u", numberWide) + "  as"

// budget adds the components of a figure, and what they add up to.
func (d *derivation) budget(f *Figure, members ...quantity.Value) {
	if d.page {
		d.pageBudget(f, members, true)
		return
	}
	d.tally.take(f.Lines, &d.numbers, false)
	if len(d.tally.lines) == 0 {
		d.state(4, "nothing in it is known to be uncertain")
		return
	}
	if m, ok := d.madeOf(f); ok && len(m.shares) > 1 {
		s := d.begun(4)
		d.made(&s, f, m)
		s.cite(formula.Combined)
		d.end(&s)
		d.freedom(f, m)
		d.coverage(f)
		return
	}
	d.line(budgetHead)
	d.ofMembers.take(members)
	for _, l := range d.tally.lines {
		d.component(l, d.memberParts(l, members), len(members))
	}
	d.combined(f)
}

// memberParts are what an error brings to each member of a mean; nil where its u is
// the same in all of them, so that one sensitivity says it. The members are those that were
// indexed last.
func (d *derivation) memberParts(l quantity.Line, members []quantity.Value) []quantity.Part {
	if len(members) < 2 {
		return nil
	}
	parts, same := d.ofMembers.of(l.Source), l.Source.U > 0
	for _, p := range parts {
		same = same && p.Source.U == l.Source.U
	}
	if same || len(parts) < 2 {
		return nil
	}
	return parts
}

// A memberIndex finds what an error brings to the members of a mean. Each of some thousand
// runs has errors of its own: gone through one by one, they take the square of that.
type memberIndex struct {
	parts []quantity.Part // of all members, in their order
	first map[string]int  // where the parts of a source begin, by its ID
	next  []int           // where the one after a part is; -1 behind the last
	at    []int           // of the source at hand
	found []quantity.Part
}

// take indexes the members of a mean.
func (x *memberIndex) take(members []quantity.Value) {
	if x.parts = x.parts[:0]; len(members) < 2 {
		return
	}
	for _, m := range members {
		x.parts = append(x.parts, m.Parts...)
	}
	if x.first == nil {
		x.first = map[string]int{}
	}
	clear(x.first)
	x.next = slices.Grow(x.next[:0], len(x.parts))[:len(x.parts)]
	for at := len(x.parts) - 1; at >= 0; at-- {
		id := x.parts[at].Source.ID
		x.next[at] = -1
		if behind, is := x.first[id]; is {
			x.next[at] = behind
		}
		x.first[id] = at
	}
}

// of are the parts of a source, or of all that were joined into it, in the members' order.
// They hold until the next call.
func (x *memberIndex) of(s *quantity.Source) []quantity.Part {
	x.at, x.found = x.at[:0], x.found[:0]
	add := func(id string) {
		at, is := x.first[id]
		for ; is && at >= 0; at = x.next[at] {
			x.at = append(x.at, at)
		}
	}
	if s.Joined == nil {
		add(s.ID)
	}
	for _, id := range s.Joined {
		add(id)
	}
	slices.Sort(x.at)
	for _, at := range slices.Compact(x.at) {
		x.found = append(x.found, x.parts[at])
	}
	return x.found
}

// component adds the row of a line of the budget: the source's name may take
// several lines. An error that is joined from several runs has a u and a c in each of
// them.
func (d *derivation) component(l quantity.Line, parts []quantity.Part, n int) {
	start := d.before(0, true)
	of := d.said.rows[l.Source]
	if of == nil {
		of = d.sourceRow(l.Source)
	}
	plain := of.name.plain
	if l.Source.U > 0 && parts == nil {
		d.buf = append(d.buf, of.own...)
		plain = of.plain
		d.number(l.C / l.Source.U)
	} else {
		d.buf = append(append(append(d.buf, of.name.first...), joinedOwn...), noNumber...)
	}
	d.number(l.C)
	if l.Sharing == quantity.Common {
		d.buf = append(append(d.buf, "  "...), d.tally.letter(l.Source.Group)...)
	}
	d.lined(start, plain)
	d.fixed(of.name.rest...)
	if parts != nil {
		d.joined(l, parts, n)
	}
}

// What stands where an error has no u and no c of its own.
var (
	joinedOwn = padLeft("joined", ownWide)
	noNumber  = padLeft("", numberWide)
)

// own adds the column of a source's u.
func (d *derivation) own(s *quantity.Source) (plain bool) {
	var buffer [64]byte
	b := d.numbers.append(buffer[:0], s.U)
	columns := len(b) // a finite number is plain ASCII
	switch s.Unit {
	case "":
	case "V", "A", "W", "%", "K", "1/K":
		b = append(append(b, ' '), s.Unit...)
		columns = len(b)
	case "°C", "Ω":
		b = append(append(b, ' '), s.Unit...)
		columns = len(b) - 1
	default:
		text := strings.TrimSpace(string(b) + " " + cut(s.Unit, 4))
		d.buf = append(d.buf, padLeft(text, ownWide)...)
		return !marked(text)
	}
	d.buf = append(blanks(d.buf, max(ownWide-columns, 1)), b...)
	return true
}

// number adds a column with a number.
func (d *derivation) number(x float64) { d.sized(numberWide, x) }

// sized adds a column of that width with a number.
func (d *derivation) sized(wide int, x float64) {
	var buffer [32]byte
	b := d.numbers.append(buffer[:0], x)
	columns := len(b)
	if math.IsInf(x, 0) {
		columns = width(string(b))
	}
	d.buf = append(blanks(d.buf, max(wide-columns, 1)), b...)
}

// blanks appends so many.
func blanks(b []byte, n int) []byte {
	const some = "                                "
	for n > len(some) {
		b, n = append(b, some...), n-len(some)
	}
	return append(b, some[:n]...)
}

// joined writes how an error's contributions to each of n runs make the one to the
// mean.
func (d *derivation) joined(l quantity.Line, parts []quantity.Part, n int) {
	terms := make([]string, len(parts))
	for i, p := range parts {
		if p.Source.U > 0 {
			terms[i] = calc(p.C/p.Source.U) + "·" + calc(p.Source.U)
		} else {
			terms[i] = calc(p.C)
		}
	}
	d.say(6, "c·u of each run: (%s)/%d = %s", strings.ReplaceAll(strings.Join(terms, " + "), "+ -", "− "), n, num(l.C))
}

// combined adds how the components make u, ν, k and U.
func (d *derivation) combined(f *Figure) {
	if !d.saidC {
		d.saidC = true
		d.state(4, "c is the sensitivity: by how much the figure changes where its source does by one unit. To check one, change the source a little, compute the figure anew, and divide the one change by the other.")
	}
	if len(d.tally.groups) > 0 {
		d.state(4, "Components with the same letter are taken as one error: they are added with their signs first, then squared.")
	}
	lines := d.tally.lines
	if slices.ContainsFunc(lines, func(l quantity.Line) bool { return l.Source.U == 0 }) {
		d.state(4, "A component that is joined is one error in all repeats: what it contributes to each run, c·u there, is added, then divided by their number.")
	}
	alone := 0
	for _, l := range lines {
		if l.Sharing == quantity.Independent {
			alone++
		}
	}
	if alone > 1 {
		d.say(4, "%s of groups whose sharing is not known are taken as independent: that gives the larger u.", capital(countOf(alone, "component")))
	}
	d.say(4, "u = √(%s) = %s %s", d.tally.squares(), amount{f.Std, f.Unit}, d.by(formula.Combined))
	d.freedom(f, making{})
	d.coverage(f)
}

// coverage adds k and U.
func (d *derivation) coverage(f *Figure) {
	d.say(4, "k = t(0.975; %s) = %s, U = k·u = %s·%s = %s %s", num(f.DoF), num(f.K), num(f.K), num(f.Std), amount{f.U, f.Unit}, d.by(formula.Expanded))
}

// freedom adds the effective degrees of freedom, by the estimates that have
// finite ones.
func (d *derivation) freedom(f *Figure, m making) {
	if math.IsInf(f.DoF, 1) {
		d.say(4, "ν = ∞: no component has finite degrees of freedom, so k is the normal distribution's %s", d.by(formula.Freedom))
		return
	}
	estimates := d.tally.estimates()
	var terms, names []string
	for _, e := range estimates {
		terms = append(terms, text("%s⁴/%s", num(math.Sqrt(e.variance)), num(e.dof)))
		names = append(names, e.name)
	}
	d.say(4, "ν = %s⁴/(%s) = %s, of %s %s", num(f.Std), strings.Join(terms, " + "), num(f.DoF), strings.Join(names, ", "), d.by(formula.Freedom))
	for _, e := range estimates {
		if m.shares != nil {
			s := d.begun(6)
			s.put("of ").any(e.name)
			said := len(s.b)
			if d.madeWith(&s, f, e, m); len(s.b) > said {
				d.end(&s)
			}
		} else if len(e.terms.some) > 1 {
			d.say(6, "with, from %s, √(%s) = %s", e.name, e.terms, amount{math.Sqrt(e.variance), f.Unit})
		}
	}
}
