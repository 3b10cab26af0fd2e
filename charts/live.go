package charts

import (
	"encoding/json"
	"math"
	"strconv"

	"wattsheet/generator/quantity"
)

// The live chart is data for themes/default/script/chart.js: for each view an
// option that ECharts takes once names of functions and of colours are replaced, and
// every text ready-made, so that the script computes no figure.

type liveChart struct {
	Title  string         `json:"title"`
	Series []liveSeries   `json:"series"`
	Points []livePoint    `json:"points"` // by number; claims last
	Option map[string]any `json:"option"` // of the first view in the wide layout; the others are changes to it
	Views  []liveView     `json:"views"`
}

type liveSeries struct {
	Label   string `json:"label"`
	Look    int    `json:"look"` // the class series-1, series-2 …
	Colour  string `json:"colour"`
	Path    string `json:"path"` // the marker's outline, ten units in radius
	Dash    []int  `json:"dash,omitempty"`
	Bridged bool   `json:"bridged,omitempty"`
}

type livePoint struct {
	Series int               `json:"series"` // -1 for a claim
	Text   map[string]string `json:"text"`   // the figure, by view; a view without it does not show the point
	Lines  []string          `json:"lines"`  // its conditions
}

type liveView struct {
	ID    string          `json:"id"`
	About string          `json:"about"`
	Axis  liveAxis        `json:"axis"`
	Y     [][]json.Number `json:"y"` // of each point: value, low, high; of a claim: value; null where there is none
	Wide  liveShape       `json:"wide"`
	Tall  liveShape       `json:"tall"`
}

// A liveAxis is the axis of the figures.
type liveAxis struct {
	Name     string      `json:"name"`
	Min      json.Number `json:"min"`
	Max      json.Number `json:"max"`
	Interval json.Number `json:"interval"`
}

// A liveShape is where things lie in a layout of a view.
type liveShape struct {
	Size   [2]float64     `json:"size"`
	Grid   [4]float64     `json:"grid"`  // left, top, right, bottom
	Title  float64        `json:"title"` // from the end of the title of the axis of figures to the plot
	Ends   [2]json.Number `json:"ends"`  // of the axis of loads
	Ticks  []string       `json:"ticks"`
	X      []json.Number  `json:"x"`      // of each point, claims last
	Widths []float64      `json:"widths"` // of the strokes of claims
	Labels []liveLabel    `json:"labels"`
}

// A liveLabel is a text in the drawing, with its middle as load and value.
type liveLabel struct {
	Series int         `json:"series"` // -1 for claims
	X      json.Number `json:"x"`
	Y      json.Number `json:"y"`
	Text   string      `json:"text"`
	Light  bool        `json:"light,omitempty"`
}

// live writes the live chart as JSON that may stand in a script element as it is:
// encoding/json writes <, > and & as escapes.
func live(c *Chart, p *plot, wide, tall *layout) []byte {
	l := liveChart{Title: c.Title, Option: option(wide)}
	for _, s := range p.series {
		look := s.look()
		l.Series = append(l.Series, liveSeries{s.label, s.styleIndex() + 1, look.custom, look.path(0, 0, 10), look.dash, s.bridged})
	}
	for _, q := range p.points {
		l.Points = append(l.Points, livePoint{q.series, q.texts(), p.conditions(q)})
	}
	for _, k := range p.strokes {
		l.Points = append(l.Points, livePoint{-1, k.texts(), k.conditions()})
	}
	l.Views = []liveView{viewOf(wide, tall)}
	for _, v := range views[1:] {
		if p.hasView(v) {
			l.Views = append(l.Views, viewOf(layoutOf(p, wideFrame, v), layoutOf(p, tallFrame, v)))
		}
	}
	out, err := json.Marshal(l)
	if err != nil {
		panic(err) // only for a value that is not finite, and those were left out
	}
	return out
}

func viewOf(wide, tall *layout) liveView {
	v := liveView{
		ID: wide.view.id, About: wide.view.about,
		Axis: liveAxis{wide.view.axis, place(wide.scale.low), place(wide.scale.high), place(wide.scale.step)},
		Wide: shapeOf(wide), Tall: shapeOf(tall),
	}
	for _, q := range wide.points {
		var y []json.Number
		if r, ok := wide.read(q); ok {
			y = []json.Number{place(r.y), place(max(r.low, wide.scale.low)), place(r.high)}
		}
		v.Y = append(v.Y, y)
	}
	for _, k := range wide.strokes {
		var y []json.Number
		if w, ok := wide.view.claim(k.claim.ClaimW); ok {
			y = []json.Number{place(w)}
		}
		v.Y = append(v.Y, y)
	}
	return v
}

func shapeOf(l *layout) liveShape {
	s := liveShape{
		Size:  [2]float64{l.width, l.height},
		Grid:  [4]float64{decimal(l.left), l.top, l.right, l.bottom},
		Title: decimal(l.left - l.titleEnd()),
		Ends:  l.ends(),
		Ticks: l.tickTexts(),
	}
	for _, q := range l.points {
		s.X = append(s.X, l.at(q))
	}
	for _, k := range l.strokes {
		s.X = append(s.X, place(l.loads[k.load]))
		b, _ := l.strokeBox(k)
		s.Widths = append(s.Widths, decimal(b.x1-b.x0))
	}
	s.Labels = l.liveLabels()
	return s
}

// at is where a point stands on the axis of loads.
func (l *layout) at(q *point) json.Number { return place(l.ohm(l.x[q.load] + l.dodge[q.n])) }

// hasView reports whether any point has a figure in a view.
func (p *plot) hasView(v view) bool {
	return p.any(func(q *point) bool { _, ok := v.of(q.ch); return ok })
}

// texts are a point's figure in each view that has one.
func (q *point) texts() map[string]string {
	all := map[string]string{}
	for _, v := range views {
		if _, ok := v.of(q.ch); ok {
			all[v.id] = v.text(q.ch)
		}
	}
	return all
}

func (k *stroke) texts() map[string]string {
	return map[string]string{
		watts.id:        claimText(k),
		decibelWatts.id: quantity.Significant(dBW(k.claim.ClaimW), 4) + nbsp + "dBW claimed (" + claimW(k) + nbsp + "W)",
	}
}

func (k *stroke) conditions() []string {
	lines := []string{k.claim.Label}
	if k.claim.Conditions != "" {
		lines = append(lines, k.claim.Conditions)
	}
	return append(lines, k.claim.Word)
}

// conditions says under what a point was measured, and how its run ended.
func (p *plot) conditions(q *point) []string {
	lines := []string{ohms(p.loads[q.load]) + ", " + p.series[q.series].name + ", channel " + q.ch.Name}
	measured := ""
	if f := q.run.SupplyV; f != nil {
		measured = "supply " + f.Text
	}
	if f := q.ch.Distortion; f != nil {
		if measured != "" {
			measured += ", "
		}
		measured += "THD+N " + f.Text
	}
	if measured != "" {
		lines = append(lines, measured)
	}
	return append(lines, "run "+q.run.ID+": "+q.run.OutcomeText)
}

// ends are the loads that would stand at the right and the left side of the plot.
func (l *layout) ends() [2]json.Number {
	return [2]json.Number{place(l.ohm(l.width - l.right)), place(l.ohm(l.left))}
}

// tickTexts are the loads as the axis prints them; every second one stands a line
// lower where they would touch.
func (l *layout) tickTexts() []string {
	var all []string
	for i, load := range l.loads {
		text := loadText(load)
		if l.rows == 2 && i%2 == 1 {
			text = "\n" + text
		}
		all = append(all, text)
	}
	return all
}

// liveLabels lists the labels that have a place.
func (l *layout) liveLabels() []liveLabel {
	all := []liveLabel{}
	for _, name := range l.labels {
		if name.placed {
			x, y := (name.box.x0+name.box.x1)/2, (name.box.y0+name.box.y1)/2
			all = append(all, liveLabel{name.series, place(l.ohm(x)), place(l.value(y)), name.text, name.light})
		}
	}
	return all
}

// place writes a position on screen: six digits are more than a screen shows, and
// hide the last digits in which processors differ.
func place(x float64) json.Number {
	return json.Number(strconv.FormatFloat(x, 'g', 6, 64))
}

// decimal is a length on screen to a tenth.
func decimal(x float64) float64 { return math.Round(x*10) / 10 }
