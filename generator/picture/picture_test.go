package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// photograph is a noisy gradient: as many colours as a camera's picture has.
func photograph(w, h int) *image.NRGBA {
	noise := rand.New(rand.NewPCG(1, 2))
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, color.NRGBA{uint8(255 * x / w), uint8(255 * y / h), uint8(noise.IntN(256)), 255})
		}
	}
	return m
}

func jpegOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func scaled(t testing.TB, data []byte, widths ...int) []Scaled {
	t.Helper()
	all, err := Scale(data, widths...)
	if err != nil || len(all) != len(widths) {
		t.Fatalf("%d pictures, error %v", len(all), err)
	}
	return all
}

// pixels decodes a result, and finds whether it is what it says it is.
func pixels(t testing.TB, s Scaled) image.Image {
	t.Helper()
	m, format, err := image.Decode(bytes.NewReader(s.Bytes))
	if err != nil {
		t.Fatal(err)
	}
	if want := map[string]string{"jpeg": "jpg", "png": "png"}[format]; s.Ext != want || m.Bounds().Size() != image.Pt(s.Width, s.Height) {
		t.Fatalf("a %s of %v says that it is %s of %d × %d", format, m.Bounds(), s.Ext, s.Width, s.Height)
	}
	return m
}

func TestSizes(t *testing.T) {
	for _, row := range []struct {
		w, h, width  int
		wantW, wantH int
	}{
		{400, 300, 100, 100, 75},
		{300, 400, 100, 100, 133},
		{400, 301, 100, 100, 75},  // 75.25
		{400, 302, 100, 100, 76},  // 75.5
		{100, 75, 100, 100, 75},   // as it is
		{99, 75, 100, 99, 75},     // never up
		{101, 75, 100, 100, 74},   // 74.26
		{1000, 1, 100, 100, 1},    // never nothing
		{300, 900, 100, 67, 200},  // twice as high at most
		{1, 900, 100, 1, 200},     // the same
		{1, 1, 100, 1, 1},         // the smallest
		{100, 200, 100, 100, 200}, // just as high as it may be
		{100, 201, 100, 100, 200}, // 99.5
	} {
		s := scaled(t, pngOf(t, image.NewGray(image.Rect(0, 0, row.w, row.h))), row.width)[0]
		pixels(t, s)
		if s.Width != row.wantW || s.Height != row.wantH {
			t.Errorf("%d × %d to %d: %d × %d, want %d × %d", row.w, row.h, row.width, s.Width, s.Height, row.wantW, row.wantH)
		}
	}
}

func TestSeveralWidthsInTheirOrder(t *testing.T) {
	all := scaled(t, jpegOf(t, photograph(300, 200)), 30, 150, 3000)
	for i, width := range []int{30, 150, 300} {
		pixels(t, all[i])
		if all[i].Width != width || all[i].Ext != "jpg" {
			t.Errorf("picture %d is %d wide, %s", i, all[i].Width, all[i].Ext)
		}
	}
}

func TestFormatFollowsThePicture(t *testing.T) {
	screenshot := image.NewNRGBA(image.Rect(0, 0, 80, 60))
	for i := range screenshot.Pix {
		screenshot.Pix[i] = 255
	}
	glass := photograph(80, 80)
	glass.SetNRGBA(40, 40, color.NRGBA{})
	palette := image.NewPaletted(image.Rect(0, 0, 20, 20), color.Palette{color.NRGBA{}, color.White})
	for name, row := range map[string]struct {
		data []byte
		ext  string
	}{
		"photograph as JPEG":    {jpegOf(t, photograph(80, 80)), "jpg"},
		"photograph as PNG":     {pngOf(t, photograph(80, 80)), "jpg"}, // 6400 colours
		"few colours":           {pngOf(t, screenshot), "png"},
		"few colours as JPEG":   {jpegOf(t, screenshot), "jpg"},
		"one pixel transparent": {pngOf(t, glass), "png"},
		"palette":               {pngOf(t, palette), "png"},
		"grey in 16 bits":       {pngOf(t, image.NewGray16(image.Rect(0, 0, 9, 9))), "png"},
		"grey JPEG":             {jpegOf(t, image.NewGray(image.Rect(0, 0, 9, 9))), "jpg"},
	} {
		s := scaled(t, row.data, 40)[0]
		pixels(t, s)
		if s.Ext != row.ext {
			t.Errorf("%s gives %s, want %s", name, s.Ext, row.ext)
		}
	}
}

// Transparent pixels have no colour that could bleed into their neighbours'.
func TestTransparencyKeepsColours(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 2, 2))
	m.SetNRGBA(0, 0, color.NRGBA{200, 100, 50, 255})
	m.SetNRGBA(1, 1, color.NRGBA{200, 100, 50, 255})
	m.SetNRGBA(1, 0, color.NRGBA{0, 255, 255, 0})
	got := color.NRGBAModel.Convert(pixels(t, scaled(t, pngOf(t, m), 1)[0]).At(0, 0)).(color.NRGBA)
	if d := func(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }; d(got.R, 200) > 1 || d(got.G, 100) > 1 || d(got.B, 50) > 1 || got.A != 128 {
		t.Errorf("the mean is %v", got)
	}
}

func TestSameDataGivesTheSameBytes(t *testing.T) {
	for _, data := range [][]byte{jpegOf(t, photograph(200, 140)), pngOf(t, photograph(200, 140)), pngOf(t, image.NewGray(image.Rect(0, 0, 9, 9)))} {
		first := scaled(t, data, 64, 160)
		for range 3 {
			for i, s := range scaled(t, slices.Clone(data), 64, 160) {
				if !bytes.Equal(s.Bytes, first[i].Bytes) {
					t.Fatal("two runs differ")
				}
			}
		}
	}
}

// segment is a JPEG segment: marker, length, body (ITU-T T.81, B.1.1.4).
func segment(marker byte, body string) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2)), body...)
}

// into puts segments behind a JPEG's first marker.
func into(data []byte, segments ...[]byte) []byte {
	return slices.Concat(data[:2], slices.Concat(segments...), data[2:])
}

func TestMetadataIsGone(t *testing.T) {
	const secret = "N 48 13 12.5"
	jpg := into(jpegOf(t, photograph(80, 60)), segment(0xe1, "Exif\x00\x00"+exif(binary.LittleEndian, 6)+secret),
		segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00"+secret), segment(0xed, secret), segment(0xfe, secret))
	jpg = append(jpg, secret...)
	s := scaled(t, jpg, 40)[0]
	if s.Width != 40 || s.Height != 53 {
		t.Errorf("the picture is %d × %d: it was not turned", s.Width, s.Height)
	}
	if bytes.Contains(s.Bytes, []byte(secret)) || bytes.Contains(s.Bytes, []byte("Exif")) {
		t.Error("metadata are left")
	}
	needed := []byte{0xd8, 0xdb, 0xc0, 0xc4, 0xda} // SOI, DQT, SOF0, DHT, SOS: ITU-T T.81, table B.1
	for _, m := range []byte(markers(t, s.Bytes)) {
		if !slices.Contains(needed, m) {
			t.Errorf("the JPEG has a segment %x", m)
		}
	}

	plain := pngOf(t, image.NewGray(image.Rect(0, 0, 80, 60)))
	marked := slices.Concat(plain[:33], chunk("tEXt", "Location\x00"+secret), chunk("eXIf", exif(binary.BigEndian, 1)+secret), plain[33:], []byte(secret))
	s = scaled(t, marked, 40)[0]
	if got := chunks(s.Bytes); strings.Trim(got, " ") != "IHDR IDAT IEND" {
		t.Errorf("the PNG has the chunks %s", got)
	}
}

// markers gives the second bytes of a JPEG's markers up to the scan.
func markers(t *testing.T, data []byte) string {
	t.Helper()
	all := data[1:2]
	for at := 2; all[len(all)-1] != 0xda; {
		if data[at] != 0xff {
			t.Fatalf("no marker at %d", at)
		}
		all = append(slices.Clone(all), data[at+1])
		at += 2 + int(binary.BigEndian.Uint16(data[at+2:]))
	}
	return string(all)
}

func chunks(data []byte) string {
	var names []string
	for at := 8; at < len(data); at += 12 + int(binary.BigEndian.Uint32(data[at:])) {
		names = append(names, string(data[at+4:at+8]))
	}
	return strings.Join(slices.Compact(names), " ")
}

func TestColoursKeepTheirPlace(t *testing.T) {
	// The encoder's loss in the smooth channels of a photograph is small.
	m := photograph(320, 240)
	got := pixels(t, scaled(t, pngOf(t, m), 80)[0])
	for y := 4; y < 60; y += 9 {
		for x := 4; x < 80; x += 9 {
			r, g, _, _ := got.At(x, y).RGBA()
			if dr, dg := int(r>>8)-255*(4*x+2)/320, int(g>>8)-255*(4*y+2)/240; max(dr, -dr, dg, -dg) > 12 {
				t.Fatalf("at %d, %d red is off by %d and green by %d", x, y, dr, dg)
			}
		}
	}
}

func TestErrorsAreForPeople(t *testing.T) {
	for name, row := range map[string]struct {
		data []byte
		want string
	}{
		"empty":                        {nil, "this picture's file is empty\nhint: "},
		"text":                         {[]byte("hello"), "this file is neither a JPEG nor a PNG picture\nhint: save the picture as .jpg (photographs) or .png"},
		"GIF":                          {[]byte("GIF89a\x01\x00\x01\x00"), "this picture is in the format GIF, not JPEG or PNG\nhint: save"},
		"WebP":                         {[]byte("RIFF\x10\x00\x00\x00WEBPVP8 "), "this picture is in the format WebP, not"},
		"HEIF":                         {[]byte("\x00\x00\x00\x18ftypheic"), "this picture is in the format HEIF, not"},
		"SVG":                          {[]byte("<svg xmlns='http://www.w3.org/2000/svg'/>"), "this picture is in the format SVG or XML, not"},
		"only the beginning of a JPEG": {jpegOf(t, photograph(50, 50))[:300], "this picture is cut short\nhint: copy it again"},
		"most of a JPEG":               {jpegOf(t, photograph(90, 60))[:3000], "this picture is cut short\nhint: copy it again"},
		"only the beginning of a PNG":  {pngOf(t, photograph(50, 50))[:300], "this picture is cut short\nhint: copy it again"},
	} {
		_, err := Scale(row.data, 40)
		if e := (*Error)(nil); !errors.As(err, &e) || !strings.HasPrefix(err.Error(), row.want) || e.Hint == "" {
			t.Errorf("%s: the error is %v, want %s", name, err, row.want)
		}
	}
	_, err := Scale(fmt.Appendf(nil, "\xff\xd8\xff\xe0\x00\x04%s", "\x00\x00garbage"), 40)
	if err == nil || strings.Contains(err.Error(), "JPEG format") {
		t.Errorf("the error is %v", err)
	}
}
