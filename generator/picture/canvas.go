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
	raster  raster
	letters lettering
}

// maxInks is how many colours can be drawn with, levels how many steps a colour has
// from nothing to full at the edge of a shape.
const (
	maxInks = 16
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
	c.inks = colours
	c.image.Palette = c.image.Palette[:0]
	for _, one := range colours {
		c.image.Palette = append(c.image.Palette, one)
	}
	clear(c.image.Pix)
	clear(c.mixed[:])
	return c
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
	r := image.Rect(x, y, x+width, y+height).Intersect(c.image.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := c.image.Pix[y*c.image.Stride+r.Min.X : y*c.image.Stride+r.Max.X]
		for i := range row {
			row[i] = uint8(with)
		}
	}
}

// paint fills what the raster holds, and empties it.
func (c *canvas) paint(with ink) {
	c.raster.sweep(c.image.Rect, func(x, y, level int) {
		p := &c.image.Pix[y*c.image.Stride+x]
		*p = c.mix(*p, with, level)
	})
}

// png writes the picture as a file. A palette keeps it small, and quick to pack.
func (c *canvas) png() []byte {
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, c.image); err != nil {
		panic("picture: a card can't be written: " + err.Error()) // a buffer takes all, and the size is right
	}
	return b.Bytes()
}
