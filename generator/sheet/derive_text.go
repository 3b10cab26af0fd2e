package sheet

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// width is how many columns a text takes: two for what is wide, at least.
func width(text string) int {
	n := 0
	for _, r := range text {
		n += columnsOf(r)
	}
	return n
}

func columnsOf(r rune) int {
	const wide = 0x2e80 // from here on, terminals may give two columns
	if r >= wide {
		return 2
	}
	return 1
}

// shown makes a text one line of visible characters: what isn't becomes a mark.
func shown(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0', r == '\n', r == '\t':
			return ' '
		case !unicode.IsGraphic(r):
			return utf8.RuneError
		}
		return r
	}, text)
}

// cut shortens a text to so many columns.
func cut(text string, columns int) string {
	if len(text) <= columns && ascii(text) {
		return text
	}
	text = shown(text)
	if width(text) <= columns {
		return text
	}
	n := 0
	for i, r := range text {
		if n += columnsOf(r); n > columns-1 {
			return text[:i] + "…"
		}
	}
	return text
}

// ascii reports whether a text is visible ASCII, each byte of it a column.
func ascii(text string) bool {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c >= 0x7f {
			return false
		}
	}
	return true
}

// Wrap breaks a text for a terminal into lines of at most so many columns.
func Wrap(text string, columns int) []string { return wrap(text, columns) }

// wrap breaks a text into lines of at most so many columns, at blanks; a word
// longer than a line is broken anywhere. No-break spaces hold.
func wrap(text string, columns int) []string {
	var lines []string
	var line strings.Builder
	have := 0
	end := func() {
		lines = append(lines, line.String())
		line.Reset()
		have = 0
	}
	for _, word := range words(text) {
		if have > 0 && have+1+width(word) > columns {
			end()
		}
		if have > 0 {
			line.WriteByte(' ')
			have++
		}
		for _, r := range word {
			if have+columnsOf(r) > columns {
				end()
			}
			line.WriteRune(r)
			have += columnsOf(r)
		}
	}
	if have > 0 || len(lines) == 0 {
		end()
	}
	return lines
}

// words are the words of a text, each of visible characters; no-break spaces hold
// words together.
func words(text string) []string {
	out := strings.FieldsFunc(text, blank)
	for i, w := range out {
		out[i] = shown(w)
	}
	return out
}

func blank(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }

// visible makes a text one line of visible characters that keeps its no-break
// spaces.
func visible(text string) string {
	return strings.Join(strings.FieldsFunc(strings.Map(func(r rune) rune {
		if r == '\u00a0' || r == '\n' || r == '\t' || unicode.IsGraphic(r) {
			return r
		}
		return utf8.RuneError
	}, text), blank), " ")
}

// pad fills a text up to so many columns, to the right or, for numbers, to the left
// of it; a number too long for its column still stands apart from the one before.
func pad(text string, columns int) string {
	return text + strings.Repeat(" ", max(columns-width(text), 0))
}

func padLeft(text string, columns int) string {
	return strings.Repeat(" ", max(columns-width(text), 1)) + text
}
