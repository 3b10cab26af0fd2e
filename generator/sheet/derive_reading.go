package sheet

import (
	"math"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
)

// reading gives one reading, what read it, and how well.
func (d *derivation) reading(in int, r *Run, q string, n record.Number, channel string) {
	if d.page {
		d.pageReading(r, q, n, channel)
		return
	}
	unit, of, as := unitOf[q], "", ""
	if channel != "" {
		of = ", channel "
	}
	how := readHow(&r.Rec.ReadAs, q)
	if how == "mean" {
		how = ""
	}
	if how != "" {
		as = ", "
	}
	i := r.Rec.InstrumentFor(q, d.s.Content.Bench)
	if i == nil {
		d.say(in, "%s%s%s: %s%s%s%s%s; no instrument is named, so its uncertainty is not known", saidOf[q], of, channel, n.Text, nbsp, unit, as, how)
		return
	}
	d.say(in, "%s%s%s: %s%s%s%s%s, by %s (%s)", saidOf[q], of, channel, n.Text, nbsp, unit, as, how, i.Name, i.ID)
	span := i.RangeFor(q, n.Value)
	if span == nil {
		d.state(in+2, "it has no range that holds this reading")
		return
	}
	s := specificationOf(span, n.Value)
	d.once(alikeKey{span: span, indent: in}, func() {
		d.say(in+2, "range to %s%s%s: ±(%s)%s", num(span.To.Value), nbsp, unit, specified(span), shaped(span))
	})
	d.say(in+2, "u = (%s)/%s = %s/%s = %s%s%s %s", putInto{span, n}, s.by, num(s.stated), s.by, num(s.u()), nbsp, unit, d.by(formula.Specification))
	if span.GainCommon && span.ReadingPct.Value > 0 {
		u, common := s.u(), math.Abs(span.ReadingPct.Value/100*n.Value)/s.divisor
		d.say(in+2, "The percent of reading is common to readings on this range and signal: of it u = %s%s%%·%s/%s = %s%s%s; the reading's own part is √(%s² − %s²) = %s%s%s.",
			typed(span.ReadingPct), nbsp, num(math.Abs(n.Value)), s.by, num(common), nbsp, unit, num(u), num(common), num(math.Sqrt(math.Max(0, u*u-common*common))), nbsp, unit)
	}
	d.correction(in+2, span, n, unit)
	d.aged(in+2, r, i, span, n, unit)
}

// correction gives what a certificate adds to a reading.
func (d *derivation) correction(in int, span *record.Range, n record.Number, unit string) {
	if !span.Corrects() {
		return
	}
	c := correctionOf(span, n.Value)
	d.say(in, "correction by its certificate: e = %s%s%s, x = %s + (%s) = %s%s%s %s", summed(span.CorrectionPct, span.Correction, n.Value, c.adds), nbsp, unit,
		n.Text, num(c.adds), num(n.Value+c.adds), nbsp, unit, d.by(formula.Corrected))
	k := typed(span.CorrectionK)
	d.say(in, "stated with k = %s to U(e) = %s%s%s: u(e) = %s/%s = %s%s%s, one error in all readings on this range", k, summed(span.CorrectionPMPct, span.CorrectionPM, math.Abs(n.Value), c.expanded), nbsp, unit,
		num(c.expanded), k, num(c.u()), nbsp, unit)
}

// aged gives what an instrument's drift and the air's temperature do to a reading.
func (d *derivation) aged(in int, r *Run, i *record.Instrument, span *record.Range, n record.Number, unit string) {
	x := math.Abs(n.Value)
	if t := driftOf(r.Rec, i, span, n.Value); t.lacks != "" {
		d.say(in, "%s", t.lacks)
	} else if span.DriftPctYear.Value > 0 {
		d.say(in, "drift, %s%s%% a year, %s from %s to %s: half-width %s%s%%·%s·%s/%s = %s%s%s", typed(span.DriftPctYear), nbsp, countOf(int(t.days), "day"), i.Calibrated.Text, t.until,
			typed(span.DriftPctYear), nbsp, num(x), num(t.days), num(yearDays), num(t.half), nbsp, unit)
		d.say(in, "u = %s/√3 = %s%s%s %s", num(t.half), num(t.half/math.Sqrt(3)), nbsp, unit, d.by(formula.Drift))
	}
	t := influenceOf(r.Rec, i, span, n.Value)
	switch air := r.Rec.AmbientC; {
	case t.lacks != "":
		d.say(in, "%s", t.lacks)
	case t.half > 0:
		d.say(in, "air at %s%s°C, %s%sK outside %s to %s%s°C: half-width %s%s%%·%s·%s = %s%s%s", air.Text, nbsp, num(t.outside), nbsp, typed(span.FromC), typed(span.ToC), nbsp,
			typed(span.TempcoPctK), nbsp, num(x), num(t.outside), num(t.half), nbsp, unit)
		d.say(in, "u = %s/√3 = %s%s%s %s", num(t.half), num(t.half/math.Sqrt(3)), nbsp, unit, d.by(formula.Tempco))
	case span.TempcoPctK.Value > 0:
		d.say(in, "air at %s%s°C, inside %s to %s%s°C: nothing to add", air.Text, nbsp, typed(span.FromC), typed(span.ToC), nbsp)
	}
}

// putCorrected puts a reading into the formula of a corrected one; it is empty
// where nothing corrects it.
func (d *derivation) putCorrected(r *Run, q string, n record.Number) string {
	span := r.Rec.InstrumentFor(q, d.s.Content.Bench).RangeFor(q, n.Value)
	if !n.Given() || span == nil || !span.Corrects() {
		return ""
	}
	return text("%s + (%s)", n.Text, num(correctionOf(span, n.Value).adds))
}

// summed writes a percent of a reading and a constant as the sum that they are, and
// what it is; a constant alone is that already.
func summed(pct, constant record.Number, x, sum float64) string {
	if !pct.Given() {
		return calc(sum)
	}
	var terms []string
	terms = append(terms, typed(pct)+nbsp+"%·"+calc(x))
	if constant.Given() {
		text := typed(constant)
		if constant.Value < 0 {
			text = "(" + text + ")"
		}
		terms = append(terms, text)
	}
	return strings.Join(terms, " + ") + " = " + calc(sum)
}

// A putInto is a range's specification with a reading put in.
type putInto struct {
	r *record.Range
	n record.Number
}

func (p putInto) append(b []byte) []byte {
	start := len(b)
	add := func(factor record.Number, times string) {
		if len(b) > start {
			b = append(b, " + "...)
		}
		b = append(append(b, typed(factor)...), times...)
	}
	if p.r.ReadingPct.Given() {
		add(p.r.ReadingPct, nbsp+"%·")
		b = appendCalc(b, math.Abs(p.n.Value))
	}
	if p.r.RangePct.Given() {
		add(p.r.RangePct, nbsp+"%·")
		b = append(b, typed(p.r.To)...)
	}
	if p.r.Digits.Given() {
		add(p.r.Digits, "·")
		b = append(b, typed(p.r.Resolution)...)
	}
	if p.r.Constant.Given() {
		add(p.r.Constant, "")
	}
	if len(b) == start {
		b = append(b, '0')
	}
	return b
}

// specified writes a range's specification, as the sum that it is.
func specified(r *record.Range) string {
	var terms []string
	if r.ReadingPct.Given() {
		terms = append(terms, typed(r.ReadingPct)+nbsp+"% of reading")
	}
	if r.RangePct.Given() {
		terms = append(terms, typed(r.RangePct)+nbsp+"% of "+typed(r.To))
	}
	if r.Digits.Given() {
		terms = append(terms, typed(r.Digits)+nbsp+"×"+nbsp+typed(r.Resolution))
	}
	if r.Constant.Given() {
		terms = append(terms, typed(r.Constant))
	}
	if len(terms) == 0 {
		return "not specified"
	}
	return strings.Join(terms, " + ")
}

// shaped says how errors lie within a specification, where that isn't a rectangle.
func shaped(r *record.Range) string {
	switch r.Shape {
	case "triangular":
		return ", triangular"
	case "u-shaped":
		return ", U-shaped"
	case "normal":
		if r.DoF.Given() {
			return ", expanded with k = " + typed(r.K) + ", ν = " + typed(r.DoF)
		}
		return ", expanded with k = " + typed(r.K)
	}
	return ""
}

func readHow(how *record.ReadAs, q string) string {
	switch q {
	case "power_w":
		return how.PowerW
	case "out_v":
		return how.OutV
	case "supply_v":
		return how.SupplyV
	case "supply_a":
		return how.SupplyA
	}
	return ""
}
