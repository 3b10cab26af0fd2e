package logbook

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// Rows are runs of a table that could be appended to a record, and have been decoded
// with it.
type Rows struct {
	book *Book
	add  []byte
	rec  *record.Record
}

// Propose decodes the record with runs behind it, as check would, and compares what
// comes of it. Nothing is written yet. The error is one for people.
func (b *Book) Propose(runs []record.Run) (*Rows, error) {
	tables := make([]string, len(runs))
	for i := range runs {
		tables[i] = runs[i].Text()
	}
	add := appendix(b.text, "\n"+strings.Join(tables, "\n"))
	rec, problems := b.decode(slices.Concat(b.text, add))
	if problems.Errors() {
		return nil, b.refused(problems)
	}
	first := len(rec.Runs) - len(runs)
	same := func(a, b record.Run) bool { return a.Text() == b.Text() }
	if first != len(b.rec.Runs) || !slices.EqualFunc(rec.Runs[first:], runs, same) {
		return nil, fmt.Errorf("%s would not say what the table says; nothing was written", b.name)
	}
	return &Rows{b, add, rec}, nil
}

// Write appends the runs in one write, unless a file was changed since they were
// proposed.
func (r *Rows) Write() error {
	changed, err := r.book.refresh()
	if err != nil {
		return err
	}
	if changed {
		return fmt.Errorf("the record or the bench was changed meanwhile; nothing was written\nhint: do it again")
	}
	return r.book.append(r.add, r.rec)
}
