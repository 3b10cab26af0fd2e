package sheet

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A page has the derivations of all runs and claims of a sheet, so each says only what
// is its own: what they have in common stands once ([Deriver.AppendCommon]), and a
// claim leads to its runs. A terminal shows one at a time, and all of it.

// A saying is a sentence that is put together of several.
type saying struct {
	sentence // its text is the derivation's, while nothing is added
	indent   int
}

func (d *derivation) begun(indent int) saying {
	return saying{sentence{start: d.before(indent, false)}, indent}
}

// add goes on with a sentence; see [write].
func (d *derivation) add(s *saying, format string, args ...any) {
	s.b = d.buf
	s.write(&d.numbers, format, args)
	d.buf = s.b
}

func (d *derivation) end(s saying) {
	s.b = d.buf
	s.ends()
	if s.odd {
		d.buf = append(d.buf[:s.start], visible(string(d.buf[s.start:]))...)
	}
	d.after(s.indent, false, !s.marked, s.start)
}

// pageReading gives one reading, and how well it was read.
func (d *derivation) pageReading(r *Run, q string, n record.Number, channel string) {
	unit, of := unitOf[q], ""
	if channel != "" {
		of = ", channel "
	}
	s := d.begun(2)
	d.add(&s, "%s%s%s: %s%s%s", saidOf[q], of, channel, n.Text, nbsp, unit)
	if how := readHow(&r.Rec.ReadAs, q); how != "" && how != "mean" {
		d.add(&s, ", %s,", how)
	}
	i := r.Rec.InstrumentFor(q, d.s.Content.Bench)
	if i == nil {
		d.add(&s, "; no instrument is named, so its uncertainty is not known")
		d.end(s)
		return
	}
	span := i.RangeFor(q, n.Value)
	if span == nil {
		d.add(&s, " by %s, which has no range that holds this reading", i.ID)
		d.end(s)
		return
	}
	d.common.read(q, i, span)
	d.by(formula.Specification)
	of2 := specificationOf(span, n.Value)
	d.add(&s, " by %s, range to %s%s%s: u = (%s)/%s = %s/%s = %s%s%s", i.ID, num(span.To.Value), nbsp, unit, putInto{span, n}, of2.by, num(of2.stated), of2.by, num(of2.u()), nbsp, unit)
	if span.GainCommon && span.ReadingPct.Value > 0 {
		u, gain := of2.u(), math.Abs(span.ReadingPct.Value/100*n.Value)/of2.divisor
		d.add(&s, ", of it %s%s%%·%s/%s = %s%s%s common, √(%s² − %s²) = %s%s%s its own", typed(span.ReadingPct), nbsp, num(math.Abs(n.Value)), of2.by, num(gain), nbsp, unit,
			num(u), num(gain), num(math.Sqrt(math.Max(0, u*u-gain*gain))), nbsp, unit)
	}
	if span.Corrects() {
		d.by(formula.Corrected)
		c := correctionOf(span, n.Value)
		d.add(&s, "; corrected by e = %s%s%s: x = %s + (%s) = %s%s%s, u(e) = %s/%s = %s%s%s", summed(span.CorrectionPct, span.Correction, n.Value, c.adds), nbsp, unit,
			n.Text, num(c.adds), num(n.Value+c.adds), nbsp, unit, num(c.expanded), typed(span.CorrectionK), num(c.u()), nbsp, unit)
	}
	d.pageAged(&s, r, i, span, n, unit)
	d.end(s)
}

// pageAged goes on with what drift and the air's temperature do to a reading.
func (d *derivation) pageAged(s *saying, r *Run, i *record.Instrument, span *record.Range, n record.Number, unit string) {
	x := math.Abs(n.Value)
	if t := driftOf(r.Rec, i, span, n.Value); t.lacks != "" {
		d.add(s, "; %s", t.lacks)
	} else if span.DriftPctYear.Value > 0 {
		d.by(formula.Drift)
		d.add(s, "; drift in %s: u = %s%s%%·%s·%s/%s/√3 = %s/√3 = %s%s%s", countOf(int(t.days), "day"), typed(span.DriftPctYear), nbsp, num(x), num(t.days), num(yearDays), num(t.half), num(t.half/math.Sqrt(3)), nbsp, unit)
	}
	t := influenceOf(r.Rec, i, span, n.Value)
	switch {
	case t.lacks != "":
		d.add(s, "; %s", t.lacks)
	case t.half > 0:
		d.by(formula.Tempco)
		d.add(s, "; air at %s%s°C, outside by %s%sK: u = %s%s%%·%s·%s/√3 = %s/√3 = %s%s%s", r.Rec.AmbientC.Text, nbsp, num(t.outside), nbsp,
			typed(span.TempcoPctK), nbsp, num(x), num(t.outside), num(t.half), num(t.half/math.Sqrt(3)), nbsp, unit)
	}
}

// pageLoad gives a channel's load.
func (d *derivation) pageLoad(r *Run, i int, c *Channel) {
	at := d.ohmsOf(r.Rec, i)
	d.common.loaded(c.Load)
	d.say(2, "Load %s at %s%s°C: R = R0·(1 + α·(T − T0)) = %s = %s%sΩ %s", c.Load.ID, num(at.hot), nbsp, heated(c.Load, at.hot), num(at.element), nbsp, d.by(formula.LoadAtHeat))
	d.figure("Rt", c.Resistance, text("%s + %s", num(at.element), num(at.lead)))
}

// pageFigure adds a figure with its components. Those of a figure that is as it was
// read stand with the reading.
func (d *derivation) pageFigure(title string, f *Figure, putIn string, members []quantity.Value) {
	s := d.begun(2)
	asRead := f.Formula == formula.AsRead || f.Formula == formula.Corrected
	known, _ := formula.ByID(f.Formula)
	switch {
	case asRead:
		d.add(&s, "%s: %s", title, amount{f.X, f.Unit})
	case putIn == "":
		d.add(&s, "%s: %s = %s", title, known.Expression, amount{f.X, f.Unit})
	default:
		d.add(&s, "%s: %s = %s = %s", title, known.Expression, putIn, amount{f.X, f.Unit})
	}
	d.add(&s, ", published as %s %s", f.Text, d.by(f.Formula))
	asRead = asRead && !slices.ContainsFunc(f.Lines, func(l quantity.Line) bool { return l.C != l.Source.U })
	if asRead {
		d.tally.take(f.Lines, &d.numbers, false)
		switch len(d.tally.lines) {
		case 0:
			d.add(&s, "; nothing in it is known to be uncertain")
		case 1:
			d.add(&s, "; u = %s", amount{f.Std, f.Unit})
			d.pageExpanded(&s, f)
		default:
			d.add(&s, "; u = √(%s) = %s", d.tally.squares(), amount{f.Std, f.Unit})
			d.pageExpanded(&s, f)
		}
	}
	d.end(s)
	if !asRead {
		d.pageBudget(f, members, false)
	}
	for _, lacks := range f.Incomplete {
		d.say(4, "its uncertainty is not complete: %s", lacks)
	}
}

// pageBudget adds the components of a figure, and what they add up to. With joined, it
// says what each member brings to a joined one; else each member's own budget does.
func (d *derivation) pageBudget(f *Figure, members []quantity.Value, joined bool) {
	d.tally.take(f.Lines, &d.numbers, false)
	if len(d.tally.lines) == 0 {
		d.state(4, "nothing in it is known to be uncertain")
		return
	}
	if of := d.knownFrom(f); of != "" {
		d.by(formula.Combined)
		s := d.begun(2)
		d.add(&s, "%s; u = %s", of, amount{f.Std, f.Unit})
		d.pageExpanded(&s, f)
		d.end(s)
		return
	}
	d.fixed(pageHead)
	alone := 0
	for i, l := range d.tally.lines {
		parts := d.memberParts(l, members)
		d.pageRow(i, l, parts != nil || l.Source.U == 0)
		if parts != nil && joined {
			d.joined(l, parts, len(members))
		}
		if l.Sharing == quantity.Independent {
			alone++
		}
	}
	s := d.begun(2)
	d.by(formula.Combined)
	d.add(&s, "u = %s", amount{f.Std, f.Unit})
	if alone > 1 {
		d.add(&s, ", %s of groups being independent", countOf(alone, "component"))
	}
	d.pageExpanded(&s, f)
	d.end(s)
}

// knownFrom says of which tables a figure's components stand in already; empty where they
// have to be listed: the total of a single channel, and the heat, H = Ps − ΣP.
func (d *derivation) knownFrom(f *Figure) string {
	r := d.of
	switch {
	case r == nil:
	case f == r.Total && len(r.Channels) == 1 && sameLines(f.Lines, r.Channels[0].Power.Lines, nil):
		return "Its components are those of the power"
	case f == r.Heat && r.Total != nil && r.SupplyPower != nil && sameLines(f.Lines, r.SupplyPower.Lines, r.Total.Lines):
		return "Its components are those of the supply power and, with the other sign, those of the total"
	}
	return ""
}

// sameLines reports whether lines are those of two figures, of the second with the
// other sign, each taken as it was there.
func sameLines(lines, plus, minus []quantity.Line) bool {
	if len(lines) != len(plus)+len(minus) {
		return false
	}
	for _, l := range lines {
		same := func(sign float64) func(quantity.Line) bool {
			return func(o quantity.Line) bool { return o.Source == l.Source && o.C == sign*l.C && o.Sharing == l.Sharing }
		}
		if !slices.ContainsFunc(plus, same(1)) && !slices.ContainsFunc(minus, same(-1)) {
			return false
		}
	}
	return true
}

// pageExpanded goes on with ν, k and U.
func (d *derivation) pageExpanded(s *saying, f *Figure) {
	d.by(formula.Freedom)
	d.by(formula.Expanded)
	if math.IsInf(f.DoF, 1) {
		d.add(s, ", ν = ∞, U = k·u = %s·%s = %s", num(f.K), num(f.Std), amount{f.U, f.Unit})
		return
	}
	estimates := d.tally.estimates()
	d.add(s, ", ν = %s⁴/(", num(f.Std))
	for i, e := range estimates {
		if i > 0 {
			d.add(s, " + %s⁴/%s", num(math.Sqrt(e.variance)), num(e.dof))
		} else {
			d.add(s, "%s⁴/%s", num(math.Sqrt(e.variance)), num(e.dof))
		}
	}
	d.add(s, ") = %s", num(f.DoF))
	for i, e := range estimates {
		of := ", of "
		if i > 0 {
			of = ", "
		}
		d.add(s, "%s%s", of, e.name)
		if len(e.terms.some) > 1 {
			d.add(s, " with √(%s) = %s", e.terms, amount{math.Sqrt(e.variance), f.Unit})
		}
	}
	d.add(s, "; k = t(0.975; %s) = %s, U = k·u = %s·%s = %s", num(f.DoF), num(f.K), num(f.K), num(f.Std), amount{f.U, f.Unit})
}

// pageWide is the first column of a page's budgets, which don't stand in.
const pageWide = sourceWide + 4

// pageHead is the first row of a page's budgets.
var pageHead = piece{row: true, plain: true, fixed: pad("source", pageWide) + padLeft("u of source", ownWide) + padLeft("c", numberWide) + padLeft("c·u", numberWide) + "  as"}

// pageRow adds the row of the budget's i-th line. The instrument's name is left out of
// the source's, since its reading says it.
func (d *derivation) pageRow(i int, l quantity.Line, joined bool) {
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
	written := d.tally.text(i)
	d.buf = append(blanks(d.buf, max(numberWide-len(written), 1)), written...)
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
	lines := wrap(name, pageWide)
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

// pageSamples gives the powers of one channel in the runs that decide, and on which
// side of the claim's distortion each stands; the runs' own derivations have the rest.
func (d *derivation) pageSamples(c *Claim, t terms, g *group) {
	d.head("Channel %s: power and distortion", g.name)
	for _, r := range g.speaking() {
		s := d.begun(2)
		d.add(&s, "%s: P = %s%sW, Rt = %s%sΩ", r.run.ID, num(r.channel.Power.X), nbsp, num(r.channel.Resistance.X), nbsp)
		_, why := d.e.classOf(c.Rec, t.thdnPct, r.run, r.channel)
		if v := r.run.SupplyV; v != nil {
			d.add(&s, ", Vs = %s%sV", num(v.X), nbsp)
		}
		if dist := r.channel.Distortion; dist != nil {
			d.add(&s, "; d = %s%s%%, U = %s%s%%, apart by %s − %s = %s%s%%", num(dist.X), nbsp, num(dist.U), nbsp,
				num(max(dist.X, t.thdnPct)), num(min(dist.X, t.thdnPct)), num(math.Abs(dist.X-t.thdnPct)), nbsp)
		}
		d.add(&s, ": %s", why)
		d.end(s)
	}
}
