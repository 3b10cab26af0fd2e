package record

import (
	"reflect"
	"strings"
)

func runSchema() *schema { return schemaOf(reflect.TypeFor[Run]()) }

// A csvRow collects the cells of a row as values and places, from which the decoder
// then makes a run as it does of a [[run]] table.
type csvRow struct {
	c      *csvReader
	d      *decoder
	where  Place
	values map[string]any
	bad    map[[2]int]bool // line and column of cells that can't be read, which has been told
}

func (c *csvReader) newRow(f *File, at *node) *csvRow {
	return &csvRow{c: c, d: &decoder{file: f, role: "runs.csv"}, where: Place{f, &node{name: at.name, headed: true, value: at.value, key: at.key}}, values: map[string]any{}, bad: map[[2]int]bool{}}
}

// cell takes one cell.
func (w *csvRow) cell(col csvColumn, cell gridCell) {
	values, table, key := w.values, w.where.node, col.key
	if head, sub, inner := strings.Cut(key, "."); inner {
		kid := table.kid(head)
		if kid == nil {
			kid = &node{name: head, value: cell.where, key: cell.where}
			table.add(kid)
			values[head] = map[string]any{}
		}
		values, table, key = values[head].(map[string]any), kid, sub
	}
	f := runSchema().byKey[col.key]
	if f == nil {
		f = &field{kind: aRef}
	}
	for _, raw := range w.raws(f, col, cell) {
		at := &node{key: cell.where, value: cell.where, text: raw.text, column: col.called, common: col.called == ""}
		w.put(f, values, table, key, raw.value, at)
	}
}

// put keeps a value; a further one of a key that takes several makes a list.
func (w *csvRow) put(f *field, values map[string]any, table *node, key string, value any, at *node) {
	kid := table.kid(key)
	if kid == nil {
		at.name = key
		table.add(at)
		if values[key] = value; f.kind == texts {
			item := *at
			item.name = ""
			at.items, values[key] = []*node{&item}, []any{value}
		}
		return
	}
	if len(kid.items) == 0 {
		item := *kid
		item.name = ""
		kid.items, values[key] = []*node{&item}, []any{values[key]}
	}
	kid.items, values[key] = append(kid.items, at), append(values[key].([]any), value)
}

// A rawCell is a value as the TOML decoder would give it, and its text.
type rawCell struct {
	value any
	text  string
}

// raws reads a cell as its key wants it. What can't be read is told, and stays a text,
// so that it isn't missed as well.
func (w *csvRow) raws(f *field, col csvColumn, cell gridCell) (out []rawCell) {
	rf := &w.c.record.RunsFile
	refuse := func(why, hint string) []rawCell {
		w.bad[[2]int{int(cell.where.line), int(cell.where.column)}] = true
		at := Place{w.d.file, &node{value: cell.where, column: col.called}}
		w.c.add(at.Problem(col.key+" "+why, hint))
		return []rawCell{{cell.text, quoted(cell.text)}}
	}
	switch f.kind {
	case aNumber, numbers:
		text, why, hint := readNumber(cell.text, rf.DecimalComma && w.d.file == w.c.file, unitsOf(col.key), col.power)
		if why != "" {
			return refuse(why, hint)
		}
		return []rawCell{{parsed(text), text}}
	case aMoment:
		at, text, why, hint := readMoment(cell.text, rf.UTCOffset)
		if why != "" {
			return refuse(why, hint)
		}
		return []rawCell{{at, text}}
	case aHold:
		if strings.EqualFold(cell.text, "true") {
			return []rawCell{{true, "true"}}
		}
	case refs, texts:
		for _, name := range parts(cell.text) {
			out = append(out, rawCell{name, quoted(name)})
		}
		return out
	}
	return []rawCell{{cell.text, quoted(cell.text)}}
}

// into fills a run from the cells and from what all rows have in common.
func (w *csvRow) into(run *Run) {
	out := reflect.ValueOf(run).Elem()
	same := reflect.ValueOf(&w.c.constant).Elem()
	s := schemaOf(out.Type())
	out.Field(s.place).Set(reflect.ValueOf(w.where))
	constant := run == &w.c.constant
	for i := range s.fields {
		f := &s.fields[i]
		to := out.Field(f.index)
		raw, given := w.values[f.key]
		switch {
		case given:
			w.d.value(f, Place{w.d.file, w.where.node.kid(f.key)}, "[[run]]", raw, to)
		case constant:
		case w.c.common[f.key]:
			to.Set(same.Field(f.index))
		case f.need && !(f.key == "id" && w.c.numbered):
			w.c.add(w.where.Problem("the row has no "+f.key, "every run needs it: "+f.about))
		default:
			w.d.otherwise(f, to)
		}
	}
	if !constant {
		w.commonOf("with", reflect.ValueOf(&run.With).Elem(), same.FieldByName("With"))
		w.commonOf("read_as", reflect.ValueOf(&run.ReadAs).Elem(), same.FieldByName("ReadAs"))
	}
	for _, p := range w.d.problems {
		if !w.bad[[2]int{p.Line, p.Column}] {
			w.c.add(p)
		}
	}
}

// commonOf gives a row the instruments, or the ways of reading, that all rows have in
// common, where it has the reading.
func (w *csvRow) commonOf(table string, to, same reflect.Value) {
	s := schemaOf(to.Type())
	named, _ := w.values[table].(map[string]any)
	for i := range s.fields {
		f := &s.fields[i]
		_, own := named[f.key]
		_, read := w.values[f.key]
		if w.c.common[table+"."+f.key] && read && !own {
			to.Field(f.index).Set(same.Field(f.index))
		}
	}
}
