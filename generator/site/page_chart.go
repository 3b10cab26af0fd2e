package site

import (
	"html/template"
	"strconv"

	"wattsheet/charts"
)

// figureHTML is a chart as a page shows it: a still drawing for wide screens
// and one for narrow ones, the data for the live chart, and its table. Its title
// is a heading: h2, or h3 within a section that has one.
func figureHTML(c *charts.Chart, number int, heading string) template.HTML {
	return drafted(func(d *draft) {
		d.raw(`<figure class="chart"`).attribute("id", "chart-"+c.ID).raw(" data-chart>\n<figcaption><").raw(heading).raw(` class="chart-title">`)
		d.text(c.Title).raw("</").raw(heading).raw(">\n<p>Figure ").number(number).raw(": ").text(c.Caption).raw("</p></figcaption>\n")
		d.raw(`<div class="chart-box">`).raw(c.Wide).raw(c.Tall).raw("</div>\n")
		if len(c.Live) > 0 {
			d.raw(`<script type="application/json" class="chart-live">`).block(c.Live).raw("</script>\n")
		}
		d.raw(`<details class="chart-table"><summary>Table</summary>`)
		if c.Description != "" {
			d.raw("<p>").text(c.Description).raw("</p>\n")
		}
		chartTable(c, number).write(d)
		d.raw("</details></figure>\n")
	})
}

// chartTable is the data of a page's chart of that number.
func chartTable(c *charts.Chart, number int) table {
	t := table{
		Caption: "Data of figure " + strconv.Itoa(number), Class: "small",
		Head: make([]column, 0, len(c.Table.Head)), Groups: [][]row{make([]row, 0, len(c.Table.Rows))},
	}
	for i, head := range c.Table.Head {
		t.Head = append(t.Head, column{Text: head, Numeric: numeric(c.Table.Rows, i)})
	}
	cells := make([]cell, 0, len(c.Table.Rows)*len(c.Table.Head)) // of all rows
	for _, r := range c.Table.Rows {
		from := len(cells)
		for i, cl := range r {
			cells = append(cells, cell{Text: cl.Text, Href: cl.Href, Column: i})
		}
		t.Groups[0] = append(t.Groups[0], row{Cells: cells[from:len(cells):len(cells)]})
	}
	return t
}

// numeric reports whether every cell of a column is a number or empty, and one
// is a number.
func numeric(rows [][]charts.Cell, at int) bool {
	some := false
	for _, r := range rows {
		if at >= len(r) {
			continue
		}
		text := r[at].Text
		is := decimals(text) >= 0
		if !is && text != "" && text != "–" {
			return false
		}
		some = some || is
	}
	return some
}
