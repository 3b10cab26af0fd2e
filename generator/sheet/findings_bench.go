package sheet

import (
	"fmt"
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// crestReach is by how much a crest factor may exceed an instrument's before it is
// a finding: both are printed rounded, a sine's √2 as 1.4 or 1.414.
const crestReach = 1.02

// crestOf is the crest factor of a method's signal as an instrument at the output
// sees it: the method's own, or a sine's. An instrument that reads within a burst
// sees the sine; another the whole period, silent between the bursts: √(every/burst)
// times as much. Clipping only lowers it.
func crestOf(m *record.Method, i *record.Instrument) float64 {
	switch {
	case m.CrestFactor.Given():
		return m.CrestFactor.Value
	case m.Signal == "burst" && !readsBursts(m, i) && m.EveryMS.Given():
		return math.Sqrt2 * math.Sqrt(m.EveryMS.Value/m.BurstMS.Value)
	}
	return math.Sqrt2
}

// readsBursts reports whether bench.toml states that an instrument reads within a
// method's bursts.
func readsBursts(m *record.Method, i *record.Instrument) bool {
	return i.ShortestBurstMS.Given() && i.ShortestBurstMS.Value <= m.BurstMS.Value
}

// ofReading looks at one quantity of a run and the instrument that read it: the
// signal's crest factor, and what the instrument's uncertainty lacks.
func ofReading(r *Run, name string, i *record.Instrument, numbers []record.Number) []Finding {
	var out []Finding
	if crest := crestOf(r.Method, i); beyondCrest(r.Method, i, name) {
		out = append(out, Finding{"beyond-crest-factor", r.Rec.Key(name),
			fmt.Sprintf("run %s: the signal of %s has a crest factor of %s where %s reads %s, which is specified up to %s", r.ID, r.Method.ID, quantity.Significant(crest, 2), i.ID, name, plain(i.CrestFactor.Value)),
			"the wrong instrument for this signal; well below the end of its range a meter may stand more, as its manual says"})
	}
	if f := coarser(r, name, i, numbers); f != nil {
		out = append(out, *f)
	}
	var told []string
	for _, n := range numbers {
		span := i.RangeFor(name, n.Value)
		if span == nil {
			continue
		}
		for _, lacks := range []string{driftOf(r.Rec, i, span, n.Value).lacks, influenceOf(r.Rec, i, span, n.Value).lacks} {
			if lacks != "" && !slices.Contains(told, lacks) {
				told = append(told, lacks)
				out = append(out, Finding{"uncertainty-incomplete", r.Rec.Key(name), fmt.Sprintf("run %s, %s: %s", r.ID, name, lacks),
					"a date or an air temperature that wasn't written down: calibrated and due in bench.toml, at and ambient_c in the run"})
			}
		}
	}
	return out
}

// coarser finds a reading that is written with fewer decimals than its range shows, where
// the instrument has a wider range that shows no more: the meter probably stood on that
// one. A reading is taken to be of the smallest range that holds it, so its uncertainty
// would be too small.
func coarser(r *Run, name string, i *record.Instrument, numbers []record.Number) *Finding {
	for _, n := range numbers {
		span, step := i.RangeFor(name, n.Value), 2*halfDigit(n.Text)
		if span == nil || !(span.Resolution.Value > 0 && step > span.Resolution.Value*(1+1e-9)) {
			continue
		}
		stated := specificationOf(span, n.Value).stated
		for n2 := range i.Ranges {
			wide := &i.Ranges[n2]
			there := specificationOf(wide, n.Value).stated
			if wide.Reads != name || !(wide.To.Value > span.To.Value && wide.Resolution.Value > span.Resolution.Value && there > stated) {
				continue
			}
			unit := nbsp + unitOf[name]
			return &Finding{"coarser-than-range", r.Rec.Key(name),
				fmt.Sprintf("run %s: %s is %s%s, but %s shows %s%s on its range to %s%s", r.ID, name, n.Text, unit, i.ID, span.Resolution.Text, unit, span.To.Text, unit),
				fmt.Sprintf("the meter on its range to %s%s (±%s%s there, not ±%s%s), or a last digit left out, be it a zero",
					wide.To.Text, unit, quantity.Significant(there, 2), unit, quantity.Significant(stated, 2), unit)}
		}
	}
	return nil
}

// agree reports whether one figure in two units is the same, as far as the last
// digits go that both are written with.
func agree(a record.Number, unit string, b record.Number, second string) (converted float64, same bool) {
	x, half, ok := record.Convert(b.Value, halfDigit(b.Text), second, unit)
	if !ok {
		return 0, true
	}
	return x, math.Abs(a.Value-x) <= (halfDigit(a.Text)+half)*(1+1e-9)
}

// ofUnits finds one length, mass or temperature that is written in two units and
// isn't the same.
func (e *evaluator) ofUnits() []Finding {
	var out []Finding
	compare := func(what string, a record.Number, unit string, b record.Number, second string) {
		if !a.Given() || !b.Given() {
			return
		}
		if x, same := agree(a, unit, b, second); !same {
			out = append(out, Finding{"two-units-disagree", b.Place,
				fmt.Sprintf("%s is %s%s%s, but %s%s%s is %s%s%s", what, a.Text, nbsp, unit, b.Text, nbsp, second, quantity.Significant(x, 4), nbsp, unit),
				"one of the two mistyped or misprinted, or converted the wrong way"})
		}
	}
	lists := func(what []string, a record.Numbers, unit string, b record.Numbers, second string) {
		for i := range min(len(a.Items), len(b.Items)) {
			compare(what[min(i, len(what)-1)], a.Items[i], unit, b.Items[i], second)
		}
	}
	u := &e.rec.Unit
	lists([]string{"the width", "the height", "the depth"}, u.SizeMM, "mm", u.SizeIn, "in")
	compare("the mass", u.MassKG, "kg", u.MassLb, "lb")
	for i := range e.rec.Specs {
		s := &e.rec.Specs[i]
		compare("the stated figure of "+s.ID, s.Stated, s.Unit, s.Also, s.AlsoUnit)
	}
	for i := range e.rec.Thermals {
		t := &e.rec.Thermals[i]
		lists([]string{"the temperature of " + t.Spot}, t.TempC, "°C", t.TempF, "°F")
		compare("the air at "+t.Spot, t.AmbientC, "°C", t.AmbientF, "°F")
	}
	return out
}
