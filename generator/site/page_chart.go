package site

import (
	"crypto/sha256"
	"encoding/hex"
	"html/template"
	"strconv"

	"wattsheet/charts"
	"wattsheet/generator/theme"
)

// chartsFile is the script, beside a unit's page, that has the data of its live charts. It
// is asked for only where a chart comes near the screen: a third of a page's weight.
const chartsFile = "charts.js"

// chartsData makes that script of a unit's charts, and the address by which its page asks
// for it: with a digest, so that a browser never takes the data of another version.
func chartsData(folder string, all []*charts.Chart) (file Output, address string) {
	size := len(all) * 64
	for _, c := range all {
		size += len(c.ID) + len(c.Live)
	}
	d := make(draft, 0, size)
	d.raw("window.chartData = {")
	for i, c := range all {
		if i > 0 {
			d.raw(",")
		}
		d.raw("\n\"chart-").raw(c.ID).raw(`": `)
		d = append(d, c.Live...)
	}
	d.raw("\n};\n")
	digest := sha256.Sum256(d)
	return Output{Path: folder + chartsFile, Bytes: d}, chartsFile + "?" + hex.EncodeToString(digest[:])[:theme.DigestLength]
}

// figureOfChart is what [writeFigure] writes.
func figureOfChart(c *charts.Chart, number int, heading, from string, quoted bool) template.HTML {
	return drafted(func(d *draft) { writeFigure(d, c, number, heading, from, quoted) })
}

// writeFigure adds a chart as a page shows it: a still drawing for wide screens
// and one for narrow ones, the data for the live chart, and its table. Its title
// is a heading: h2, or h3 within a section that has one. Where the data have a script of
// their own, from is its address, and the page has only what the buttons need. Quoted says
// that the page has sentences to quote figures by.
func writeFigure(d *draft, c *charts.Chart, number int, heading, from string, quoted bool) {
	live := c.Live
	if from != "" {
		live = c.Controls
	}
	d.raw(`<figure class="chart"`).attribute("id", "chart-"+c.ID).raw(" data-chart=\"").text(from).raw("\">\n<figcaption><").raw(heading).raw(` class="chart-title">`)
	d.text(c.Title).raw("</").raw(heading).raw(">\n<p>Figure ").number(number).raw(": ").text(c.Caption)
	if quoted {
		d.raw(` <a class="quote"`).attribute("href", "#chart-"+c.ID).raw(` data-figure="`).number(number).raw(`" aria-label="Quote figure `).number(number).raw(`">“”</a>`)
	}
	d.raw("</p></figcaption>\n")
	d.raw(`<div class="chart-box">`).raw(c.Wide).raw(c.Tall).raw("</div>\n")
	if len(live) > 0 {
		d.raw(`<script type="application/json" class="chart-live">`).block(live).raw("</script>\n")
	}
	d.raw(`<details class="chart-table"><summary>Table</summary>`)
	if c.Description != "" {
		d.raw("<p>").text(c.Description).raw("</p>\n")
	}
	writeChartTable(d, c, number)
	d.raw("</details></figure>\n")
}

// writeChartTable adds the data of a page's chart of that number, row by row.
func writeChartTable(d *draft, c *charts.Chart, number int) {
	t := table{Caption: "Data of figure " + strconv.Itoa(number), Class: "small", Head: make([]column, len(c.Table.Head))}
	pads := make([]int, len(t.Head))
	for i, head := range c.Table.Head {
		pads[i] = numeric(c.Table.Rows, i)
		t.Head[i] = column{Text: head, Numeric: pads[i] >= 0}
	}
	t.begin(d)
	d.raw("<tbody>\n")
	for _, r := range c.Table.Rows {
		d.raw("<tr>")
		for i, cl := range r {
			if pads[i] >= 0 {
				d.raw(`<td class="n">`)
			} else {
				d.raw("<td>")
			}
			d.link(cl.Href, cl.Text).pad(cl.Text, pads[i])
			d.raw("</td>")
		}
		d.raw("</tr>\n")
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
