package site

import (
	"html/template"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// loadTables are the tables of "at my load": one row a result, and one row of leads a
// supply current.
type loadTables struct {
	methodology string
	channels    bool // there are results of several channels
	groups      [][]row
	leadRows    []row
	leadOf      []int // by result: its row of leads, -1 without one
}

// add adds the results at a load.
func (t *loadTables) add(a *sheet.AtLoad) {
	var rows []row
	for i, r := range a.Results {
		var cells []cell
		if i == 0 {
			cells = append(cells, cell{Text: a.Text(), Head: "rowgroup", Span: len(a.Results)})
		}
		rows = append(rows, row{Cells: append(cells, t.result(r)...)})
		t.leadOf = append(t.leadOf, t.lead(r))
	}
	if len(rows) == 0 {
		return
	}
	rows[0].ID = "at-" + atLoadID.Replace(a.Text())
	t.groups = append(t.groups, rows)
}

// atLoadID makes a part of an id of a load.
var atLoadID = strings.NewReplacer(nbsp+"Ω", "-ohm", " ", "-", ".", "-")

// Columns of the table of results.
const (
	atLoadColumn = iota
	atMethodColumn
	atHowColumn
	atPowerColumn
	atPowerUColumn
	atClaimColumn
	atAmpsColumn
	atHeatColumn
	atFuseColumn
	atChannelColumn
	atChannelUColumn
)

func (t *loadTables) head() []column {
	expanded := t.methodology + "#formula-" + formula.Expanded
	head := []column{
		{Text: "Load"}, {Text: "Method"}, {Text: "Measured in"}, {Text: "Power / W", Numeric: true}, {Text: "U / W", Numeric: true, Href: expanded},
		{Text: "Claim there"}, {Text: "Supply / A"}, {Text: "Heat / W"}, {Text: "Fuse"},
	}
	if t.channels {
		head = append(head, column{Text: "A channel, at least / W"}, column{Text: "U / W", Numeric: true, Href: expanded})
	}
	return head
}

// result is the row of a result, without its load.
func (t *loadTables) result(r *sheet.LoadResult) []cell {
	how := cell{Column: atHowColumn, Text: "estimate", Class: "estimate"}
	if !r.Estimate {
		how = cell{Column: atHowColumn, Class: "figure-cell", Markup: drafted(func(d *draft) { d.runs(r.Runs) })}
	}
	cells := []cell{{Text: r.Method.Title, Column: atMethodColumn}, how}
	power := valueAndU(r.Total, atPowerColumn, t.methodology)
	cells = append(cells, power...)
	claims, claimed := cell{Column: atClaimColumn}, " claimed"
	if t.channels {
		claimed += " a channel"
	}
	for _, c := range r.Claims {
		claims.Markup += template.HTML(anchored("#claim-"+c.ID, string(verdictMarkup(c.Verdict, c.Word)))) +
			template.HTML(` <span class="note">`+escape(with(c.Rec.PowerW, "W")+claimed)+"</span>")
	}
	cells = append(cells, claims, expected(r.SupplyA, r.AmpsA, atAmpsColumn, t.methodology), expected(r.Heat, r.HeatW, atHeatColumn, t.methodology), fuseCell(r.Fuse))
	switch {
	case t.channels && len(r.Channels) == 1:
		cells = append(cells, cell{Text: r.Channels[0].Name + " alone", Column: atChannelColumn}, cell{Text: "–", Column: atChannelUColumn})
	case t.channels:
		weakest := r.Channels[r.Weakest]
		value := valueAndU(weakest.Power, atChannelColumn, t.methodology)
		value[0].Markup = template.HTML(escape(weakest.Name) + " ")
		cells = append(cells, value...)
	}
	return cells
}

// expected is a measured figure with its U, or an expectation without.
func expected(f *sheet.Figure, x float64, at int, methodology string) cell {
	c := cell{Column: at, Class: "right"}
	switch {
	case f != nil:
		c.Text, c.Href = strings.TrimSuffix(strings.Trim(f.Text, "("), nbsp+f.Unit), formulaHref(methodology, f)
		c.Text = strings.ReplaceAll(strings.TrimSuffix(c.Text, ")"), " ", nbsp)
	case x >= 100:
		c.Text = "about " + quantity.Fixed(x, 0)
	case x > 0:
		c.Text = "about " + quantity.Significant(x, 2)
	default:
		c.Text = "–"
	}
	return c
}

func fuseCell(f *sheet.LoadFuse) cell {
	c := cell{Column: atFuseColumn, Text: "–", Class: "reason"}
	switch {
	case f == nil:
	case f.Why != "":
		c.Text, c.Note = "none", f.Why
	default:
		c.Text = plainNumber(f.RatingA) + nbsp + "A"
	}
	return c
}

// results is the table of all results.
func (t *loadTables) results() template.HTML {
	return table{Caption: "What it gives by load, and what that means", Class: "small at-results", Head: t.head(), Groups: t.groups}.html()
}

// lead adds the row of a result's leads where it isn't there yet, and returns its
// number; -1 where no lead is advised.
func (t *loadTables) lead(r *sheet.LoadResult) int {
	if len(r.Leads) == 0 {
		return -1
	}
	cells := []cell{{Text: quantity.Significant(r.AmpsA, 3), Head: "row"}}
	for i, l := range r.Leads {
		cells = append(cells, cell{Text: leadText(l), Column: i + 1})
	}
	same := func(o row) bool {
		return slices.EqualFunc(o.Cells, cells, func(a, b cell) bool { return a.Text == b.Text })
	}
	if n := slices.IndexFunc(t.leadRows, same); n >= 0 {
		return n
	}
	t.leadRows = append(t.leadRows, row{Cells: cells})
	return len(t.leadRows) - 1
}

// leadText is a lead for people: "25 mm² or AWG 4, 0.37 V lost".
func leadText(l sheet.LoadLead) string {
	var sizes []string
	if l.AreaMM2 > 0 {
		sizes = append(sizes, plainNumber(l.AreaMM2)+nbsp+"mm²")
	}
	if l.Gauge != "" {
		sizes = append(sizes, "AWG"+nbsp+l.Gauge)
	}
	if len(sizes) == 0 {
		return "no single one"
	}
	return strings.Join(sizes, " or ") + ", " + quantity.Fixed(l.DropV, 2) + nbsp + "V lost"
}

// leads is the table of leads; empty where none is advised.
func (t *loadTables) leads() template.HTML {
	if len(t.leadRows) == 0 {
		return ""
	}
	out := table{Caption: "Supply leads by current and length: the thinnest, and the volts lost", Class: "small at-leads", Head: []column{{Text: "Supply / A"}}, Groups: [][]row{t.leadRows}}
	for _, m := range sheet.LeadMetals {
		for _, l := range sheet.LeadLengths() {
			out.Head = append(out.Head, column{Text: m.Name + ", " + plainNumber(l) + nbsp + "m"})
		}
	}
	return out.html()
}
