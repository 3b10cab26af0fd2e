package charts

import (
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// cells are a row of a table being written.
type cells []Cell

// row begins a row of the table.
func (t *Table) row() cells { return make(cells, 0, len(t.Head)) }

// add ends a row, with the rows before it.
func (t *Table) add(row cells) { t.Rows = append(t.Rows, row) }

func (c cells) text(all ...string) cells {
	for _, s := range all {
		c = append(c, Cell{Text: s})
	}
	return c
}

// value adds a figure's value and U; both are empty where there is none.
func (c cells) value(f *sheet.Figure) cells {
	if f == nil {
		return c.text("", "")
	}
	return c.text(f.ValueText, f.UText)
}

// figure adds a figure's value, U and k.
func (c cells) figure(f *sheet.Figure) cells {
	k := ""
	if f != nil && f.U > 0 {
		k = quantity.Significant(f.K, 3)
	}
	return c.value(f).text(k)
}

// run adds a run's number, with the place where it is listed.
func (c cells) run(r *sheet.Run) cells { return append(c, Cell{Text: r.ID, Href: "#run-" + r.ID}) }

// ended adds a run's number and outcome.
func (c cells) ended(r *sheet.Run) cells { return c.run(r).text(r.OutcomeText) }
