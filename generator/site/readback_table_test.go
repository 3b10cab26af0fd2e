package site

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/net/html"
)

// A grid is a table with its spans filled out.
type grid struct {
	head []string
	rows [][]*html.Node
}

func gridOf(table *html.Node) grid {
	var g grid
	for _, n := range queryAll(table, "thead th") {
		g.head = append(g.head, content(n))
	}
	for _, body := range queryAll(table, "tbody") {
		held := make([]*html.Node, len(g.head)) // cells of rows above
		left := make([]int, len(g.head))
		for _, tr := range queryAll(body, "tr") {
			row := make([]*html.Node, len(g.head))
			cells := queryAll(tr, "th, td")
			for i := range row {
				if left[i] > 0 {
					row[i] = held[i]
					left[i]--
				} else if len(cells) > 0 {
					row[i], cells = cells[0], cells[1:]
					span, _ := strconv.Atoi(attr(row[i], "rowspan"))
					held[i], left[i] = row[i], max(span-1, 0)
				}
			}
			g.rows = append(g.rows, row)
		}
	}
	return g
}

// figureText is a cell's figure without the notes under it and the sign beside it; "" for a dash.
func figureText(cell *html.Node) string {
	if cell == nil {
		return ""
	}
	text := content(cell)
	for _, note := range slices.Backward(queryAll(cell, ".note, .soft, .quote")) {
		text = strings.TrimSpace(strings.TrimSuffix(text, content(note)))
	}
	if text == "–" {
		return ""
	}
	return text
}

// readColumns are the heads of figures, in the table of runs and in the charts' tables,
// and the figure that stands there. A sum's row has the run's total as its power.
var readColumns = map[string]func(*fileRun, *fileChannel) *fileFigure{
	"Output / V": readOutV, "V / V": readOutV, "Power / W": readPower, "P / W": readPower,
	"THD+N / %":  func(_ *fileRun, c *fileChannel) *fileFigure { return ofChannelOnly(c, c.thdn) },
	"Supply / V": readSupplyV, "Us / V": readSupplyV, "Supply / A": func(r *fileRun, _ *fileChannel) *fileFigure { return r.SupplyA },
	"Efficiency / %": readEfficiency, "η / %": readEfficiency, "Heat / W": readHeat, "H / W": readHeat,
	"Ptotal / W": func(r *fileRun, _ *fileChannel) *fileFigure { return r.Total },
	"Ps / W":     func(r *fileRun, _ *fileChannel) *fileFigure { return r.SupplyPower },
}

func (c *fileChannel) thdn() *fileFigure { return c.Thdn }

func ofChannelOnly(c *fileChannel, of func() *fileFigure) *fileFigure {
	if c == nil {
		return nil
	}
	return of()
}

func readOutV(_ *fileRun, c *fileChannel) *fileFigure {
	if c == nil {
		return nil
	}
	return c.OutV
}

func readPower(r *fileRun, c *fileChannel) *fileFigure {
	if c == nil {
		return r.Total
	}
	return c.Power
}

func readSupplyV(r *fileRun, _ *fileChannel) *fileFigure    { return r.SupplyV }
func readEfficiency(r *fileRun, _ *fileChannel) *fileFigure { return r.Efficiency }
func readHeat(r *fileRun, _ *fileChannel) *fileFigure       { return r.Heat }

// Heads of columns that hold no figure of sheet.json with an uncertainty.
var wordColumns = []string{"Run", "Method", "Load", "Channel", "Outcome", "Why it doesn't count", "Load / Ω",
	"Series", "Deviation / %", "s of these / %", "s of the pool / %"} // the last three: readRepeats

// readTables compares the tables of runs and of charts, cell by cell.
func (r *readback) readTables(page *html.Node) {
	for _, table := range queryAll(page, "table.runs") {
		r.readTable("table of runs", gridOf(table))
	}
	for _, table := range queryAll(page, ".chart-table table") {
		r.readTable("chart tables", gridOf(table))
	}
}

func (r *readback) readTable(place string, g grid) {
	if slices.Contains(g.head, "T / °C") {
		r.readWarming(place, g)
		return
	}
	runAt, channelAt := slices.Index(g.head, "Run"), slices.Index(g.head, "Channel")
	if runAt < 0 {
		return
	}
	for _, row := range g.rows {
		id := figureText(row[runAt])
		if links := queryAll(row[runAt], "a[href^='#claim-']"); len(links) > 0 {
			r.readClaimRow(place, g, row, id)
			continue
		}
		channel := ""
		if channelAt >= 0 {
			channel = figureText(row[channelAt])
		}
		run, ch := r.find(id, channel)
		if run == nil || ch == nil && channel != "" && channel != "sum" {
			r.complain("%s: there is no run %q, channel %q", place, id, channel)
			continue
		}
		r.readRow(place, g, row, run, ch)
		if at := slices.Index(g.head, "Deviation / %"); at >= 0 {
			r.readRepeat(place, row[at:], id, channel)
		}
	}
}

// readRepeat compares a run's deviation from the mean of its repeats, with the
// standard deviations of these and of the pool.
func (r *readback) readRepeat(place string, cells []*html.Node, run, channel string) {
	for _, repeat := range r.sheet.Repeats {
		for _, p := range repeat.Points {
			if p.Run != run || repeat.Channel != channel {
				continue
			}
			r.count["repeats"]++
			r.rounds(place, run+", deviation", figureText(cells[0]), floatOf(p.DeviationPct), 0)
			r.rounds(place, run+", s", figureText(cells[1]), floatOf(repeat.SPct), 2)
			r.same(place, run+", s of the pool", figureText(cells[2]), string(repeat.PoolPct))
			return
		}
	}
	r.complain("%s: sheet.json has no repeat of run %s, channel %s", place, run, channel)
}

// readWarming compares the table of a chart of temperatures: each row is a point of
// its spot in sheet.json, and each point has a row.
func (r *readback) readWarming(place string, g grid) {
	points := map[string]int{}
	for _, th := range r.sheet.Thermals {
		for _, p := range th.Points {
			text := squeeze(th.Spot)
			for _, f := range []*fileFigure{p.Temp, p.Rise} {
				value, u := "", ""
				if f != nil {
					value, u = f.printed()
				}
				text += "|" + value + "|" + u
			}
			points[text]++
		}
	}
	temp, rise, spot := slices.Index(g.head, "T / °C"), slices.Index(g.head, "Rise / K"), slices.Index(g.head, "Spot")
	if rise < 0 || spot < 0 {
		r.complain("%s: the heads %q aren't known", place, g.head)
		return
	}
	for _, row := range g.rows {
		text := figureText(row[spot])
		for _, at := range []int{temp, temp + 1, rise, rise + 1} {
			text += "|" + figureText(row[at])
		}
		r.count[place]++
		if points[text]--; points[text] < 0 {
			r.complain("%s: %q is no temperature of sheet.json", place, text)
		}
	}
}

// readRow compares a row's figures: value, U and k in columns that follow each other.
func (r *readback) readRow(place string, g grid, row []*html.Node, run *fileRun, ch *fileChannel) {
	var last *fileFigure
	for i, head := range g.head {
		what, text := run.ID+", "+head, figureText(row[i])
		if ch != nil {
			what = run.ID + ", " + ch.Channel + ", " + head
		}
		of := readColumns[head]
		switch {
		case of != nil:
			last = of(run, ch)
			r.cell(place, what, text, last)
		case head == "k":
			if last != nil && text != "" {
				r.count[place]++
				r.rounds(place, what, text, floatOf(last.K), 3)
			}
		case strings.HasPrefix(head, "U / ") || strings.HasPrefix(head, "U("):
			u := ""
			if last != nil {
				_, u = last.printed()
			}
			r.same(place, what, text, u)
		case head == "P / dBW":
			if text != "" && last != nil {
				r.rounds(place, what, text, 10*math.Log10(floatOf(last.Value)), 3)
			}
		case !slices.Contains(wordColumns, head) && strings.Contains(attr(row[i], "class"), "n"):
			r.complain("%s: the column %q isn't read back", place, head)
		}
		if head == "P / dBW" && ch != nil {
			last = nil
		}
	}
}

// cell compares a figure's cell: the value alone, or with its U.
func (r *readback) cell(place, what, text string, f *fileFigure) {
	if f == nil {
		r.same(place, what, text, "")
		return
	}
	value, u := f.printed()
	if strings.Contains(text, "±") {
		value += " ± " + u
	}
	r.same(place, what, text, value)
}

// rounds checks that a text is a number, rounded to the places that it has, with so
// many significant digits at least.
func (r *readback) rounds(place, what, text string, want float64, digits int) {
	plain := strings.Replace(text, "−", "-", 1)
	x, err := strconv.ParseFloat(plain, 64)
	_, decimals, _ := strings.Cut(plain, ".")
	half := 0.5*math.Pow(10, -float64(len(decimals))) + 1e-9
	if err != nil || math.Abs(x-want) > half || len(strings.Trim(plain, "-0."))+strings.Count(decimals, "0") < digits-1 {
		r.complain("%s: %s reads %q, sheet.json gives %v", place, what, text, want)
	}
}

// readClaimRow compares a claim's row in a chart's table.
func (r *readback) readClaimRow(place string, g grid, row []*html.Node, id string) {
	i := slices.IndexFunc(r.sheet.Claims, func(c fileClaim) bool { return c.ID == id })
	at := slices.Index(g.head, "P / W")
	if i < 0 || at < 0 {
		r.complain("%s: there is no claim %q", place, id)
		return
	}
	c := r.sheet.Claims[i]
	r.same(place, "claim "+id, figureText(row[at]), string(c.Stated.PowerW))
	if level := slices.Index(g.head, "P / dBW"); level >= 0 {
		r.rounds(place, "claim "+id+", level", figureText(row[level]), 10*math.Log10(floatOf(c.Stated.PowerW)), 4)
	}
	if outcome := slices.Index(g.head, "Outcome"); outcome >= 0 {
		r.same(place, "claim "+id, figureText(row[outcome]), c.Word)
	}
}
