package picture

import (
	"bytes"
	"image"
	"image/color"
	"testing"
)

func greys(w int, values ...uint8) *image.Gray {
	return &image.Gray{Pix: values, Stride: w, Rect: image.Rect(0, 0, w, len(values)/w)}
}

// Means, by hand.
func TestShrinkGivesTheMeanOfTheArea(t *testing.T) {
	for _, row := range []struct {
		from *image.Gray
		w, h int
		want []uint8
	}{
		{greys(2, 0, 255, 255, 0), 1, 1, []uint8{128}},                   // 127.5
		{greys(4, 10, 20, 30, 41), 2, 1, []uint8{15, 36}},                // 15, 35.5
		{greys(3, 0, 90, 180), 2, 1, []uint8{30, 150}},                   // (2·0+90)/3, (90+2·180)/3
		{greys(1, 0, 90, 180), 1, 2, []uint8{30, 150}},                   // the same, down
		{greys(5, 10, 20, 30, 40, 50), 3, 1, []uint8{14, 30, 46}},        // (3·10+2·20)/5, (20+3·30+40)/5, …
		{greys(3, 1, 2, 3, 4, 5, 6), 3, 2, []uint8{1, 2, 3, 4, 5, 6}},    // as it is
		{greys(2, 100, 100, 100, 100, 0, 0), 1, 2, []uint8{100, 33}},     // (2·100+2·100+…)/6 per row: 100, 33.3
		{greys(3, 9, 9, 9, 9, 9, 9, 9, 9, 9), 2, 2, []uint8{9, 9, 9, 9}}, // a plain area stays plain
	} {
		got := shrink(row.from, image.Pt(row.w, row.h))
		for i, want := range row.want {
			if c := got.RGBAAt(i%row.w, i/row.w); c != (color.RGBA{want, want, want, 255}) {
				t.Errorf("%v to %d × %d: pixel %d is %v, want %d", row.from.Pix, row.w, row.h, i, c, want)
			}
		}
	}
}

// A picture whose corner isn't at 0, 0 is the same picture.
func TestShrinkOfAPart(t *testing.T) {
	whole := photograph(60, 40)
	part := whole.SubImage(image.Rect(13, 7, 50, 31))
	copied := image.NewNRGBA(image.Rect(0, 0, 37, 24))
	for y := range 24 {
		for x := range 37 {
			copied.Set(x, y, whole.At(13+x, 7+y))
		}
	}
	if a, b := shrink(part, image.Pt(10, 9)), shrink(copied, image.Pt(10, 9)); !bytes.Equal(a.Pix, b.Pix) {
		t.Error("they differ")
	}
}

// Turning before or after gives the same, to the last bit.
func TestTurningAndShrinkingCommute(t *testing.T) {
	from := shrink(photograph(61, 43), image.Pt(61, 43))
	for o := orientation(1); o <= 8; o++ {
		size := image.Pt(17, 12)
		after := o.apply(shrink(from, size))
		before := shrink(o.apply(from), o.size(size))
		if after.Rect != before.Rect || !bytes.Equal(after.Pix, before.Pix) {
			t.Errorf("orientation %d: they differ", o)
		}
	}
}

func BenchmarkScalePhotograph(b *testing.B) {
	data := jpegOf(b, photograph(4000, 3000)) // 12 megapixels
	for b.Loop() {
		scaled(b, data, 640, 1600)
	}
}
