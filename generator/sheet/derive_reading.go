package sheet

import (
	"fmt"
	"math"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
)

// reading gives one reading, what read it, and how well.
func (d *derivation) reading(r *Run, q string, n record.Number, channel string) {
	unit := unitOf[q]
	of := saidOf[q]
	if channel != "" {
		of += ", channel " + channel
	}
	how := ""
	if h := readHow(&r.Rec.ReadAs, q); h != "" && h != "mean" {
		how = ", " + h
	}
	i := r.Rec.InstrumentFor(q, d.s.Content.Bench)
	if i == nil {
		d.say(2, "%s: %s%s%s%s; no instrument is named, so its uncertainty is not known", of, n.Text, nbsp, unit, how)
		return
	}
	d.say(2, "%s: %s%s%s%s, by %s (%s)", of, n.Text, nbsp, unit, how, i.Name, i.ID)
	span := i.RangeFor(q, n.Value)
	if span == nil {
		d.say(4, "it has no range that holds this reading")
		return
	}
	s := specificationOf(span, n.Value)
	d.say(4, "range to %s%s%s: ±(%s) = ±%s%s%s%s", calc(span.To.Value), nbsp, unit, specified(span), calc(s.stated), nbsp, unit, shaped(span))
	d.say(4, "u = %s/%s = %s%s%s  %s", calc(s.stated), s.by, calc(s.u()), nbsp, unit, d.by(formula.Specification))
	if span.GainCommon && span.ReadingPct.Value > 0 {
		d.say(4, "The percent of reading is common to readings on this range and signal: u = %s%s%s of it.", calc(math.Abs(span.ReadingPct.Value/100*n.Value)/s.divisor), nbsp, unit)
	}
	d.correction(span, n, unit)
	d.aged(r, i, span, n, unit)
}

// correction gives what a certificate adds to a reading.
func (d *derivation) correction(span *record.Range, n record.Number, unit string) {
	if !span.Corrects() {
		return
	}
	c := correctionOf(span, n.Value)
	d.say(4, "correction: e = %s%s%s%s, x = %s%s%s  %s", summed(span.CorrectionPct, span.Correction), calc(c.adds), nbsp, unit, calc(n.Value+c.adds), nbsp, unit, d.by(formula.Corrected))
	known := summed(span.CorrectionPMPct, span.CorrectionPM)
	if known != "" {
		known = "(" + strings.TrimSuffix(known, " = ") + ")/" + typed(span.CorrectionK) + " = "
	}
	d.say(4, "u(e) = %s%s/%s = %s%s%s, one error in all readings on this range", known, calc(c.expanded), typed(span.CorrectionK), calc(c.u()), nbsp, unit)
}

// aged gives what an instrument's drift and the air's temperature do to a reading.
func (d *derivation) aged(r *Run, i *record.Instrument, span *record.Range, n record.Number, unit string) {
	x := math.Abs(n.Value)
	if t := driftOf(r.Rec, i, span, n.Value); t.lacks != "" {
		d.say(4, "%s", t.lacks)
	} else if span.DriftPctYear.Value > 0 {
		d.say(4, "drift: %s%s%% a year, %s from %s to %s: %s%s%%·%s·%s/%s = ±%s%s%s", typed(span.DriftPctYear), nbsp, countOf(int(t.days), "day"), i.Calibrated.Text, t.until,
			typed(span.DriftPctYear), nbsp, calc(x), calc(t.days), calc(yearDays), calc(t.half), nbsp, unit)
		d.say(4, "u = %s/√3 = %s%s%s  %s", calc(t.half), calc(t.half/math.Sqrt(3)), nbsp, unit, d.by(formula.Drift))
	}
	t := influenceOf(r.Rec, i, span, n.Value)
	switch air := r.Rec.AmbientC; {
	case t.lacks != "":
		d.say(4, "%s", t.lacks)
	case t.half > 0:
		d.say(4, "air at %s%s°C, %s%sK outside %s to %s%s°C: %s%s%%/K·%s·%s = ±%s%s%s", air.Text, nbsp, calc(t.outside), nbsp, typed(span.FromC), typed(span.ToC), nbsp,
			typed(span.TempcoPctK), nbsp, calc(x), calc(t.outside), calc(t.half), nbsp, unit)
		d.say(4, "u = %s/√3 = %s%s%s  %s", calc(t.half), calc(t.half/math.Sqrt(3)), nbsp, unit, d.by(formula.Tempco))
	case span.TempcoPctK.Value > 0:
		d.say(4, "air at %s%s°C, inside %s to %s%s°C: nothing to add", air.Text, nbsp, typed(span.FromC), typed(span.ToC), nbsp)
	}
}

// putCorrected puts a reading into the formula of a corrected one; it is empty
// where nothing corrects it.
func (d *derivation) putCorrected(r *Run, q string, n record.Number) string {
	span := r.Rec.InstrumentFor(q, d.s.Content.Bench).RangeFor(q, n.Value)
	if !n.Given() || span == nil || !span.Corrects() {
		return ""
	}
	return fmt.Sprintf("%s + (%s)", n.Text, calc(correctionOf(span, n.Value).adds))
}

// summed writes a percent of reading and a constant as the sum that they are, with
// an equals sign behind it; a constant alone needs no sum.
func summed(pct, constant record.Number) string {
	if !pct.Given() {
		return ""
	}
	text := typed(pct) + nbsp + "% of reading"
	if constant.Given() {
		text += " + " + typed(constant)
	}
	return text + " = "
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
