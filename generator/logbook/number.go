package logbook

import (
	"fmt"
	"regexp"
	"strings"
)

// mostDigits is how many digits a reading may have: no meter shows more.
const mostDigits = 15

// A typed number is one reading as somebody typed it.
type typed struct {
	text string // as TOML writes it, in the unit's plain form: 74.3
	unit string // V, A, W, %, °C, Hz, s, min; empty when none was typed
	// otherwise is true where it isn't read plainly as typed: 14,31 as 14.31.
	otherwise bool
}

var number = regexp.MustCompile(`^([+\-−]?)([0-9]*)(?:([.,])([0-9]*))?(.*)$`)

// prefixes are the powers of ten of the prefixes that meters show. Capital M is not
// among them: typed for milli it would be a million times as much.
var prefixes = map[string]int{"": 0, "k": 3, "m": -3, "µ": -6, "μ": -6, "u": -6}

// units are the units that readings are typed with, in lower case, and whether
// they take a prefix.
var units = []struct {
	typed, unit string
	prefix      bool
}{
	{"vrms", "V", true}, {"v", "V", true}, {"a", "A", true}, {"w", "W", true}, {"%", "%", false},
	{"°c", "°C", false}, {"c", "°C", false}, {"hz", "Hz", true}, {"min", "min", false}, {"s", "s", false},
}

// unitAt reads a unit and gives the power of ten of its prefix.
func unitAt(text string) (unit string, power int, ok bool) {
	for _, u := range units {
		before, is := strings.CutSuffix(strings.ToLower(text), u.typed)
		if !is {
			continue
		}
		prefix := text[:len(before)]
		if prefix == "K" {
			prefix = "k"
		}
		if power, known := prefixes[prefix]; known && (u.prefix || prefix == "") {
			return u.unit, power, true
		}
	}
	return "", 0, false
}

// readNumber reads one number, with its unit or without. A decimal comma is taken
// where it can be nothing else; the result says so.
func readNumber(token string) (typed, error) {
	m := number.FindStringSubmatch(token)
	sign, whole, point, fraction, behind := m[1], m[2], m[3], m[4], m[5]
	switch {
	case whole+fraction == "":
		return typed{}, fmt.Errorf("%s is no reading\nhint: digits with a decimal point, with or without a unit: 74.3, 0.0743kW, 14.31V; - for one that wasn't read; words go behind a #", short(token))
	case len(whole+fraction) > mostDigits:
		return typed{}, fmt.Errorf("%s has more digits than a meter shows\nhint: type it as the meter shows it", short(token))
	case strings.ContainsAny(behind, ".,"):
		return typed{}, fmt.Errorf("%s has more than one point or comma\nhint: a blank between readings, and nothing between thousands", short(token))
	case point != "" && fraction == "":
		return typed{}, fmt.Errorf("%s ends in a point\nhint: type the digit behind it, or leave the point out", short(token))
	case point == "," && len(fraction) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0':
		return typed{}, fmt.Errorf("%s may be %s.%s or %s%s\nhint: write a decimal with a point, and nothing between thousands", token, whole, fraction, whole, fraction)
	}
	t, power := typed{}, 0
	if behind != "" {
		var ok bool
		if t.unit, power, ok = unitAt(behind); !ok {
			return typed{}, fmt.Errorf("%s: %s is no unit of a reading\nhint: V, A, W, %% or C, with k or m before it: 74.3W, 0.0743kW, 400mV", short(token), short(behind))
		}
	}
	t.text = shifted(whole, fraction, power)
	if sign == "-" || sign == "−" {
		t.text = "-" + t.text
	}
	t.otherwise = point == "," || power != 0
	return t, nil
}

// grouped reports whether a number without a prefix may have its thousands apart by a
// point: 1.250 is 1250 to many. Readings are as a meter shows them, with three decimals as
// often as not; what a person types from memory, a frequency, isn't.
var grouped = regexp.MustCompile(`^[1-9][0-9]{0,2}\.[0-9]{3}(?:[Hh][Zz])?$`).MatchString

// readFrequency reads a frequency in hertz as text. Nobody sets a generator to a thousandth
// of a hertz, so what looks like thousands is asked about.
func readFrequency(word string) (typed, error) {
	t, err := readNumber(word)
	switch {
	case err != nil:
	case t.unit != "" && t.unit != "Hz":
		err = fmt.Errorf("%s is no frequency\nhint: freq 60, in hertz", short(word))
	case grouped(word):
		whole, fraction, _ := strings.Cut(word[:strings.Index(word, ".")+4], ".")
		err = fmt.Errorf("%s may be %s%s Hz or %s Hz\nhint: nothing between thousands: %s%s; or one more digit: %s0", short(word), whole, fraction, t.text, whole, fraction, t.text)
	}
	return t, err
}

// shifted writes whole.fraction · 10^power in decimal digits, none of them lost.
func shifted(whole, fraction string, power int) string {
	digits, point := whole+fraction, len(whole)+power
	if point <= 0 {
		digits, point = strings.Repeat("0", 1-point)+digits, 1
	}
	if point > len(digits) {
		digits += strings.Repeat("0", point-len(digits))
	}
	before := strings.TrimLeft(digits[:point], "0")
	if before == "" {
		before = "0"
	}
	if point == len(digits) {
		return before
	}
	return before + "." + digits[point:]
}

// short is a text for a message, quoted and cut where it is long.
func short(text string) string {
	const most = 24
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", text)
}
