package picture

import (
	"bytes"
	"image"
	"strings"
	"testing"
)

// The guide's lines lie where the areas end: action 1786 by 1004 and title 1728 by 972 of
// 1920 by 1080, each in the middle, at both scales (SMPTE ST 2046-1, ITU-R BT.1848: 93 % and
// 90 % of width and height, to whole pixels; the tables from memory). Through the rest the
// film is seen.
func TestGuide(t *testing.T) {
	for times := 1; times <= 2; times++ {
		c := frame(times)
		Guide{}.paint(c)
		at := func(x, y int) ink { return ink(c.image.ColorIndexAt(x*times, y*times)) }
		for _, area := range []image.Rectangle{image.Rect(67, 38, 1853, 1042), image.Rect(96, 54, 1824, 1026)} {
			if area.Dx() != 1786 && area.Dx() != 1728 || area.Dy() != 1004 && area.Dy() != 972 {
				t.Fatal("this test has other areas than it says")
			}
			y, x := 0, 0 // where neither gap nor name is
			for y = area.Min.Y + 100; at(area.Min.X, y) == clearInk; y++ {
			}
			for x = area.Max.X - 100; at(x, area.Min.Y) == clearInk; x-- {
			}
			for _, on := range []image.Point{{area.Min.X, y + 4}, {area.Max.X, y + 4}, {x - 4, area.Min.Y}, {x - 4, area.Max.Y}} {
				if at(on.X, on.Y) != inkInk {
					t.Errorf("scale %d: %v of the area %v has no line", times, on, area)
				}
			}
		}
		if shown := bytes.Count(c.image.Pix, []byte{uint8(clearInk)}); shown < len(c.image.Pix)*19/20 {
			t.Errorf("scale %d: the film is seen through %d of %d pixels", times, shown, len(c.image.Pix))
		}
		for y := 0; y < plateBottom+30; y++ {
			if y > SafeTop+20 && y < plateBottom-20 && at(FrameWidth/2, y) != clearInk {
				t.Fatalf("scale %d: something lies in the middle of the frame, at %d", times, y)
			}
		}
	}
	if a, b := (Guide{}).Draw(1), (Guide{}).Draw(1); !bytes.Equal(a, b) {
		t.Error("two guides differ")
	}
	if svg := string(Guide{}.Trace()); !strings.HasPrefix(svg, "<svg ") || !strings.Contains(svg, "<title>safe areas</title>") {
		t.Errorf("the guide as an SVG begins with %.100q", svg)
	}
}
