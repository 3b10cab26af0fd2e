// Package picture makes the pictures of a page from photographs and
// screenshots: it reads JPEG and PNG from bytes that nobody vouches for, turns
// them upright, scales them down, and writes them anew, without what a camera
// notes beside the picture: place, time, serial number.
package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
)

// Version changes whenever Scale gives other bytes for the same picture. What
// is kept between runs has to be kept apart by it.
const Version = "1"

// MaxPixels is how many pixels a picture may have: 50 megapixels.
const MaxPixels = 50_000_000

// quality is that of the JPEG encoder, from 1 to 100.
const quality = 82

// A Scaled is a picture as a page shows it.
type Scaled struct {
	Bytes         []byte
	Width, Height int    // in pixels, upright
	Ext           string // "jpg" or "png": the format, and the end of a file's name
}

// An Error says why a picture can't be used, and what to do. Both texts are for
// people, in lower case and without a final period.
type Error struct{ Summary, Hint string }

func (e *Error) Error() string { return e.Summary + "\nhint: " + e.Hint }

// Scale gives a picture once for each width, in that order: upright, so wide or
// narrower where the picture has fewer pixels, in its own proportions. A picture
// taller than twice its width is scaled to a height of twice the width wanted.
// It is never scaled up.
//
// A PNG remains one if it is transparent somewhere or has few colours, as
// screenshots have; everything else becomes a JPEG. No metadata is kept, and no
// colour profile: colours are taken as sRGB.
//
// The same data gives the same bytes, on any machine, with the same release of
// Go. The error is an *Error.
func Scale(data []byte, widths ...int) ([]Scaled, error) {
	source, turn, err := decode(data)
	if err != nil {
		return nil, err
	}
	upright := turn.size(source.Bounds().Size())
	drawn := isPNG(data) && (!opaque(source) || fewColours(source))
	scaled := make([]Scaled, len(widths))
	for i, width := range widths {
		size := fit(upright, width)
		pixels := turn.apply(shrink(source, turn.size(size)))
		if scaled[i], err = encode(pixels, drawn); err != nil {
			return nil, err
		}
	}
	return scaled, nil
}

// fit gives the largest size of a picture's proportions that is at most so wide
// and twice as high, and not larger than the picture.
func fit(size image.Point, width int) image.Point {
	width = max(width, 1)
	w, h := size.X, size.Y
	if w > width {
		w, h = width, scaledTo(size.Y, width, size.X)
	}
	if h > 2*width {
		w, h = scaledTo(size.X, 2*width, size.Y), 2*width
	}
	return image.Pt(w, h)
}

// scaledTo is length·to/from, rounded, and at least 1.
func scaledTo(length, to, from int) int {
	n := (2*int64(length)*int64(to) + int64(from)) / (2 * int64(from))
	return max(int(n), 1)
}

// encode writes a picture, as PNG if it is drawn and as JPEG otherwise. Neither
// of the encoders writes any metadata.
func encode(pixels *image.RGBA, drawn bool) (Scaled, error) {
	var b bytes.Buffer
	s := Scaled{Width: pixels.Rect.Dx(), Height: pixels.Rect.Dy(), Ext: "jpg"}
	var err error
	if drawn {
		s.Ext = "png"
		err = (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, pixels)
	} else {
		err = jpeg.Encode(&b, pixels, &jpeg.Options{Quality: quality})
	}
	if err != nil {
		return Scaled{}, &Error{fmt.Sprintf("this picture can't be written: %v", err), "save it anew with another program"}
	}
	s.Bytes = b.Bytes()
	return s, nil
}
