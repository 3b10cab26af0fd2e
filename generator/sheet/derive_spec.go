package sheet

import (
	"math"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// DeriveSpec is how a stated figure was decided, from what was measured on.
func (s *Sheet) DeriveSpec(sp *Spec) []Passage {
	d := s.Deriver().begin()
	d.head("Stated figure %s of %s", sp.ID, s.Name)
	d.say(2, "What: %s", sp.Rec.Name)
	d.say(2, "Stated: %s", sp.Stated)
	if sp.Rec.PrintedIn != "" {
		d.say(2, "Printed in: %s", sp.Rec.PrintedIn)
	}
	d.limits(sp)
	if sp.Measured == nil {
		d.head("Verdict: %s", sp.Word)
		d.state(2, "It was not measured.")
		return d.done()
	}
	if sp.Captured != nil {
		d.capturedSpec(sp)
	} else {
		d.measuredSpec(sp)
	}
	d.specVerdict(sp)
	d.sources()
	return d.done()
}

// limits gives the limits with their tolerance and where that comes from.
func (d *derivation) limits(sp *Spec) {
	rec := sp.Rec
	d.head("Limits")
	tolerance, how := "", "half the last digit as printed, for want of a tolerance"
	switch {
	case rec.Tolerance.Given():
		tolerance, how = typed(rec.Tolerance), "as the maker prints it"
	case rec.TolerancePct.Given():
		tolerance, how = typed(rec.TolerancePct)+nbsp+"%·", "as the maker prints it"
	}
	d.say(2, "Tolerance: %s", how)
	edge := func(name, sign string, n record.Number, limit float64) {
		by := tolerance
		switch {
		case rec.TolerancePct.Given():
			by += calc(math.Abs(n.Value))
		case by == "":
			by = calc(halfDigit(n.Text))
		}
		d.say(2, "%s = %s %s %s = %s%s", name, num(n.Value), sign, by, num(limit), behind(rec.Unit))
	}
	l, _ := limitsOf(rec)
	if !math.IsInf(l.Low, -1) {
		edge("TL", "−", rec.Stated, l.Low)
	}
	if !math.IsInf(l.High, 1) {
		top := rec.Stated
		if rec.Limit == "between" {
			top = rec.StatedTo
		}
		edge("TU", "+", top, l.High)
	}
}

// behind is a unit as it stands behind a number.
func behind(unit string) string {
	if unit == "" {
		return ""
	}
	return nbsp + unit
}

// measuredSpec gives what was measured, its mean and its uncertainty.
func (d *derivation) measuredSpec(sp *Spec) {
	rec, n := sp.Rec, len(sp.Rec.Measured.Items)
	d.head("Measured")
	if rec.How != "" {
		d.say(2, "How: %s", rec.How)
	}
	var written, terms, squares []string
	for _, m := range rec.Measured.Items {
		written, terms = append(written, m.Text), append(terms, calc(m.Value))
		squares = append(squares, text("(%s − %s)²", num(m.Value), num(sp.Measured.X)))
	}
	d.say(2, "As written: %s%s", strings.Join(written, ", "), behind(rec.Unit))
	if rec.PM.Given() {
		d.say(2, "Known to ±%s%s: u = %s/√3 = %s%s, one error in all repeats %s", typed(rec.PM), behind(rec.Unit), num(rec.PM.Value),
			num(quantity.Rectangular(rec.PM.Value)), behind(rec.Unit), d.by(formula.Specification))
	} else {
		d.state(2, "It is not stated how well it was read.")
	}
	if n > 1 {
		d.say(2, "y = (%s)/%d = %s%s %s", strings.Join(terms, " + "), n, num(sp.Measured.X), behind(rec.Unit), d.by(formula.Mean))
		u := scatter(rec).Std()
		d.say(2, "Scatter of the mean: √((%s)/(%d·(%d − 1))) = %s%s, with ν = %d %s", strings.Join(squares, " + "), n, n, num(u), behind(rec.Unit), n-1, d.by(formula.Mean))
	}
	d.figure("Measured", sp.Measured, "")
}

// specVerdict gives p with numbers, and the rule.
func (d *derivation) specVerdict(sp *Spec) {
	d.head("Verdict: %s", sp.Word)
	y := sp.Measured
	l, _ := limitsOf(sp.Rec)
	switch {
	case y.Std == 0:
		d.say(2, "Nothing in it is known to be uncertain, so p is 1 within the limits and 0 outside: %s", sp.PText)
	case math.IsInf(l.High, 1):
		z := (y.X - l.Low) / y.Std
		d.say(2, "(y − TL)/u = (%s − %s)/%s = %s", num(y.X), num(l.Low), num(y.Std), num(z))
		d.say(2, "p = F(%s; %s) = %s, published as %s %s", num(z), num(y.DoF), num(sp.P), sp.PText, d.by(formula.SpecChance))
	case math.IsInf(l.Low, -1):
		z := (l.High - y.X) / y.Std
		d.say(2, "(TU − y)/u = (%s − %s)/%s = %s", num(l.High), num(y.X), num(y.Std), num(z))
		d.say(2, "p = F(%s; %s) = %s, published as %s %s", num(z), num(y.DoF), num(sp.P), sp.PText, d.by(formula.SpecChance))
	default:
		low, high := (l.Low-y.X)/y.Std, (l.High-y.X)/y.Std
		d.say(2, "(TL − y)/u = (%s − %s)/%s = %s", num(l.Low), num(y.X), num(y.Std), num(low))
		d.say(2, "(TU − y)/u = (%s − %s)/%s = %s", num(l.High), num(y.X), num(y.Std), num(high))
		d.say(2, "p = F(%s; %s) − F(%s; %s) = %s, published as %s %s", num(high), num(y.DoF), num(low), num(y.DoF), num(sp.P), sp.PText, d.by(formula.SpecChance))
	}
	says := RuleOf(d.s.Content.Site)
	if sp.Coarse {
		d.say(2, "A p as small as that alone is no miss: the figure would have to lie beyond one of the limits, and it lies on the right side of either with a probability of %s at least.", num(sp.side))
	}
	d.say(2, "Rule: %s, met where p ≥ %s, missed where p ≤ %s, open between; it rests on %s.", says.Name, num(says.Rule.MetFrom), num(says.Rule.ShortTo), says.Source)
	d.say(2, "%s", string(sp.Verdict))
}
