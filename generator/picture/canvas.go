package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"sync"
)

// A canvas is a picture of at most 256 colours being drawn. All of its arithmetic is in
// whole numbers, so that it holds the same pixels on any processor: floating point would
// not do, as some of them round a product and a sum at once.
type canvas struct {
	image   *image.Paletted
	inks    []color.RGBA
	mixed   [256][maxInks][levels + 1]uint8 // the index that a mix has; 0 for one not met yet
	times   int                             // pixels of the picture for one of what is drawn, 1 for cards
	raster  raster
	letters lettering
	traced  *tracing // where all is written to instead; nil where it is drawn
}

// maxInks is how many colours can be drawn with, levels how many steps a colour has
// from nothing to full at the edge of a shape.
const (
	maxInks = 20
	levels  = 15
)

// An ink is one of the canvas's colours.
type ink int

// canvases are canvases of a card's size that are used again, with their letters.
var canvases = sync.Pool{New: func() any {
	return &canvas{image: image.NewPaletted(image.Rect(0, 0, CardWidth, CardHeight), nil)}
}}

// newCanvas gives a canvas of a card's size, all of it in the first of some colours. They
// are the inks, in their order. It is given back by done.
func newCanvas(colours []color.RGBA) *canvas {
	c := canvases.Get().(*canvas)
	clear(c.image.Pix)
	c.begin(colours, 1)
	return c
}

// begin takes the colours that are drawn with from now on, and the scale.
func (c *canvas) begin(colours []color.RGBA, times int) {
	c.inks, c.times = colours, times
	c.image.Palette = c.image.Palette[:0]
	for _, one := range colours {
		c.image.Palette = append(c.image.Palette, one)
	}
	clear(c.mixed[:])
}

func (c *canvas) done() { canvases.Put(c) }

// mix gives the index of an ink over a pixel at a level: a new colour, or the nearest
// one where there is no room for another. Index 0, the ground, is no mix but itself.
func (c *canvas) mix(under uint8, with ink, level int) uint8 {
	switch {
	case level <= 0:
		return under
	case level >= levels:
		return uint8(with)
	}
	known := &c.mixed[under][with][level]
	if *known == 0 {
		*known = c.index(blend(c.image.Palette[under].(color.RGBA), c.inks[with], level))
	}
	return *known
}

// blend gives a colour between two, in steps of 1/levels.
func blend(from, to color.RGBA, level int) color.RGBA {
	channel := func(a, b uint8) uint8 {
		return uint8((int(a)*(levels-level) + int(b)*level + levels/2) / levels)
	}
	return color.RGBA{channel(from.R, to.R), channel(from.G, to.G), channel(from.B, to.B), 0xff}
}

// index gives the place of a colour in the palette.
func (c *canvas) index(of color.RGBA) uint8 {
	best, least := 0, 1<<30
	for i, one := range c.image.Palette {
		p := one.(color.RGBA)
		if p.A == 0 {
			continue // nothing that is drawn may become a hole
		}
		r, g, b := int(p.R)-int(of.R), int(p.G)-int(of.G), int(p.B)-int(of.B)
		if d := r*r + g*g + b*b; d < least {
			best, least = i, d
		}
	}
	if least > 0 && len(c.image.Palette) < 256 {
		c.image.Palette = append(c.image.Palette, of)
		best = len(c.image.Palette) - 1
	}
	return uint8(best)
}

// rect fills a rectangle of whole pixels.
func (c *canvas) rect(x, y, width, height int, with ink) {
	if c.traced != nil {
		c.traced.rect(x*c.times, y*c.times, width*c.times, height*c.times, with)
		return
	}
	r := image.Rect(x*c.times, y*c.times, (x+width)*c.times, (y+height)*c.times).Intersect(c.image.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := c.image.Pix[y*c.image.Stride+r.Min.X : y*c.image.Stride+r.Max.X]
		for i := range row {
			row[i] = uint8(with)
		}
	}
}

// move and line lead the raster around a shape.
func (c *canvas) move(p point) { c.raster.move(point{p.x * c.times, p.y * c.times}) }
func (c *canvas) line(p point) { c.raster.line(point{p.x * c.times, p.y * c.times}) }

// paint fills what the raster holds, and empties it.
func (c *canvas) paint(with ink) { c.tint(with, levels) }

// tint is paint with an ink so strong as some of the levels.
func (c *canvas) tint(with ink, strength int) {
	if c.traced != nil {
		c.traced.shape(&c.raster, with, strength)
		return
	}
	c.raster.sweep(c.image.Rect, func(x, y, level int) {
		if strength < levels {
			level = divided(level*strength, levels)
		}
		p := &c.image.Pix[y*c.image.Stride+x]
		*p = c.mix(*p, with, level)
	})
}

// png writes the picture as a file. A palette keeps it small, and quick to pack.
func (c *canvas) png() []byte {
	var b bytes.Buffer
	b.Grow(64 << 10) // twice what a card takes
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed, BufferPool: quickBuffers}).Encode(&b, c.image); err != nil {
		panic("picture: a card can't be written: " + err.Error()) // a buffer takes all, and the size is right
	}
	return b.Bytes()
}

// An encoderBuffers lends what encoding needs beside the picture: a megabyte for packing, which
// would else be made anew for each card.
type encoderBuffers struct{ pool sync.Pool }

// Get is for [png.Encoder].
func (p *encoderBuffers) Get() *png.EncoderBuffer {
	b, _ := p.pool.Get().(*png.EncoderBuffer)
	return b
}

// Put is for [png.Encoder].
func (p *encoderBuffers) Put(b *png.EncoderBuffer) { p.pool.Put(b) }

// quickBuffers are of pictures that are drawn here. Others are packed at another level, which
// buffers keep.
var quickBuffers = &encoderBuffers{}
