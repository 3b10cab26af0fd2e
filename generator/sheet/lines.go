package sheet

import (
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
	fit, err := electric.FitLoadLine(points, func(s *quantity.Source) bool { return strings.HasSuffix(s.Group, " gain") })
	if err != nil {
		return nil
	}
	l.fill(fit)
	return l
}

// lineSamples are a channel's runs of a method that may stand on one line.
func (e *evaluator) lineSamples(m *record.Method, channel string, runs []*Run) []sample {
	var all []sample
	var volts []float64
	for _, r := range runs {
		if !r.Completed || r.Method != m || r.SupplyV == nil {
			continue
		}
		for _, c := range r.Channels {
			d := c.Distortion
			atLimit := d != nil && d.Incomplete == nil && math.Abs(d.X-m.ThdnPct.Value) <= d.U
			if c.Name == channel && c.Power != nil && c.Load != nil && atLimit {
				all = append(all, sample{r, c})
				volts = append(volts, r.SupplyV.X)
			}
		}
	}
	middle := median(volts)
	return slices.DeleteFunc(all, func(s sample) bool { return math.Abs(s.run.SupplyV.X-middle) > lineReach*middle })
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(x))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
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
func (l *LoadLine) fill(fit electric.LoadLine) {
	l.E = figure("source_v", "E", formula.LoadLine, measured{Value: fit.E})
	l.Rs = figure("source_ohm", "Rs", formula.LoadLine, measured{Value: fit.Rs})
	l.Chi2, l.Free, l.Fits = fit.Chi2, fit.Free, fit.Fits()
	for i := range l.Points {
		l.Points[i].ResidualW = fit.Residuals[i]
	}
	low, high := l.Points[len(l.Points)-1].Load, l.Points[0].Load
	for i := range curvePoints {
		r := low * math.Pow(high/low, float64(i)/(curvePoints-1))
		l.Curve = append(l.Curve, CurvePoint{r, figure("power", "P", formula.LoadLine, measured{Value: fit.At(quantity.Exact(r, "Ω"))})})
	}
	goodness := fmt.Sprintf("χ² = %s with %s", quantity.Significant(l.Chi2, 2), countOf(l.Free, "degree")+" of freedom")
	l.Text = fmt.Sprintf("Channel %s, %s: like a source of %s behind %s on this bench's supply (%s).", l.Channel, l.Method.Title, l.E.Text, l.Rs.Text, goodness)
	if !l.Fits {
		l.Text = fmt.Sprintf("Channel %s, %s: not like a source with one inner resistance (%s): something else limits it, such as its current or its protection. Nothing is estimated from it.", l.Channel, l.Method.Title, goodness)
	}
}
