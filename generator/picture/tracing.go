package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A tracing is a picture that is written as an SVG instead of being drawn: each rectangle,
// shape and letter that a canvas would paint, as an outline, in the same order. It is as
// sharp at any size, and needs no typeface where it is opened; what a letter's outline says
// is its title. Only what M, L, Q and Z of a path say (SVG 2, section 9.3) and rectangles
// are in it, so that any program that cuts films can read it.
type tracing struct {
	inks []string
	b    bytes.Buffer
}

// Trace gives the table as an SVG with nothing but the plate in it, of the frame that
// [TablePlate.Draw] draws at once its size. The bytes are the same each time.
func (p TablePlate) Trace() []byte { return traced(p.Name, p.paint) }

// Trace gives the claim as an SVG, as [TablePlate.Trace] does.
func (p ClaimPlate) Trace() []byte { return traced(p.Name, p.paint) }

// Trace gives the chart as an SVG, as [TablePlate.Trace] does; an error tells what of the
// drawing isn't known here.
func (p ChartPlate) Trace() (out []byte, err error) {
	out = traced(p.Name, func(c *canvas) { err = p.paint(c) })
	return out, err
}

// Trace gives the card as an SVG of the whole frame, as [TablePlate.Trace] does.
func (p EndCard) Trace() []byte { return traced(p.Name, p.paint) }

// traced is a frame that something is painted on, as an SVG.
func traced(title string, paint func(*canvas)) []byte {
	t := &tracing{}
	for _, one := range overlayColours {
		ink := "" // what the film is seen through
		if one.A > 0 {
			ink = fmt.Sprintf("#%02x%02x%02x", one.R, one.G, one.B)
		}
		t.inks = append(t.inks, ink)
	}
	fmt.Fprintf(&t.b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %[1]d %[2]d">`, FrameWidth, FrameHeight)
	t.title(settable(title))
	t.b.WriteByte('\n')
	paint(&canvas{times: 1, traced: t})
	t.b.WriteString("</svg>\n")
	return t.b.Bytes()
}

// title says what something is, for people who look at the parts of the drawing.
func (t *tracing) title(text string) {
	t.b.WriteString("<title>")
	if err := xml.EscapeText(&t.b, []byte(text)); err != nil {
		panic("picture: a title can't be written: " + err.Error()) // a buffer takes all
	}
	t.b.WriteString("</title>")
}

// rect writes a rectangle of whole pixels.
func (t *tracing) rect(x, y, width, height int, with ink) {
	if t.inks[with] == "" {
		return
	}
	fmt.Fprintf(&t.b, `<rect fill="%s" x="%d" y="%d" width="%d" height="%d"/>`+"\n", t.inks[with], x, y, width, height)
}

// shape writes what a raster holds, so strong as some of the levels, and empties it.
func (t *tracing) shape(r *raster, with ink, strength int) {
	r.close()
	fmt.Fprintf(&t.b, `<path fill="%s"`, t.inks[with])
	if strength < levels {
		t.b.WriteString(` fill-opacity="`)
		t.number(divided(strength*one, levels), one)
		t.b.WriteByte('"')
	}
	t.b.WriteString(` d="`)
	for i, e := range r.edges {
		if i == 0 || e.from != r.edges[i-1].to {
			t.command('M', one, e.from.x, e.from.y)
		}
		t.command('L', one, e.to.x, e.to.y)
	}
	t.b.WriteString("\"/>\n")
	r.edges, r.start, r.pen = r.edges[:0], point{}, point{}
}

// text writes the outlines of a text that begins at x and stands on the line y, in pixels.
func (t *tracing) text(letters *lettering, text string, x, y int, s style, with ink) {
	if text == "" {
		return
	}
	fmt.Fprintf(&t.b, `<path fill="%s" d="`, t.inks[with])
	pen := x * 64
	for _, r := range text {
		l := letters.letter(s, r)
		t.letter(letters, l.glyph, s, pen, y*64)
		pen += l.advance
	}
	t.b.WriteString(`">`)
	t.title(text)
	t.b.WriteString("</path>\n")
}

// letter writes a letter's outline with its origin at a place, in 1/64 of a pixel.
func (t *tracing) letter(letters *lettering, i sfnt.GlyphIndex, s style, x, y int) {
	segments, err := typefaces()[s.weight].LoadGlyph(&letters.room, i, s.ppem(), nil)
	if err != nil {
		return // as it isn't drawn
	}
	place := func(command byte, points ...fixed.Point26_6) {
		var all [4]int
		for k, p := range points {
			all[2*k], all[2*k+1] = x+int(p.X), y+int(p.Y)
		}
		t.command(command, 64, all[:2*len(points)]...)
	}
	for _, piece := range segments {
		switch piece.Op {
		case sfnt.SegmentOpMoveTo:
			place('M', piece.Args[0])
		case sfnt.SegmentOpLineTo:
			place('L', piece.Args[0])
		case sfnt.SegmentOpQuadTo:
			place('Q', piece.Args[0], piece.Args[1])
		}
	}
}

// command writes a command of a path and its numbers, given in parts of a pixel.
func (t *tracing) command(name byte, parts int, numbers ...int) {
	t.b.WriteByte(name)
	for i, n := range numbers {
		if i > 0 {
			t.b.WriteByte(' ')
		}
		t.number(n, parts)
	}
}

// number writes a number of parts in pixels, to a hundredth.
func (t *tracing) number(n, parts int) {
	n = divided(100*n, parts)
	if n < 0 {
		t.b.WriteByte('-')
		n = -n
	}
	t.b.Write(strconv.AppendInt(t.b.AvailableBuffer(), int64(n/100), 10))
	if n %= 100; n != 0 {
		t.b.WriteByte('.')
		t.b.WriteByte(byte('0' + n/10))
		if n%10 != 0 {
			t.b.WriteByte(byte('0' + n%10))
		}
	}
}
