package picture

import (
	"bytes"
	"encoding/binary"
	"image"
)

// An orientation says how the rows and columns of a camera's picture lie in the
// upright one, numbered as Exif does (CIPA DC-008, 4.6.4 A, Orientation; TIFF
// 6.0, section 8): the first row and the first column of the data are
//
//	1 top, left      2 top, right     3 bottom, right  4 bottom, left
//	5 left, top      6 right, top     7 right, bottom  8 left, bottom
type orientation int

const upright orientation = 1

// size swaps width and height for a picture that lies on its side. It serves in
// both directions.
func (o orientation) size(p image.Point) image.Point {
	if o >= 5 && o <= 8 {
		return image.Pt(p.Y, p.X)
	}
	return p
}

// apply gives the upright picture.
func (o orientation) apply(from *image.RGBA) *image.RGBA {
	if o < 2 || o > 8 {
		return from
	}
	size := o.size(from.Rect.Size())
	to := image.NewRGBA(image.Rectangle{Max: size})
	for y := range size.Y {
		for x := range size.X {
			u, v := o.source(x, y, size)
			copy(to.Pix[y*to.Stride+4*x:][:4], from.Pix[v*from.Stride+4*u:][:4])
		}
	}
	return to
}

// source gives where the pixel at x, y of an upright picture of this size lies
// in the data.
func (o orientation) source(x, y int, size image.Point) (u, v int) {
	right, bottom := size.X-1-x, size.Y-1-y
	switch o {
	case 2:
		return right, y
	case 3:
		return right, bottom
	case 4:
		return x, bottom
	case 5:
		return y, x
	case 6:
		return y, right
	case 7:
		return bottom, right
	case 8:
		return bottom, x
	}
	return x, y
}

// The markers of a JPEG that count here (ITU-T T.81, table B.1), by their second
// byte.
const (
	markerSOI  = 0xd8
	markerEOI  = 0xd9
	markerSOS  = 0xda
	markerAPP1 = 0xe1
	markerTEM  = 0x01
	markerRST0 = 0xd0
)

// orientationOf finds the orientation in a JPEG's Exif segment. A picture that
// has none, or a damaged one, counts as upright.
func orientationOf(data []byte) orientation {
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker := data[at+1]
		switch {
		case marker == 0xff: // a fill byte
			at++
			continue
		case marker == markerTEM || marker >= markerRST0 && marker <= markerSOI: // without a length
			at += 2
			continue
		case marker == markerSOS || marker == markerEOI:
			return upright
		}
		length := int(binary.BigEndian.Uint16(data[at+2:])) // counts itself
		if length < 2 || at+2+length > len(data) {
			return upright
		}
		body := data[at+4 : at+2+length]
		if tiff, is := bytes.CutPrefix(body, []byte("Exif\x00\x00")); is && marker == markerAPP1 {
			return orientationTag(tiff)
		}
		at += 2 + length
	}
	return upright
}

// orientationTag reads tag 0x0112 of the first directory of a TIFF structure
// (TIFF 6.0, section 2): a header with byte order, 42 and the directory's
// offset; there the number of entries, and 12 bytes each: tag, type, count,
// value.
func orientationTag(tiff []byte) orientation {
	const header, entry, tag, short = 8, 12, 0x0112, 3
	if len(tiff) < header {
		return upright
	}
	var order binary.ByteOrder = binary.BigEndian
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
	default:
		return upright
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return upright
	}
	entries := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(entries) < entry {
			return upright
		}
		if order.Uint16(entries) == tag && order.Uint16(entries[2:]) == short && order.Uint32(entries[4:]) == 1 {
			if o := orientation(order.Uint16(entries[8:])); o >= 1 && o <= 8 {
				return o
			}
			return upright
		}
		entries = entries[entry:]
	}
	return upright
}
