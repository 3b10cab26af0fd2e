package site

import "sync"

// A cellDesk is room for the cells of a table being made, used again: a table of runs has
// hundreds.
type cellDesk struct {
	cells []cell
	begin int // of the row being made
}

var cellDesks = sync.Pool{New: func() any { return new(cellDesk) }}

func takeCells() *cellDesk { return cellDesks.Get().(*cellDesk) }

// clear gives the desk back, once the table is written.
func (d *cellDesk) clear() {
	clear(d.cells)
	d.cells, d.begin = d.cells[:0], 0
	cellDesks.Put(d)
}

func (d *cellDesk) add(c cell) { d.cells = append(d.cells, c) }

// row ends a row of the cells that were added since the last.
func (d *cellDesk) row(id string) row {
	cells := d.cells[d.begin:len(d.cells):len(d.cells)]
	d.begin = len(d.cells)
	return row{ID: id, Cells: cells}
}
