package charts

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
)

// An element of a drawing, as a parser of XML sees it.
type node struct {
	XMLName  xml.Name
	Attr     []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []node     `xml:",any"`
}

func parse(t testing.TB, markup string) node {
	t.Helper()
	var n node
	d := xml.NewDecoder(strings.NewReader(markup))
	if err := d.Decode(&n); err != nil {
		t.Fatalf("not well-formed: %v\n%s", err, markup)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		t.Fatalf("more than one element: %v", err)
	}
	return n
}

func (n node) attr(name string) string {
	for _, a := range n.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// all returns every element below n with a class.
func (n node) all(class string) []node {
	var found []node
	for _, child := range n.Children {
		if strings.Contains(" "+child.attr("class")+" ", " "+class+" ") {
			found = append(found, child)
		}
		found = append(found, child.all(class)...)
	}
	return found
}

// extent reads where a path made of M, L, H, h, v, a and z lies: the middle of its
// corners' box.
func extent(t testing.TB, d string) (x, y float64) {
	t.Helper()
	numbers := strings.FieldsFunc(d, func(r rune) bool { return strings.ContainsRune("MLHVhvaz ", r) })
	if strings.Contains(d, "a") { // a circle from its left side
		return must(numbers[0]) + must(numbers[2]), must(numbers[1])
	}
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for i := 0; i+1 < len(numbers); i += 2 {
		x0, x1 = min(x0, must(numbers[i])), max(x1, must(numbers[i]))
		y0, y1 = min(y0, must(numbers[i+1])), max(y1, must(numbers[i+1]))
	}
	return (x0 + x1) / 2, (y0 + y1) / 2
}

func must(s string) float64 {
	x, err := strconv.ParseFloat(strings.ReplaceAll(s, "−", "-"), 64)
	if err != nil {
		panic(err)
	}
	return x
}

// axes reads a drawing's axes from what it prints: the value at a height, and the
// place of each load, by its text.
func axes(t testing.TB, drawing node) (value func(y float64) float64, loads map[string]float64) {
	t.Helper()
	var ticks [][2]float64
	texts := drawing.all("still-soft")
	lines := drawing.all("still-line")
	for i, line := range lines {
		numbers := strings.FieldsFunc(line.attr("d"), func(r rune) bool { return strings.ContainsRune("MH ", r) })
		ticks = append(ticks, [2]float64{must(numbers[1]), must(texts[i].Text)})
	}
	a, b := ticks[0], ticks[len(ticks)-1]
	loads = map[string]float64{}
	for i, tick := range drawing.all("still-tick") {
		x, _, _ := strings.Cut(strings.TrimPrefix(tick.attr("d"), "M"), " ")
		loads[texts[len(lines)+i].Text] = must(x)
	}
	return func(y float64) float64 { return a[1] + (b[1]-a[1])*(y-a[0])/(b[0]-a[0]) }, loads
}

// What is drawn, listed and shown live is the same set of points, at the places
// that the drawing's own axes print for them.
func TestPlottedTableAndLiveAgree(t *testing.T) {
	for _, s := range every(t) {
		c := PowerByLoad(s)
		if c == nil {
			continue
		}
		var l liveChart
		if err := json.Unmarshal(c.Live, &l); err != nil {
			t.Fatal(err)
		}
		if len(l.Points) != len(c.Table.Rows) {
			t.Fatalf("%s: %d points live, %d rows", s.Slug, len(l.Points), len(c.Table.Rows))
		}
		for _, markup := range []string{c.Wide, c.Tall} {
			agree(t, parse(t, markup), c.Table, l)
		}
	}
}

func agree(t *testing.T, drawing node, table Table, l liveChart) {
	t.Helper()
	value, loads := axes(t, drawing)
	marks := append(drawing.all("still-mark"), drawing.all("still-claim")...)
	if len(marks) != len(table.Rows) {
		t.Fatalf("%d marks and claims drawn, %d rows", len(marks), len(table.Rows))
	}
	pixel := math.Abs(value(1) - value(0))
	for _, m := range marks {
		n, _ := strconv.Atoi(m.attr("data-n"))
		row, y := table.Rows[n], 0.0
		if m.attr("class") == "still-claim" {
			y = claimMiddleOf(m)
		} else {
			x, top := extent(t, m.attr("d"))
			y = top
			if at := loads[row[0].Text]; math.Abs(x-at) > 60 {
				t.Errorf("row %d: drawn at %v, its load %s Ω is at %v", n, x, row[0].Text, at)
			}
		}
		power := must(row[5].Text)
		rounding := math.Abs(must("0"+row[6].Text)) / 10
		if got := value(y); math.Abs(got-power) > pixel+rounding {
			t.Errorf("row %d: drawn at %v W, listed as %v W", n, got, power)
		}
		if got, _ := l.Views[0].Y[n][0].Float64(); math.Abs(got-power) > rounding+1e-4*power {
			t.Errorf("row %d: live at %v W, listed as %v W", n, got, power)
		}
		if text := l.Points[n].Text["W"]; !strings.Contains(text, row[5].Text) || !strings.Contains(text, row[6].Text) {
			t.Errorf("row %d: live says %q, listed %q ± %q", n, text, row[5].Text, row[6].Text)
		}
	}
}

// claimMiddleOf is the height of a claim's stroke or strokes.
func claimMiddleOf(claim node) float64 {
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, r := range claim.Children {
		y := must(r.attr("y"))
		top, bottom = min(top, y), max(bottom, y+must(r.attr("height")))
	}
	return (top + bottom) / 2
}

// Loads lie on a logarithmic axis to base 2: equal ratios, equal distances.
func TestLoadsLieOnALogarithmicAxis(t *testing.T) {
	for _, s := range every(t) {
		c := PowerByLoad(s)
		if c == nil {
			continue
		}
		for _, markup := range []string{c.Wide, c.Tall} {
			_, loads := axes(t, parse(t, markup))
			least, most := math.Inf(1), 0.0
			for text := range loads {
				least, most = min(least, must(text)), max(most, must(text))
			}
			at := func(load float64) float64 { return loads[strconv.FormatFloat(load, 'f', -1, 64)] }
			if len(loads) > 1 && at(most) >= at(least) {
				t.Errorf("%s: the highest load is not at the left", s.Slug)
			}
			for text, x := range loads {
				part := math.Log2(most/must(text)) / math.Log2(most/least)
				if want := at(most) + part*(at(least)-at(most)); len(loads) > 1 && math.Abs(x-want) > 1 {
					t.Errorf("%s: %s Ω at %v, want %v", s.Slug, text, x, want)
				}
			}
		}
	}
}

// Everything lies within the plot, also in the views that the live chart adds.
func TestPointsLieInThePlot(t *testing.T) {
	for _, s := range every(t) {
		p := plotOf(s)
		if p == nil {
			continue
		}
		for _, f := range []frame{wideFrame, tallFrame} {
			for _, v := range views {
				l := layoutOf(p, f, v)
				plot := box{l.left - 0.01, l.top - 0.01, l.width - l.right + 0.01, l.height - l.bottom + 0.01}
				for _, q := range p.points {
					if at, ok := l.spot(q); ok && !(box{at.x, at.high, at.x, at.low}).within(plot) {
						t.Errorf("%s, %s %s: point %d at %v is not in %v", s.Slug, f.name, v.id, q.n, at, plot)
					}
				}
			}
		}
	}
}

// No label covers a mark, an upright, a claim, another label, or a line; and the
// names that have no room are in the legend.
func TestLabelsCoverNothing(t *testing.T) {
	placed := 0
	for _, s := range every(t) {
		p := plotOf(s)
		if p == nil {
			continue
		}
		for _, f := range []frame{wideFrame, tallFrame} {
			l := layoutOf(p, f, watts)
			named := len(l.legend)
			for i, name := range l.labels {
				if !name.placed {
					continue
				}
				placed++
				if i < len(l.series) {
					named++
				}
				for _, q := range l.points {
					if at, ok := l.spot(q); ok && name.box.overlaps(box{at.x - markRadius, at.high, at.x + markRadius, at.low}) {
						t.Errorf("%s %s: label %q covers point %d", s.Slug, f.name, name.text, q.n)
					}
				}
				for _, k := range l.strokes {
					if b, ok := l.strokeBox(k); ok && name.box.overlaps(b) {
						t.Errorf("%s %s: label %q covers a claim", s.Slug, f.name, name.text)
					}
				}
				for j, other := range l.labels {
					if i != j && other.placed && name.box.overlaps(other.box) {
						t.Errorf("%s %s: labels %q and %q cover each other", s.Slug, f.name, name.text, other.text)
					}
				}
				for j := range l.series {
					if sampled(l.line(j), name.box) {
						t.Errorf("%s %s: label %q lies on the line of %q", s.Slug, f.name, name.text, l.series[j].name)
					}
				}
			}
			if named != len(l.series) {
				t.Errorf("%s %s: %d of %d series named", s.Slug, f.name, named, len(l.series))
			}
		}
	}
	if placed < 300 {
		t.Errorf("only %d labels placed", placed)
	}
}

// sampled reports whether a line passes through a box, by walking along it.
func sampled(line polyline, b box) bool {
	for i := 1; i < len(line); i++ {
		for k := 0.0; k <= 500; k++ {
			d := dot{line[i-1].x + (line[i].x-line[i-1].x)*k/500, line[i-1].y + (line[i].y-line[i-1].y)*k/500}
			if b.distance(d) == 0 {
				return true
			}
		}
	}
	return false
}

func TestRunsThatDontCount(t *testing.T) {
	b := newBench()
	b.run(0, 4, "completed", 100)
	b.run(0, 4, "completed", 500).Valid = false
	b.run(0, 2, "protected", 150)
	c := PowerByLoad(b.Sheet)
	if len(c.Table.Rows) != 2 {
		t.Fatalf("%d rows, want the valid runs' 2", len(c.Table.Rows))
	}
	if hollow := parse(t, c.Wide).all("still-hollow"); len(hollow) != 1 || hollow[0].Children[0].Text != "protected" {
		t.Errorf("the run that ended in protection is not hollow with its outcome: %v", hollow)
	}
	for _, r := range b.Runs {
		r.Valid = false
	}
	if PowerByLoad(b.Sheet) != nil {
		t.Error("a chart without a valid run")
	}
}

func TestSameBytesAgain(t *testing.T) {
	for _, s := range every(t)[:40] {
		a, b := PowerByLoad(s), PowerByLoad(s)
		if a == nil {
			continue
		}
		if a.Wide != b.Wide || a.Tall != b.Tall || string(a.Live) != string(b.Live) {
			t.Errorf("%s: drawn twice, not the same", s.Slug)
		}
	}
}

// Names come from records, and a drawing is put into a page as it is.
func TestHostileNames(t *testing.T) {
	const name = "</text></svg></script><script>alert(1)</script><!--]]>&amp;'\"\x00\x07\u2028{b}--ink"
	b := newBench()
	b.methods.Methods[0].Title = name
	r := b.run(0, 4, "protected", 100)
	r.ID, r.OutcomeText, r.Channels[0].Name = name, name, name
	b.run(0, 2, "completed", 100)
	k := b.claim(4, 90, false)
	k.ID, k.Label, k.Conditions, k.Word = name, name, name, name
	c := PowerByLoad(b.Sheet)
	for _, markup := range append(ClaimLines(b.Claims), c.Wide, c.Tall) {
		n := parse(t, markup)
		var walk func(node)
		walk = func(n node) {
			if strings.EqualFold(n.XMLName.Local, "script") || n.attr("onload") != "" || n.attr("style") != "" {
				t.Errorf("a name became markup: %v", n.XMLName)
			}
			for _, child := range n.Children {
				walk(child)
			}
		}
		walk(n)
	}
	if strings.ContainsAny(string(c.Live), "<>&") {
		t.Error("the live data could close its script element")
	}
	var l liveChart
	if err := json.Unmarshal(c.Live, &l); err != nil || !strings.Contains(l.Points[0].Lines[0], "alert(1)") {
		t.Errorf("the live data lost the name: %v", err)
	}
}

// Drawings must hold under a strict policy, and stand alone.
func TestDrawingsCarryNoStyle(t *testing.T) {
	for _, s := range demo(t) {
		c := PowerByLoad(s)
		for _, markup := range append(ClaimLines(s.Claims), c.Wide, c.Tall) {
			if strings.Contains(markup, "style=") || strings.Contains(markup, "<script") || strings.Contains(markup, "href") {
				t.Errorf("%s: a drawing with style, script or reference", s.Slug)
			}
			n := parse(t, markup)
			if n.attr("role") != "img" || n.attr("aria-labelledby")+n.attr("aria-label") == "" {
				t.Errorf("%s: a drawing without a text alternative", s.Slug)
			}
		}
		for _, markup := range []string{c.Wide, c.Tall} {
			n := parse(t, markup)
			ids := strings.Fields(n.attr("aria-labelledby"))
			if n.Children[0].attr("id") != ids[0] || n.Children[0].Text != c.Title || n.Children[1].attr("id") != ids[1] {
				t.Errorf("%s: title and description are not what the label refers to", s.Slug)
			}
		}
	}
}

func BenchmarkPowerByLoad(b *testing.B) {
	s := demo(b)[0]
	for b.Loop() {
		PowerByLoad(s)
	}
}
