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
		writeChartTable(d, c, number)
		d.raw("</details></figure>\n")
	})
}

// writeChartTable adds the data of a page's chart of that number, row by row.
func writeChartTable(d *draft, c *charts.Chart, number int) {
	t := table{Caption: "Data of figure " + strconv.Itoa(number), Class: "small", Head: make([]column, len(c.Table.Head))}
	line, pads := make([]cell, len(t.Head)), make([]int, len(t.Head))
	for i, head := range c.Table.Head {
		pads[i] = numeric(c.Table.Rows, i)
		t.Head[i] = column{Text: head, Numeric: pads[i] >= 0}
	}
	t.begin(d)
	d.raw("<tbody>\n")
	for _, r := range c.Table.Rows {
		for i, cl := range r {
			line[i] = cell{Text: cl.Text, Href: cl.Href, Column: i}
		}
		t.row(d, &row{Cells: line[:len(r)]}, pads)
	}
	d.raw("</tbody>\n")
	t.end(d)
}

// numeric gives the most decimals of a column of which every cell is a number or
// empty, and one is a number; -1 for any other column.
func numeric(rows [][]charts.Cell, at int) int {
	most := -1
	for _, r := range rows {
		if at >= len(r) {
			continue
		}
		text := r[at].Text
		n := decimals(text)
		if n < 0 && text != "" && text != "–" {
			return -1
		}
		most = max(most, n)
	}
	return most
}
