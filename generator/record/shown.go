package record

import "strings"

// A Shown is a problem in the parts that a page shows, made harmless as a terminal's are: no character of a file
// changes the direction of a text, or can't be seen. Before, Marked and After are the source line around the problem,
// which is Marked; all three are empty where the problem is of a file as a whole. They are texts, not HTML.
type Shown struct {
	Warning               bool
	File                  string
	Line, Column          int
	Summary, Hint         string
	Before, Marked, After string
}

// Shown gives the problem's parts.
func (p Problem) Shown() Shown {
	s := Shown{
		Warning: p.Severity == Warning, File: harmless(p.File), Line: p.Line, Column: p.Column,
		Summary: harmless(p.Summary), Hint: harmless(p.Hint),
	}
	if p.Length == 0 {
		return s
	}
	cells := cellsOf(p.source)
	from := min(p.caret, len(cells))
	to := min(from+max(p.Length, 1), len(cells))
	s.Before, s.Marked, s.After = joined(cells[:from]), joined(cells[from:to]), joined(cells[to:])
	if p.before {
		s.Before = "…" + s.Before
	}
	if p.after {
		s.After += "…"
	}
	return s
}

func joined(cells []cell) string {
	var b strings.Builder
	for _, c := range cells {
		b.WriteString(c.text)
	}
	return b.String()
}
