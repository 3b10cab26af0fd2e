package charts

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
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

var (
	pathCommand = regexp.MustCompile(`([A-Za-z])([^A-Za-z]*)`)
	pathNumber  = regexp.MustCompile(`-?[0-9.]+`)
)

// corners reads where the lines of a path made of M, l, H, V, h, v and z turn (SVG 2, 9.3).
func corners(t testing.TB, d string) (all [][2]float64) {
	t.Helper()
	x, y := 0.0, 0.0
	for _, m := range pathCommand.FindAllStringSubmatch(d, -1) {
		numbers := pathNumber.FindAllString(m[2], -1)
		for len(numbers) > 0 {
			first, two := must(numbers[0]), strings.Contains("Ml", m[1])
			second := 0.0
			if two {
				second, numbers = must(numbers[1]), numbers[1:]
			}
			switch m[1] {
			case "M":
				x, y = first, second
			case "l":
				x, y = x+first, y+second
			case "H":
				x = first
			case "V":
				y = first
			case "h":
				x += first
			case "v":
				y += first
			default:
				t.Fatalf("a path has %q: %s", m[1], d)
			}
			numbers, all = numbers[1:], append(all, [2]float64{x, y})
		}
	}
	return all
}

// middle is where a circle, or the middle of the box of a path's corners, lies.
func (n node) middle(t testing.TB) (x, y float64) {
	t.Helper()
	if n.XMLName.Local == "circle" {
		return must(n.attr("cx")), must(n.attr("cy"))
	}
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, c := range corners(t, n.attr("d")) {
		x0, x1, y0, y1 = min(x0, c[0]), max(x1, c[0]), min(y0, c[1]), max(y1, c[1])
	}
	return (x0 + x1) / 2, (y0 + y1) / 2
}

// A drawnRow is an element that shows a row of a chart's table.
type drawnRow struct {
	node
	n     int // the row
	claim bool
}

// drawnRows are the marks and claims of a drawing: the groups that they are in tell their rows.
func (n node) drawnRows(t testing.TB) (all []drawnRow) {
	t.Helper()
	groups := n.all("still-claim")
	for _, marks := range n.all("still-marks") {
		groups = append(groups, marks.Children...)
	}
	for _, g := range groups {
		of, shown := strings.Fields(g.attr("data-n")), 0
		for _, child := range g.Children {
			if class := child.attr("class"); class == "still-upright" || class == "still-rings" {
				continue
			}
			row := -1
			if shown < len(of) {
				row, _ = strconv.Atoi(of[shown])
			}
			all = append(all, drawnRow{child, row, g.attr("class") == "still-claim"})
			shown++
		}
		if shown != len(of) {
			t.Errorf("%d are drawn in a group of %q", shown, g.attr("data-n"))
		}
	}
	return all
}

func must(s string) float64 {
	x, err := strconv.ParseFloat(strings.ReplaceAll(s, "−", "-"), 64)
	if err != nil {
		panic(err)
	}
	return x
}

// axes reads a drawing's axes from what it prints: the value at a height, and at
// a place; and where each text under the plot stands.
func axes(t testing.TB, drawing node) (value, place func(float64) float64, at map[string]float64) {
	t.Helper()
	var up, along [][2]float64
	upTexts, alongTexts, upTitle, alongTitle := drawing.axisTexts(t)
	for i, text := range upTexts {
		up = append(up, [2]float64{corners(t, drawing.all("still-line")[0].attr("d"))[2*i][1], must(text.Text)})
	}
	at = map[string]float64{}
	for _, text := range alongTexts {
		at[text.Text] = must(text.attr("x"))
		if x, err := strconv.ParseFloat(text.Text, 64); err == nil {
			along = append(along, [2]float64{must(text.attr("x")), x})
		}
	}
	return between2(up, upTitle == "THD+N / %"), between2(along, alongTitle == "load / Ω"), at
}

// axisTexts are the texts at the ticks of both axes, and the axes' titles, which come last.
func (n node) axisTexts(t testing.TB) (up, along []node, upTitle, alongTitle string) {
	t.Helper()
	groups := n.all("still-soft")
	if len(groups) != 2 || len(n.all("still-line")) != 1 {
		t.Fatalf("%d groups of texts, %d of lines", len(groups), len(n.all("still-line")))
	}
	split := func(g node) ([]node, string) {
		last := len(g.Children) - 1
		return g.Children[:last], g.Children[last].Text
	}
	up, upTitle = split(groups[0])
	along, alongTitle = split(groups[1])
	return up, along, upTitle, alongTitle
}

// between2 reads between the first and the last of an axis' ticks.
func between2(ticks [][2]float64, log bool) func(float64) float64 {
	if len(ticks) < 2 {
		return func(float64) float64 { return math.NaN() }
	}
	a, b := ticks[0], ticks[len(ticks)-1]
	return func(at float64) float64 {
		part := (at - a[0]) / (b[0] - a[0])
		if log {
			return a[1] * math.Pow(b[1]/a[1], part)
		}
		return a[1] + (b[1]-a[1])*part
	}
}

// columns of the tables: where a chart's points stand along and up.
var tableColumns = map[string][2]string{
	"power-by-load": {"Load / Ω", "P / W"}, "efficiency-by-load": {"Load / Ω", "η / %"}, "heat-by-load": {"Load / Ω", "H / W"},
	"power-by-supply": {"Supply / V", "P / W"}, "distortion-by-power": {"P / W", "THD+N / %"}, "temperatures": {"Time / min", "T / °C"},
	"repeats": {"Run", "Deviation / %"}, "check-unit": {"Day", "P / W"},
}

// column finds a column by its head.
func (t Table) column(head string) int {
	i := slices.Index(t.Head, head)
	if i < 0 && head == "Time / min" {
		return slices.Index(t.Head, "Reading")
	}
	return i
}

// What is drawn, listed and shown live is the same set of points, at the places
// that the drawing's own axes print for them.
func TestPlottedTableAndLiveAgree(t *testing.T) {
	seen := map[string]int{}
	for _, c := range everyChart(t) {
		seen[c.ID]++
		var l liveChart
		if err := json.Unmarshal(c.Live, &l); err != nil {
			t.Fatal(err)
		}
		if len(l.Points) != len(c.Table.Rows) {
			t.Fatalf("%s: %d points live, %d rows", c.ID, len(l.Points), len(c.Table.Rows))
		}
		for _, row := range c.Table.Rows {
			if len(row) != len(c.Table.Head) {
				t.Fatalf("%s: a row of %d cells under %d heads", c.ID, len(row), len(c.Table.Head))
			}
		}
		for _, markup := range []string{c.Wide, c.Tall} {
			agree(t, parse(t, markup), c, l)
		}
	}
	for id := range tableColumns {
		if seen[id] < 5 {
			t.Errorf("only %d charts %s were tried", seen[id], id)
		}
	}
}

func agree(t *testing.T, drawing node, c *Chart, l liveChart) {
	t.Helper()
	value, place, ticks := axes(t, drawing)
	table := c.Table
	marks := drawing.drawnRows(t)
	if len(marks) != len(table.Rows) {
		t.Fatalf("%s: %d marks and claims drawn, %d rows", c.ID, len(marks), len(table.Rows))
	}
	along, up := table.column(tableColumns[c.ID][0]), table.column(tableColumns[c.ID][1])
	drawn := map[int]bool{}
	for _, m := range marks {
		n := m.n
		drawn[n] = true
		row := table.Rows[n]
		listed := must(row[up].Text)
		x, y := m.middle(t)
		if !m.claim {
			standsAt(t, c.ID, n, x, row[along].Text, place, ticks)
		}
		slack := max(math.Abs(value(y+0.5)-value(y-0.5)), rounding(row[up].Text))
		if got := value(y); math.Abs(got-listed) > 2*slack {
			t.Errorf("%s row %d: drawn at %v, listed as %v", c.ID, n, got, listed)
		}
		if got, _ := l.Views[0].Y[n][0].Float64(); math.Abs(got-listed) > rounding(row[up].Text)+1e-4*math.Abs(listed) {
			t.Errorf("%s row %d: live at %v, listed as %v", c.ID, n, got, listed)
		}
		if text := l.Points[n].Text[l.Views[0].ID]; !strings.Contains(text, row[up].Text) {
			t.Errorf("%s row %d: live says %q, listed %q", c.ID, n, text, row[up].Text)
		}
	}
	if len(drawn) != len(table.Rows) {
		t.Errorf("%s: %d of %d rows are drawn", c.ID, len(drawn), len(table.Rows))
	}
}

// rounding is half of the last place that a text gives.
func rounding(text string) float64 {
	_, decimals, found := strings.Cut(text, ".")
	if !found {
		return 0.51 * math.Pow10(len(text)-len(strings.TrimRight(text, "0")))
	}
	return 0.51 * math.Pow10(-len(decimals))
}

// standsAt checks where a mark stands along: marks at loads, runs and days may have
// moved beside each other; others stand exactly.
func standsAt(t *testing.T, id string, n int, x float64, listed string, place func(float64) float64, ticks map[string]float64) {
	t.Helper()
	if at, is := ticks[listed]; is {
		if math.Abs(x-at) > 60 {
			t.Errorf("%s row %d: drawn at %v, %s is at %v", id, n, x, listed, at)
		}
		return
	}
	if id != "power-by-supply" && id != "distortion-by-power" {
		return
	}
	want := must(listed)
	if got, slack := place(x), math.Abs(place(x+1)-place(x-1))+rounding(listed); math.Abs(got-want) > slack {
		t.Errorf("%s row %d: drawn at %v, listed at %v", id, n, got, want)
	}
}

// Loads lie on a logarithmic axis to base 2: equal ratios, equal distances.
func TestLoadsLieOnALogarithmicAxis(t *testing.T) {
	for _, s := range every(t) {
		c := PowerByLoad(s)
		if c == nil {
			continue
		}
		for _, markup := range []string{c.Wide, c.Tall} {
			_, _, loads := axes(t, parse(t, markup))
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

// Two runs that ended alike at nearly one place have the word once, two far apart each.
func TestMarksThatTouchHaveTheirWordOnce(t *testing.T) {
	words := func(watts ...float64) (n int) {
		b := newBench()
		b.run(0, 4, "completed", 100)
		for _, w := range watts {
			b.run(0, 2, "protected", w)
		}
		for _, text := range parse(t, PowerByLoad(b.Sheet).Tall).all("still-labels")[0].Children {
			if text.Text == "protection" {
				n++
			}
		}
		return n
	}
	if n := words(150, 151); n != 1 {
		t.Errorf("two marks that touch have the word %d times", n)
	}
	if n := words(150, 60); n != 2 {
		t.Errorf("two marks far apart have the word %d times", n)
	}
}

func TestSameBytesAgain(t *testing.T) {
	draw := func() (all []string) {
		for _, c := range drawEvery(t)[:150] {
			all = append(all, c.Wide, c.Tall, string(c.Live), c.Title, c.Caption, c.Description, fmt.Sprint(c.Table))
		}
		return all
	}
	if a, b := draw(), draw(); !slices.Equal(a, b) {
		t.Error("drawn twice, not the same")
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
	b.more(0, name)
	check := checkOf(5, 1)
	check.Days[1].Date, check.Days[2].Date = name, "2026-02-30"
	markups, all := ClaimLines(b.Claims), append(All(b.Sheet), CheckUnit(check))
	markups = append(markups, string(UnitBadge(b.Sheet).SVG), string(ClaimBadge(k).SVG))
	if len(all) != 8 {
		t.Errorf("only %d charts", len(all))
	}
	for _, c := range all {
		markups = append(markups, c.Wide, c.Tall)
		if strings.ContainsAny(string(c.Live), "<>&") {
			t.Errorf("%s: the live data could close its script element", c.ID)
		}
	}
	for _, markup := range markups {
		noMarkup(t, parse(t, markup))
	}
	var l liveChart
	if err := json.Unmarshal(all[0].Live, &l); err != nil || !strings.Contains(l.Points[0].Lines[0], "alert(1)") {
		t.Errorf("the live data lost the name: %v", err)
	}
}

// noMarkup checks that no name became markup.
func noMarkup(t *testing.T, n node) {
	t.Helper()
	if strings.EqualFold(n.XMLName.Local, "script") || n.attr("onload") != "" || n.attr("style") != "" {
		t.Errorf("a name became markup: %v", n.XMLName)
	}
	for _, child := range n.Children {
		noMarkup(t, child)
	}
}

// Drawings must hold under a strict policy, and stand alone.
func TestDrawingsCarryNoStyle(t *testing.T) {
	for _, s := range append(demo(t), more(1)) {
		markups := ClaimLines(s.Claims)
		for _, c := range All(s) {
			markups = append(markups, c.Wide, c.Tall)
		}
		for _, markup := range markups {
			if strings.Contains(markup, "style=") || strings.Contains(markup, "<script") || strings.Contains(markup, "href") {
				t.Errorf("%s: a drawing with style, script or reference", s.Slug)
			}
			n := parse(t, markup)
			if n.attr("role") != "img" || n.attr("aria-labelledby")+n.attr("aria-label") == "" {
				t.Errorf("%s: a drawing without a text alternative", s.Slug)
			}
		}
		c := PowerByLoad(s)
		for _, markup := range []string{c.Wide, c.Tall} {
			n := parse(t, markup)
			ids := strings.Fields(n.attr("aria-labelledby"))
			if n.Children[0].attr("id") != ids[0] || n.Children[0].Text != c.Title || n.Children[1].attr("id") != ids[1] {
				t.Errorf("%s: title and description are not what the label refers to", s.Slug)
			}
		}
	}
}
