package picture

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// covered sums what a raster covers, in pixels, in steps of 1/levels.
func covered(r *raster, bounds image.Rectangle) (sum float64) {
	r.sweep(bounds, func(_, _, level int) { sum += float64(level) / levels })
	return sum
}

// A rectangle whose sides lie within pixels covers its area: 2.5 by 3.25.
func TestRasterAreas(t *testing.T) {
	var r raster
	bounds := image.Rect(0, 0, 100, 100)
	r.move(point{256 + 128, 512 + 64})
	for _, p := range []point{{256*4 - 0, 512 + 64}, {256 * 4, 512 + 64 + 832}, {256 + 128, 512 + 64 + 832}} {
		r.line(p)
	}
	if got := covered(&r, bounds); math.Abs(got-2.5*3.25) > 0.2 {
		t.Errorf("a rectangle covers %v, want %v", got, 2.5*3.25)
	}
	// A circle covers πr², and half of it where a hole of half the area is cut.
	c := &canvas{times: 1, image: image.NewPaletted(bounds, color.Palette{color.RGBA{0, 0, 0, 255}, color.RGBA{255, 255, 255, 255}})}
	c.arc(at(50, 50), 30*one, 20*one, 0, 96) // from 20 to 40
	if got, want := covered(&c.raster, bounds), math.Pi*(40*40-20*20); math.Abs(got-want) > 0.002*want {
		t.Errorf("a ring covers %v, want %v", got, want)
	}
}

// The points of a circle lie on it: to 1/1000 of its radius, in even steps.
func TestAround(t *testing.T) {
	for n := range 96 {
		p := around(point{}, 100_000, n)
		if r := math.Hypot(float64(p.x), float64(p.y)); math.Abs(r-100_000) > 100 {
			t.Errorf("point %d lies at %v of 100000", n, r)
		}
		angle := math.Atan2(float64(p.y), float64(p.x))
		if off := math.Mod(angle-float64(n)*2*math.Pi/96+3*math.Pi, 2*math.Pi) - math.Pi; math.Abs(off) > 0.01 {
			t.Errorf("point %d stands %v rad off", n, off)
		}
	}
}

// Letters are covered as another rasteriser, that of golang.org/x/image/vector, has it.
// It takes a curve for a straight line where it bends by less than 1/7 of a pixel, and
// ours knows steps of 1/15 only: a pixel may differ by both, the mean hardly.
func TestLettersAsAnotherRasteriserHasThem(t *testing.T) {
	seeded := rand.New(rand.NewPCG(1, 2))
	var worst, sum, pixels float64
	for _, r := range "Agß&@Ωй±8%…Ŵ" {
		for range 8 {
			s := style{weight(seeded.IntN(2)), 14 + seeded.IntN(50)}
			c := newCanvas(cardColours)
			quarters := seeded.IntN(4)
			m := c.mask(drawnLetter{s, c.letters.letter(s, r).glyph, quarters})
			want := byVector(t, s, c.letters.letter(s, r).glyph, quarters, m.box)
			for i, level := range m.levels {
				off := math.Abs(float64(level)/levels - float64(want.Pix[i])/255)
				worst, sum, pixels = max(worst, off), sum+off, pixels+1
			}
			c.done()
		}
	}
	if worst > 1.0/7+1.0/levels || sum/pixels > 0.01 {
		t.Errorf("a pixel is covered otherwise by %v, all by %v in the mean", worst, sum/pixels)
	}
}

// byVector draws a letter with the other rasteriser.
func byVector(t *testing.T, s style, glyph sfnt.GlyphIndex, quarters int, box image.Rectangle) *image.Alpha {
	t.Helper()
	var room sfnt.Buffer
	segments, err := typefaces()[s.weight].LoadGlyph(&room, glyph, s.ppem(), nil)
	if err != nil {
		t.Fatal(err)
	}
	z := vector.NewRasterizer(box.Dx(), box.Dy())
	place := func(p fixed.Point26_6) (x, y float32) {
		return float32(p.X)/64 + float32(quarters)/4 - float32(box.Min.X), float32(p.Y)/64 - float32(box.Min.Y)
	}
	for _, piece := range segments {
		x, y := place(piece.Args[0])
		switch piece.Op {
		case sfnt.SegmentOpMoveTo:
			z.ClosePath()
			z.MoveTo(x, y)
		case sfnt.SegmentOpLineTo:
			z.LineTo(x, y)
		case sfnt.SegmentOpQuadTo:
			x2, y2 := place(piece.Args[1])
			z.QuadTo(x, y, x2, y2)
		}
	}
	z.ClosePath()
	out := image.NewAlpha(image.Rect(0, 0, box.Dx(), box.Dy()))
	z.DrawOp = draw.Src
	z.Draw(out, out.Rect, image.Opaque, image.Point{})
	return out
}

// A mix of two colours lies between them, and full and nothing are the colours.
func TestMix(t *testing.T) {
	c := newCanvas(cardColours)
	defer c.done()
	if c.mix(0, inkInk, 0) != 0 || c.mix(0, inkInk, levels) != uint8(inkInk) {
		t.Error("nothing and all of an ink are mixed")
	}
	before := uint8(255)
	for level := 1; level < levels; level++ {
		got := c.image.Palette[c.mix(0, inkInk, level)].(color.RGBA).R
		if got >= before || got <= 0x1b || got >= 0xfb {
			t.Errorf("level %d is %#x after %#x", level, got, before)
		}
		before = got
	}
	// Where the palette is full the nearest colour stands in.
	for i := len(c.image.Palette); i < 256; i++ {
		c.image.Palette = append(c.image.Palette, color.RGBA{1, 255, uint8(i), 255})
	}
	if i := c.mix(uint8(metInk), shortInk, 7); len(c.image.Palette) != 256 || int(i) > 60 {
		t.Errorf("a full palette gives %d of %d", i, len(c.image.Palette))
	}
}
