package charts

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/sheet"
)

// A plot is what a power chart shows, before anything has a position.
type plot struct {
	loads   []float64 // nominal, in ohms, highest first
	series  []*series
	points  []*point  // by series, then load, run and channel
	strokes []*stroke // the claims, numbered after the points
}

// A series is the runs of one method, bridged ones apart.
type series struct {
	name    string // the method's title, with ", bridged"
	label   string // the same as short as a label at a line can be
	style   int    // the method's position in methods.toml: a method looks the same in every chart
	bridged bool
	points  []*point
}

// A point is one channel of one run. Nothing is averaged.
type point struct {
	n      int // its row in the table, and its number in the live chart
	series int
	load   int
	run    *sheet.Run
	ch     *sheet.Channel
}

// A stroke is one claim.
type stroke struct {
	n     int
	load  int
	claim *sheet.Claim
}

// plotOf gathers the valid runs that have a power, or returns nil.
func plotOf(s *sheet.Sheet) *plot {
	p := &plot{}
	for _, r := range s.Runs {
		for _, ch := range r.Channels {
			if r.Valid && plottable(ch) {
				p.add(s, r, ch)
			}
		}
	}
	if len(p.series) == 0 {
		return nil
	}
	p.order()
	p.number()
	p.addClaims(s)
	return p
}

// plottable reports whether a channel has a place in a chart.
func plottable(ch *sheet.Channel) bool {
	return ch.Power != nil && ch.Nominal > 0 && !math.IsInf(ch.Nominal, 0) &&
		ch.Power.X >= 0 && !math.IsInf(ch.Power.X, 0)
}

func (p *plot) add(s *sheet.Sheet, r *sheet.Run, ch *sheet.Channel) {
	one := p.seriesOf(s, r)
	one.points = append(one.points, &point{run: r, ch: ch})
	if p.loadOf(ch.Nominal) < 0 {
		p.loads = append(p.loads, ch.Nominal)
	}
}

// seriesOf returns the series that a run belongs to, made where it is the first.
func (p *plot) seriesOf(s *sheet.Sheet, r *sheet.Run) *series {
	title, style := methodOf(s, r)
	for _, one := range p.series {
		if one.style == style && one.bridged == r.Bridged {
			return one
		}
	}
	one := &series{name: title, label: strings.TrimPrefix(title, "at "), style: style, bridged: r.Bridged}
	if r.Bridged {
		one.name += ", bridged"
		one.label += ", bridged"
	}
	p.series = append(p.series, one)
	return one
}

// methodOf returns the title of a run's method and its position in methods.toml.
// A method that is not there comes after all that are.
func methodOf(s *sheet.Sheet, r *sheet.Run) (title string, style int) {
	if r.Method == nil {
		return "method not stated", math.MaxInt32
	}
	if s.Content != nil && s.Content.Methods != nil {
		for i := range s.Content.Methods.Methods {
			if s.Content.Methods.Methods[i].ID == r.Method.ID {
				return r.Method.Title, i
			}
		}
		return r.Method.Title, len(s.Content.Methods.Methods)
	}
	return r.Method.Title, 0
}

// loadOf returns the index of a load within 1 % of it, the limit within which
// claims and runs are of one load, or -1.
func (p *plot) loadOf(ohm float64) int {
	return slices.IndexFunc(p.loads, func(l float64) bool { return math.Abs(ohm-l) <= 0.01*l })
}

// order sorts loads from the gentlest to the most severe, and series by method.
func (p *plot) order() {
	slices.SortFunc(p.loads, func(a, b float64) int { return compare(b, a) })
	slices.SortStableFunc(p.series, func(a, b *series) int {
		if a.bridged != b.bridged {
			if b.bridged {
				return -1
			}
			return 1
		}
		return a.style - b.style
	})
}

// number gives each point its place in the order of series, load, run, channel.
func (p *plot) number() {
	for i, one := range p.series {
		for _, q := range one.points {
			q.series, q.load = i, p.loadOf(q.ch.Nominal)
		}
		slices.SortStableFunc(one.points, func(a, b *point) int { return a.load - b.load })
		for _, q := range one.points {
			q.n = len(p.points)
			p.points = append(p.points, q)
		}
	}
}

// addClaims takes the claims of power for the loads tested; an axis that ends at
// the loads tested has no place for others.
func (p *plot) addClaims(s *sheet.Sheet) {
	for _, c := range s.Claims {
		if c.Rec == nil || !(c.ClaimW > 0) || math.IsInf(c.ClaimW, 0) {
			continue
		}
		if load := p.loadOf(c.Rec.LoadOhm.Value); load >= 0 {
			p.strokes = append(p.strokes, &stroke{load: load, claim: c})
		}
	}
	slices.SortStableFunc(p.strokes, func(a, b *stroke) int { return a.load - b.load })
	for i, k := range p.strokes {
		k.n = len(p.points) + i
	}
}

// done reports whether the run ended as planned.
func (q *point) done() bool { return q.run.Completed }

// completed returns the points whose runs ended as planned.
func (s *series) completed() []*point {
	var done []*point
	for _, q := range s.points {
		if q.done() {
			done = append(done, q)
		}
	}
	return done
}

// lowest returns the lowest completed point at each load, in the order of loads:
// what a series' line joins. That is a choice among points, not a new figure.
func (s *series) lowest() []*point {
	var line []*point
	for _, q := range s.completed() {
		last := len(line) - 1
		switch {
		case last < 0 || line[last].load != q.load:
			line = append(line, q)
		case q.ch.Power.X < line[last].ch.Power.X:
			line[last] = q
		}
	}
	return line
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
