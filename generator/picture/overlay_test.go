package picture

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"image"
	"image/color"
	"strings"
	"sync"
	"testing"
)

// A drawing with each kind of element that charts have.
const someDrawing = `<svg xmlns="http://www.w3.org/2000/svg" class="still" viewBox="0 0 720 410" width="720" height="410" role="img" font-size="14">
<title>One &amp; all</title><desc>What it shows.</desc>
<rect class="still-band" fill="#1b1f23" fill-opacity="0.07" x="54" y="40" width="300" height="100.5"/>
<path class="still-line" stroke="#d9d6cd" d="M54 300.5H708"/>
<path class="still-tick" stroke="#1b1f23" d="M200 310v6"/>
<g class="still-joins" fill="none" stroke="currentColor" stroke-width="2"><path class="series-1" color="#1f5fa8" stroke-dasharray="7 4" d="M100 100l200 120.5 200-130.5"/></g>
<g class="still-marks" fill="currentColor" stroke="#ffffff"><g class="series-3" color="#9c2f6f" data-n="0 1"><circle cx="300" cy="220" r="4.6"/>
<path class="still-hollow" fill="#ffffff" stroke="currentColor" stroke-width="1.8" d="M95 95h10l-5 10z"><title>stopped</title></path></g></g>
<g class="still-soft" fill="#5a6068" text-anchor="end"><text font-weight="600" x="708" y="380">load / Ω</text></g>
<g class="still-labels" fill="currentColor" text-anchor="middle" stroke="#ffffff" stroke-width="4" paint-order="stroke"><text class="series-1" color="#1f5fa8" x="300" y="80">1 % THD+N</text></g>
</svg>`

// What a group says of its elements is the same as each of them saying it, and what they say
// themselves counts (SVG 2, 6.3): bars of uncertainty and hollow marks have their stroke from a group.
func TestDrawingsHandDown(t *testing.T) {
	drawn := func(inside string) string {
		c := frame(1)
		if err := (ChartPlate{somePlate(), "x", `<svg viewBox="0 0 720 410" width="720" height="410">` + inside + `</svg>`}).paint(c); err != nil {
			t.Fatal(err)
		}
		return string(c.image.Pix)
	}
	const upright, hollow, label = `d="M100 100V200"/>`, `d="M300 90L320 90L310 110z"/>`, `x="400" y="80">one</text>`
	grouped := drawn(`<g color="#9c2f6f" fill="currentColor" stroke="currentColor" stroke-width="1.6" stroke-dasharray="7 4"><path ` + upright +
		`<path fill="#ffffff" stroke-width="1.8" ` + hollow + `</g><g color="#1f5fa8" fill="currentColor" font-weight="600" text-anchor="middle" paint-order="stroke"><text ` + label + `</g>`)
	each := drawn(`<path color="#9c2f6f" fill="currentColor" stroke="currentColor" stroke-width="1.6" stroke-dasharray="7 4" ` + upright +
		`<path color="#9c2f6f" fill="#ffffff" stroke="currentColor" stroke-width="1.8" stroke-dasharray="7 4" ` + hollow +
		`<text color="#1f5fa8" fill="currentColor" font-weight="600" text-anchor="middle" paint-order="stroke" ` + label)
	if grouped != each {
		t.Error("a group's attributes aren't those of its elements")
	}
	for name, without := range map[string]string{"a stroke": `stroke="currentColor" `, "dashes": `stroke-dasharray="7 4" `} {
		if drawn(strings.ReplaceAll(`<path color="#9c2f6f" stroke="currentColor" stroke-dasharray="7 4" `+upright, without, "")) == drawn(`<path color="#9c2f6f" stroke="currentColor" stroke-dasharray="7 4" `+upright) {
			t.Errorf("%s isn't seen", name)
		}
	}
}

func somePlate() Plate {
	c := fullCard()
	return Plate{Name: c.Name, Sheet: c.Sheet, Foot: c.Foot, Where: c.Where}
}

func someCode() [][]bool {
	code := make([][]bool, 33)
	for y := range code {
		code[y] = make([]bool, 33)
		for x := range code[y] {
			code[y][x] = (x*y+x)%3 == 0
		}
	}
	return code
}

// overlays are a picture of each kind, with texts that are usual and that nobody expects.
func overlays() map[string]func(*canvas) {
	all := map[string]func(*canvas){}
	for name, c := range map[string]Card{"": fullCard(), "hostile ": hostileCard(), "empty ": {}} {
		p := Plate{Name: c.Name, Sheet: c.Sheet, Foot: c.Foot, Where: c.Where}
		all[name+"table"] = TablePlate{p, c.Title, c.Source, c.Rows}.paint
		all[name+"end"] = EndCard{p, c.Site, c.Title, c.Source, someCode()}.paint
		claim := ClaimPlate{Plate: p, Conditions: c.Source}
		if len(c.Rows) > 0 {
			claim.Row = c.Rows[1]
		}
		all[name+"claim"] = claim.paint
		all[name+"chart"] = func(c *canvas) { _ = ChartPlate{p, p.Name, someDrawing}.paint(c) }
	}
	many := fullCard()
	for range 4 {
		many.Rows = append(many.Rows, many.Rows[0])
	}
	all["full table"] = TablePlate{somePlate(), strings.Repeat("One of many claims met. ", 8), strings.Repeat("Bought by the tester. ", 20), many.Rows}.paint
	return all
}

// All ink is inside the title-safe area, 90 % of width and height: 1728 by 972 pixels of
// 1920 by 1080 and 3456 by 1944 of 3840 by 2160 (SMPTE ST 2046-1, ITU-R BT.1848; the tables
// from memory). Plates are of paper or ink throughout, and nothing else is drawn.
func TestOverlaysKeepWithinTheSafeArea(t *testing.T) {
	for name, paint := range overlays() {
		for times := 1; times <= 2; times++ {
			if times > 1 && testing.Short() {
				break
			}
			c := frame(times)
			paint(c)
			if c.image.Rect != image.Rect(0, 0, 1920*times, 1080*times) {
				t.Fatalf("%s: %v", name, c.image.Rect)
			}
			safe := image.Rect(96*times, 54*times, 1824*times, 1026*times)
			outside, shown := uint8(clearInk), 0
			if strings.HasSuffix(name, "end") {
				outside = uint8(paper)
			}
			for y := range c.image.Rect.Dy() {
				row := c.image.Pix[y*c.image.Stride:][:c.image.Rect.Dx()]
				shown += len(row) - bytes.Count(row, []byte{outside})
				margins := [][]byte{row[:safe.Min.X], row[safe.Max.X:]}
				if y < safe.Min.Y || y >= safe.Max.Y {
					margins = [][]byte{row}
				}
				for _, margin := range margins {
					if bytes.Count(margin, []byte{outside}) != len(margin) {
						t.Fatalf("%s at scale %d: ink beside the safe area in row %d", name, times, y)
					}
				}
			}
			if shown == 0 {
				t.Errorf("%s: nothing is drawn", name)
			}
		}
	}
}

// What shows through is all or nothing, and there is some of both; an end card is whole.
func TestOverlaysShowThrough(t *testing.T) {
	c := fullCard()
	data := TablePlate{somePlate(), c.Title, c.Source, c.Rows}.Draw(1)
	p, is := decoded(t, data).(*image.NRGBA)
	if !is {
		t.Fatalf("the picture has no channel for what shows through: %T", decoded(t, data))
	}
	clear, full := 0, 0
	for i := 3; i < len(p.Pix); i += 4 {
		switch p.Pix[i] {
		case 0:
			clear++
		case 0xff:
			full++
		default:
			t.Fatalf("a pixel lets %d of 255 through", p.Pix[i])
		}
	}
	if clear == 0 || full == 0 {
		t.Errorf("%d pixels are clear, %d are not", clear, full)
	}
	card := EndCard{somePlate(), c.Site, c.Title, c.Source, someCode()}.Draw(1)
	if o, is := decoded(t, card).(interface{ Opaque() bool }); !is || !o.Opaque() {
		t.Error("the film shows through an end card")
	}
}

// The pixels are those that were seen over black, white and grey frames and found right.
// After a change that is meant, look at them, raise OverlayVersion and put the new digest here.
func TestOverlaysPixels(t *testing.T) {
	all := overlays()
	for name, want := range map[string]string{
		"table": "040416f70ea334f2 26fc18f44a2602f9",
		"claim": "520ca8f3f8241d29 50c0912091eedc7a",
		"chart": "20f5d70ce0723061 d9e8e7a399f87b4e",
		"end":   "ac852fa7a68c29f7 c2d7212e2c9e7bf3",
	} {
		for times, part := range strings.Split(want, " ") {
			c := frame(times + 1)
			all[name](c)
			h := sha256.New()
			row := make([]byte, 0, 4*c.image.Stride)
			for y := range c.image.Rect.Dy() {
				row = row[:0]
				for _, n := range c.image.Pix[y*c.image.Stride:][:c.image.Stride] {
					p := c.image.Palette[n].(color.RGBA)
					row = append(row, p.R, p.G, p.B, p.A)
				}
				h.Write(row)
			}
			if got := hex.EncodeToString(h.Sum(nil))[:16]; got != part {
				t.Errorf("%s at scale %d: the pixels have the digest %s, want %s", name, times+1, got, part)
			}
		}
	}
}

// A picture that is read again has the pixels that were drawn.
func TestOverlaysAreWrittenWhole(t *testing.T) {
	for name, paint := range overlays() {
		if strings.Contains(name, " ") {
			continue
		}
		c := frame(1)
		paint(c)
		switch p := decoded(t, c.layered()).(type) {
		case *image.NRGBA:
			for i, n := range c.image.Pix {
				if want := c.image.Palette[n].(color.RGBA); [4]byte(p.Pix[4*i:]) != [4]byte{want.R, want.G, want.B, want.A} {
					t.Fatalf("%s: another pixel at %d", name, i)
				}
			}
		default:
			t.Errorf("%s is written as %T", name, p)
		}
	}
}

// Drawn at once or one after the other, the bytes are the same.
func TestOverlaysDrawnAtOnce(t *testing.T) {
	c := fullCard()
	draw := ClaimPlate{somePlate(), c.Rows[1], "two channels driven"}.Draw
	want := draw(1)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			if !bytes.Equal(draw(1), want) {
				t.Error("other bytes")
			}
		})
	}
	all.Wait()
}

// What a drawing has that isn't known here is an error, never left out.
func TestDrawingsUnknownParts(t *testing.T) {
	for part, want := range map[string]string{
		`<ellipse rx="4"/>`:                           `the element "ellipse" isn't known`,
		`<path d="M0 0C1 1 2 2 3 3"/>`:                "a path has 'C' with 6 numbers",
		`<path d="M0 0l1 1 2"/>`:                      "a path has 'l' with 3 numbers",
		`<path d="M0 0z1"/>`:                          "a path has 'z' with 1 numbers",
		`<path d="L0 0"/>`:                            "a path has 'L' with 2 numbers",
		`<path d="M0 zero"/>`:                         "a path",
		`<rect fill="#123456" width="4" height="4"/>`: `the colour "#123456" isn't known`,
		`<path stroke="url(#a)" d="M0 0H4"/>`:         `the colour "url(#a)" isn't known`,
		`<path d="M0 0H4" stroke="#1b1f23"`:           "XML syntax error",
		`<text fill="red" x="1" y="1">Ω</text>`:       `the colour "red" isn't known`,
		`<g opacity="0.4"></g>`:                       `the attribute "opacity" of "g" isn't known`,
	} {
		drawing := `<svg width="720" height="410">` + part + `</svg>`
		if _, err := (ChartPlate{Drawing: drawing}).Draw(1); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", part, err, want)
		}
	}
	if _, err := (ChartPlate{Drawing: someDrawing}).Draw(1); err != nil {
		t.Error(err)
	}
}

// inked is how much of a canvas something covers, in pixels.
func inked(draw func(*sketch)) float64 {
	c := frame(1)
	c.rect(0, 0, FrameWidth, FrameHeight, paper)
	draw(&sketch{canvas: c, up: 1, down: 1, looks: []look{{}}})
	sum := 0.0
	for y := range 600 {
		for x := range 600 {
			p := c.image.Palette[c.image.Pix[y*c.image.Stride+x]].(color.RGBA)
			sum += float64(0xfb-p.R) / (0xfb - 0x1b)
		}
	}
	return sum
}

// The area of what is drawn is that of geometry: a circle's πr², a line's length times its
// width, of dashes their share, within what 15 levels at the edge leave.
func TestDrawingsAreas(t *testing.T) {
	stroke := func(width int, dashes []int, points ...point) func(*sketch) {
		return func(s *sketch) { s.along(points, width*one, dashes); s.paint(inkInk) }
	}
	for name, c := range map[string]struct {
		draw func(*sketch)
		want float64
	}{
		"circle": {func(s *sketch) {
			lines, err := outlines("M100 200a40 40 0 1 0 80 0a40 40 0 1 0 -80 0z")
			if err != nil {
				t.Fatal(err)
			}
			s.shape(lines[0].points...)
			s.paint(inkInk)
		}, 5026.5}, // π·40²
		"level line":    {stroke(4, nil, at(100, 100), at(400, 100)), 1200},
		"slanting line": {stroke(4, nil, at(100, 100), at(400, 500)), 2000}, // 3-4-5
		"dashed line":   {stroke(4, []int{20 * one, 10 * one}, at(100, 100), at(400, 100)), 800},
		"bent line":     {stroke(4, nil, at(100, 100), at(400, 100), at(400, 500)), 4 * (300 + 400)},
	} {
		if got := inked(c.draw); got < c.want*0.99-4 || got > c.want*1.01+4 {
			t.Errorf("%s covers %.0f pixels, want %.0f", name, got, c.want)
		}
	}
}
