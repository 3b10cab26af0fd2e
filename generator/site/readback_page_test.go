package site

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"
)

// allTexts is every text of a page that people read or hear, alternatives and the
// live charts' data too.
func allTexts(page *html.Node) string {
	var b strings.Builder
	for n := range page.Descendants() {
		if n.Type == html.TextNode {
			b.WriteString(n.Data)
			b.WriteString(" ")
		}
		for _, a := range n.Attr {
			if a.Key == "aria-label" || a.Key == "alt" || a.Key == "title" || a.Key == "content" {
				b.WriteString(a.Val + "\n")
			}
		}
	}
	return b.String()
}

func queryAll(n *html.Node, selector string) []*html.Node {
	return cascadia.QueryAll(n, cascadia.MustCompile(selector))
}

// readClaims compares the claims: the figure, the verdict, what is claimed, the
// evidence folded under it, and the claim line.
func (r *readback) readClaims(page *html.Node) {
	var line []linePoint
	for _, c := range r.sheet.Claims {
		at := "#claim-" + c.ID
		if n := len(queryAll(page, at)); n != 1 {
			r.complain("the page has %d of claim %s", n, c.ID)
			continue
		}
		for _, word := range pick(page, at+" > .verdict") {
			r.same("claims", c.ID+", verdict", word, c.Word)
		}
		mean := c.weakest()
		for _, text := range pick(page, at+" > .figures .figure:not(.in-words)") {
			r.same("claims", c.ID, text, mean.text())
		}
		for _, text := range pick(page, at+" > .figures .of") {
			r.same("claims", c.ID+", claimed", firstNumber(text), string(c.Stated.PowerW))
		}
		for _, text := range pick(page, at+" a[href$='#formula-level-against-claim']") {
			r.same("claims", c.ID+", level", text, c.Level.text())
		}
		for _, text := range pick(page, at+" .facts a[href$='#formula-probability-that-claim-holds']") {
			r.same("claims", c.ID+", probability", text, squeeze(c.PText))
		}
		means := pick(page, at+" .facts a[href$='#formula-mean-of-repeats'], "+at+" .facts bdi ~ a[href$='#formula-mean-of-repeats']")
		for i, text := range means {
			if i < len(c.Channels) {
				r.same("claims", c.ID+", channel "+c.Channels[i].Channel, text, c.Channels[i].Mean.text())
			}
		}
		for _, drawing := range queryAll(page, at+" > .claim-drawing > svg") {
			line = append(line, r.linePoints(c, drawing)...)
		}
	}
	r.onOneScale(line)
}

// firstNumber is the first number of a text.
func firstNumber(text string) string {
	for _, word := range strings.Fields(text) {
		if _, err := strconv.ParseFloat(word, 64); err == nil {
			return word
		}
	}
	return ""
}

func floatOf(n json.Number) float64 { x, _ := n.Float64(); return x }

// A linePoint is one thing that a claim line draws: what it is, in parts of the
// claim, and where it stands, in percent of the width.
type linePoint struct {
	what string
	part float64
	x    float64
}

// linePoints reads a claim line. What is cut at the scale's ends is left out.
func (r *readback) linePoints(c fileClaim, drawing *html.Node) []linePoint {
	var out []linePoint
	claimed := floatOf(c.Stated.PowerW)
	add := func(what string, watts, x float64) {
		if claimed > 0 && x > 0 && x < 100 {
			out = append(out, linePoint{c.ID + ", " + what, watts / claimed, x})
		}
	}
	for _, n := range queryAll(drawing, ".claim-limit") {
		add("stroke", floatOf(c.LimitW), percentOf(n, "x1"))
	}
	mean := c.weakest()
	if mean == nil {
		return out
	}
	value, u := floatOf(mean.Value), floatOf(mean.Expanded)
	for _, n := range queryAll(drawing, ".claim-ring") {
		add("ring", value, percentOf(n, "cx"))
	}
	for _, n := range queryAll(drawing, ".claim-whisker[y1='18']") {
		add("left whisker", value-u, percentOf(n, "x1"))
		add("right whisker", value+u, percentOf(n, "x2"))
	}
	for _, n := range queryAll(drawing, ".claim-bar") {
		// null is a bar without an end on that side
		if c.BarW != nil && c.BarW.Low != "" {
			add("bar's left end", floatOf(c.BarW.Low), percentOf(n, "x"))
		}
		if c.BarW != nil && c.BarW.High != "" {
			add("bar's right end", floatOf(c.BarW.High), percentOf(n, "x")+percentOf(n, "width"))
		}
	}
	return out
}

func percentOf(n *html.Node, key string) float64 {
	x, err := strconv.ParseFloat(strings.TrimSuffix(attr(n, key), "%"), 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// onOneScale checks that all the lines of a list have one linear scale: the two
// points furthest apart give it, and all the others lie on it.
func (r *readback) onOneScale(points []linePoint) {
	if len(points) < 3 {
		return
	}
	byPart := func(a, b linePoint) int { return int(math.Copysign(1, a.part-b.part)) }
	low, high := slices.MinFunc(points, byPart), slices.MaxFunc(points, byPart)
	slope := (high.x - low.x) / (high.part - low.part)
	for _, p := range points {
		r.count["claim lines"]++
		// Positions have two decimals; a bar's end is the sum of two.
		if want := low.x + slope*(p.part-low.part); !(math.Abs(p.x-want) < 0.03) {
			r.complain("claim lines: %s stands at %v %%, want %.2f %%", p.what, p.x, want)
		}
	}
}

// readBeside compares the maker's other figures and the temperatures, where a page
// has them.
func (r *readback) readBeside(page *html.Node) {
	for _, s := range r.sheet.Specs {
		at := "#spec-" + s.ID
		if n := len(queryAll(page, at)); n != 1 {
			r.complain("the page has %d of the stated figure %s", n, s.ID)
			continue
		}
		if text := strings.Join(pick(page, at+" .verdict"), ""); text != "" {
			r.same("stated figures", s.ID+", verdict", text, s.Word)
		}
		if s.Measured == nil {
			continue
		}
		if text := strings.Join(pick(page, at+" td"), " "); !strings.Contains(text, s.Measured.text()) {
			r.complain("stated figures: %s reads %q, sheet.json gives %q", s.ID, text, s.Measured.text())
		}
		r.count["stated figures"]++
	}
	for _, table := range queryAll(page, "table.thermals") {
		r.readThermals(gridOf(table))
	}
}

// readThermals compares the temperatures: a row for each, in the file's order.
func (r *readback) readThermals(g grid) {
	temp, rise := slices.Index(g.head, "Temperature / °C"), slices.Index(g.head, "Above the air / K")
	n := 0
	for _, th := range r.sheet.Thermals {
		for _, p := range th.Points {
			if n >= len(g.rows) || temp < 0 || rise < 0 {
				r.complain("temperatures: there are %d rows only", len(g.rows))
				return
			}
			for at, f := range map[int]*fileFigure{temp: p.Temp, rise: p.Rise} {
				r.cell("temperatures", g.head[at], figureText(g.rows[n][at]), f)
				u := ""
				if f != nil {
					_, u = f.printed()
				}
				r.same("temperatures", g.head[at+1], figureText(g.rows[n][at+1]), u)
			}
			n++
		}
	}
}

// readBadge compares a small drawing: its figures, and the verdict's word.
func (r *readback) readBadge(name, text string) {
	page, err := html.Parse(strings.NewReader(text))
	if err != nil {
		r.complain("%s: %v", name, err)
		return
	}
	r.sweep("badges", allTexts(page))
	verdicts := map[string]int{}
	for _, c := range r.sheet.Claims {
		verdicts[c.Verdict]++
	}
	for _, text := range pick(page, "svg text") {
		n, word, _ := strings.Cut(text, " ")
		if name == "badge.svg" && slices.Contains([]string{"met", "short", "open", "untested"}, word) {
			r.same("badges", name+", "+word, n, strconv.Itoa(verdicts[word]))
		}
	}
	for _, c := range r.sheet.Claims {
		if name != "badge/"+c.ID+".svg" {
			continue
		}
		said := content(page)
		r.count["badges"]++
		if !strings.Contains(said, c.Word) {
			r.complain("%s: %q lacks the verdict %q", name, said, c.Word)
		}
		for _, m := range regexp.MustCompile(`([0-9.]+) W claimed`).FindAllStringSubmatch(said, -1) {
			r.same("badges", name+", claimed", m[1], string(c.Stated.PowerW))
		}
		if mean := c.weakest(); mean != nil && strings.Contains(said, "±") && !strings.Contains(said, mean.text()) {
			r.complain("%s: %q lacks %q", name, said, mean.text())
		}
		points := r.linePoints(c, page)
		r.onOneScale(points)
	}
}
