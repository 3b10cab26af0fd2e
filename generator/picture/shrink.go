package picture

import (
	"image"
	"image/draw"
)

// shrink gives a picture in a size that is not larger: each new pixel is the
// mean of the area that it covers,
//
//	new(j) = Σ value(i)·c(i, j) / Σ c(i, j)
//
// where c is the area that pixel i of the picture shares with the new pixel j.
// In units of 1/(new width) of a pixel across, and likewise down, areas are
// whole numbers; the sums are exact and rounded once, half up. So the result
// is the same on any machine, and turning a picture before or after gives the
// same.
//
// Colours are weighted by opacity. A row at a time is looked at, so that the
// memory taken beside the picture is that of a few rows.
func shrink(from image.Image, size image.Point) *image.RGBA {
	bounds := from.Bounds()
	s := &shrinker{
		width: bounds.Dx(), height: bounds.Dy(),
		row:    image.NewRGBA(image.Rect(0, 0, bounds.Dx(), 1)),
		across: make([]uint64, 4*size.X),
		sums:   make([]uint64, 4*size.X),
		to:     image.NewRGBA(image.Rectangle{Max: size}),
	}
	into, room := 0, s.height // the new row, and how much of it is still to be covered
	for y := range s.height {
		draw.Draw(s.row, s.row.Rect, from, image.Pt(bounds.Min.X, bounds.Min.Y+y), draw.Src)
		s.shrinkRow()
		for left := size.Y; left > 0; {
			part := min(left, room)
			for i, sum := range s.across {
				s.sums[i] += sum * uint64(part)
			}
			left -= part
			if room -= part; room == 0 {
				s.finish(into)
				into, room = into+1, s.height
			}
		}
	}
	return s.to
}

// A shrinker holds what shrink works with. A sum is at most 255 times the
// picture's pixels, which is far within 64 bits.
type shrinker struct {
	width, height int         // of the picture
	row           *image.RGBA // one row of the picture
	across        []uint64    // that row, shrunk: sums with the weights across
	sums          []uint64    // of the new row that is being covered
	to            *image.RGBA
}

// shrinkRow sums the row into as many pixels as the new picture is wide.
func (s *shrinker) shrinkRow() {
	clear(s.across)
	size := s.to.Rect.Dx()
	into, room := 0, s.width
	for x := 0; x < 4*s.width; x += 4 {
		p := s.row.Pix[x : x+4 : x+4]
		for left := size; left > 0; {
			part := min(left, room)
			sum := s.across[into : into+4 : into+4]
			sum[0] += uint64(p[0]) * uint64(part)
			sum[1] += uint64(p[1]) * uint64(part)
			sum[2] += uint64(p[2]) * uint64(part)
			sum[3] += uint64(p[3]) * uint64(part)
			left -= part
			if room -= part; room == 0 {
				into, room = into+4, s.width
			}
		}
	}
}

// finish writes a new row from its sums and begins the next.
func (s *shrinker) finish(y int) {
	area := uint64(s.width) * uint64(s.height)
	row := s.to.Pix[y*s.to.Stride:][:len(s.sums)]
	for i, sum := range s.sums {
		row[i] = uint8((sum + area/2) / area)
	}
	clear(s.sums)
}

// opaque reports whether no pixel lets anything through.
func opaque(from image.Image) bool {
	o, can := from.(interface{ Opaque() bool })
	return can && o.Opaque()
}

// few is up to how many colours a picture counts as drawn. Screenshots and
// drawings have hundreds, with the softened edges of letters; a photograph has
// tens of thousands. Common practice, no source.
const few = 4096

// fewColours reports whether a picture counts as drawn by its colours. Their
// lowest bits count, so that the noise of a camera does.
func fewColours(from image.Image) bool {
	bounds := from.Bounds()
	row := image.NewRGBA(image.Rect(0, 0, bounds.Dx(), 1))
	seen := map[[3]uint8]bool{}
	var last [3]uint8 // drawings have long stretches of one colour
	for y := range bounds.Dy() {
		draw.Draw(row, row.Rect, from, image.Pt(bounds.Min.X, bounds.Min.Y+y), draw.Src)
		for x := 0; x < len(row.Pix); x += 4 {
			colour := [3]uint8(row.Pix[x:])
			if colour == last && len(seen) > 0 {
				continue
			}
			last = colour
			if seen[colour] = true; len(seen) > few {
				return false
			}
		}
	}
	return true
}
