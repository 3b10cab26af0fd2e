package picture

import (
	"image"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A weight is one of the two typefaces.
type weight int

const (
	regular weight = iota
	bold
)

// typefaces are the fonts, read once; the library reads outlines in whole numbers.
var typefaces = sync.OnceValue(func() [2]*sfnt.Font {
	var both [2]*sfnt.Font
	for i, data := range [][]byte{goregular.TTF, gobold.TTF} {
		f, err := sfnt.Parse(data)
		if err != nil {
			panic("picture: a typeface that is built in can't be read: " + err.Error())
		}
		both[i] = f
	}
	return both
})

// A lettering has letters as they were read and drawn once. It follows from the typefaces
// alone, so that any card may use what another left. The zero value is ready.
type lettering struct {
	room  sfnt.Buffer
	read  map[readLetter]letter
	drawn map[drawnLetter]mask
}

// A style is how a text is set: weight and size, in pixels.
type style struct {
	weight weight
	size   int
}

func (s style) ppem() fixed.Int26_6 { return fixed.I(s.size) }

type readLetter struct {
	style style
	r     rune
}

// A letter is a character of a style: its outline's number, 0 where the face lacks it,
// and how far it moves the next, in 1/64 of a pixel.
type letter struct {
	glyph   sfnt.GlyphIndex
	advance int
}

// A drawnLetter is a letter that begins so many quarters of a pixel right of a whole one.
type drawnLetter struct {
	style    style
	glyph    sfnt.GlyphIndex
	quarters int
}

// A mask is how much a letter covers of the pixels in a box around its origin.
type mask struct {
	box    image.Rectangle
	levels []uint8
}

// most is how many letters of each kind are kept; texts of all the world have more.
const most = 4000

// letter reads a character.
func (l *lettering) letter(s style, r rune) letter {
	key := readLetter{s, r}
	if known, ok := l.read[key]; ok {
		return known
	}
	face, out := typefaces()[s.weight], letter{}
	if i, err := face.GlyphIndex(&l.room, r); err == nil {
		out.glyph = i
	}
	if a, err := face.GlyphAdvance(&l.room, out.glyph, s.ppem(), font.HintingNone); err == nil {
		out.advance = int(a)
	}
	if l.read == nil || len(l.read) >= most {
		l.read = map[readLetter]letter{}
	}
	l.read[key] = out
	return out
}

// width gives the width of a text, in pixels, rounded up; reach in 1/64 of them.
func (l *lettering) width(text string, s style) int { return (l.reach(text, s) + 63) / 64 }

func (l *lettering) reach(text string, s style) (sum int) {
	for _, r := range text {
		sum += l.letter(s, r).advance
	}
	return sum
}

// Writes reports whether the typefaces of cards have all characters of a text.
func Writes(text string) bool {
	var l lettering
	for _, r := range settable(text) {
		if l.letter(style{regular, 20}, r).glyph == 0 {
			return false
		}
	}
	return true
}

// settable is a text as it can be set in one line: without breaks and characters that
// can't be seen, and with one code for what looks the same.
func settable(text string) string {
	return strings.Join(strings.FieldsFunc(strings.Map(func(r rune) rune {
		switch {
		case r == '\u202f' || r == '\u2007':
			return '\u00a0'
		case r == '\u2126':
			return 'Ω'
		case r == '\u2011':
			return '-'
		case r == '\u00a0':
			return r
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, text), func(r rune) bool { return r == ' ' }), " ")
}

// lines writes lines below y, a gap before each, and gives the last one's baseline.
func (c *canvas) lines(lines []string, x, y, gap int, s style, with ink) int {
	for _, line := range lines {
		y += s.size + gap
		c.text(line, x, y, s, with)
	}
	return y
}

// text draws a text that begins at x and stands on the line y, in pixels.
func (c *canvas) text(text string, x, y int, s style, with ink) {
	if s.size *= c.times; c.traced != nil {
		c.traced.text(&c.letters, text, x*c.times, y*c.times, s, with)
		return
	}
	pen, y := x*64*c.times, y*c.times
	for _, r := range text {
		l := c.letters.letter(s, r)
		quarters := (pen + 8) >> 4
		m := c.mask(drawnLetter{s, l.glyph, quarters & 3})
		c.stamp(m, image.Pt(quarters>>2, y), with)
		pen += l.advance
	}
}

// stamp draws a mask with its origin at a pixel.
func (c *canvas) stamp(m mask, origin image.Point, with ink) {
	box := m.box.Add(origin)
	visible := box.Intersect(c.image.Rect)
	for y := visible.Min.Y; y < visible.Max.Y; y++ {
		row := m.levels[(y-box.Min.Y)*box.Dx():]
		pixels := c.image.Pix[y*c.image.Stride:]
		for x := visible.Min.X; x < visible.Max.X; x++ {
			if level := row[x-box.Min.X]; level > 0 {
				pixels[x] = c.mix(pixels[x], with, int(level))
			}
		}
	}
}

// mask gives a letter as it is drawn.
func (c *canvas) mask(of drawnLetter) mask {
	if known, ok := c.letters.drawn[of]; ok {
		return known
	}
	c.outline(of.glyph, of.style, of.quarters*one/4)
	m := mask{box: c.raster.box()}
	m.levels = make([]uint8, m.box.Dx()*m.box.Dy())
	c.raster.sweep(m.box, func(x, y, level int) {
		m.levels[(y-m.box.Min.Y)*m.box.Dx()+x-m.box.Min.X] = uint8(level)
	})
	if c.letters.drawn == nil || len(c.letters.drawn) >= most {
		c.letters.drawn = map[drawnLetter]mask{}
	}
	c.letters.drawn[of] = m
	return m
}

// outline leads the raster around a letter whose origin is x, in 1/256 of a pixel.
func (c *canvas) outline(i sfnt.GlyphIndex, s style, x int) {
	segments, err := typefaces()[s.weight].LoadGlyph(&c.letters.room, i, s.ppem(), nil)
	if err != nil {
		return
	}
	place := func(p fixed.Point26_6) point { return point{x + int(p.X)*one/64, int(p.Y) * one / 64} }
	for _, piece := range segments {
		switch piece.Op {
		case sfnt.SegmentOpMoveTo:
			c.raster.move(place(piece.Args[0]))
		case sfnt.SegmentOpLineTo:
			c.raster.line(place(piece.Args[0]))
		case sfnt.SegmentOpQuadTo:
			c.raster.quad(place(piece.Args[0]), place(piece.Args[1]))
		}
	}
	c.raster.close()
}

// fitted gives a text so that it is at most so wide: first in a smaller size, down to
// the least, then with its end left out.
func (c *canvas) fitted(text string, s style, least, width int) (string, style) {
	for c.letters.width(text, s) > width && s.size > least {
		s.size--
	}
	return c.ended(text, s, width), s
}

// ended leaves out the end of a text that is wider than it may be.
func (c *canvas) ended(text string, s style, width int) string {
	if c.letters.width(text, s) <= width {
		return text
	}
	letters := []rune(text)
	for n := len(letters) - 1; n > 0; n-- {
		if short := strings.TrimRight(string(letters[:n]), " \u00a0,.;:") + "…"; c.letters.width(short, s) <= width {
			return short
		}
	}
	return ""
}

// wrapped breaks a text at its blanks into at most so many lines: first in a smaller
// size, down to the least, then with its end left out.
func (c *canvas) wrapped(text string, s style, least, width, most int) ([]string, style) {
	for {
		lines := c.broken(text, s, width)
		if len(lines) <= most {
			return c.balanced(lines, s, width), s
		}
		if s.size > least {
			s.size -= 2
			continue
		}
		lines[most-1] = c.ended(strings.Join(lines[most-1:], " "), s, width)
		return lines[:most], s
	}
}

// balanced breaks a text anew into as many lines, as even as they can be.
func (c *canvas) balanced(lines []string, s style, width int) []string {
	text := strings.Join(lines, " ")
	for narrower := width - 20; len(lines) > 1 && narrower > width/2; narrower -= 20 {
		again := c.broken(text, s, narrower)
		if len(again) > len(lines) {
			break
		}
		lines = again
	}
	return lines
}

// broken breaks a text into lines; a word that is wider than a line is broken too.
func (c *canvas) broken(text string, s style, width int) (lines []string) {
	line, reach, blank := "", 0, c.letters.reach(" ", s)
	end := func() {
		if line != "" {
			lines = append(lines, line)
		}
		line, reach = "", 0
	}
	for word := range strings.SplitSeq(text, " ") {
		wide := c.letters.reach(word, s)
		if line != "" && reach+blank+wide <= width*64 {
			line, reach = line+" "+word, reach+blank+wide
			continue
		}
		end()
		if wide <= width*64 {
			line, reach = word, wide
			continue
		}
		for _, r := range word {
			step := c.letters.letter(s, r).advance
			if reach+step > width*64 {
				end()
			}
			line, reach = line+string(r), reach+step
		}
	}
	end()
	return lines
}
