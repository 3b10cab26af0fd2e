package sheet

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// lineReach is how far a run's supply voltage may be from the median of the runs
// of a load line, as a fraction.
const lineReach = 0.03

// lines fits a load line to every channel that has three load elements or more
// with completed runs at a method's distortion limit and one supply voltage.
func (e *evaluator) lines(runs []*Run) []*LoadLine {
	var out []*LoadLine
	for i := range e.content.Methods.Methods {
		m := &e.content.Methods.Methods[i]
		if !m.ThdnPct.Given() || m.Signal != "continuous" {
			continue
		}
		for _, channel := range channelsOf(runs, m) {
			if l := e.line(m, channel, runs); l != nil {
				out = append(out, l)
			}
		}
	}
	return out
}

// channelsOf are the channels that runs of a method drive, in the order met.
func channelsOf(runs []*Run, m *record.Method) []string {
	var out []string
	for _, r := range runs {
		if r.Completed && r.Method == m {
			for _, c := range r.Channels {
				if !slices.Contains(out, c.Name) {
					out = append(out, c.Name)
				}
			}
		}
	}
	return out
}

// line fits one channel's load line; nil where the runs don't give one.
func (e *evaluator) line(m *record.Method, channel string, runs []*Run) *LoadLine {
	samples := e.lineSamples(m, channel, runs)
	byElement, order := map[*record.Load][]sample{}, []*record.Load(nil)
	for _, s := range samples {
		if byElement[s.channel.Load] == nil {
			order = append(order, s.channel.Load)
		}
		byElement[s.channel.Load] = append(byElement[s.channel.Load], s)
	}
	if len(order) < 3 {
		return nil
	}
	slices.SortFunc(order, func(a, b *record.Load) int {
		if a.Ohm.Value > b.Ohm.Value {
			return -1
		}
		return 1
	})
	l := &LoadLine{Method: m, Channel: channel, Bridged: strings.Contains(channel, "+")}
	var points []electric.LoadPoint
	for _, load := range order {
		p, r, ids := averaged(byElement[load])
		points = append(points, electric.LoadPoint{P: p.Value, R: r.Value})
		l.Points = append(l.Points, LinePoint{Runs: ids, Load: r.X, Power: figure("mean", "y", formula.Mean, p)})
	}
	fit, err := electric.FitLoadLine(points, statedCommon)
	if err != nil {
		return nil
	}
	l.fill(fit, points)
	return l
}

// lineSamples are a channel's runs of a method that may stand on one line.
func (e *evaluator) lineSamples(m *record.Method, channel string, runs []*Run) []sample {
	var all []sample
	for _, r := range runs {
		for _, c := range r.Channels {
			if c.Name == channel && r.Method == m && fitting(r, c) {
				all = append(all, sample{r, c})
			}
		}
	}
	middle := middleVolts(all)
	return slices.DeleteFunc(all, func(s sample) bool { return !nearVolts(s, middle) })
}

// fitting reports whether a channel's power may stand in a fit: of a completed run
// of known supply voltage, with a known load, at the method's distortion limit, and
// no held peak, which only bounds the power.
func fitting(r *Run, c *Channel) bool {
	d, m := c.Distortion, r.Method
	if !r.Completed || r.SupplyV == nil || r.SupplyV.X <= 0 || c.Power == nil || c.Power.X <= 0 || c.Load == nil || d == nil || d.Incomplete != nil {
		return false
	}
	peak := held(r.Rec.ReadAs.PowerW) || held(r.Rec.ReadAs.OutV)
	return !peak && m.ThdnPct.Given() && math.Abs(d.X-m.ThdnPct.Value) <= d.U
}

func nearVolts(s sample, volts float64) bool {
	return within(s.run.SupplyV.X, volts, lineReach)
}

// middleVolts is the supply voltage around which runs may stand on one line: their
// median. Of an even number of runs any value between the middle two is one; where
// runs stand at two voltages, their mean may have none near it, and the middle run
// with more load elements near it is taken instead.
func middleVolts(samples []sample) float64 {
	if len(samples) == 0 {
		return 0
	}
	var volts []float64
	for _, s := range samples {
		volts = append(volts, s.run.SupplyV.X)
	}
	slices.Sort(volts)
	n := len(volts)
	upper, lower := volts[n/2], volts[(n-1)/2]
	best, most := 0.0, -1
	for _, v := range []float64{(lower + upper) / 2, upper, lower} {
		near := map[*record.Load]bool{}
		for _, s := range samples {
			if nearVolts(s, v) {
				near[s.channel.Load] = true
			}
		}
		if len(near) > most {
			best, most = v, len(near)
		}
	}
	return best
}

// averaged is one load element's mean power and load.
func averaged(samples []sample) (p, r measured, ids []string) {
	var powers, loads []measured
	for _, s := range samples {
		powers = append(powers, measured{s.channel.Power.value, s.channel.Power.Incomplete})
		loads = append(loads, measured{s.channel.Resistance.value, s.channel.Resistance.Incomplete})
		ids = append(ids, s.run.ID)
	}
	return meanOf(powers), meanOf(loads), ids
}

// curvePoints is how many points a load line is drawn with.
const curvePoints = 25

// fill puts a fit into the line.
func (l *LoadLine) fill(fit electric.LoadLine, points []electric.LoadPoint) {
	l.fit = fit
	l.E = figure("source_v", "E", formula.LoadLine, measured{Value: fit.E})
	l.Rs = figure("source_ohm", "Rs", formula.LoadLine, measured{Value: fit.Rs})
	fit.Chi2 = 0
	for i := range l.Points {
		p := &l.Points[i]
		residual := fit.Residual(points[i])
		residual.X = settled(residual.X, p.Power.X)
		p.ResidualW, p.Weight = residual.X, fit.Weights[i]
		p.Residual = figure("residual", "r", formula.LineResidual, measured{residual, p.Power.Incomplete})
		fit.Chi2 += p.Weight * residual.X * residual.X
		if p.Residual.Std > 0 {
			p.Standardised = p.Residual.X / p.Residual.Std
		}
		l.Worst = math.Max(l.Worst, math.Abs(p.Standardised))
	}
	l.Chi2, l.Free, l.Fits, l.P = fit.Chi2, fit.Free, fit.Fits(), fit.Chance()
	low, high := l.reach()
	for i := range curvePoints {
		r := low * math.Pow(high/low, float64(i)/(curvePoints-1))
		l.Curve = append(l.Curve, CurvePoint{r, figure("power", "P", formula.LoadLine, measured{Value: fit.At(quantity.Exact(r, "Ω"))})})
	}
	goodness := fmt.Sprintf("χ² = %s with %s, p %s", quantity.Significant(l.Chi2, 2), countOf(l.Free, "degree")+" of freedom", equals(quantity.Chance(l.P, 0.95, 0.05)))
	of := "Channel " + Isolated(l.Channel) + ", " + Isolated(l.Method.Title)
	l.Text = fmt.Sprintf("%s: like a source of %s behind %s on this bench's supply (%s).", of, l.E.Text, l.Rs.Text, goodness)
	if !l.Fits {
		l.Text = fmt.Sprintf("%s: not like a source with one inner resistance (%s). %s Nothing is estimated from it.", of, goodness, l.likely(points))
	}
}

// settled rounds a small difference of two numbers of the given size to the twelfth
// digit of that size: what is beyond it is only rounding, in which processors differ.
func settled(x, size float64) float64 {
	if x == 0 || !(size > 0) {
		return x
	}
	step := math.Pow(10, math.Floor(math.Log10(size))-11)
	if step == 0 || math.IsInf(x/step, 0) {
		return x
	}
	return math.Round(x/step)*step + 0
}

// reach is the tested range of loads at the terminals, in Ω.
func (l *LoadLine) reach() (low, high float64) {
	low, high = l.Points[0].Load, l.Points[0].Load
	for _, p := range l.Points {
		low, high = math.Min(low, p.Load), math.Max(high, p.Load)
	}
	return low, high
}

// At is the power that the line gives for a load of so many ohms at the terminals,
// taken as exact: an estimate, no measurement. The error, a sentence for people,
// says that the line doesn't fit, or that the load is outside the tested range.
// Beside the figure belongs [LoadCaution].
func (l *LoadLine) At(ohm float64) (*Figure, error) {
	low, high := l.reach()
	switch {
	case math.IsNaN(ohm):
		return nil, errors.New("a load is a number of ohms")
	case !l.Fits:
		return nil, fmt.Errorf("channel %s, %s: the runs don't fit a load line, so nothing is estimated from it", l.Channel, l.Method.Title)
	case !(ohm >= low && ohm <= high):
		return nil, fmt.Errorf("channel %s, %s: %s%sΩ is outside the tested range of loads, %s to %s%sΩ", l.Channel, l.Method.Title, calc(ohm), nbsp, calc(low), calc(high), nbsp)
	}
	return figure("estimate", "P", formula.LoadLine, measured{l.fit.At(quantity.Exact(ohm, "Ω")), l.lacks()}), nil
}

// reaches reports whether [LoadLine.At] gives a figure.
func (l *LoadLine) reaches(ohm float64) bool {
	low, high := l.reach()
	return l.Fits && ohm >= low && ohm <= high
}

// lacks is what the uncertainty of the line's powers lacks.
func (l *LoadLine) lacks() []string {
	var all measured
	for _, p := range l.Points {
		all = with(all.Value, all, measured{lacks: p.Power.Incomplete})
	}
	return all.lacks
}

// likely says why points, the lowest load last, don't fit a line: a power at the
// lowest load below what the others lead to expect, beyond the U of the difference,
// is how a limited current or a protection shows. What they lead to expect is kept.
func (l *LoadLine) likely(points []electric.LoadPoint) string {
	const unknown = "Why can't be told from these runs."
	others, lowest := points[:len(points)-1], points[len(points)-1]
	var line electric.LoadLine
	also := ""
	if len(others) == 2 {
		a, b := others[0], others[1]
		line.E, line.Rs = electric.SourceFromTwo(electric.Volts(a.P, a.R), a.R, electric.Volts(b.P, b.R), b.R)
		also = "; one odd reading at another load would look alike"
	} else {
		fit, err := electric.FitLoadLine(others, statedCommon)
		if err != nil || !fit.Fits() {
			return unknown
		}
		line = fit
	}
	expected := line.At(lowest.R)
	if !(expected.X > 0) || math.IsInf(expected.X, 0) || !(line.E.X > 0) {
		return unknown
	}
	less := figure("difference", "ΔP", formula.LoadLine, measured{Value: expected.Sub(lowest.P)})
	if !(less.X > less.U) {
		return unknown
	}
	l.Expected = figure("estimate", "P", formula.LoadLine, measured{Value: expected})
	return fmt.Sprintf("At %s%sΩ, its lowest load, it gives %s where the other loads lead to expect %s: a limited current or its protection is likely%s.",
		quantity.Significant(lowest.R.X, 3), nbsp, l.Points[len(l.Points)-1].Power.Text, l.Expected.Text, also)
}
