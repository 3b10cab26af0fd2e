package record

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// columns is the width of a terminal that a problem has to fit.
const columns = 80

// Write prints the problem for people:
//
//	content/units/x/record.toml:12:9: power_w is "74.3 W", a text; a number is needed
//	   12 | power_w = "74.3 W"
//	      |           ^^^^^^^^
//	hint: the key carries its unit: power_w = 74.3
//
// What comes from a file is made harmless for terminals: control characters,
// escape sequences and direction overrides are shown, not obeyed.
func (p Problem) Write(w io.Writer) error {
	_, err := io.WriteString(w, p.String())
	return err
}

// String is what Write prints.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(harmless(p.File))
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", p.Line, p.Column)
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	if p.Severity == Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(harmless(p.Summary) + "\n")
	if p.Length > 0 {
		p.writeSource(&b)
	}
	if p.Hint != "" {
		b.WriteString("hint: " + harmless(p.Hint) + "\n")
	}
	return b.String()
}

// writeSource prints the source line and the marks under the problem.
func (p Problem) writeSource(b *strings.Builder) {
	margin := fmt.Sprintf("%5d | ", p.Line)
	cells := cellsOf(p.source)
	from := min(p.caret, len(cells))
	to := min(from+max(p.Length, 1), len(cells))
	first, last := fit(cells, from, to, columns-len(margin)-1)
	line, before, under := "", 0, 0
	if first > 0 || p.before {
		line, before = "…", 1
	}
	for i := first; i < last; i++ {
		line += cells[i].text
		switch {
		case i < from:
			before += cells[i].width
		case i < to:
			under += cells[i].width
		}
	}
	if last < len(cells) || p.after {
		line += "…"
	}
	b.WriteString(strings.TrimRight(margin+line, " ") + "\n")
	blank := strings.Repeat(" ", len(margin)-2)
	b.WriteString(blank + "| " + strings.Repeat(" ", before) + strings.Repeat("^", max(under, 1)) + "\n")
}

// fit chooses which cells to show, from first to before last, so that they
// fill at most room columns and the problem, from … to, is seen.
func fit(cells []cell, from, to, room int) (first, last int) {
	whole := 0
	for _, c := range cells {
		whole += c.width
	}
	if whole <= room {
		return 0, len(cells)
	}
	room-- // for a second ellipsis
	width := 0
	for last = from; last < to && width+cells[last].width <= room; last++ {
		width += cells[last].width
	}
	first = from
	for grown := true; grown; {
		grown = false
		if first > 0 && width+cells[first-1].width <= room {
			first--
			width += cells[first].width
			grown = true
		}
		if last < len(cells) && width+cells[last].width <= room {
			width += cells[last].width
			last++
			grown = true
		}
	}
	return first, last
}

// A cell is one character of a source line as a terminal shows it.
type cell struct {
	text  string
	width int
}

// tab is how far apart tab stops are.
const tab = 4

// cellsOf makes a line harmless, character by character. A tab is expanded to
// the next tab stop.
func cellsOf(line string) []cell {
	cells := make([]cell, 0, len(line))
	at := 0
	for i := 0; i < len(line); {
		r, size := utf8.DecodeRuneInString(line[i:])
		c := cellOf(r)
		switch {
		case r == '\t':
			c = cell{strings.Repeat(" ", tab-at%tab), tab - at%tab}
		case r == utf8.RuneError && size == 1:
			c = shown(fmt.Sprintf("<%02X>", line[i]))
		}
		cells = append(cells, c)
		at += c.width
		i += size
	}
	return cells
}

// harmless is a text of a file as it may be printed on a terminal, on one line.
func harmless(text string) string {
	plain := true
	for i := 0; i < len(text) && plain; i++ {
		plain = text[i] >= ' ' && text[i] < 0x7f
	}
	if plain {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && size == 1 {
			fmt.Fprintf(&b, "<%02X>", text[i])
		} else {
			b.WriteString(cellOf(r).text)
		}
		i += size
	}
	return b.String()
}

// cellOf shows one character. Control characters become their pictures
// (Unicode block Control Pictures), what is invisible or changes the direction
// of the text becomes its number.
func cellOf(r rune) cell {
	switch {
	case r < ' ':
		return cell{string(r + 0x2400), 1}
	case r < 0x7f:
		return cell{string(r), 1}
	case r == 0x7f:
		return cell{"\u2421", 1}
	case unicode.In(r, unicode.Mn, unicode.Me):
		return cell{string(r), 0}
	case r != ' ' && unicode.IsSpace(r), !unicode.IsGraphic(r):
		return shown(fmt.Sprintf("<U+%04X>", r))
	case wide(r):
		return cell{string(r), 2}
	}
	return cell{string(r), 1}
}

func shown(text string) cell { return cell{text, len(text)} }

// wide reports whether terminals give a character two columns: the main blocks
// of width W and F of Unicode Standard Annex 11.
func wide(r rune) bool {
	if r < 0x1100 {
		return false
	}
	for _, block := range [...][2]rune{
		{0x1100, 0x115f}, {0x2e80, 0x303e}, {0x3041, 0xa4cf}, {0xac00, 0xd7a3}, {0xf900, 0xfaff},
		{0xfe30, 0xfe6f}, {0xff00, 0xff60}, {0xffe0, 0xffe6}, {0x1f300, 0x1faff}, {0x20000, 0x3fffd},
	} {
		if r >= block[0] && r <= block[1] {
			return true
		}
	}
	return false
}
