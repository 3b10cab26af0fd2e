package charts

import (
	"html"
	"math"
	"strconv"
	"strings"
	"sync"
)

// An svg is markup being written. Texts and values of attributes are escaped here
// and nowhere else.
type svg struct{ markup []byte }

// desks are room for drawings and data being written, used again.
var desks = sync.Pool{New: func() any { return new([]byte) }}

// drawing is the markup that a function writes.
func drawing(write func(*svg)) string {
	desk := desks.Get().(*[]byte)
	w := svg{(*desk)[:0]}
	write(&w)
	out := string(w.markup)
	*desk = w.markup
	desks.Put(desk)
	return out
}

// raw adds markup as it is.
func (w *svg) raw(markup string) *svg {
	w.markup = append(w.markup, markup...)
	return w
}

// number adds a position, and count a whole number.
func (w *svg) number(x float64) *svg {
	w.markup = appendNumber(w.markup, x)
	return w
}

func (w *svg) count(n int) *svg {
	w.markup = strconv.AppendInt(w.markup, int64(n), 10)
	return w
}

// line adds a line as the value of d.
func (w *svg) line(line polyline) *svg {
	w.raw("M").number(line[0].x).raw(" ").number(line[0].y)
	pen := pen{svg: w, x: tenths(line[0].x), y: tenths(line[0].y)}
	for _, d := range line[1:] {
		pen.to(d)
	}
	return w
}

// A pen draws a line in steps from where it is, in tenths: steps have fewer digits than places,
// and as whole numbers they end where the places would.
type pen struct {
	*svg
	x, y    int64
	command byte
}

// to leads the line on to a dot; not at all where it is there.
func (p *pen) to(d dot) {
	dx, dy := tenths(d.x)-p.x, tenths(d.y)-p.y
	p.x, p.y = p.x+dx, p.y+dy
	switch {
	case dx == 0 && dy == 0:
	case dy == 0:
		p.step('h', dx)
	case dx == 0:
		p.step('v', dy)
	default:
		p.step('l', dx)
		p.step('l', dy)
	}
}

// step adds one number of a command, with the command or what parts it from the number before.
func (p *pen) step(command byte, by int64) {
	if p.command != command {
		p.markup = append(p.markup, command)
		p.command = command
	} else if by > 0 {
		p.markup = append(p.markup, ' ')
	}
	p.markup = appendTenths(p.markup, by)
}

// open writes a start tag; attributes are name, value, name, value.
func (w *svg) open(name string, attributes ...string) {
	w.tag(name, attributes)
	w.raw(">")
}

// empty writes an element without content.
func (w *svg) empty(name string, attributes ...string) {
	w.tag(name, attributes)
	w.raw("/>")
}

func (w *svg) close(name string) { w.raw("</").raw(name).raw(">") }

// text writes an element that holds only text.
func (w *svg) text(name, content string, attributes ...string) {
	w.open(name, attributes...)
	w.escaped(content).close(name)
}

func (w *svg) tag(name string, attributes []string) {
	w.raw("<").raw(name)
	for i := 0; i+1 < len(attributes); i += 2 {
		w.raw(" ").raw(attributes[i]).raw(`="`).escaped(attributes[i+1]).raw(`"`)
	}
}

// escaped adds a text, made safe.
func (w *svg) escaped(s string) *svg { return w.raw(escape(s)) }

// attribute adds the attribute that the tag being written has next: a number's name with its
// blank and quote, ` x="`.
func (w *svg) attribute(name string, x float64) *svg { return w.raw(name).number(x).raw(`"`) }

// escape makes a text safe in XML and HTML, in content and in quoted attributes.
// Characters that XML 1.0 does not have (section 2.2) become U+FFFD.
func escape(s string) string {
	if harmless(s) {
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

// harmless reports whether escape has nothing to do: quickly, so that it may be wrong
// in saying no.
func harmless(s string) bool {
	for i := range len(s) {
		switch c := s[i]; {
		case c < 0x20, c >= 0xED, c == '<', c == '>', c == '&', c == '\'', c == '"':
			return false
		}
	}
	return true
}

// number writes a position with one decimal at most.
func number(x float64) string {
	var room [24]byte
	return string(appendNumber(room[:0], x))
}

func appendNumber(text []byte, x float64) []byte { return appendTenths(text, tenths(x)) }

func tenths(x float64) int64 { return int64(math.Round(x * 10)) }

func appendTenths(text []byte, tenths int64) []byte {
	if tenths%10 == 0 {
		return strconv.AppendInt(text, tenths/10, 10)
	}
	if tenths < 0 {
		text, tenths = append(text, '-'), -tenths
	}
	return append(strconv.AppendInt(text, tenths/10, 10), '.', byte('0'+tenths%10))
}

// tickText writes the number at a tick of power.
func tickText(x float64) string { return signed(strconv.FormatFloat(x, 'g', 6, 64)) }
