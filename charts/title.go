package charts

import (
	"math"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// title is the finding of a chart by load: a sentence about the series that covers
// most loads, true of each of its completed points that it speaks of.
func (c *byLoad) title() string {
	s := c.spoken()
	line := lowest(s.points)
	switch len(line) {
	case 0:
		return "No run ended as planned"
	case 1:
		return c.titleOne(s, line[0].x)
	}
	return c.titleRange(s, line[0].x, line[len(line)-1].x)
}

// spoken returns the series with completed points at most loads; among equals,
// the first.
func (c *byLoad) spoken() *series {
	best := c.series[0]
	for _, s := range c.series[1:] {
		if len(lowest(s.points)) > len(lowest(best.points)) {
			best = s
		}
	}
	return best
}

// at returns a series' completed points at one load.
func (s *series) at(load float64) []*point {
	var there []*point
	for _, q := range s.done() {
		if q.x == load {
			there = append(there, q)
		}
	}
	return there
}

// under says which runs a sentence is about.
func (s *series) under() string {
	if len(s.done()) < len(s.points) {
		return ", " + s.name + ", in the runs that ended as planned"
	}
	return ", " + s.name
}

// titleOne speaks of a series at a single load.
func (c *byLoad) titleOne(s *series, load float64) string {
	points := s.at(load)
	if len(points) == 1 && points[0].ch != nil {
		return "At " + ohms(load) + " channel " + points[0].ch.Name + " gives " + points[0].fig.Text + s.under()
	}
	return "At " + ohms(load) + " " + c.noun + " " + between(points, c.unit) + s.under()
}

// titleRange speaks of what becomes of a quantity from the gentlest to the most
// severe load. It says that watts grow or fall only where they do so for every
// channel by more than a tenth and by more than the uncertainties of both figures.
func (c *byLoad) titleRange(s *series, from, to float64) string {
	r := ratios(s.at(from), s.at(to))
	ends := "From " + ohms(from) + " to " + ohms(to) + " " + c.noun + " "
	switch {
	case c.unit != "W", !sameChannels(s.at(from), s.at(to)):
	case r.low >= 1.1 && r.grows && !math.IsInf(r.high, 0):
		return ends + "grows " + span(r.low, r.high, 1) + " times" + s.under()
	case r.high <= 0.9 && r.falls:
		return ends + "falls to " + span(100*r.low, 100*r.high, 0) + nbsp + "%" + s.under()
	}
	return ends + between(s.done(), c.unit) + s.under()
}

// A growth is the range of ratios of power at two loads.
type growth struct {
	low, high    float64
	grows, falls bool // beyond U, for every pair
}

// ratios compares each channel with itself.
func ratios(from, to []*point) growth {
	g := growth{math.Inf(1), math.Inf(-1), true, true}
	for _, a := range from {
		for _, b := range to {
			if channelName(a) != channelName(b) {
				continue
			}
			x, y := a.fig, b.fig
			g.low, g.high = min(g.low, y.X/x.X), max(g.high, y.X/x.X)
			g.grows = g.grows && y.X-y.U > x.X+x.U
			g.falls = g.falls && y.X+y.U < x.X-x.U
		}
	}
	return g
}

// sameChannels reports whether both sets name the same channels.
func sameChannels(a, b []*point) bool {
	has := func(set []*point, name string) bool {
		for _, q := range set {
			if channelName(q) == name {
				return true
			}
		}
		return false
	}
	for _, q := range a {
		if !has(b, channelName(q)) {
			return false
		}
	}
	for _, q := range b {
		if !has(a, channelName(q)) {
			return false
		}
	}
	return true
}

// span writes a range with so many decimals: one figure where both ends round to
// it, otherwise both, rounded outwards.
func span(low, high float64, decimals int) string {
	if text := quantity.Fixed(low, decimals); text == quantity.Fixed(high, decimals) {
		return text
	}
	scale := math.Pow10(decimals)
	out := func(x float64) string { return strconv.FormatFloat(x/scale, 'f', decimals, 64) }
	return out(math.Floor(low*scale)) + " to " + out(math.Ceil(high*scale))
}

// between says where the figures of some points lie: "lies between 108.9 W and
// 110.2 W". It takes the ends from the figures as they are written, not as they are
// known, so that each written figure lies within.
func between(points []*point, unit string) string {
	low, high := points[0].fig, points[0].fig
	for _, q := range points[1:] {
		if written(q.fig) < written(low) {
			low = q.fig
		}
		if written(q.fig) > written(high) {
			high = q.fig
		}
	}
	if written(low) == written(high) {
		return "is " + low.ValueText + nbsp + unit
	}
	return "lies between " + low.ValueText + nbsp + unit + " and " + high.ValueText + nbsp + unit
}

// channelName is the name of a point's channel; empty where it is of a whole run.
func channelName(q *point) string {
	if q.ch == nil {
		return ""
	}
	return q.ch.Name
}

// written is a figure's value as its text says it.
func written(f *sheet.Figure) float64 {
	if x, err := strconv.ParseFloat(strings.Replace(f.ValueText, "−", "-", 1), 64); err == nil {
		return x
	}
	return f.X
}
