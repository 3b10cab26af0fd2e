package record

import (
	"regexp"
	"strconv"
	"strings"
)

var (
	thousands = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}([,' ][0-9]{3})+$`)
	withUnit  = regexp.MustCompile(`^\s*([+-]?[0-9]+)(?:([.,])([0-9]+))?\s*([^0-9.,\s].*)?$`)
)

// symbols are how people write the units of keys, in lower case.
var symbols = map[string][]string{
	"watts": {"w", "watt", "watts", "wrms", "w rms"}, "volts": {"v", "volt", "volts", "vrms", "v rms", "vdc", "v dc"},
	"amperes": {"a", "amp", "amps", "ampere", "amperes"}, "ohms": {"ohm", "ohms", "ω", "Ω"},
	"hertz": {"hz", "hertz"}, "percent": {"%", "percent", "pct"}, "seconds": {"s", "sec", "second", "seconds"},
	"milliseconds": {"ms"}, "degrees Celsius": {"c", "°c", "℃", "deg c", "degrees celsius"}, "millimetres": {"mm"},
	"kilograms": {"kg"}, "minutes": {"min", "minute", "minutes"}, "ppm": {"ppm", "ppm/k"},
}

// scales are the prefixes and units that are converted in a hint.
var scales = map[string]map[string]float64{
	"watts": {"kw": 1e3, "mw": 1e-3}, "volts": {"kv": 1e3, "mv": 1e-3}, "amperes": {"ka": 1e3, "ma": 1e-3},
	"ohms": {"mohm": 1e-3, "mω": 1e-3, "kohm": 1e3, "kω": 1e3}, "hertz": {"khz": 1e3, "mhz": 1e6},
	"seconds": {"ms": 1e-3, "min": 60, "minutes": 60, "h": 3600}, "milliseconds": {"s": 1e3, "µs": 1e-3, "us": 1e-3},
	"millimetres": {"cm": 10, "m": 1e3, "in": 25.4}, "kilograms": {"g": 1e-3, "lb": 0.45359237}, "minutes": {"h": 60},
}

// numberHint tells how to write a number that was typed as a text. It never
// offers a number that means something else than what was typed.
func numberHint(f *field, where Place, text string) string {
	text = strings.TrimSpace(text)
	if thousands.MatchString(text) {
		return "without quotes, and with nothing between thousands; a decimal is written with a point"
	}
	m := withUnit.FindStringSubmatch(text)
	if m == nil {
		return "write one number, without quotes; " + f.key + ": " + aboutWithUnit(f)
	}
	number := m[1]
	if m[3] != "" {
		number += "." + m[3]
	}
	if m[4] != "" {
		return unitHint(f, where, number, strings.TrimSpace(m[4]))
	}
	if m[2] == "," {
		return "with a decimal point and without quotes: " + assignment(f.key, where, number)
	}
	return "without quotes: " + assignment(f.key, where, number)
}

// unitHint is numberHint for a number with something behind it.
func unitHint(f *field, where Place, number, behind string) string {
	of, low := unit(f.key), strings.ToLower(behind)
	for _, symbol := range symbols[of] {
		if symbol == low {
			return "the key carries its unit: " + assignment(f.key, where, number)
		}
	}
	scale, known := scales[of][low]
	v, err := strconv.ParseFloat(number, 64)
	switch {
	case known && err == nil && (behind[0] != 'M' || low == "mhz"):
		return f.key + " is in " + of + ": " + assignment(f.key, where, plain(roundTo(v*scale)))
	case of != "":
		return f.key + " is in " + of + ": write the number in that unit, without quotes"
	}
	return "write one number, without quotes; " + f.key + ": " + f.about
}

// roundTo takes the binary dust off a converted number: nine significant digits.
func roundTo(v float64) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 9, 64), 64)
	return v
}
