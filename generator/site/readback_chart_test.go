package site

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/net/html"
)

// A drawing has its positions to a tenth of a pixel; two of them, and the scale's.
const pixels = 0.17

// readCharts compares what the still drawings draw with the rows of their tables,
// which readTables compares with sheet.json.
func (r *readback) readCharts(page *html.Node) {
	for _, figure := range queryAll(page, "figure.chart") {
		tables := queryAll(figure, ".chart-table table")
		if len(tables) != 1 {
			r.complain("drawings: %s has %d tables", attr(figure, "id"), len(tables))
			continue
		}
		drawings := queryAll(figure, "svg.still")
		if len(drawings) == 0 {
			r.complain("drawings: %s has none", attr(figure, "id"))
		}
		for _, drawing := range drawings {
			r.readDrawing(attr(figure, "id")+", "+attr(drawing, "class"), drawing, gridOf(tables[0]))
		}
	}
}

// A drawnColumn is where the values drawn upwards stand in a chart's table; u is -1 where
// they have no uncertainty.
type drawnColumn struct{ value, u int }

// drawnColumns finds the column that a drawing's upward axis names.
func drawnColumns(drawing *html.Node, head []string) (drawnColumn, bool) {
	for _, n := range queryAll(drawing, ".still-soft > text[font-weight='600']") {
		named := func(one string) bool { return strings.EqualFold(one, content(n)) }
		if value := slices.IndexFunc(head, named); value >= 0 {
			symbol, unit, _ := strings.Cut(head[value], " / ")
			return drawnColumn{value, slices.Index(head, "U("+symbol+") / "+unit)}, true
		}
	}
	return drawnColumn{}, false
}

// readDrawing compares each mark, upright and stroke of a drawing.
func (r *readback) readDrawing(at string, drawing *html.Node, g grid) {
	columns, known := drawnColumns(drawing, g.head)
	y, scaled := r.scaleOf(at, drawing)
	if !known || !scaled {
		r.complain("drawings: %s: the axis can't be read", at)
		return
	}
	for _, series := range queryAll(drawing, ".still-marks > g") {
		uprights := uprightsOf(series)
		offset, coarse := math.NaN(), 0.0
		for n, mark := range r.rowsOf(at, series, g) {
			row := mark.row
			what := at + ", mark " + itoa(n+1) + " of " + attr(series, "data-n")
			value := cellNumber(row[columns.value])
			low, high, x := extentOf(mark.drawn)
			// A mark's outline is as far from its middle as that of its neighbours.
			off := (low+high)/2 - y(value)
			// The table's value is rounded, the mark's is not; nor was the first one's.
			rounded := math.Abs(y(value+halfPlace(row[columns.value])) - y(value))
			if math.IsNaN(offset) {
				offset, coarse = off, rounded
			}
			r.count["drawings"]++
			if !(math.Abs(off) < 3+rounded) || !(math.Abs(off-offset) < 2*pixels+rounded+coarse) {
				r.complain("drawings: %s lies %.1f px beside its value %v", what, off, value)
			}
			if columns.u >= 0 && len(uprights) > 0 && figureText(row[columns.u]) != "" { // an exact value has no U
				r.readUpright(what, uprights, x, y, value, cellNumber(row[columns.u]), 3*halfPlace(row[columns.value]))
			}
		}
	}
	for _, strokes := range queryAll(drawing, ".still-claim") {
		for _, stroke := range r.rowsOf(at, strokes, g) {
			r.count["drawings"]++
			low, high, _ := extentOf(stroke.drawn)
			if middle, want := (low+high)/2, y(cellNumber(stroke.row[columns.value])); !(math.Abs(middle-want) < pixels) {
				r.complain("drawings: %s, claim %s is at %.1f, want %.1f", at, content(stroke.row[slices.Index(g.head, "Run")]), middle, want)
			}
		}
	}
}

// uprightsOf are the paths of a series' uprights, which are one element.
func uprightsOf(series *html.Node) (paths []string) {
	for _, n := range queryAll(series, ".still-upright") {
		for _, one := range strings.Split(attr(n, "d"), "M")[1:] {
			paths = append(paths, "M"+one)
		}
	}
	return paths
}

// readUpright finds the upright at a mark: it goes from U below the value to U above.
// The table has both rounded, the value by half a place and U by one at most: so far
// the upright may be off.
func (r *readback) readUpright(what string, uprights []string, x float64, y func(float64) float64, value, u, rounded float64) {
	best := math.Inf(1)
	for _, path := range uprights {
		low, high, at := pathExtent(path)
		if math.Abs(at-x) < 0.3 {
			best = min(best, max(math.Abs(high-y(value-u)), math.Abs(low-y(value+u))))
		}
	}
	r.count["drawings"]++
	if allowed := 2*pixels + math.Abs(y(value-rounded)-y(value)); !(best < allowed) {
		r.complain("drawings: %s: its upright is %.1f px off %v ± %v", what, best, value, u)
	}
}

// A drawnRow is what a drawing shows of a row of its table.
type drawnRow struct {
	drawn *html.Node
	row   []*html.Node
}

// rowsOf are the marks or claims in a group, with the rows that the group tells in their order.
func (r *readback) rowsOf(at string, group *html.Node, g grid) (all []drawnRow) {
	numbers := strings.Fields(attr(group, "data-n"))
	for n := group.FirstChild; n != nil; n = n.NextSibling {
		if class := attr(n, "class"); n.Type != html.ElementNode || class == "still-upright" || class == "still-rings" {
			continue
		}
		i := -1
		if len(all) < len(numbers) {
			i, _ = strconv.Atoi(numbers[len(all)])
		}
		if i < 0 || i >= len(g.rows) {
			r.complain("drawings: %s: a mark has no row", at)
			return all
		}
		all = append(all, drawnRow{n, g.rows[i]})
	}
	if len(all) != len(numbers) {
		r.complain("drawings: %s: %d of %d rows are drawn", at, len(all), len(numbers))
	}
	return all
}

func cellNumber(cell *html.Node) float64 {
	x, err := strconv.ParseFloat(strings.Replace(figureText(cell), "−", "-", 1), 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// halfPlace is half of a rounded figure's last place.
func halfPlace(cell *html.Node) float64 {
	_, decimals, _ := strings.Cut(figureText(cell), ".")
	return 0.5 * math.Pow(10, -float64(len(decimals)))
}

// scaleOf reads the upward axis: grid lines, and the numbers in their order. The scale
// is linear or logarithmic, and all of them lie on it.
func (r *readback) scaleOf(at string, drawing *html.Node) (func(float64) float64, bool) {
	var values, places []float64
	for _, text := range queryAll(drawing, ".still-soft[text-anchor='end'] > text:not([font-weight])") {
		if x, err := strconv.ParseFloat(strings.Replace(content(text), "−", "-", 1), 64); err == nil {
			values = append(values, x)
		}
	}
	for _, lines := range queryAll(drawing, "path.still-line") {
		for _, line := range strings.Split(attr(lines, "d"), "M")[1:] {
			low, high, _ := pathExtent("M" + line)
			places = append(places, (low+high)/2)
		}
	}
	if len(values) < 2 || len(places) != len(values) {
		return nil, false
	}
	last := len(values) - 1
	straight := func(as func(float64) float64) func(float64) float64 {
		slope := (places[last] - places[0]) / (as(values[last]) - as(values[0]))
		return func(x float64) float64 { return places[0] + slope*(as(x)-as(values[0])) }
	}
	off := func(y func(float64) float64) float64 {
		most := 0.0
		for i := range values {
			most = max(most, math.Abs(places[i]-y(values[i])))
		}
		return most
	}
	y := straight(func(x float64) float64 { return x })
	if log := straight(math.Log); values[0] > 0 && off(log) < off(y) {
		y = log
	}
	if !(off(y) < pixels) {
		r.complain("drawings: %s: the grid lines %v are at %v, which is neither a linear nor a logarithmic scale", at, values, places)
	}
	return y, true
}

var pathParts = regexp.MustCompile(`([A-Za-z])([^A-Za-z]*)`)

// extentOf is from where to where a circle or a path goes upwards, and its middle across.
func extentOf(n *html.Node) (low, high, x float64) {
	if n.Data != "circle" {
		return pathExtent(attr(n, "d"))
	}
	number := func(name string) float64 {
		one, err := strconv.ParseFloat(attr(n, name), 64)
		if err != nil {
			return math.NaN()
		}
		return one
	}
	return number("cy") - number("r"), number("cy") + number("r"), number("cx")
}

// pathExtent is from where to where a path goes upwards, and its middle across. It
// knows lines, and goes by their ends.
func pathExtent(d string) (low, high, x float64) {
	low, high = math.Inf(1), math.Inf(-1)
	left, right := math.Inf(1), math.Inf(-1)
	var atX, atY float64
	for _, m := range pathParts.FindAllStringSubmatch(d, -1) {
		numbers := floatsOf(m[2])
		step := map[string]int{"M": 2, "L": 2, "H": 1, "V": 1, "l": 2, "h": 1, "v": 1}[m[1]]
		for ; step > 0 && len(numbers) >= step; numbers = numbers[step:] {
			switch m[1] {
			case "H":
				atX = numbers[0]
			case "V":
				atY = numbers[0]
			case "h":
				atX += numbers[0]
			case "v":
				atY += numbers[0]
			case "l":
				atX, atY = atX+numbers[0], atY+numbers[1]
			default:
				atX, atY = numbers[0], numbers[1]
			}
			low, high, left, right = min(low, atY), max(high, atY), min(left, atX), max(right, atX)
		}
	}
	return low, high, (left + right) / 2
}

var numberText = regexp.MustCompile(`-?[0-9]*\.?[0-9]+`)

func floatsOf(text string) []float64 {
	var out []float64
	for _, one := range numberText.FindAllString(text, -1) {
		x, _ := strconv.ParseFloat(one, 64)
		out = append(out, x)
	}
	return out
}
