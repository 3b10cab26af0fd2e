package charts

import "wattsheet/generator/sheet"

// A Chart is one chart in every form in which a page needs it.
type Chart struct {
	ID          string // "power-by-load"; a page's anchor is #chart-power-by-load
	Title       string // the finding, true of every point it speaks of
	Caption     string // quantity, unit, and how the marks are read
	Description string // what a reader who can't see the drawing needs; the figures are in Table

	// Wide and Tall are the drawing for wide and for narrow screens, each a whole
	// <svg class="still still-wide|still-tall"> element with presentation
	// attributes and classes only, so that it also stands alone.
	Wide, Tall string

	Table Table  // exactly the points drawn, claims after them
	Live  []byte // JSON for <script type="application/json">: safe there as it is

	// Controls is the part of Live that a page has from the start where Live itself is
	// loaded only once the chart comes near the screen.
	Controls []byte

	plot *plot // what was drawn
}

// A Table is the data of a chart as text.
type Table struct {
	Head []string // with units
	Rows [][]Cell

	room []Cell // for rows to come
}

// A Cell is one cell of a Table. Neither field is escaped.
type Cell struct {
	Text string
	Href string // an address on the same page, or empty
}

// All draws every chart of a sheet that has something to draw, in the order of a
// page: power by load first.
func All(s *sheet.Sheet) []*Chart {
	var all []*Chart
	for _, draw := range []func(*sheet.Sheet) *Chart{
		PowerByLoad, EfficiencyByLoad, HeatByLoad, PowerBySupply, DistortionByPower, Temperatures, Repeats,
	} {
		if c := draw(s); c != nil {
			all = append(all, c)
		}
	}
	return all
}

// chart draws a plot in every form.
func (p *plot) chart(title, caption, description string, table Table) *Chart {
	c := &Chart{ID: p.id, Title: title, Caption: caption, Description: description, Table: table, plot: p}
	forWide, forTall := p.frames()
	wide, tall := layoutOf(p, forWide, 0), layoutOf(p, forTall, 0)
	c.Wide = still(c, wide)
	c.Tall = still(c, tall)
	c.Live, c.Controls = live(c, p, wide, tall), controls(c, p)
	return c
}
