package charts

import (
	"math"
	"strconv"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// title is the finding of a power chart: a sentence about the series that covers
// most loads, true of each of its completed points that it speaks of.
func (p *plot) title() string {
	s := p.spoken()
	line := s.lowest()
	switch len(line) {
	case 0:
		return "No run ended as planned"
	case 1:
		return p.titleOne(s, line[0].load)
	}
	return p.titleRange(s, line[0].load, line[len(line)-1].load)
}

// spoken returns the series with completed points at most loads; among equals,
// the first.
func (p *plot) spoken() *series {
	best := p.series[0]
	for _, s := range p.series[1:] {
		if len(s.lowest()) > len(best.lowest()) {
			best = s
		}
	}
	return best
}

// at returns a series' completed points at one load.
func (s *series) at(load int) []*point {
	var there []*point
	for _, q := range s.completed() {
		if q.load == load {
			there = append(there, q)
		}
	}
	return there
}

// under says which runs a sentence is about.
func (s *series) under() string {
	if len(s.completed()) < len(s.points) {
		return ", " + s.name + ", in the runs that ended as planned"
	}
	return ", " + s.name
}

// titleOne speaks of a series at a single load.
func (p *plot) titleOne(s *series, load int) string {
	points := s.at(load)
	if len(points) == 1 {
		return "At " + ohms(p.loads[load]) + " channel " + points[0].ch.Name + " gives " + points[0].ch.Power.Text + s.under()
	}
	return "At " + ohms(p.loads[load]) + " " + between(points) + s.under()
}

// titleRange speaks of what becomes of power from the gentlest to the most severe
// load. It says that power grows or falls only where it does so for every channel
// by more than a tenth and by more than the uncertainties of both figures.
func (p *plot) titleRange(s *series, from, to int) string {
	r := ratios(s.at(from), s.at(to))
	ends := "From " + ohms(p.loads[from]) + " to " + ohms(p.loads[to]) + " power "
	switch {
	case r.low >= 1.1 && r.grows && !math.IsInf(r.high, 0):
		return ends + "grows " + span(r.low, r.high, 1) + " times" + s.under()
	case r.high <= 0.9 && r.falls:
		return ends + "falls to " + span(100*r.low, 100*r.high, 0) + nbsp + "%" + s.under()
	}
	return ends + betweenWords(s.completed()) + s.under()
}

// A growth is the range of ratios of power at two loads.
type growth struct {
	low, high    float64
	grows, falls bool // beyond U, for every pair
}

// ratios compares each channel with itself; all with all where the channels
// driven at the two loads differ.
func ratios(from, to []*point) growth {
	byName := sameChannels(from, to)
	g := growth{math.Inf(1), math.Inf(-1), true, true}
	for _, a := range from {
		for _, b := range to {
			if byName && a.ch.Name != b.ch.Name {
				continue
			}
			x, y := a.ch.Power, b.ch.Power
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
			if q.ch.Name == name {
				return true
			}
		}
		return false
	}
	for _, q := range a {
		if !has(b, q.ch.Name) {
			return false
		}
	}
	for _, q := range b {
		if !has(a, q.ch.Name) {
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

// between says where the powers of some points lie: "power lies between 108.9 W
// and 110.2 W".
func between(points []*point) string { return "power " + betweenWords(points) }

// betweenWords takes the ends from the figures as they are written, not as they
// are known, so that each written figure lies within.
func betweenWords(points []*point) string {
	low, high := points[0].ch.Power, points[0].ch.Power
	for _, q := range points[1:] {
		if written(q.ch.Power) < written(low) {
			low = q.ch.Power
		}
		if written(q.ch.Power) > written(high) {
			high = q.ch.Power
		}
	}
	if written(low) == written(high) {
		return "is " + low.ValueText + nbsp + "W"
	}
	return "lies between " + low.ValueText + nbsp + "W and " + high.ValueText + nbsp + "W"
}

// written is a figure's value as its text says it.
func written(f *sheet.Figure) float64 {
	if x, err := strconv.ParseFloat(f.ValueText, 64); err == nil {
		return x
	}
	return f.X
}
