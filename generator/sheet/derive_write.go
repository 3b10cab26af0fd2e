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
// looked up. The format is one line of visible characters, in words one blank apart,
// without & < > and ". Numbers may be nil.
func write(b []byte, numbers *numerals, format string, args ...any) sentence {
	s := sentence{b: b, start: len(b)}
	s.write(numbers, format, args)
	s.ends()
	return s
}

// write goes on with a sentence.
func (s *sentence) write(numbers *numerals, format string, args []any) {
	s.marked = s.marked || strings.IndexByte(format, '\'') >= 0
	for {
		var more bool
		if format, more = s.literal(format); !more {
			break
		}
		switch x := args[0].(type) {
		case string:
			s.text(x)
		case num:
			s.b = numbers.append(s.b, float64(x))
		case amount:
			s.b = numbers.append(s.b, x.x)
			if x.unit != "" {
				s.b = append(s.b, nbsp...)
				s.text(x.unit)
			}
		case cited:
			s.b = append(append(append(s.b, '['), x...), ']')
		case int:
			s.b = strconv.AppendInt(s.b, int64(x), 10)
		case squares:
			s.b = x.append(s.b)
		case putInto:
			s.b = x.append(s.b)
		default:
			panic("a sentence holds what write doesn't know")
		}
		args = args[1:]
	}
	if len(args) > 0 {
		panic("a sentence has more arguments than places")
	}
}

// ends looks at the end of a sentence.
func (s *sentence) ends() {
	if n := len(s.b); n > s.start && s.b[n-1] == ' ' {
		s.odd = true
	}
}

// A sentence is the end of a buffer.
type sentence struct {
	b     []byte
	start int
	// odd: it may hold what [visible] changes, a character that can't be seen, two
	// blanks that meet, or one at an end.
	odd bool
	// marked: it holds one of & < > " and '.
	marked bool
}

// The kinds of bytes of a text.
const (
	ordinary = iota
	space
	mark    // what markup takes for its own
	unusual // not visible, or the beginning of a character that may not be
)

var kinds = func() (k [256]byte) {
	for c := range k {
		if c < ' ' || c >= 0x7f {
			k[c] = unusual
		}
	}
	k[' '] = space
	for _, c := range "&<>\"'" {
		k[c] = mark
	}
	return k
}()

// literal appends a format up to its next argument, and returns what follows that;
// there is none where more is false.
func (s *sentence) literal(format string) (rest string, more bool) {
	s.meet(format)
	for {
		at := strings.IndexByte(format, '%')
		if at < 0 {
			s.b = append(s.b, format...)
			return "", false
		}
		s.b = append(s.b, format[:at]...)
		if format[at+1] != '%' {
			return format[at+2:], true
		}
		s.b = append(s.b, '%')
		format = format[at+2:]
	}
}

// text appends any text.
func (s *sentence) text(text string) {
	if text == nbsp {
		s.b = append(s.b, nbsp...)
		return
	}
	s.meet(text)
	s.b = append(s.b, text...)
	for i := 0; i < len(text); i++ {
		switch kinds[text[i]] {
		case mark:
			s.marked = true
		case space:
			s.odd = s.odd || i+1 < len(text) && text[i+1] == ' '
		case unusual:
			r, size := utf8.DecodeRuneInString(text[i:])
			s.odd = s.odd || r == utf8.RuneError || !graphic(r)
			i += size - 1
		}
	}
}

// meet looks at the place where a text follows what is written.
func (s *sentence) meet(text string) {
	if len(text) > 0 && text[0] == ' ' && (len(s.b) == s.start || s.b[len(s.b)-1] == ' ') {
		s.odd = true
	}
}

// text is what [write] writes.
func text(format string, args ...any) string {
	var buffer [256]byte
	return string(write(buffer[:0], nil, format, args...).b)
}

// marked reports whether a text holds one of & < > " and '.
func marked(text string) bool { return strings.ContainsAny(text, "&<>\"'") }

// graphic is [unicode.IsGraphic], quick for what sheets are full of.
func graphic(r rune) bool {
	switch r {
	case 0xa0, '±', '·', '²', '°', 'Ω', '−', '√', '“', '”', '…', '≥', '≤':
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
