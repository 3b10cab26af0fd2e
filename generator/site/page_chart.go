package site

import (
	"bytes"
	"html/template"
	"strconv"
	"strings"

	"wattsheet/charts"
)

// figureHTML is a chart as a page shows it: a still drawing for wide screens
// and one for narrow ones, the data for the live chart, and its table. Its title
// is a heading: h2, or h3 within a section that has one.
func figureHTML(c *charts.Chart, number int, heading string) template.HTML {
	var b strings.Builder
	id := "chart-" + c.ID
	b.WriteString(`<figure class="chart"` + attribute("id", id) + ` data-chart>` + "\n<figcaption><" + heading + ` class="chart-title">`)
	b.WriteString(escape(c.Title) + "</" + heading + ">\n<p>Figure " + strconv.Itoa(number) + ": " + escape(c.Caption) + "</p></figcaption>\n")
	b.WriteString(`<div class="chart-box">` + c.Wide + c.Tall + "</div>\n")
	if len(c.Live) > 0 {
		b.WriteString(`<script type="application/json" class="chart-live">` + string(block(c.Live)) + "</script>\n")
	}
	b.WriteString(`<details class="chart-table"><summary>Table</summary>`)
	if c.Description != "" {
		b.WriteString("<p>" + escape(c.Description) + "</p>\n")
	}
	b.WriteString(string(chartTable(c, number)) + "</details></figure>\n")
	return template.HTML(b.String())
}

// block makes JSON safe within a script element: no < can end it there.
func block(json []byte) []byte { return bytes.ReplaceAll(json, []byte("<"), []byte(`\u003c`)) }

// chartTable is the data of a page's chart of that number.
func chartTable(c *charts.Chart, number int) template.HTML {
	t := table{Caption: "Data of figure " + strconv.Itoa(number), Class: "small"}
	for i, head := range c.Table.Head {
		t.Head = append(t.Head, column{Text: head, Numeric: numeric(c.Table.Rows, i)})
	}
	rows := make([]row, 0, len(c.Table.Rows))
	for _, r := range c.Table.Rows {
		line := row{}
		for i, cl := range r {
			line.Cells = append(line.Cells, cell{Text: cl.Text, Href: cl.Href, Column: i})
		}
		rows = append(rows, line)
	}
	t.Groups = [][]row{rows}
	return t.html()
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
