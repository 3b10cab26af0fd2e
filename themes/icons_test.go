package themes

import (
	"bytes"
	"encoding/binary"
	"flag"
	"image"
	"image/color"
	"image/png"
	"os"
	"testing"
)

var update = flag.Bool("update", false, "draw the icons of the default theme anew")

// A mark is a part of the icon, in the units of icon.svg: 32 a side.
type mark struct {
	has func(x, y float64) bool
	ink color.NRGBA
}

// marks are those of icon.svg, from the lowest up: the stroke at the claim, the bar, and
// the ring of the measured value.
var marks = []mark{
	{func(x, y float64) bool { return x >= 10.5 && x < 13.5 && y >= 4 && y < 28 }, color.NRGBA{0x1b, 0x1f, 0x23, 255}},
	{func(x, y float64) bool { return x >= 15 && x < 29 && y >= 13 && y < 19 }, color.NRGBA{0x0b, 0x6e, 0x63, 255}},
	{func(x, y float64) bool { return square(x-22)+square(y-16) < 25 }, color.NRGBA{0x0b, 0x6e, 0x63, 255}},
	{func(x, y float64) bool { return square(x-22)+square(y-16) < 9 }, paper},
}

var paper = color.NRGBA{0xfb, 0xfa, 0xf7, 255}

func square(x float64) float64 { return x * x }

// rounded is the ground of icon.svg, a square with round corners; whole leaves none, for
// systems that cut icons to a shape of their own.
func rounded(x, y float64) bool {
	dx, dy := max(5-x, x-27, 0), max(5-y, y-27, 0)
	return square(dx)+square(dy) < 25
}

func whole(float64, float64) bool { return true }

// drawn draws the icon: of size pixels, on a ground, its marks scaled about the middle.
// Each pixel is the mean of 8 × 8 points.
func drawn(size int, ground func(x, y float64) bool, scale float64) *image.NRGBA {
	const fine = 8
	out := image.NewNRGBA(image.Rect(0, 0, size, size))
	for py := range size {
		for px := range size {
			var r, g, b, a int
			for i := range fine * fine {
				x := (float64(px) + (float64(i%fine)+0.5)/fine) * 32 / float64(size)
				y := (float64(py) + (float64(i/fine)+0.5)/fine) * 32 / float64(size)
				if !ground(x, y) {
					continue
				}
				ink := paper
				for _, m := range marks {
					if m.has((x-16)/scale+16, (y-16)/scale+16) {
						ink = m.ink
					}
				}
				r, g, b, a = r+int(ink.R), g+int(ink.G), b+int(ink.B), a+1
			}
			if a > 0 {
				half := a / 2
				out.SetNRGBA(px, py, color.NRGBA{uint8((r + half) / a), uint8((g + half) / a), uint8((b + half) / a), uint8(a * 255 / (fine * fine))})
			}
		}
	}
	return out
}

// icons are the files of icons/ that are PNG.
var icons = map[string]*image.NRGBA{
	"apple-touch-icon.png":  drawn(180, whole, 0.85),
	"icon-192.png":          drawn(192, rounded, 1),
	"icon-512.png":          drawn(512, rounded, 1),
	"icon-maskable-512.png": drawn(512, whole, 0.7), // within the circle of 0.8 that masks leave
}

// favicons are the sizes that favicon.ico has.
var favicons = []int{16, 32, 48}

func pngOf(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestCompression}
	if err := e.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// icoOf puts PNG pictures into one file for icons: a head of 6 bytes, an entry of 16 for
// each picture, and the pictures.
func icoOf(sizes []int, pictures [][]byte) []byte {
	b := binary.LittleEndian.AppendUint16(nil, 0)
	b = binary.LittleEndian.AppendUint16(b, 1)
	b = binary.LittleEndian.AppendUint16(b, uint16(len(sizes)))
	at := 6 + 16*len(sizes)
	for i, size := range sizes {
		b = append(b, byte(size), byte(size), 0, 0, 1, 0, 32, 0)
		b = binary.LittleEndian.AppendUint32(b, uint32(len(pictures[i])))
		b = binary.LittleEndian.AppendUint32(b, uint32(at))
		at += len(pictures[i])
	}
	return append(b, bytes.Join(pictures, nil)...)
}

// The icons are drawings of icon.svg; go test ./themes -update draws them.
func TestIconsAreDrawn(t *testing.T) {
	if *update {
		for name, m := range icons {
			if err := os.WriteFile("default/icons/"+name, pngOf(t, m), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		var pictures [][]byte
		for _, size := range favicons {
			pictures = append(pictures, pngOf(t, drawn(size, rounded, 1)))
		}
		if err := os.WriteFile("default/icons/favicon.ico", icoOf(favicons, pictures), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range icons {
		data, err := os.ReadFile("default/icons/" + name)
		if err != nil {
			t.Fatal(err)
		}
		samePixels(t, name, data, want)
	}
	ico, err := os.ReadFile("default/icons/favicon.ico")
	if err != nil {
		t.Fatal(err)
	}
	if len(ico) < 6 || binary.LittleEndian.Uint16(ico[2:]) != 1 || int(binary.LittleEndian.Uint16(ico[4:])) != len(favicons) {
		t.Fatal("favicon.ico is no file of that many icons")
	}
	for i, size := range favicons {
		entry := ico[6+16*i:]
		length, at := binary.LittleEndian.Uint32(entry[8:]), binary.LittleEndian.Uint32(entry[12:])
		samePixels(t, "favicon.ico", ico[at:at+length], drawn(size, rounded, 1))
	}
}

// samePixels compares pictures, not their compressed bytes, which follow from the library.
func samePixels(t *testing.T, name string, data []byte, want *image.NRGBA) {
	t.Helper()
	got, err := png.Decode(bytes.NewReader(data))
	if err != nil || got.Bounds() != want.Bounds() {
		t.Fatalf("%s: %v", name, err)
	}
	for y := range want.Rect.Dy() {
		for x := range want.Rect.Dx() {
			if c := color.NRGBAModel.Convert(got.At(x, y)); c != want.At(x, y) {
				t.Fatalf("%s has %v at %d, %d, want %v: draw it with go test ./themes -update", name, c, x, y, want.At(x, y))
			}
		}
	}
}
