package site

import (
	"github.com/yuin/goldmark/ast"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// typed finds numbers with a unit in a text of notes that disagree with the record.
func (r *reader) typed(n *ast.Text) {
	if r.Sheet == nil || n.Parent() == nil || n.Parent().Kind() == ast.KindCodeSpan {
		return
	}
	if r.known == nil {
		r.known = r.Sheet.Knows()
	}
	for _, one := range r.known.Typed(n.Segment.Value(r.source)) {
		hint := "if it is that figure, cite it from the record, or write it as the record has it"
		if one.Cite != "" {
			hint = "if it is that figure, cite it: [](value:" + one.Cite + ")"
		}
		r.problem(record.Warning, n.Segment.Start+one.At, one.Length, typedSays(one), hint)
	}
}

// typedSays says of a number that it disagrees with the record.
func typedSays(one sheet.Typed) string { return one.Text + " is typed, but the record has " + one.Says }
