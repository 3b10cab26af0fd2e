package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A common is what derivations of one page refer to, in the order met.
type common struct {
	spans    []readRange
	loads    []*record.Load
	methods  []*record.Method
	formulas []string
}

// A readRange is a range of an instrument that read a quantity.
type readRange struct {
	q    string
	i    *record.Instrument
	span *record.Range
}

func (c *common) read(q string, i *record.Instrument, span *record.Range) {
	if r := (readRange{q, i, span}); !slices.Contains(c.spans, r) {
		c.spans = append(c.spans, r)
	}
}

func (c *common) loaded(l *record.Load) {
	if !slices.Contains(c.loads, l) {
		c.loads = append(c.loads, l)
	}
}

func (c *common) made(m *record.Method) {
	if m != nil && !slices.Contains(c.methods, m) {
		c.methods = append(c.methods, m)
	}
}

// AppendCommon appends what the derivations that were appended before have in common:
// how their budgets add up, instruments, loads, methods, the decision rule, formulas.
func (v *Deriver) AppendCommon(b []byte, by Markup) []byte {
	d := v.into(b, by)
	d.head("How each figure's uncertainty adds up")
	d.state(2, "Its components stand in a table, which figures of one channel share: the u of each source, c, the sensitivity, by how much the figure changes where its source does by one unit, and their product. To check a c, change the source a little, compute the figure anew, and divide the one change by the other.")
	d.state(2, "u is the root of the sum of all squares of c·u. Components with the same letter are taken as one error: they are added with their signs first, then squared. Those of groups whose sharing is not known are taken as independent where that gives the larger u.")
	d.state(2, "A component that is joined is one error in all repeats: what it contributes to each run, c·u in the budget there, is added, then divided by their number.")
	d.say(2, "ν = ∞ where no component has finite degrees of freedom; k is then the normal distribution's, t(0.975; ∞) = %s. Where some have, ν is computed with their shares in u.", num(quantity.Coverage(quantity.Level, math.Inf(1))))
	d.instruments()
	if len(d.common.loads) > 0 {
		d.head("Loads")
	}
	for _, l := range d.common.loads {
		d.element(l)
	}
	if len(d.common.methods) > 0 {
		d.head("Repeatability")
	}
	for _, m := range d.common.methods {
		d.pool(m)
	}
	if len(d.s.Claims) > 0 {
		d.head("The decision rule")
		says := RuleOf(d.s.Content.Site)
		d.say(2, "%s. %s It rests on: %s", says.Name, says.Means, says.Source)
	}
	d.page = false // all of them, here
	d.sources()
	return d.appended()
}

// instruments gives what is stated of each range that read something.
func (d *derivation) instruments() {
	if len(d.common.spans) > 0 {
		d.head("Instruments")
	}
	for n, r := range d.common.spans {
		i, span, unit := r.i, r.span, unitOf[r.q]
		if slices.ContainsFunc(d.common.spans[:n], func(o readRange) bool { return o.span == span }) {
			continue // it read another quantity of the same unit too
		}
		s := d.begun(2)
		s.add("%s (%s), range to %s%s%s: ±(%s)%s", i.Name, i.ID, num(span.To.Value), nbsp, unit, specified(span), shaped(span))
		if span.GainCommon && span.ReadingPct.Value > 0 {
			s.add(". The percent of reading is common to readings on this range and signal, the rest is the reading's own")
		}
		if span.Corrects() {
			s.add(". Its certificate states the correction with k = %s, one error in all readings on this range", typed(span.CorrectionK))
		}
		if span.DriftPctYear.Value > 0 {
			s.add(". Drift: %s%s%% a year since %s", typed(span.DriftPctYear), nbsp, i.Calibrated.Text)
		}
		if span.TempcoPctK.Value > 0 {
			s.add(". Air within %s to %s%s°C adds nothing, outside %s%s%% a kelvin", typed(span.FromC), typed(span.ToC), nbsp, typed(span.TempcoPctK), nbsp)
		}
		d.end(&s)
	}
}
