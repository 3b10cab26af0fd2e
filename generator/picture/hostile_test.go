package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// chunk is a chunk of a PNG: length, type, data, CRC (PNG specification, 5.3).
func chunk(kind, data string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(b, kind+data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// claiming is a PNG that claims a size and has next to nothing in it.
func claiming(w, h uint32, depth, kind byte) []byte {
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	head = append(head, depth, kind, 0, 0, 0)
	return slices.Concat(pngSignature, chunk("IHDR", string(head)), chunk("IDAT", "x\x9c\x03\x00\x00\x00\x00\x01"), chunk("IEND", ""))
}

// claimingJPEG is one whose frame header (ITU-T T.81, B.2.2) claims a size.
func claimingJPEG(t *testing.T, w, h uint16) []byte {
	data := jpegOf(t, image.NewGray(image.Rect(0, 0, 8, 8)))
	at := bytes.Index(data, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(data[at+5:], h)
	binary.BigEndian.PutUint16(data[at+7:], w)
	return data
}

// A picture is refused by what its header claims, before room for it is made.
func TestHugePicturesAreRefusedBeforeTheyAreDecoded(t *testing.T) {
	for name, row := range map[string]struct {
		data []byte
		want string
	}{
		"JPEG":              {claimingJPEG(t, 65535, 65535), "this picture has 65535 × 65535 pixels, more than 50 million\nhint: save it smaller"},
		"JPEG just above":   {claimingJPEG(t, 10001, 5000), "this picture has 10001 × 5000 pixels"},
		"PNG":               {claiming(1<<31-1, 1<<31-1, 8, 6), ""},
		"PNG wide":          {claiming(50_000_001, 1, 8, 0), "this picture has 50000001 × 1 pixels"},
		"PNG just above":    {claiming(5000, 10001, 16, 6), "this picture has 5000 × 10001 pixels"},
		"PNG with no bytes": {claiming(7000, 7000, 16, 6), "this picture is cut short"},
		"PNG of one bit":    {claiming(7000, 7000, 1, 0), "this picture is cut short"},
		"PNG of no width":   {claiming(0, 10, 8, 0), ""},
		"JPEG of no height": {claimingJPEG(t, 10, 0), ""},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Scale(row.data, 640)
		runtime.ReadMemStats(&after)
		if e := (*Error)(nil); !errors.As(err, &e) || !strings.HasPrefix(err.Error(), row.want) {
			t.Errorf("%s: the error is %v, want %s", name, err, row.want)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
			t.Errorf("%s: refusing it took %d bytes", name, used)
		}
	}
}

// A plain area is what DEFLATE packs most tightly; it is not taken for one that
// is cut short.
func TestPlainAreasAreWhole(t *testing.T) {
	s := scaled(t, pngOf(t, image.NewNRGBA(image.Rect(0, 0, 3000, 3000))), 640)[0]
	if s.Width != 640 || len(s.Bytes) > 50_000 {
		t.Errorf("%d wide, %d bytes", s.Width, len(s.Bytes))
	}
}

// Wherever a picture is cut off, that is an error and nothing worse.
func TestEveryCut(t *testing.T) {
	for _, data := range [][]byte{
		into(jpegOf(t, photograph(40, 30)), segment(0xe1, "Exif\x00\x00"+exif(binary.LittleEndian, 6))),
		pngOf(t, photograph(40, 30)),
	} {
		for n := range len(data) {
			_, err := Scale(data[:n], 20)
			if e := (*Error)(nil); !errors.As(err, &e) {
				t.Fatalf("the first %d of %d bytes: the error is %v", n, len(data), err)
			}
		}
		scaled(t, data, 20)
	}
}

func FuzzScale(f *testing.F) {
	f.Add(into(jpegOf(f, photograph(20, 10)), segment(0xe1, "Exif\x00\x00"+exif(binary.BigEndian, 5))))
	f.Add(pngOf(f, photograph(9, 9)))
	f.Add(pngOf(f, image.NewGray16(image.Rect(0, 0, 5, 3))))
	f.Add(claiming(7000, 7000, 1, 0))
	f.Fuzz(func(t *testing.T, data []byte) {
		if c, _, err := image.DecodeConfig(bytes.NewReader(data)); err == nil && (c.Width > 500 || c.Height > 500) {
			t.Skip("slow")
		}
		all, err := Scale(data, 7, 100)
		if err != nil {
			if e := (*Error)(nil); !errors.As(err, &e) || e.Summary == "" || e.Hint == "" {
				t.Fatalf("the error is %v", err)
			}
			return
		}
		for i, width := range []int{7, 100} {
			if pixels(t, all[i]); all[i].Width > width || all[i].Height > 2*width {
				t.Fatalf("%d × %d for %d", all[i].Width, all[i].Height, width)
			}
		}
	})
}

func FuzzOrientation(f *testing.F) {
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		f.Add(slices.Concat([]byte("\xff\xd8"), segment(0xe1, "Exif\x00\x00"+exif(order, 7))))
		f.Add([]byte(exif(order, 3)))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, o := range []orientation{orientationOf(data), orientationTag(data)} {
			if o < 1 || o > 8 {
				t.Fatalf("the orientation is %d", o)
			}
		}
	})
}
