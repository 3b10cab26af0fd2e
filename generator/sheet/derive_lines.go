package sheet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/formula"
)

// LoadCaution stands beside every figure "at my load".
const LoadCaution = "A figure is no permission to connect a load. Below the maker's lowest load a unit can be damaged or burn, " +
	"outputs above 50" + nbsp + "V AC are dangerous to touch, and sound at this power harms hearing. Follow the maker's instructions " +
	"and local codes, and leave installation to qualified people."

// DeriveLines is how a unit's load lines and its supply exponent come about.
func (s *Sheet) DeriveLines() []Passage {
	d := s.Deriver().begin()
	d.head("Between the points: %s", s.Name)
	d.state(2, "What follows is estimated from the runs, not measured, and decides nothing.")
	if len(s.Lines) == 0 {
		d.say(2, "%s", noLines)
	}
	for _, l := range s.Lines {
		d.loadLine(l)
	}
	d.exponent(s.Exponent)
	d.sources()
	return d.done()
}

const noLines = "There is no load line: one takes three load elements or more, with completed runs at a method's distortion limit within ±3" + nbsp + "% of one supply voltage."

// loadLine gives one line: its points, the fit, and how well it fits.
func (d *derivation) loadLine(l *LoadLine) {
	d.head("Load line: channel %s, %s", l.Channel, l.Method.Title)
	d.say(2, "%s", bareOfIsolates.Replace(l.Text)) // as in a comparison
	for _, p := range l.Points {
		d.say(2, "%s: R = %s%sΩ, P = %s%sW, published as %s", strings.Join(p.Runs, ", "), num(p.Load), nbsp, num(p.Power.X), nbsp, p.Power.Text)
	}
	d.state(2, "The fit: weights w = 1/u² of r = P − f, f = E²·R/(R + Rs)², with R's error in both and without what is stated as common. They are settled by iteration, then kept.")
	d.line(lineRow("R/Ω", "f/W", "r/W", "w", "∂f/∂E", "∂f/∂Rs"))
	var sumE, sumRs float64
	for i, p := range l.Points {
		byE, byRs := l.fit.Slopes(p.Load)
		sumE += p.Weight * p.ResidualW * byE
		sumRs += p.Weight * p.ResidualW * byRs
		d.line(lineRow(calc(p.Load), calc(p.Power.X-p.ResidualW), calc(l.Points[i].ResidualW), calc(p.Weight), calc(byE), calc(byRs)))
	}
	d.say(2, "Where f is closest to P, Σ w·r·∂f/∂E = 0 and Σ w·r·∂f/∂Rs = 0; here they are %s and %s: only rounding.", residue(sumE), residue(sumRs))
	d.figure("E, the volts without load", l.E, "")
	d.figure("Rs, the inner resistance", l.Rs, "")
	d.say(2, "How well it fits: each residual, what is left of its uncertainty, since the line is fitted to the point, and their ratio %s", d.by(formula.LineResidual))
	for _, p := range l.Points {
		d.say(4, "%s%sΩ: r = %s, u = %s%sW, r/u = %s", num(p.Load), nbsp, p.Residual.Text, num(p.Residual.Std), nbsp, num(p.Standardised))
	}
	d.say(2, "χ² = Σ w·r² = %s with %s of freedom: p = %s; it fits from 0.05 on %s", num(l.Chi2), countOf(l.Free, "degree"), num(l.P), d.by(formula.Goodness))
}

// residue writes a sum that is 0 but for rounding: processors differ in what is
// left of it.
func residue(x float64) string {
	if math.Abs(x) < 1e-6 {
		return "below 0.000001"
	}
	return calc(x)
}

// lineRow lays out one row of a table of six numbers.
func lineRow(cells ...string) string {
	text := "   "
	for _, c := range cells {
		text += padLeft(c, 12)
	}
	return text
}

// exponent gives the supply exponent: its runs, the fit, and how well it fits.
func (d *derivation) exponent(s *SupplyExponent) {
	d.head("Supply exponent")
	if s == nil {
		d.say(2, "Not estimated: no completed runs at a method's distortion limit differ by 5%s%% or more in the supply voltage and in nothing else.", nbsp)
		return
	}
	d.say(2, "%s", s.Text)
	d.state(2, "x = ln Vs and y = ln P, less their weighted means over runs that differ in the supply voltage only; weights w = 1/u² of y − k·x, of what is a run's own.")
	for _, g := range s.Groups {
		d.say(2, "Channel %s, %s, %s (%s): means %s and %s", g.Channel, g.Method.Title, hertz(g.FreqHz), g.Loads, num(g.MeanX), num(g.MeanY))
		d.line("    " + pad("run", 12) + padLeft("Vs/V", 8) + padLeft("P/W", 10) + padLeft("x", 11) + padLeft("y", 11) + padLeft("w", 10) + padLeft("r", 13))
		for _, p := range g.Points {
			d.line("    " + pad(cut(p.Run, 12), 12) + padLeft(calc(p.SupplyV.X), 8) + padLeft(calc(p.Power.X), 10) + padLeft(calc(p.X), 11) + padLeft(calc(p.Y), 11) + padLeft(calc(p.Weight), 10) + padLeft(calc(p.Residual), 13))
		}
	}
	d.figure("k", s.K, text("Σ w·x·y/Σ w·x² = %s/%s", num(s.Numerator), num(s.Denominator)))
	if s.Free > 0 {
		d.say(2, "χ² = Σ w·r², the mean over a run's channels, = %s with %s of freedom: p = %s; the runs agree from 0.05 on %s", num(s.Chi2), countOf(s.Free, "degree"), num(s.P), d.by(formula.Goodness))
	}
}

// DeriveAtLoad is what a unit's load lines and runs say at a load of so many ohms.
func (s *Sheet) DeriveAtLoad(ohm float64) []Passage {
	d := s.Deriver().begin()
	d.head("At %s%sΩ: %s", num(ohm), nbsp, s.Name)
	d.say(2, "Caution: %s", LoadCaution)
	if lowest := s.Record.Unit.LowestOhm; lowest.Given() && ohm < 0.99*lowest.Value {
		d.say(2, "Caution: this is below the maker's lowest load of %s a channel.", Ohms(lowest.Value))
	}
	if lowest := s.Record.Unit.LowestBridgedOhm; lowest.Given() && ohm < 0.99*lowest.Value {
		d.say(2, "Caution: this is below the maker's lowest bridged load of %s.", Ohms(lowest.Value))
	}
	d.runsAt(ohm)
	d.head("Estimated from load lines, not measured")
	if len(s.Lines) == 0 {
		d.say(2, "%s", noLines)
	}
	for _, l := range s.Lines {
		f, err := l.At(ohm)
		if err != nil {
			d.say(2, "%s.", capital(err.Error()))
			continue
		}
		d.say(2, "Channel %s, %s: %s into %s%sΩ at the terminals, estimated", l.Channel, l.Method.Title, f.Text, num(ohm), nbsp)
		d.figure("P", f, text("%s²·%s/(%s + %s)²", num(l.E.X), num(ohm), num(ohm), num(l.Rs.X)))
	}
	if len(s.Lines) > 0 {
		d.say(2, "How each line comes about: wattsheet explain %s lines", s.Slug)
	}
	d.sources()
	return d.done()
}

// runsAt gives the runs at a load: those at that nominal load, and those whose load
// was this at the terminals.
func (d *derivation) runsAt(ohm float64) {
	d.head("Measured at this load")
	found := false
	var loads []float64
	for _, r := range d.s.Runs {
		for _, c := range r.Channels {
			if c.Power == nil || !r.Valid {
				continue
			}
			if !slices.Contains(loads, c.Nominal) {
				loads = append(loads, c.Nominal)
			}
			if math.Abs(c.Nominal-ohm) > nominalReach*ohm && math.Abs(c.Resistance.X-ohm) > nominalReach*ohm {
				continue
			}
			found = true
			supply := ""
			if r.SupplyV != nil {
				supply = ", supply " + r.SupplyV.Text
			}
			d.say(2, "%s: channel %s, %s: %s into %s%s; %s", r.ID, c.Name, r.Method.Title, c.Power.Text, c.Resistance.Text, supply, r.OutcomeText)
		}
		for _, caution := range r.Cautions {
			if found && math.Abs(r.Nominal-ohm) <= nominalReach*ohm {
				d.say(4, "Caution: %s", caution)
			}
		}
	}
	if found {
		return
	}
	slices.Sort(loads)
	var texts []string
	for _, l := range loads {
		texts = append(texts, Ohms(l))
	}
	if len(texts) == 0 {
		texts = []string{"no load"}
	}
	d.say(2, "No valid run; the unit was measured at %s.", strings.Join(texts, ", "))
}

// estimate gives what a claim's runs may have given at its supply voltage.
func (d *derivation) estimate(c *Claim) {
	s := c.Estimate
	if s == nil {
		return
	}
	d.head("Estimate at the supply voltage of the claim, not measured")
	d.say(2, "%s", s.Text)
	one := s.of(c.Weakest)
	if one == nil {
		return
	}
	type end struct {
		k, label string
		x        float64
		f        *Figure
	}
	ends := []end{{calc(one.LowK), "k = " + calc(one.LowK), one.LowK, one.Low}, {calc(one.HighK), "k = " + calc(one.HighK), one.HighK, one.High}}
	if one.Own != nil {
		own := d.s.Exponent.K.X
		ends = append(ends, end{calc(own) + ", the unit's own", "own k", own, one.Own})
	}
	d.gathers = d.page
	for _, end := range ends {
		d.figure("Pe at k = "+end.k, end.f, "the mean over the runs: "+d.estimated(one, s.ToV, end.x))
		if n := len(d.columns); n > 0 && d.columns[n-1].f == end.f {
			d.columns[n-1].label = end.label
		}
	}
	d.gathered()
}

// estimated writes the mean of a channel's powers, each carried by a supply exponent.
func (d *derivation) estimated(one *ChannelEstimate, toV, k float64) string {
	var room [512]byte
	b, n, numbers := append(room[:0], '('), 0, &d.numbers
	for _, id := range one.Runs {
		r := d.runCalled(id)
		for _, ch := range r.Channels {
			if ch.Name != one.Name {
				continue
			}
			if n++; n > 1 {
				b = append(b, " + "...)
			}
			b = append(numbers.append(b, ch.Power.X), "·("...)
			b = append(numbers.append(b, toV), '/')
			b = append(numbers.append(b, r.SupplyV.X), ")^"...)
			b = numbers.append(b, k)
		}
	}
	return string(strconv.AppendInt(append(b, ")/"...), int64(n), 10))
}
