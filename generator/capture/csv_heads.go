package capture

import (
	"slices"
	"strings"
)

// headed is a heading without what a table puts around it.
func headed(cell string) string { return strings.Trim(strings.TrimSpace(cell), `"`) }

// isTime tells the heading of a time column: "time" or "t", and perhaps a unit.
func isTime(head string) bool {
	word := strings.FieldsFunc(strings.ToLower(head), func(r rune) bool { return r < 'a' || r > 'z' })
	return len(word) > 0 && (word[0] == "time" || word[0] == "t")
}

// timeUnits are the units of time that tables are written in, in seconds.
var timeUnits = map[string]float64{
	"s": 1, "sec": 1, "second": 1, "seconds": 1, "Second": 1, "Seconds": 1,
	"ms": 1e-3, "millisecond": 1e-3, "milliseconds": 1e-3,
	"us": 1e-6, "µs": 1e-6, "μs": 1e-6, "microsecond": 1e-6, "microseconds": 1e-6,
	"ns": 1e-9, "nanosecond": 1e-9, "nanoseconds": 1e-9,
}

// timeUnit is the unit of time that a heading has, in seconds: all of it, or its last word
// behind "time" or "t", as in "Time (ms)" and "t/µs"; 0 where it has none.
func timeUnit(head string) float64 {
	words := strings.FieldsFunc(headed(head), func(r rune) bool { return strings.ContainsRune(" ()[]{}/,_:", r) })
	if len(words) == 1 || len(words) > 1 && isTime(head) {
		return timeUnits[words[len(words)-1]]
	}
	return 0
}

// unitsOnly tells a line of units below the headings: a unit of time, or each cell in
// brackets.
func unitsOnly(cells []string) bool {
	bracketed := func(cell string) bool {
		h := headed(cell)
		return h == "" || strings.ContainsAny(h[:1], "([") && strings.ContainsAny(h[len(h)-1:], ")]")
	}
	return timeUnit(cells[0]) > 0 || !slices.ContainsFunc(cells, func(c string) bool { return !bracketed(c) })
}
