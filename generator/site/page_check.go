package site

import (
	"html/template"

	"wattsheet/charts"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A checkText is the bench's check unit on the methodology page.
type checkText struct {
	Name   string        // what the check unit is called
	Method link          // the method by which it is measured
	Chart  template.HTML // its power by day, drawn
	Days   template.HTML // the table of the days
}

// checkText tells of the check unit over the test days; nil where the bench has
// none. Its chart makes the page's charts live.
func (b *binder) checkText(h *head) *checkText {
	if b.site.Content.Bench == nil {
		return nil
	}
	c := sheet.CheckUnit(b.site.Content)
	if c == nil {
		return nil
	}
	t := &checkText{Name: capital(c.Rec.Name), Days: checkTable(c)}
	if c.Method != nil {
		t.Method = link{"#method-" + c.Method.ID, c.Method.Title}
	}
	if drawn := charts.CheckUnit(c); drawn != nil {
		t.Chart = figureOfChart(drawn, 1, "h3", "", false)
		b.live(h)
	}
	return t
}

// checkTable is the check unit's power day by day.
func checkTable(c *sheet.Check) template.HTML {
	expanded := "#formula-" + formula.Expanded
	t := table{Caption: "The check unit on each test day", Class: "small", Head: []column{
		{Text: "Day"}, {Text: "Power / W", Numeric: true}, {Text: "U / W", Numeric: true, Href: expanded},
		{Text: "From the mean / %", Numeric: true, Href: "#formula-" + formula.Mean}, {Text: "The bench that day"}, {Text: "Remarks"},
	}}
	var rows []row
	for i, d := range c.Days {
		off := "as on the other days"
		if d.Off {
			off = "off"
		}
		remarks := ""
		if i < len(c.Rec.Readings) {
			remarks = c.Rec.Readings[i].Remarks
		}
		rows = append(rows, row{Cells: []cell{
			{Text: dayOf(d.Date).Text, Column: 0, Head: "row"}, {Text: d.Power.ValueText, Href: formulaHref("", d.Power), Column: 1, Class: "strong"},
			{Text: d.Power.UText, Column: 2}, {Text: signed(quantity.Fixed(d.DeviationPct, 2)), Column: 3}, {Text: off, Column: 4}, {Text: dash(remarks), Column: 5},
		}})
	}
	if c.Mean != nil {
		rows = append(rows, row{Cells: []cell{
			{Text: "mean", Column: 0, Head: "row"}, {Text: c.Mean.ValueText, Href: formulaHref("", c.Mean), Column: 1, Class: "strong"},
			{Text: c.Mean.UText, Column: 2}, {Column: 3}, {Column: 4}, {Column: 5},
		}})
	}
	t.Groups = [][]row{rows}
	return t.html()
}
