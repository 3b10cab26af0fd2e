package main

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"wattsheet/generator/record"
)

// screen is how many characters a terminal's line has.
const screen = 80

// shownFirst and shownLast are how many rows of a long table are shown.
const shownFirst, shownLast = 12, 4

// sayRuns prints runs as a table.
func sayRuns(u *ui, runs []record.Run) {
	u.say("")
	for _, line := range runTable(runs) {
		u.say("%s", line)
	}
}

// runTable shows runs as a table that fits a terminal: where all keys don't fit side by
// side, the rest stands in a further part below, with the ids again.
func runTable(runs []record.Run) (lines []string) {
	var rows [][][2]string
	var keys []string
	seen := map[string]bool{}
	for i := range runs {
		row := pairsOf(&runs[i])
		for _, pair := range row {
			if !seen[pair[0]] {
				seen[pair[0]] = true
				keys = append(keys, pair[0])
			}
		}
		rows = append(rows, row)
	}
	for first := true; len(keys) > 1 || first; first = false {
		var part []string
		if lines != nil {
			lines = append(lines, "")
		}
		part, keys = tablePart(rows, keys)
		lines = append(lines, part...)
	}
	return lines
}

// pairsOf are a run's keys and values.
func pairsOf(r *record.Run) (pairs [][2]string) {
	for line := range strings.Lines(r.Text()) {
		if key, value, ok := strings.Cut(strings.TrimSuffix(line, "\n"), " = "); ok {
			pairs = append(pairs, [2]string{key, strings.Trim(harmless(value), `"`)})
		}
	}
	return pairs
}

// tablePart shows as many keys as fit, the first of which is the id, and gives those
// that are left, with the id before them.
func tablePart(rows [][][2]string, keys []string) (lines, left []string) {
	const widest = 34
	shown := rows
	if len(rows) > shownFirst+shownLast+1 {
		shown = append(rows[:shownFirst:shownFirst], rows[len(rows)-shownLast:]...)
	}
	text := make([]string, len(shown)+1)
	for n, key := range keys {
		width := utf8.RuneCountInString(key)
		cells := []string{key}
		for _, row := range shown {
			cell := ""
			for _, pair := range row {
				if pair[0] == key {
					cell = shortened(pair[1], widest)
				}
			}
			width = max(width, utf8.RuneCountInString(cell))
			cells = append(cells, cell)
		}
		if n > 1 && utf8.RuneCountInString(text[0])+width > screen {
			left = append([]string{keys[0]}, keys[n:]...)
			break
		}
		for i, cell := range cells {
			text[i] += cell + strings.Repeat(" ", width-utf8.RuneCountInString(cell)+2)
		}
	}
	for i, line := range text {
		lines = append(lines, strings.TrimRight(line, " "))
		if len(shown) < len(rows) && i == shownFirst {
			lines = append(lines, fmt.Sprintf("… %d more …", len(rows)-len(shown)))
		}
	}
	return lines, left
}

// shortened is a text of at most so many characters.
func shortened(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most-1]) + "…"
}
