package sheet

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// What stands in a sentence beside strings and whole numbers.
type (
	// A num is a number for a pocket calculator; see [calc].
	num float64
	// An amount is a number with its unit; a bare number has none.
	amount struct {
		x    float64
		unit string
	}
	// A cited formula is named by its id, in brackets.
	cited string
)

// write appends a sentence: a format in which each %s is the next argument and %% a
// percent sign. It is fmt's, with these arguments only, and so quick that a page of
// ten thousand numbers costs a millisecond: none of them escapes, and nothing is
// looked up. clean is false where the result may not be one line of visible
// characters, in words one blank apart; the format must be that.
func write(b []byte, format string, args ...any) (out []byte, clean bool) {
	clean, start := true, len(b)
	for {
		at := strings.IndexByte(format, '%')
		if at < 0 {
			break
		}
		b, clean = join(b, format[:at], clean, start)
		verb := format[at+1]
		format = format[at+2:]
		if verb == '%' {
			b = append(b, '%')
			continue
		}
		switch x := args[0].(type) {
		case string:
			if x == nbsp {
				b = append(b, nbsp...)
				break
			}
			b, clean = join(b, x, clean && !odd(x), start)
		case num:
			b = appendCalc(b, float64(x))
		case amount:
			b = appendCalc(b, x.x)
			if x.unit != "" {
				b, clean = join(append(b, nbsp...), x.unit, clean && !odd(x.unit), start)
			}
		case cited:
			b = append(append(append(b, '['), x...), ']')
		case int:
			b = strconv.AppendInt(b, int64(x), 10)
		case squares:
			b = x.append(b)
		case putInto:
			b = x.append(b)
		default:
			panic("a sentence holds what write doesn't know")
		}
		args = args[1:]
	}
	if len(args) > 0 {
		panic("a sentence has more arguments than places: " + format)
	}
	b, clean = join(b, format, clean, start)
	return b, clean && (len(b) == start || b[len(b)-1] != ' ')
}

// join appends a text to a sentence that starts at a place of b; two blanks that meet,
// and one at the start, aren't clean.
func join(b []byte, text string, clean bool, start int) ([]byte, bool) {
	if len(text) > 0 && text[0] == ' ' && (len(b) == start || b[len(b)-1] == ' ') {
		clean = false
	}
	return append(b, text...), clean
}

// text is what [write] writes.
func text(format string, args ...any) string {
	var buffer [256]byte
	b, _ := write(buffer[:0], format, args...)
	return string(b)
}

// odd reports whether a text may hold what [visible] changes: a character that can't
// be seen, or two blanks that meet.
func odd(text string) bool {
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case c > ' ' && c < 0x7f:
		case c == ' ':
			if i+1 < len(text) && text[i+1] == ' ' {
				return true
			}
		case c < utf8.RuneSelf:
			return true
		case c == 0xc2 && i+1 < len(text) && text[i+1] >= 0xa0 && text[i+1] != 0xad: // up to U+00BF, and no soft hyphen
			i++
		default:
			r, size := utf8.DecodeRuneInString(text[i:])
			if r == utf8.RuneError || !graphic(r) {
				return true
			}
			i += size - 1
		}
	}
	return false
}

// graphic is [unicode.IsGraphic], quick for what sheets are full of.
func graphic(r rune) bool {
	switch r {
	case 'Ω', '−', '√', '“', '”', '…', '≥', '≤':
		return true
	}
	return unicode.IsGraphic(r)
}

// calc writes a number for a pocket calculator: six significant digits, without
// trailing zeros.
func calc(x float64) string {
	var buffer [32]byte
	return string(appendCalc(buffer[:0], x))
}

func appendCalc(b []byte, x float64) []byte {
	switch a := math.Abs(x); {
	case math.IsInf(x, 0):
		return append(b, "∞"...)
	case x == 0:
		return append(b, '0')
	case a < 1e-4 || a >= 1e7:
		var buffer [32]byte
		mantissa, exponent, _ := bytes.Cut(strconv.AppendFloat(buffer[:0], x, 'e', 5, 64), []byte{'e'})
		mantissa = bytes.TrimRight(bytes.TrimRight(mantissa, "0"), ".")
		b = append(append(b, mantissa...), 'e')
		return append(b, bytes.TrimPrefix(exponent, []byte{'+'})...)
	}
	return quantity.AppendShort(b, x, 6)
}

// typed is a number of the record, as written.
func typed(n record.Number) string {
	if n.Text == "" {
		return calc(n.Value)
	}
	return n.Text
}
