package record

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

// powers are the units that a column may be in, by the ending of its key: each with the
// power of ten that makes it the key's own.
var powers = map[string]map[string]int{
	"w":   {"W": 0, "mW": -3, "kW": 3},
	"v":   {"V": 0, "mV": -3, "kV": 3, "µV": -6, "μV": -6, "uV": -6},
	"a":   {"A": 0, "mA": -3, "µA": -6, "μA": -6, "uA": -6},
	"ohm": {"ohm": 0, "Ω": 0, "\u2126": 0, "mΩ": -3, "mohm": -3, "kΩ": 3},
	"hz":  {"Hz": 0, "kHz": 3},
	"pct": {"%": 0, "ppm": -4},
	"s":   {"s": 0, "ms": -3},
	"c":   {"°C": 0, "C": 0},
	"min": {"min": 0},
}

// unitsOf are the units that a key's column may be in.
func unitsOf(key string) map[string]int {
	if !strings.Contains(key, "_") || strings.Contains(key, ".") {
		return nil
	}
	return powers[key[strings.LastIndexByte(key, '_')+1:]]
}

var cellNumber = regexp.MustCompile(`^([+-]?)(\d*)(?:([.,])(\d*))?(?:[eE]([+-]?\d{1,4}))?$`)

// readNumber reads a cell as a number in a key's unit. The text is the number as it
// was written, with a point and in that unit: the point is moved, no digit is lost.
// Where it can't, why says what is wrong and hint what to do.
func readNumber(cell string, decimalComma bool, units map[string]int, power int) (text, why, hint string) {
	number := strings.Replace(strings.TrimSpace(cell), "\u2212", "-", 1)
	if n := strings.LastIndexAny(number, "0123456789.,"); n >= 0 && n+1 < len(number) {
		if p, known := units[strings.TrimSpace(number[n+1:])]; known {
			number, power = strings.TrimSpace(number[:n+1]), p
		}
	}
	m := cellNumber.FindStringSubmatch(number)
	if m == nil || m[2] == "" && m[4] == "" {
		hint = "a cell holds one number, without separators of thousands"
		if len(units) > 0 {
			hint += "; its unit may stand behind it"
		}
		return "", "is " + quoted(cell) + ", which is no number", hint
	}
	switch {
	case m[3] == "," && !decimalComma:
		return "", "is " + quoted(cell) + ", with a comma", "numbers have a decimal point; where this file has a comma, say decimal_comma = true in [runs_file]"
	case m[3] == "." && decimalComma:
		return "", "is " + quoted(cell) + ", with a point, but decimal_comma is true", "write all numbers in one way; separators of thousands can't be read"
	}
	whole, fraction := shifted(m[2], m[4], power)
	text = strings.TrimPrefix(m[1], "+") + whole
	if fraction != "" {
		text += "." + fraction
	}
	if m[5] != "" {
		text += "e" + m[5]
	}
	return text, "", ""
}

// shifted moves the point of a number's digits and keeps all of them; the whole part
// has no needless zeros before it.
func shifted(whole, fraction string, power int) (string, string) {
	for ; power > 0; power-- {
		fraction += strings.Repeat("0", 1-min(len(fraction), 1))
		whole, fraction = whole+fraction[:1], fraction[1:]
	}
	for ; power < 0; power++ {
		whole = strings.Repeat("0", 1-min(len(whole), 1)) + whole
		whole, fraction = whole[:len(whole)-1], whole[len(whole)-1:]+fraction
	}
	whole = strings.TrimLeft(whole, "0")
	if whole == "" {
		whole = "0"
	}
	return whole, fraction
}

// dotted is a day as it is written with points, day first.
var dotted = regexp.MustCompile(`^(\d\d?)\.(\d\d?)\.(\d{4})[ T]+(.*)$`)

var clockTime = regexp.MustCompile(`^(\d{4}-\d\d-\d\d)[ Tt]+(\d\d?):(\d\d)(:\d\d(?:\.\d+)?)? ?([Zz]|[+-]\d\d:\d\d)?$`)

// readMoment reads a cell as an instant. A time without an offset gets the file's.
func readMoment(cell, offset string) (at time.Time, text, why, hint string) {
	hint = "write day and time as in 2026-10-09 14:05, or 2026-10-09T14:05:00+02:00; a day with slashes can be read in two ways"
	typed := cell
	if m := dotted.FindStringSubmatch(cell); m != nil {
		cell = m[3] + "-" + twoDigits(m[2]) + "-" + twoDigits(m[1]) + " " + m[4]
	}
	m := clockTime.FindStringSubmatch(cell)
	if m == nil {
		return at, "", "is " + quoted(typed) + ", no day and time that can be read", hint
	}
	zone := strings.ToUpper(m[5])
	if zone == "" {
		if zone = offset; zone == "" {
			return at, "", "is " + quoted(typed) + ", a time without the time zone's offset", `add it to the cells, or to [runs_file]: utc_offset = "+01:00"`
		}
	}
	seconds := m[4]
	if seconds == "" {
		seconds = ":00"
	}
	text = m[1] + "T" + twoDigits(m[2]) + ":" + m[3] + seconds + zone
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return at, "", "is " + quoted(typed) + ", a time that calendar and clock don't have", "look at the day of the month, the hour, and the offset"
	}
	return at, text, "", ""
}

func twoDigits(text string) string { return strings.Repeat("0", 2-min(len(text), 2)) + text }

var offsetForm = regexp.MustCompile(`^(Z|[+-](0\d|1[0-4]):[0-5]\d)$`)

// parts cuts a cell that holds several names: at semicolons, else at commas.
func parts(cell string) (names []string) {
	by := ","
	if strings.Contains(cell, ";") {
		by = ";"
	}
	for name := range strings.SplitSeq(cell, by) {
		if name = strings.TrimSpace(name); name != "" {
			names = append(names, name)
		}
	}
	return names
}

// parsed is a number's text as a value.
func parsed(text string) float64 {
	v, _ := strconv.ParseFloat(text, 64)
	return v
}
