package site

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/yuin/goldmark/ast"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// value puts a figure of the record into the place of its citation,
// [](value:RUN/QUANTITY), so that prose can't drift from the record.
func (r *reader) value(n *ast.Link, citation string) {
	length := r.extent(n.Pos(), ')')
	fail := func(summary, hint string) {
		r.problem(record.Error, n.Pos(), length, summary, hint)
		remove(n)
	}
	if r.Sheet == nil {
		fail("only the notes of a unit can cite a figure", "write the number, or move the sentence to notes.md of its unit")
		return
	}
	if n.ChildCount() > 0 {
		fail("the text of a citation would be left out", "leave the brackets empty: [](value:"+citation+")")
		return
	}
	id, quantity, _ := strings.Cut(citation, "/")
	run := runOf(r.Sheet, id)
	if h := r.Back.find(r.Sheet.Slug, "run", id); h != nil && run == nil {
		fail(h.Called()+" is "+h.When(), "take the sentence out of the notes until then; notes are seen with their unit")
		return
	}
	if run == nil {
		fail("there is no run "+strconv.Quote(id)+" in the record", runHint(r.Sheet, id))
		return
	}
	figure, hint := cited(run, quantity)
	if figure == nil {
		fail("run "+run.ID+" has no "+strconv.Quote(quantity), hint)
		return
	}
	text := markup(`<a class="value" href="#run-` + escape(run.ID) + `">` + escape(figure.Text) + `</a>`)
	n.Parent().ReplaceChild(n.Parent(), n, text)
}

func runOf(s *sheet.Sheet, id string) *sheet.Run {
	for _, r := range s.Runs {
		if r.ID == id {
			return r
		}
	}
	return nil
}

func runHint(s *sheet.Sheet, id string) string {
	ids := make([]string, 0, len(s.Runs))
	for _, r := range s.Runs {
		ids = append(ids, r.ID)
	}
	if len(ids) == 0 {
		return "the record has no runs yet"
	}
	if near := nearest(id, ids); near != "" {
		return "did you mean " + near + "?"
	}
	const most = 8
	if len(ids) > most {
		return "the record has " + strings.Join(ids[:most], ", ") + " and more"
	}
	return "the record has " + and(ids)
}

// cited finds a figure of a run by the name that notes use; the hint says which
// there are where there is none of that name.
func cited(run *sheet.Run, name string) (figure *sheet.Figure, hint string) {
	names, figures := sheet.Citable(run)
	if i := slices.Index(names, name); i >= 0 {
		return figures[i], ""
	}
	// With one channel driven, its name may be left out.
	var short []string
	for i, n := range names {
		if quantity, _, ofChannel := strings.Cut(n, "."); ofChannel && quantity == name {
			if len(run.Channels) == 1 {
				return figures[i], ""
			}
			short = append(short, n)
		}
	}
	switch {
	case len(short) > 0:
		return nil, "it has several channels; write " + strings.Join(short, " or ")
	case len(names) == 0:
		return nil, "the run has no figures"
	}
	if near := nearest(name, names); near != "" {
		return nil, "did you mean " + near + "?"
	}
	return nil, "it has " + and(names)
}

// brokenValue finds a citation that markdown didn't take for a link, as when a
// blank stands in it; it would be published as it was typed.
func (r *reader) brokenValue(n *ast.Text) {
	mark := []byte("](value:")
	if n.Parent() == nil || n.Parent().Kind() == ast.KindCodeSpan {
		return
	}
	i := bytes.Index(r.source[n.Segment.Start:lineEnd(r.source, n.Segment.Start)], mark)
	at := n.Segment.Start + i
	if i < 0 || at >= n.Segment.Stop {
		return
	}
	r.problem(record.Error, at, r.extent(at, ')'), "this is not a citation as it stands",
		"write it without blanks: [](value:RUN/QUANTITY)")
}

func lineEnd(source []byte, from int) int {
	if i := bytes.IndexByte(source[from:], '\n'); i >= 0 {
		return from + i
	}
	return len(source)
}

func letter(c rune) bool { return unicode.IsLetter(c) || unicode.IsDigit(c) || unicode.IsMark(c) }

func itoa(n int) string { return strconv.Itoa(n) }
