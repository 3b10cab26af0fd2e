package charts

import (
	"html"
	"math"
	"strconv"
	"strings"
)

// An svg is markup being written. Texts and values of attributes are escaped here
// and nowhere else.
type svg struct{ strings.Builder }

// open writes a start tag; attributes are name, value, name, value.
func (w *svg) open(name string, attributes ...string) {
	w.tag(name, attributes)
	w.WriteByte('>')
}

// empty writes an element without content.
func (w *svg) empty(name string, attributes ...string) {
	w.tag(name, attributes)
	w.WriteString("/>")
}

func (w *svg) close(name string) { w.WriteString("</" + name + ">") }

// text writes an element that holds only text.
func (w *svg) text(name, content string, attributes ...string) {
	w.open(name, attributes...)
	w.WriteString(escape(content))
	w.close(name)
}

func (w *svg) tag(name string, attributes []string) {
	w.WriteString("<" + name)
	for i := 0; i+1 < len(attributes); i += 2 {
		w.WriteString(" " + attributes[i] + `="` + escape(attributes[i+1]) + `"`)
	}
}

// escape makes a text safe in XML and HTML, in content and in quoted attributes.
// Characters that XML 1.0 does not have (section 2.2) become U+FFFD.
func escape(s string) string {
	if !strings.ContainsFunc(s, special) {
		return s
	}
	return html.EscapeString(strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case r < 0x20 || r == 0xFFFE || r == 0xFFFF || r >= 0xD800 && r < 0xE000:
			return 0xFFFD
		}
		return r
	}, s))
}

// special reports whether escape may have something to do with a character.
func special(r rune) bool {
	return r < 0x20 || r >= 0xD800 || r == '<' || r == '>' || r == '&' || r == '\'' || r == '"'
}

// number writes a position with one decimal at most.
func number(x float64) string {
	r := math.Round(x*10) / 10
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// tickText writes the number at a tick of power.
func tickText(x float64) string { return signed(strconv.FormatFloat(x, 'g', 6, 64)) }
