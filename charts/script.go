package charts

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A script is JSON being written that may stand in a script element as it is. Texts
// are escaped by encoding/json, which writes <, > and & as escapes.
type script struct{ bytes []byte }

// raw adds JSON as it is.
func (w *script) raw(text string) *script {
	w.bytes = append(w.bytes, text...)
	return w
}

// value adds what encoding/json makes of a value.
func (w *script) value(v any) *script {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err) // only for a value that is not finite, and those were left out
	}
	w.bytes = append(w.bytes, text...)
	return w
}

// count adds a whole number.
func (w *script) count(n int) *script {
	w.bytes = strconv.AppendInt(w.bytes, int64(n), 10)
	return w
}

// text adds a string.
func (w *script) text(s string) *script {
	ascii := true
	for i := range len(s) {
		switch c := s[i]; {
		case c < 0x20, c == '"', c == '\\', c == '<', c == '>', c == '&':
			return w.value(s)
		case c >= utf8.RuneSelf:
			ascii = false
		}
	}
	if !ascii && (strings.Contains(s, "\u2028") || strings.Contains(s, "\u2029") || !utf8.ValidString(s)) {
		return w.value(s) // two line ends that scripts don't take, or no text
	}
	w.bytes = append(w.bytes, '"')
	w.bytes = append(w.bytes, s...)
	w.bytes = append(w.bytes, '"')
	return w
}

// place adds a position on screen: six digits are more than a screen shows, and hide
// the last digits in which processors differ. So does a zero for what rounding left of one:
// the least that any axis counts by is a thousandth of an ohm, a percent or a second.
func (w *script) place(x float64) *script {
	if math.Abs(x) < 1e-12 {
		x = 0
	}
	w.bytes = strconv.AppendFloat(w.bytes, finite(x), 'g', 6, 64)
	return w
}

// places adds a list of positions.
func (w *script) places(all ...float64) *script {
	w.raw("[")
	for i, x := range all {
		w.comma(i).place(x)
	}
	return w.raw("]")
}

// comma parts an item from the one before.
func (w *script) comma(i int) *script {
	if i > 0 {
		w.bytes = append(w.bytes, ',')
	}
	return w
}

// decimal is a length on screen to a tenth.
func decimal(x float64) float64 { return math.Round(x*10) / 10 }
