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

// pageReading gives one reading, and how well it was read.
func (d *derivation) pageReading(r *Run, q string, n record.Number, channel string) {
	unit := unitOf[q]
	s := d.begun(2)
	s.put(saidOf[q])
	if channel != "" {
		s.put(", channel ").named(channel)
	}
	s.put(": ").any(n.Text).unit(unit)
	if how := readHow(&r.Rec.ReadAs, q); how != "" && how != "mean" {
		s.put(", ").any(how).put(",")
	}
	i := r.Rec.InstrumentFor(q, d.s.Content.Bench)
	if i == nil {
		s.put("; no instrument is named, so its uncertainty is not known")
		d.end(&s)
		return
	}
	s.put(" by ").any(i.ID)
	span := i.RangeFor(q, n.Value)
	if span == nil {
		s.put(", which has no range that holds this reading")
		d.end(&s)
		return
	}
	d.common.read(q, i, span)
	d.by(formula.Specification)
	of := specificationOf(span, n.Value)
	u := of.u()
	s.put(", range to ").amount(span.To.Value, unit).put(": u = (")
	s.b = putInto{span, n}.append(s.b)
	s.put(")/").any(of.by).put(" = ").num(of.stated).put("/").any(of.by).put(" = ").amount(u, unit)
	if span.GainCommon && span.ReadingPct.Value > 0 {
		gain := math.Abs(span.ReadingPct.Value/100*n.Value) / of.divisor
		s.put(", of it ").any(typed(span.ReadingPct)).put(nbsp+"%·").num(math.Abs(n.Value)).put("/").any(of.by).put(" = ").amount(gain, unit)
		s.put(" common, √(").num(u).put("² − ").num(gain).put("²) = ").amount(math.Sqrt(math.Max(0, u*u-gain*gain)), unit).put(" its own")
	}
	if span.Corrects() {
		d.by(formula.Corrected)
		c := correctionOf(span, n.Value)
		s.put("; corrected by e = ").any(summed(span.CorrectionPct, span.Correction, n.Value, c.adds)).unit(unit)
		s.put(": x = ").any(n.Text).put(" + (").num(c.adds).put(") = ").amount(n.Value+c.adds, unit)
		s.put(", u(e) = ").num(c.expanded).put("/").any(typed(span.CorrectionK)).put(" = ").amount(c.u(), unit)
	}
	d.pageAged(&s, r, i, span, n, unit)
	d.end(&s)
}

// pageAged goes on with what drift and the air's temperature do to a reading.
func (d *derivation) pageAged(s *saying, r *Run, i *record.Instrument, span *record.Range, n record.Number, unit string) {
	x := math.Abs(n.Value)
	if t := driftOf(r.Rec, i, span, n.Value); t.lacks != "" {
		s.put("; ").any(t.lacks)
	} else if span.DriftPctYear.Value > 0 {
		d.by(formula.Drift)
		s.put("; drift in ").any(countOf(int(t.days), "day")).put(": u = ").any(typed(span.DriftPctYear)).put(nbsp + "%·").num(x)
		s.put("·").num(t.days).put("/").num(yearDays).put("/√3 = ").num(t.half).put("/√3 = ").amount(t.half/math.Sqrt(3), unit)
	}
	t := influenceOf(r.Rec, i, span, n.Value)
	switch {
	case t.lacks != "":
		s.put("; ").any(t.lacks)
	case t.half > 0:
		d.by(formula.Tempco)
		s.put("; air at ").any(r.Rec.AmbientC.Text).unit("°C").put(", outside by ").amount(t.outside, "K").put(": u = ").any(typed(span.TempcoPctK)).put(nbsp + "%·").num(x)
		s.put("·").num(t.outside).put("/√3 = ").num(t.half).put("/√3 = ").amount(t.half/math.Sqrt(3), unit)
	}
}

// pageLoad gives a channel's load.
func (d *derivation) pageLoad(r *Run, i int, c *Channel) {
	at, l := d.ohmsOf(r.Rec, i), c.Load
	d.common.loaded(l)
	s := d.begun(2)
	s.put("Load ").any(l.ID).put(" at ").amount(at.hot, "°C").put(": R = R0·(1 + α·(T − T0)) = ")
	s.num(l.Ohm.Value).put("·(1 + ").num(l.TempcoPPM.Value*1e-6).put("·(").num(at.hot).put(" − ").num(l.AtC.Value).put(")) = ").amount(at.element, "Ω")
	s.cite(d.by(formula.LoadAtHeat))
	d.end(&s)
	d.figure("Rt", c.Resistance, text("%s + %s", num(at.element), num(at.lead)))
}

// pageFigure adds a figure with its components. Those of a figure that is as it was
// read stand with the reading; those of several figures of a channel in one table.
func (d *derivation) pageFigure(title string, f *Figure, putIn string, members []quantity.Value) {
	s := d.begun(2)
	asRead := f.Formula == formula.AsRead || f.Formula == formula.Corrected
	s.any(title).put(": ")
	if !asRead {
		s.spelled(d.said.expression(f.Formula)).put(" = ")
		if putIn != "" {
			s.any(putIn).put(" = ")
		}
	}
	s.amount(f.X, f.Unit).put(", published as ").any(f.Text).cite(d.by(f.Formula))
	asRead = asRead && !slices.ContainsFunc(f.Lines, func(l quantity.Line) bool { return l.C != l.Source.U })
	if asRead {
		d.tally.take(f.Lines, &d.numbers, false)
		switch len(d.tally.lines) {
		case 0:
			s.put("; nothing in it is known to be uncertain")
		case 1:
			s.put("; u = ").amount(f.Std, f.Unit)
			d.pageExpanded(&s, f, making{})
		default:
			s.put("; u = √(")
			s.b = d.tally.squares().append(s.b)
			s.put(") = ").amount(f.Std, f.Unit)
			d.pageExpanded(&s, f, making{})
		}
	}
	d.end(&s)
	switch {
	case asRead:
	case d.gathers && slices.ContainsFunc(f.Lines, func(l quantity.Line) bool { return l.C != 0 }):
		d.columns = append(d.columns, column{f: f, label: f.Symbol})
	default:
		d.pageBudget(f, members, false)
	}
	for _, lacks := range f.Incomplete {
		d.say(4, "its uncertainty is not complete: %s", lacks)
	}
}

// expressionOf is a formula's expression.
func expressionOf(id string) string {
	known, _ := formula.ByID(id)
	return known.Expression
}

// pageBudget adds the components of a figure, and what they add up to. With joined, it
// says what each member brings to a joined one; else each member's own budget does.
func (d *derivation) pageBudget(f *Figure, members []quantity.Value, joined bool) {
	d.tally.take(f.Lines, &d.numbers, false)
	if len(d.tally.lines) == 0 {
		d.state(4, "nothing in it is known to be uncertain")
		return
	}
	if m, ok := d.madeOf(f); ok {
		s := d.begun(2)
		d.made(&s, f, m)
		d.pageExpanded(&s, f, m)
		d.end(&s)
		return
	}
	d.fixed(pageHead)
	d.ofMembers.take(members)
	for _, l := range d.tally.lines {
		if l.Source.U == 0 && !joined {
			d.pageRow(l, true)
			continue
		}
		parts := d.memberParts(l, members)
		d.pageRow(l, parts != nil || l.Source.U == 0)
		if parts != nil && joined {
			d.joined(l, parts, len(members))
		}
	}
	s := d.begun(2)
	d.pageSum(&s, f)
	d.end(&s)
}

// pageSum says what a table's components add up to.
func (d *derivation) pageSum(s *saying, f *Figure) {
	d.by(formula.Combined)
	s.put("u = ").amount(f.Std, f.Unit)
	alone := 0
	for _, l := range f.Lines {
		if l.C != 0 && l.Sharing == quantity.Independent {
			alone++
		}
	}
	if alone > 1 {
		s.put(", ").any(countOf(alone, "component")).put(" of groups being independent")
	}
	d.pageExpanded(s, f, making{})
}

// pageExpanded goes on with ν, k and U. Where ν is finite, the tally has the figure's
// components.
func (d *derivation) pageExpanded(s *saying, f *Figure, m making) {
	d.by(formula.Freedom)
	d.by(formula.Expanded)
	if math.IsInf(f.DoF, 1) {
		s.put(", ν = ∞, U = k·u = ").num(f.K).put("·").num(f.Std).put(" = ").amount(f.U, f.Unit)
		return
	}
	estimates := d.tally.estimates()
	s.put(", ν = ").num(f.Std).put("⁴/(")
	for i, e := range estimates {
		if i > 0 {
			s.put(" + ")
		}
		s.num(math.Sqrt(e.variance)).put("⁴/").num(e.dof)
	}
	s.put(") = ").num(f.DoF)
	for i, e := range estimates {
		if i > 0 {
			s.put(", ")
		} else {
			s.put(", of ")
		}
		s.any(e.name)
		if m.shares != nil {
			d.madeWith(s, f, e, m)
		} else if len(e.terms.some) > 1 {
			s.put(" with √(")
			s.b = e.terms.append(s.b)
			s.put(") = ").amount(math.Sqrt(e.variance), f.Unit)
		}
	}
	s.put("; k = t(0.975; ").num(f.DoF).put(") = ").num(f.K).put(", U = k·u = ").num(f.K).put("·").num(f.Std).put(" = ").amount(f.U, f.Unit)
}

// The widths of the columns of a claim's samples.
const (
	runWide    = 10
	sampleWide = 10
)

var samplesHead = pad("run", runWide) + padLeft("P/W", sampleWide) + padLeft("Rt/Ω", sampleWide) + padLeft("Vs/V", sampleWide) +
	padLeft("d/%", sampleWide) + padLeft("U(d)/%", sampleWide) + padLeft("apart/%", sampleWide) + "  so it stands"

// pageSamples gives the powers of one channel in the runs that decide, and on which
// side of the claim's distortion each stands; the runs' own derivations have the rest.
func (d *derivation) pageSamples(c *Claim, t terms, g *group) {
	against := ""
	if t.thdnPct > 0 {
		against = " against " + calc(t.thdnPct) + nbsp + "%"
	}
	d.head("Channel %s: power, and distortion d%s", g.name, against)
	d.line(samplesHead)
	for _, r := range g.speaking() {
		start := d.before(0, true)
		d.buf = append(d.buf, pad(cut(r.run.ID, runWide), runWide)...)
		d.cell(r.channel.Power)
		d.cell(r.channel.Resistance)
		d.cell(r.run.SupplyV)
		d.cell(r.channel.Distortion)
		if dist := r.channel.Distortion; dist != nil {
			d.sized(sampleWide, dist.U)
			d.sized(sampleWide, math.Abs(dist.X-t.thdnPct))
		} else {
			d.buf = blanks(d.buf, 2*sampleWide)
		}
		_, why := d.e.classOf(c.Rec, t.thdnPct, r.run, r.channel)
		if _, side, found := strings.Cut(why, "% distortion, "); found {
			why = side // its row has its distortion
		}
		d.buf = append(append(d.buf, "  "...), why...)
		d.lined(start, false)
	}
}

// cell adds a figure's value; blanks where there is none.
func (d *derivation) cell(f *Figure) {
	if f == nil {
		d.buf = blanks(d.buf, sampleWide)
		return
	}
	d.sized(sampleWide, f.X)
}
