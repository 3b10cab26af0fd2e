package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image/color"
)

// layered writes the picture as a PNG with a channel for what shows through, straight, since
// not all that cuts films reads it from a palette. Each row is written as what differs from
// the one above, which most often is nothing: that packs some times faster than trying all
// filters does (PNG, third edition, sections 5, 9 and 11).
func (c *canvas) layered() []byte {
	var colours [256][4]byte
	for i, one := range c.image.Palette {
		p := one.(color.RGBA) // opaque or nothing: straight and multiplied are the same
		colours[i] = [4]byte{p.R, p.G, p.B, p.A}
	}
	size := c.image.Rect.Size()
	var packed bytes.Buffer
	pack, err := zlib.NewWriterLevel(&packed, zlib.BestSpeed)
	if err != nil {
		panic("picture: " + err.Error()) // the level is one that there is
	}
	const up = 2
	row := make([]byte, 1+4*size.X)
	row[0] = up
	above := make([]byte, size.X)
	for i := range above {
		above[i] = uint8(clearInk) // before the first row all is zero, as what shows through is
	}
	for y := range size.Y {
		pixels := c.image.Pix[y*c.image.Stride:][:size.X]
		for x, n := range pixels {
			at := row[1+4*x:][:4]
			if n == above[x] {
				clear(at)
				continue
			}
			now, was := colours[n], colours[above[x]]
			for k := range at {
				at[k] = now[k] - was[k]
			}
		}
		above = pixels
		pack.Write(row) // a buffer takes all
	}
	pack.Close()

	out := []byte("\x89PNG\r\n\x1a\n")
	head := binary.BigEndian.AppendUint32(nil, uint32(size.X))
	head = binary.BigEndian.AppendUint32(head, uint32(size.Y))
	head = append(head, 8, 6, 0, 0, 0) // 8 bits a channel, colours with alpha; not interlaced
	out = part(out, "IHDR", head)
	out = part(out, "sRGB", []byte{0}) // the colours are those of the pages
	out = part(out, "IDAT", packed.Bytes())
	return part(out, "IEND", nil)
}

// part adds a part of a PNG: length, name, data, and their checksum.
func part(to []byte, name string, data []byte) []byte {
	to = binary.BigEndian.AppendUint32(to, uint32(len(data)))
	from := len(to)
	to = append(append(to, name...), data...)
	return binary.BigEndian.AppendUint32(to, crc32.ChecksumIEEE(to[from:]))
}
