package charts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/sheet"
)

// A byLoad is a chart of a quantity by load: one series a method, bridged apart.
type byLoad struct {
	*plot
	noun  string // power, efficiency, heat
	unit  string
	loads []float64 // nominal, in ohms, highest first
}

// usable reports whether a figure has a place in a chart of a quantity from zero.
func usable(ohm float64, f *sheet.Figure) bool {
	return f != nil && ohm > 0 && !math.IsInf(ohm, 0) && f.X >= 0 && !math.IsInf(f.X, 0)
}

// add puts a point into the series of its run's method.
func (c *byLoad) add(s *sheet.Sheet, r *sheet.Run, q *point) {
	title, style := methodOf(s, r)
	one := c.seriesOf(title, strings.TrimPrefix(title, "at "), style, r.Bridged)
	one.points = append(one.points, q)
	if loadOf(c.loads, q.x) < 0 {
		c.loads = append(c.loads, q.x)
	}
}

// finish gives every point its load, its place, its conditions, and its line.
func (c *byLoad) finish() {
	slices.SortFunc(c.loads, func(a, b float64) int { return compare(b, a) })
	c.x = axis{name: "load / Ω", log: true, dodge: true}
	for _, load := range c.loads {
		c.x.ticks = append(c.x.ticks, tick{load, loadText(load)})
	}
	for _, one := range c.series {
		for _, q := range one.points {
			q.x = c.loads[loadOf(c.loads, q.x)]
		}
	}
	c.number()
	for _, one := range c.series {
		one.joins = one.joined()
		load, first := 0.0, ""
		for _, q := range one.points {
			if q.x != load {
				load, first = q.x, ohms(q.x)+", "+one.name
			}
			q.lines = conditions(first, q)
		}
	}
}

// loadText is a load as the axis writes it.
func (c *byLoad) loadText(load float64) string { return c.x.ticks[loadOf(c.loads, load)].text }

// loadOf returns the index of a load within 1 % of it, the limit within which
// claims and runs are of one load, or -1.
func loadOf(loads []float64, ohm float64) int {
	return slices.IndexFunc(loads, func(l float64) bool { return math.Abs(ohm-l) <= 0.01*l })
}

// conditions says under what a point was measured, and how its run ended.
func conditions(first string, q *point) []string {
	if q.ch != nil {
		first += ", channel " + q.ch.Name
	}
	lines := append(make([]string, 0, 3), first)
	volts, distorted := q.run.SupplyV, q.ch != nil && q.ch.Distortion != nil
	switch {
	case volts != nil && distorted:
		lines = append(lines, "supply "+volts.Text+", THD+N "+q.ch.Distortion.Text)
	case volts != nil:
		lines = append(lines, "supply "+volts.Text)
	case distorted:
		lines = append(lines, "THD+N "+q.ch.Distortion.Text)
	}
	return append(lines, "run "+q.run.ID+": "+q.run.OutcomeText)
}

// caption says what is drawn and how the marks are read, and only of marks that
// there are.
func (p *plot) caption(first string) string {
	says := []string{first}
	if p.any(func(q *point) bool { return q.fig != nil && q.fig.U > 0 }) {
		says = append(says, "Uprights: ±"+nbsp+"U (95"+nbsp+"%).")
	}
	if len(p.strokes) > 0 {
		says = append(says, "Heavy strokes: claims.")
	}
	if p.any(func(q *point) bool { return p.series[q.series].bridged }) {
		says = append(says, "Drawn double: bridged.")
	}
	if p.any(func(q *point) bool { return q.hollow && q.run != nil }) {
		says = append(says, "Hollow: runs that did not end as planned.")
	}
	if p.x.log && p.joined() {
		says = append(says, "Lines join the lowest completed marks of the same channels.")
	}
	return strings.Join(says, " ")
}

// description is the drawing in words: axes, then each series from its lowest
// completed points.
func (c *byLoad) description() string {
	var b strings.Builder
	if len(c.loads) == 1 {
		fmt.Fprintf(&b, "One load, %s; %s from zero upwards.", ohms(c.loads[0]), c.noun)
	} else {
		fmt.Fprintf(&b, "Loads from %s on the left to %s on the right, on a logarithmic axis; %s from zero upwards.",
			ohms(c.loads[0]), ohms(c.loads[len(c.loads)-1]), c.noun)
	}
	for _, s := range c.series {
		fmt.Fprintf(&b, " %s: %s.", sheet.Isolated(capital(s.name)), s.summary())
	}
	if len(c.strokes) > 0 {
		var claims []string
		for _, k := range c.strokes {
			claims = append(claims, claimText(k)+" at "+k.claim.Label)
		}
		fmt.Fprintf(&b, " Claims: %s.", strings.Join(claims, "; "))
	}
	return b.String()
}

// summary gives a series' lowest completed figure at each load.
func (s *series) summary() string {
	line := lowest(s.points)
	if len(line) == 0 {
		return "no run ended as planned"
	}
	var parts []string
	for _, q := range line {
		parts = append(parts, ohms(q.x)+" "+q.fig.Text)
	}
	if len(line) < len(s.points) {
		return "lowest completed figures " + strings.Join(parts, ", ")
	}
	return strings.Join(parts, ", ")
}
