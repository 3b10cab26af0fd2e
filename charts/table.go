package charts

import (
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// cells are a row of a table being written.
type cells []Cell

// rowsAtOnce is for how many rows room is made at once.
const rowsAtOnce = 32

// row begins a row of the table.
func (t *Table) row() cells {
	from, to := len(t.room), len(t.room)+len(t.Head)
	if to > cap(t.room) {
		t.room, from, to = make([]Cell, 0, rowsAtOnce*len(t.Head)), 0, len(t.Head)
	}
	t.room = t.room[:to]
	return cells(t.room[from:from:to])
}

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
