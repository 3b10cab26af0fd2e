package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/image/vector"
)

// beside is how far what a test draws may lie outside the frame.
const beside = 200

// rasterised draws what a tracing may have with the rasteriser of golang.org/x/image/vector, and
// gives the titles too. Anything else in it fails the test.
func rasterised(t *testing.T, markup []byte) (out *image.RGBA, titles []string) {
	t.Helper()
	out = image.NewRGBA(image.Rect(0, 0, FrameWidth+2*beside, FrameHeight+2*beside))
	d, inTitle := xml.NewDecoder(bytes.NewReader(markup)), false
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out, titles
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.CharData:
			if inTitle {
				titles[len(titles)-1] += string(e)
			} else if strings.TrimSpace(string(e)) != "" {
				t.Fatalf("text outside titles: %q", e)
			}
		case xml.EndElement:
			inTitle = false
		case xml.StartElement:
			is := map[string]string{}
			for _, a := range e.Attr {
				is[a.Name.Local] = a.Value
			}
			number := func(of string) float32 {
				x, err := strconv.ParseFloat(is[of], 32)
				if err != nil {
					t.Fatalf("%s of %s is %q", of, e.Name.Local, is[of])
				}
				return float32(x)
			}
			var outline []bend
			switch e.Name.Local {
			case "svg":
				if is["viewBox"] != "0 0 1920 1080" {
					t.Fatalf("the frame is %q", is["viewBox"])
				}
				continue
			case "title":
				inTitle, titles = true, append(titles, "")
				continue
			case "rect":
				x, y, wide, high := number("x"), number("y"), number("width"), number("height")
				outline = []bend{{'M', []float32{x, y}}, {'L', []float32{x + wide, y}}, {'L', []float32{x + wide, y + high}}, {'L', []float32{x, y + high}}}
			case "path":
				outline = bends(t, is["d"])
			default:
				t.Fatalf("there is an element %q", e.Name.Local)
			}
			rgb, err := strconv.ParseUint(strings.TrimPrefix(is["fill"], "#"), 16, 32)
			if err != nil || len(is["fill"]) != 7 {
				t.Fatalf("the colour is %q", is["fill"])
			}
			strength := uint8(255)
			if is["fill-opacity"] != "" {
				strength = uint8(number("fill-opacity")*255 + 0.5)
			}
			with := color.NRGBA{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), strength}
			filled(out, outline, image.NewUniform(with))
		}
	}
}

var pathCommand = regexp.MustCompile(`([MLQ])([-0-9. ]+)`)

// A bend is a command of a path with its numbers.
type bend struct {
	command byte
	to      []float32
}

// bends reads a path.
func bends(t *testing.T, d string) (all []bend) {
	t.Helper()
	if left := pathCommand.ReplaceAllString(d, ""); left != "" {
		t.Fatalf("a path has %q", left)
	}
	takes := map[byte]int{'M': 2, 'L': 2, 'Q': 4}
	for _, c := range pathCommand.FindAllStringSubmatch(d, -1) {
		one := bend{command: c[1][0]}
		for _, text := range strings.Fields(c[2]) {
			x, err := strconv.ParseFloat(text, 32)
			if err != nil {
				t.Fatalf("a path has %q", c[0])
			}
			one.to = append(one.to, float32(x))
		}
		if len(one.to) != takes[one.command] {
			t.Fatalf("a path has %q", c[0])
		}
		all = append(all, one)
	}
	return all
}

// filled fills an outline, by a rasteriser of its own size.
func filled(out *image.RGBA, outline []bend, with image.Image) {
	box := image.Rectangle{}
	for _, b := range outline {
		for i := 0; i < len(b.to); i += 2 {
			x, y := int(math.Floor(float64(b.to[i]))), int(math.Floor(float64(b.to[i+1])))
			box = box.Union(image.Rect(x-1, y-1, x+2, y+2))
		}
	}
	z, left, top := vector.NewRasterizer(box.Dx(), box.Dy()), float32(box.Min.X), float32(box.Min.Y)
	for _, b := range outline {
		switch b.command {
		case 'M':
			z.ClosePath()
			z.MoveTo(b.to[0]-left, b.to[1]-top)
		case 'L':
			z.LineTo(b.to[0]-left, b.to[1]-top)
		case 'Q':
			z.QuadTo(b.to[0]-left, b.to[1]-top, b.to[2]-left, b.to[3]-top)
		}
	}
	z.ClosePath()
	z.Draw(out, box.Add(image.Pt(beside, beside)), with, image.Point{})
}

// A tracing shows what the drawing of the same size does: another rasteriser makes the same
// pixels of it but at the edges of letters, which a drawing puts to quarters of a pixel and
// shades in 15 steps of 17 of 255: on the one pixel in twenty that is an edge, half a step at most
// in the mean.
func TestTracingsShowWhatDrawingsDo(t *testing.T) {
	for name, paint := range overlays() {
		if testing.Short() && name != "chart" && name != "hostile table" {
			continue
		}
		c := frame(1)
		paint(c)
		got, _ := rasterised(t, traced("", paint))
		sum, far := 0.0, 0
		for y := range FrameHeight {
			for x := range FrameWidth {
				want := c.image.Palette[c.image.Pix[y*c.image.Stride+x]].(color.RGBA)
				is := got.RGBAAt(x+beside, y+beside)
				off := max(abs(int(want.R)-int(is.R)), abs(int(want.G)-int(is.G)), abs(int(want.B)-int(is.B)), abs(int(want.A)-int(is.A)))
				sum += float64(off)
				if off > 110 { // half of what lies between ink and paper: a part is missing
					far++
				}
			}
		}
		mean := sum / FrameWidth / FrameHeight
		if mean > 0.5 || far > 0 {
			t.Errorf("%s: a pixel is off by %.3f of 255 in the mean, and %d by half and more", name, mean, far)
		}
	}
}

// Texts are told by titles, harmless whatever they are.
func TestTracingsTellTheirTexts(t *testing.T) {
	p := somePlate()
	p.Name = `A <script>alert(1)</script> & "B" ]]>`
	markup := TablePlate{Plate: p, Title: "Two of three claims met", Source: "Bought by the tester"}.Trace()
	_, titles := rasterised(t, markup)
	for _, want := range []string{p.Name, "Two of three claims met", "Bought by the tester"} {
		found := false
		for _, one := range titles {
			found = found || one == want
		}
		if !found {
			t.Errorf("no title says %q: %q", want, titles)
		}
	}
	if titles[0] != p.Name {
		t.Errorf("the drawing's own title is %q", titles[0])
	}
	if again := (TablePlate{Plate: p, Title: "Two of three claims met", Source: "Bought by the tester"}).Trace(); !bytes.Equal(again, markup) {
		t.Error("other bytes the second time")
	}
}

// What isn't known in a chart's drawing is an error of its tracing too.
func TestTracingsUnknownParts(t *testing.T) {
	if _, err := (ChartPlate{Drawing: `<svg width="720" height="410"><ellipse rx="4"/></svg>`}).Trace(); err == nil {
		t.Error("no error")
	}
	if out, err := (ChartPlate{Plate: somePlate(), Drawing: someDrawing}).Trace(); err != nil || len(out) == 0 {
		t.Errorf("%d bytes, %v", len(out), err)
	}
}
