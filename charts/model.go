package charts

import (
	"math"
	"slices"

	"wattsheet/generator/sheet"
)

// A plot is what a chart shows, before anything has a position.
type plot struct {
	id      string
	x       axis
	views   []view
	series  []*series
	points  []*point  // by series; a point's n is its place here
	strokes []*stroke // the claims, numbered after the points
	curves  []*curve
	rules   []rule
	bands   []band
	low     bool // drawn half as high: it stands under another
}

// An axis is that of loads, runs, days, or of a quantity.
type axis struct {
	name  string // with its unit
	log   bool   // to base 2, the highest at the left; otherwise linear, the lowest at the left
	tens  bool   // to base 10, the lowest at the left
	ticks []tick // nil for ticks at round numbers, for which zero tells where they begin
	zero  bool
	dodge bool // marks at one place stand beside each other
	wide  bool // the first and the last place need half a place's room beside them
}

// A tick is a place on an axis that has a text.
type tick struct {
	at   float64
	text string
}

// A view is a scale on which the same points are shown.
type view struct {
	id    string // also what its button says
	about string
	axis  string // quantity divided by unit
	zero  bool   // the scale begins at zero
	log   bool   // to base 10
}

// A reading is a point in a view: high and low are y ± U; low may be -Inf.
type reading struct {
	y, low, high float64
	text         string // the figure for people; empty where the view has none
}

// A series is what looks alike: most often the runs of one method, bridged apart.
type series struct {
	name    string // in sentences and tables
	label   string // the same as short as a label at a line can be
	style   int    // the method's position in methods.toml: a method looks the same in every chart
	swapped int    // one more than the look it has instead of its method's; 0 where it has that
	bridged bool
	bare    bool // its points have no marks, only the line through them
	quiet   bool // its name stands at no line: it is the only one, or its marks have words
	points  []*point
	joins   [][]*point // what its lines join, each from left to right
}

// A point is one figure of a sheet. Nothing is averaged.
type point struct {
	n        int // its row in the table, and its number in the live chart
	series   int
	x        float64
	in       []reading // by view
	fig      *sheet.Figure
	run      *sheet.Run     // nil where it is of no run
	ch       *sheet.Channel // nil where it is of a whole run
	hollow   bool
	about    string   // what a hollow mark says when pointed at
	word     string   // what stands at a hollow mark
	lines    []string // its conditions
	elsewise string   // what tells it from others of its series that it is not joined with
}

// A stroke is one claim.
type stroke struct {
	n     int
	load  float64
	claim *sheet.Claim
	in    []reading
}

// A curve is a thin line that joins no marks.
type curve struct {
	series int
	broken bool
	x      []float64
	y      [][]float64 // by view; nil where the view has none
}

// A rule is a thin line across the plot.
type rule struct {
	text string
	y    []float64 // by view
}

// A band is a part of the ground between two figures of the first view.
type band struct {
	x0, x1, low, high float64
	strong            bool
}

// reads makes the reading of a figure, of no text where it can't be drawn.
func reads(f *sheet.Figure) reading {
	if f == nil || math.IsNaN(f.X) || math.IsInf(f.X, 0) {
		return reading{}
	}
	return reading{f.X, f.X - f.U, f.X + f.U, f.Text}
}

// plain makes the reading of a number without uncertainty.
func plain(y float64, text string) reading { return reading{y, y, y, text} }

// methodOf returns the title of a method and its position in methods.toml. A method
// that is not there comes after all that are.
func methodOf(s *sheet.Sheet, r *sheet.Run) (title string, style int) {
	if r.Method == nil {
		return "method not stated", math.MaxInt32
	}
	return r.Method.Title, styleOf(s, r.Method.ID)
}

// styleOf returns a method's position in methods.toml.
func styleOf(s *sheet.Sheet, method string) int {
	if s.Content == nil || s.Content.Methods == nil {
		return 0
	}
	for i := range s.Content.Methods.Methods {
		if s.Content.Methods.Methods[i].ID == method {
			return i
		}
	}
	return len(s.Content.Methods.Methods)
}

// seriesOf returns the series of a name, style and bridging, made where it is new.
func (p *plot) seriesOf(name, label string, style int, bridged bool) *series {
	if bridged {
		name, label = name+", bridged", label+", bridged"
	}
	for _, one := range p.series {
		if one.style == style && one.bridged == bridged && one.name == name {
			return one
		}
	}
	one := &series{name: name, label: label, style: style, bridged: bridged}
	p.series = append(p.series, one)
	return one
}

// number sorts series and their points, and gives each point its place.
func (p *plot) number() {
	slices.SortStableFunc(p.series, func(a, b *series) int {
		if a.bridged != b.bridged {
			if b.bridged {
				return -1
			}
			return 1
		}
		return a.style - b.style
	})
	p.swap()
	for i, one := range p.series {
		slices.SortStableFunc(one.points, p.x.order)
		for _, q := range one.points {
			q.n, q.series = len(p.points), i
			p.points = append(p.points, q)
		}
	}
}

// order sorts points from left to right.
func (a *axis) order(q, r *point) int {
	if a.log {
		return compare(r.x, q.x)
	}
	return compare(q.x, r.x)
}

// pointOf makes the point of a run, or of one of its channels.
func pointOf(x float64, r *sheet.Run, ch *sheet.Channel, f *sheet.Figure, in ...reading) *point {
	q := &point{x: x, run: r, ch: ch, fig: f, in: in, hollow: !r.Completed, about: r.OutcomeText}
	if q.hollow {
		q.word = outcomeWord(r)
	}
	return q
}

// outcomeWord is the outcome as the record has it, which is one word or two.
func outcomeWord(r *sheet.Run) string {
	if r.Rec == nil || r.Rec.Outcome == "" {
		return r.OutcomeText
	}
	return map[string]string{
		"protected": "protection", "fuse": "fuse", "supply-limit": "supply limit", "stopped": "stopped",
	}[r.Rec.Outcome]
}

// done returns the points that are not hollow: of runs that ended as planned.
func (s *series) done() []*point {
	var done []*point
	for _, q := range s.points {
		if !q.hollow {
			done = append(done, q)
		}
	}
	return done
}

// lowest returns the lowest completed point at each place, from left to right: what
// a line joins. That is a choice among points, not a new figure. Places nearer than
// a hundredth of each other are one.
func lowest(points []*point) []*point {
	var line []*point
	place := math.NaN()
	for _, q := range points {
		last := len(line) - 1
		switch {
		case q.hollow:
		case last < 0 || math.Abs(q.x-place) > 0.01*math.Abs(place):
			line, place = append(line, q), q.x
		case q.fig.X < line[last].fig.X:
			line[last] = q
		}
	}
	return line
}

// joined are the lines of a series by load: one through the lowest points where all
// its loads have the same channels, otherwise one for each channel.
func (s *series) joined() [][]*point {
	if s.alike() {
		return [][]*point{lowest(s.points)}
	}
	var names []string
	own := map[string][]*point{}
	for _, q := range s.points {
		name := channelName(q)
		if own[name] == nil {
			names = append(names, name)
		}
		own[name] = append(own[name], q)
	}
	var lines [][]*point
	for _, name := range names {
		if line := lowest(own[name]); len(line) > 1 {
			lines = append(lines, line)
		}
	}
	return lines
}

// alike reports whether a series has the same channels at each of its loads.
func (s *series) alike() bool {
	line := lowest(s.points)
	for _, q := range line[min(1, len(line)):] {
		if !sameChannels(s.at(line[0].x), s.at(q.x)) {
			return false
		}
	}
	return true
}

// apart groups a series' points by what they are not joined across, in the order met.
func (s *series) apart() [][]*point {
	var groups [][]*point
	for _, q := range s.points {
		i := slices.IndexFunc(groups, func(g []*point) bool { return g[0].elsewise == q.elsewise })
		if i < 0 {
			groups = append(groups, []*point{q})
		} else {
			groups[i] = append(groups[i], q)
		}
	}
	return groups
}

// joined reports whether any line joins two marks.
func (p *plot) joined() bool {
	for _, s := range p.series {
		for _, j := range s.joins {
			if len(j) > 1 {
				return true
			}
		}
	}
	return false
}

func (p *plot) any(is func(*point) bool) bool { return slices.ContainsFunc(p.points, is) }

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
