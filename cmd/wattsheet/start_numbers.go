package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// Units as people type them behind a number, in any case.
var (
	ohmTyped     = []string{"ohm", "ohms", "Ω", "\u2126"}
	wattsTyped   = []string{"w", "watt", "watts", "wrms"}
	voltsTyped   = []string{"v", "vdc", "volt", "volts"}
	amperesTyped = []string{"a", "amp", "amps", "ampere", "amperes"}
)

// signs are those of currencies that have one and stand on most price tags.
var signs = map[string]string{"EUR": "€", "GBP": "£", "USD": "$"}

// unitless is a number without the unit that is typed with it.
func unitless(word string, units []string) string {
	number := strings.TrimRightFunc(word, func(r rune) bool { return unicode.IsLetter(r) || unicode.Is(unicode.Sc, r) })
	behind := word[len(number):]
	for _, unit := range units {
		if strings.EqualFold(behind, unit) {
			return strings.TrimRight(number, " \t")
		}
	}
	return word
}

// takesUnit takes one number also with its unit.
func takesUnit(units []string, take func(string) error) func(string) error {
	return func(answer string) error { return take(unitless(answer, units)) }
}

// numbersTyped are the numbers of an answer, without the unit that is typed with them.
// Blanks, semicolons and commas stand between two. A comma between digits may also be a
// decimal one, and a bench or a fuse must not be guessed: where the answer doesn't tell
// which it is, that is an error.
func numbersTyped(answer string, units []string) (numbers []string, err error) {
	words := strings.FieldsFunc(answer, func(r rune) bool { return r == ' ' || r == '\t' || r == ';' })
	points := strings.Contains(answer, ".")
	decimals := strings.Contains(answer, ";")
	for _, word := range words {
		parts := strings.FieldsFunc(word, func(r rune) bool { return r == ',' })
		whole, fraction := "", ""
		if len(parts) == 2 {
			whole, fraction = unitless(parts[0], units), unitless(parts[1], units)
		}
		number := whole + "." + fraction
		switch {
		case points || len(parts) != 2 || whole != parts[0] || !plainNumber(number):
			for _, part := range parts {
				if part = unitless(part, units); part != "" { // else a unit that stands by itself
					numbers = append(numbers, part)
				}
			}
		case len(fraction) != 3 && (decimals || whole == "0" || fraction[0] == '0'):
			numbers = append(numbers, number)
		default:
			return nil, fmt.Errorf("%q may be %s, or %s and %s\nhint: write a fraction with a point, and a blank between two numbers: %s or %s %s",
				word, number, whole, fraction, number, whole, fraction)
		}
	}
	return numbers, nil
}

// pointed writes a decimal comma as a point, where it can be nothing else: before three
// digits it may stand between thousands.
func pointed(text string) string {
	whole, fraction, comma := strings.Cut(text, ",")
	if !comma || len(fraction) == 3 || !plainNumber(whole+"."+fraction) {
		return text
	}
	return whole + "." + fraction
}

// largeKeys are those whose figures may have their thousands apart, by a point as often as
// by a comma; nobody prints them to a thousandth.
var largeKeys = []string{"power_w", "max_w", "price"}

// apart is a number with something between its thousands, perhaps with a fraction.
var apart = regexp.MustCompile("^([1-9][0-9]{0,2})((?:[.,'\u2019 \u00a0\u202f][0-9]{3})+)(?:[.,]([0-9]+))?$")

// thousands is the error for a number with something between its thousands, which says how
// to write it; nil for any other. One point is a decimal one but in largeKeys.
func thousands(key, text string) error {
	m := apart.FindStringSubmatch(text)
	if m == nil {
		return nil
	}
	behind := strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, m[2])
	whole := m[1] + behind
	switch mark := m[2][0]; {
	case m[3] != "":
		return fmt.Errorf("%q has something between its thousands\nhint: write %s.%s", text, whole, m[3])
	case len(behind) > 3 || mark != '.' && mark != ',':
		return fmt.Errorf("%q has something between its thousands\nhint: write %s", text, whole)
	case mark == ',' || slices.Contains(largeKeys, key):
		return fmt.Errorf("%q may be %s or %s.%s\nhint: nothing between thousands: %s; or a point and one more digit: %s.%s0", text, whole, m[1], behind, whole, m[1], behind)
	}
	return nil
}

// plainNumber reports whether a text is digits, perhaps with a point between them, as
// people type them and as TOML takes them.
func plainNumber(text string) bool {
	whole, fraction, pointed := strings.Cut(text, ".")
	digits := func(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
	return digits(whole) && (!pointed || digits(fraction)) && (whole == "0" || whole[0] != '0') && len(text) < 30
}
