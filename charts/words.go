package charts

import (
	"strings"

	"wattsheet/generator/sheet"
)

// nbsp keeps a number and its unit on one line.
const nbsp = "\u00a0"

// signed puts the minus sign, U+2212, in the place of a leading hyphen.
func signed(text string) string {
	if strings.HasPrefix(text, "-") {
		return "−" + text[1:]
	}
	return text
}

// loadText writes a load's nominal resistance without its unit: 8, 2.67, 0.5.
func loadText(ohm float64) string { return strings.TrimSuffix(ohms(ohm), nbsp+"Ω") }

func ohms(load float64) string { return sheet.Ohms(load) }

func capital(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}
