package sheet

import (
	"fmt"
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// more evaluates the tables beside claims and runs.
func (e *evaluator) more(s *Sheet) {
	for i := range e.rec.Specs {
		s.Specs = append(s.Specs, e.spec(&e.rec.Specs[i]))
	}
	for i := range e.rec.Thermals {
		s.Thermals = append(s.Thermals, thermal(i, &e.rec.Thermals[i], s.Runs))
	}
	s.Ratios = e.ratios(s.Runs)
	s.Lines = e.lines(s.Runs)
	s.Exponent = e.exponent(s.Runs)
	for _, c := range s.Claims {
		c.Estimate = e.supplyEstimate(c, s.Exponent)
	}
	s.Repeats = e.repeats(s.Runs)
	s.AtLoads = e.atLoads(s)
}

// thermal evaluates one temperature, or a series. What the thermometer is wrong by
// is one error in all of a series.
func thermal(n int, rec *record.Thermal, runs []*Run) *Thermal {
	t := &Thermal{Rec: rec}
	for _, r := range runs {
		if rec.After.Given() && r.ID == rec.After.ID {
			t.After = r
		}
	}
	var lacks []string
	if !rec.PM.Given() {
		lacks = []string{"it is not stated how well the temperature was read"}
	}
	for i, item := range rec.TempC.Items {
		v := measured{quantity.New(item.Value, "°C", quantity.Rectangular(rec.PM.Value), quantity.Source{
			ID: fmt.Sprintf("thermometer, thermal %d", n+1), Name: "thermometer", Kind: "instrument", DoF: math.Inf(1),
		}), lacks}
		p := ThermalPoint{TempC: figure("temperature", "T", formula.AsRead, v)}
		if i < len(rec.AtMin.Items) {
			p.Min = rec.AtMin.Items[i].Value
		}
		if rec.AmbientC.Given() {
			p.Rise = figure("rise", "ΔT", formula.Rise, with(v.Sub(quantity.Exact(rec.AmbientC.Value, "°C")).In("K"), v))
		}
		t.Points = append(t.Points, p)
	}
	return t
}

// The names of the ratios.
const (
	ratioMoney  = "power for money"
	ratioVolume = "power for volume"
	ratioMass   = "power for mass"
)

// best is the completed run by the site's first method with the largest total power;
// nil where there is none.
func (e *evaluator) best(runs []*Run) *Run {
	first := &e.content.Methods.Methods[0]
	var best *Run
	for _, r := range runs {
		if r.Completed && r.Method == first && r.Total != nil && (best == nil || r.Total.X > best.Total.X) {
			best = r
		}
	}
	return best
}

// ratios are the best run's power by the unit's price, volume and mass.
func (e *evaluator) ratios(runs []*Run) []Ratio {
	best := e.best(runs)
	if best == nil {
		return nil
	}
	return e.ratiosOf(best.Total, fmt.Sprintf("run %s (%s, %s)", best.ID, Ohms(best.Nominal), Isolated(best.Method.Title)))
}

// Ratios are the standing's total power by the unit's price, volume and mass; none
// where it has no figure.
func (s *Standing) Ratios() []Ratio {
	if s.Total == nil {
		return nil
	}
	e := &evaluator{content: s.Sheet.Content, rec: s.Sheet.Record}
	return e.ratiosOf(s.Total, runsText(s.Runs)+" ("+s.At.Title()+")")
}

// ratiosOf are a power by the unit's price, volume and mass, as far as they are stated.
func (e *evaluator) ratiosOf(total *Figure, source string) []Ratio {
	u := &e.rec.Unit
	var out []Ratio
	add := func(name string, divisor float64, unit, of string) {
		v := measured{total.value.Scale(1 / divisor).In(unit), total.Incomplete}
		out = append(out, Ratio{name, figure("ratio", "P/x", formula.PerDivisor, v), total.Text + " of " + source + ", " + of})
	}
	if u.Price.Given() {
		of := plain(u.Price.Value) + nbsp + e.content.Site.Currency
		if u.PriceDate.Given() {
			of += " on " + u.PriceDate.Text
		}
		add(ratioMoney, u.Price.Value, "W/"+e.content.Site.Currency, of)
	}
	if len(u.SizeMM.Items) == 3 {
		litres := u.SizeMM.Items[0].Value * u.SizeMM.Items[1].Value * u.SizeMM.Items[2].Value / 1e6
		add(ratioVolume, litres, "W/l", quantity.Significant(litres, 3)+nbsp+"l")
	}
	if u.MassKG.Given() {
		add(ratioMass, u.MassKG.Value, "W/kg", plain(u.MassKG.Value)+nbsp+"kg")
	}
	return out
}

// CheckUnit evaluates the bench's check unit over the test days; nil when the
// bench has none, or it was not read.
func CheckUnit(content *record.Content) *Check {
	rec := &content.Bench.CheckUnit
	if !rec.Given() || len(rec.Readings) == 0 {
		return nil
	}
	e := &evaluator{content: content, rec: &record.Record{}}
	c := &Check{Rec: rec, Method: content.Method(rec.Method.ID)}
	values := make([]measured, len(rec.Readings))
	for i, d := range rec.Readings {
		values[i] = e.checkDay(rec, &d)
		c.Days = append(c.Days, CheckDay{Date: d.Date.Text, Power: figure("power", "P", formula.PowerVolts, values[i])})
	}
	mean := meanOf(values)
	c.Mean = figure("mean", "y", formula.Mean, mean)
	for i := range c.Days {
		c.Days[i].DeviationPct = 100 * (values[i].X/mean.X - 1)
		var others []measured
		others = append(append(others, values[:i]...), values[i+1:]...)
		if len(others) > 0 {
			difference := figure("difference", "ΔP", formula.Mean, measured{Value: apart(values[i].Value, meanOf(others).Value)})
			c.Days[i].Off = math.Abs(difference.X) > difference.U
		}
	}
	return c
}

// checkDay is the check unit's power on one day: by the same volts, load and pool
// as any run.
func (e *evaluator) checkDay(rec *record.CheckUnit, d *record.CheckDay) measured {
	_, power, _ := e.channel(checkRun(rec, d, e.content.Method(rec.Method.ID)), 0, checkChannel)
	return power
}

// checkChannel is the name of the check unit's channel.
const checkChannel = "check"

// checkRun is one day of the check unit as a run.
func checkRun(rec *record.CheckUnit, d *record.CheckDay, method *record.Method) *Run {
	run := &record.Run{ID: "check " + d.Date.Text, Method: rec.Method, Driven: []string{checkChannel},
		At: record.Moment{Place: d.Date.Place, Text: d.Date.Text}, AmbientC: d.AmbientC,
		Load: record.Refs{Place: rec.Load.Place, Items: []record.Ref{rec.Load}}, OutV: record.Numbers{Place: d.OutV.Place, Items: []record.Number{d.OutV}}}
	return &Run{Rec: run, ID: run.ID, Method: method, FreqHz: method.FreqHz.Value}
}

func meanOf(values []measured) measured {
	plain := make([]quantity.Value, len(values))
	for i, v := range values {
		plain[i] = v.Value
	}
	return with(quantity.Mean(plain...), values...)
}

// apart is a − b with only what scatters between repeats: instruments and loads
// are the same in both.
func apart(a, b quantity.Value) quantity.Value {
	d := a.Sub(b)
	var own []quantity.Part
	for _, p := range d.Parts {
		if p.Source.Kind == "pool" {
			own = append(own, p)
		}
	}
	d.Parts = own
	return d
}
