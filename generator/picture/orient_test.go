package picture

import (
	"encoding/binary"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"
)

// exif is a TIFF structure with one directory, of which the second entry is the
// orientation.
func exif(order binary.AppendByteOrder, value uint16) string {
	mark := "II"
	if order.String() == "BigEndian" {
		mark = "MM"
	}
	b := order.AppendUint16([]byte(mark), 42)
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 2)
	for _, entry := range [][2]uint16{{0x010f, 2}, {0x0112, 3}} {
		b = order.AppendUint16(b, entry[0])
		b = order.AppendUint16(b, entry[1])
		b = order.AppendUint32(b, 1)
		b = order.AppendUint16(b, value)
		b = order.AppendUint16(b, 0)
	}
	return string(order.AppendUint32(b, 0))
}

// What a camera stores of the upright picture AB / CD / EF, by the table of
// CIPA DC-008 (Exif), 4.6.4 A, Orientation: where the 0th row and the 0th column
// lie in the visual image.
var stored = map[uint16]string{
	1: "AB CD EF", // top, left
	2: "BA DC FE", // top, right
	3: "FE DC BA", // bottom, right
	4: "EF CD AB", // bottom, left
	5: "ACE BDF",  // left, top
	6: "BDF ACE",  // right, top
	7: "FDB ECA",  // right, bottom
	8: "ECA FDB",  // left, bottom
}

// cell is the side of a field in pixels: two of the largest blocks of JPEG.
const cell = 32

func fields(text string) *image.Gray {
	rows := strings.Fields(text)
	m := image.NewGray(image.Rect(0, 0, cell*len(rows[0]), cell*len(rows)))
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			m.SetGray(x, y, color.Gray{20 + 40*(rows[y/cell][x/cell]-'A')})
		}
	}
	return m
}

// read gives the letters of a picture's fields.
func read(m image.Image) string {
	var rows []string
	side := m.Bounds().Dx() / 2
	for y := side / 2; y < m.Bounds().Dy(); y += side {
		row := ""
		for x := side / 2; x < m.Bounds().Dx(); x += side {
			grey := color.GrayModel.Convert(m.At(x, y)).(color.Gray).Y
			row += string(rune('A' + int(math.Round((float64(grey)-20)/40))))
		}
		rows = append(rows, row)
	}
	return strings.Join(rows, " ")
}

func TestEveryOrientationComesOutUpright(t *testing.T) {
	for value, text := range stored {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			data := into(jpegOf(t, fields(text)), segment(0xe0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"), segment(0xe1, "Exif\x00\x00"+exif(order, value)))
			for _, s := range scaled(t, data, 16, 1000) {
				if got := read(pixels(t, s)); got != "AB CD EF" {
					t.Errorf("orientation %d, %d wide: %s", value, s.Width, got)
				}
			}
		}
	}
}

func TestOrientationThatCannotBeRead(t *testing.T) {
	good := exif(binary.LittleEndian, 6)
	with := func(at int, b ...byte) string {
		other := []byte(good)
		copy(other[at:], b)
		return string(other)
	}
	for name, tiff := range map[string]string{
		"none":                good[:0],
		"no such value":       exif(binary.BigEndian, 9),
		"zero":                exif(binary.BigEndian, 0),
		"another byte order":  with(0, 'X', 'X'),
		"another number":      with(2, 43),
		"directory outside":   with(4, 0xff, 0xff, 0xff, 0xff),
		"directory at end":    with(4, byte(len(good)-1)),
		"another type":        with(8+2+12+2, 4),
		"two values":          with(8+2+12+4, 2),
		"cut within an entry": good[:8+2+12+9],
		"cut in the header":   good[:7],
		"cut in the count":    good[:9],
	} {
		if got := orientationOf(into([]byte("\xff\xd8\xff\xda"), segment(0xe1, "Exif\x00\x00"+tiff))); got != upright {
			t.Errorf("%s: %d", name, got)
		}
	}
	if got := orientationTag([]byte(good)); got != 6 {
		t.Errorf("the whole one gives %d", got)
	}
	// Behind the scan, and in a segment longer than the file, nothing counts.
	whole := segment(0xe1, "Exif\x00\x00"+good)
	if orientationOf(append([]byte("\xff\xd8\xff\xda\x00\x02"), whole...)) != upright || orientationOf(append([]byte("\xff\xd8"), whole[:len(whole)-1]...)) != upright {
		t.Error("a tag counts that is not in the header")
	}
	// Fill bytes before a marker do no harm (ITU-T T.81, B.1.1.2).
	if got := orientationOf(append([]byte("\xff\xd8\xff\xff"), whole...)); got != 6 {
		t.Errorf("after fill bytes it is %d", got)
	}
}
