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
}

// A Table is the data of a chart as text.
type Table struct {
	Head []string // with units
	Rows [][]Cell
}

// A Cell is one cell of a Table. Neither field is escaped.
type Cell struct {
	Text string
	Href string // an address on the same page, or empty
}

// PowerByLoad draws the power of each channel at the unit's terminals by load,
// one series a method, bridged apart: every valid run's channels as they are in
// the sheet, each with its U, hollow where the run did not end as planned, and
// the claims for the loads tested. It returns nil when no valid run has a power.
func PowerByLoad(s *sheet.Sheet) *Chart {
	p := plotOf(s)
	if p == nil {
		return nil
	}
	c := &Chart{
		ID:          "power-by-load",
		Title:       p.title(),
		Caption:     p.caption(),
		Description: p.description(),
		Table:       p.table(),
	}
	wide, tall := layoutOf(p, wideFrame, watts), layoutOf(p, tallFrame, watts)
	c.Wide = still(c, wide)
	c.Tall = still(c, tall)
	c.Live = live(c, p, wide, tall)
	return c
}
