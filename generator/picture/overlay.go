package picture

import (
	"image"
	"image/color"
	"slices"
	"strings"
)

// The size of a frame that overlays are drawn for; at twice the scale it is 3840 by 2160.
const (
	FrameWidth  = 1920
	FrameHeight = 1080
)

// The title-safe area of such a frame is 90 % of its width and height, in the middle
// (SMPTE ST 2046-1 and ITU-R BT.1848; the standards' tables from memory). Plates end above
// the lowest 15 %, where players show their bar and captions (common practice, no source).
const (
	SafeLeft, SafeTop     = 96, 54
	SafeRight, SafeBottom = FrameWidth - SafeLeft, FrameHeight - SafeTop
	plateBottom           = 918
)

// OverlayVersion changes whenever the same overlay gives other pixels.
const OverlayVersion = "1"

// The inks that overlays have beside those of a card: the series' of charts, and none,
// through which the film is seen.
const (
	series1Ink ink = openInk + 1 + iota
	series2Ink
	series3Ink
	series4Ink
	series5Ink
	series6Ink
	clearInk
)

var overlayColours = append(slices.Clone(cardColours),
	color.RGBA{0x1f, 0x5f, 0xa8, 0xff},
	color.RGBA{0x6a, 0x5d, 0x00, 0xff},
	color.RGBA{0x9c, 0x2f, 0x6f, 0xff},
	color.RGBA{0x3d, 0x46, 0x50, 0xff},
	color.RGBA{0x60, 0x30, 0x00, 0xff},
	color.RGBA{0x90, 0x48, 0xf0, 0xff},
	color.RGBA{},
)

// A Plate is what all plates that lie over a film have.
type Plate struct {
	Name  string // the unit
	Sheet string // the sheet's number and version
	Foot  string // what ± means
	Where string // the address
}

// A TablePlate shows claims, one a row.
type TablePlate struct {
	Plate
	Title  string // the verdicts in a sentence
	Source string // who supplied the unit
	Rows   []CardRow
}

// TableRows is how many claims a table has room for.
const TableRows = 7

// A ClaimPlate shows one claim.
type ClaimPlate struct {
	Plate
	Row        CardRow
	Conditions string
}

// A ChartPlate shows a chart.
type ChartPlate struct {
	Plate
	Title   string // the finding
	Drawing string // the chart as the SVG that package charts draws
}

// An EndCard fills the frame, and leaves its right side to what a platform shows there.
type EndCard struct {
	Plate
	Site   string
	Title  string
	Source string
	Code   [][]bool // the address as a QR code, true for dark; without its quiet zone
}

// The places of plates in the frame.
const (
	tableLeft, tableRight = 160, FrameWidth - 160
	claimLeft, claimRight = SafeLeft, SafeLeft + 1240
	chartLeft, chartRight = 284, FrameWidth - 284
	platePad              = 40
	ruleHeight            = 8
)

// Draw gives the table as a PNG with nothing but the plate in it: of 1920 by 1080 pixels
// times a scale. The bytes are the same each time and on any machine, with the same
// release of Go.
func (p TablePlate) Draw(times int) []byte { return drawn(times, p.paint) }

// Draw gives the claim as a PNG, as [TablePlate.Draw] does.
func (p ClaimPlate) Draw(times int) []byte { return drawn(times, p.paint) }

// Draw gives the chart as a PNG, as [TablePlate.Draw] does; an error tells what of the
// drawing isn't known here.
func (p ChartPlate) Draw(times int) (out []byte, err error) {
	out = drawn(times, func(c *canvas) { err = p.paint(c) })
	return out, err
}

// Draw gives the card as a PNG of the whole frame, as [TablePlate.Draw] does.
func (p EndCard) Draw(times int) []byte { return drawn(times, p.paint) }

// drawn is a frame that something is painted on.
func drawn(times int, paint func(*canvas)) []byte {
	c := frame(times)
	paint(c)
	return c.layered()
}

// frame gives an empty frame.
func frame(times int) *canvas {
	c := &canvas{image: image.NewPaletted(image.Rect(0, 0, FrameWidth*times, FrameHeight*times), nil)}
	c.begin(overlayColours, times)
	c.rect(0, 0, FrameWidth, FrameHeight, clearInk)
	return c
}

// plate draws an empty plate: paper with an edge that shows on any film, and a heavy rule.
func (c *canvas) plate(left, top, right, bottom int) {
	c.rect(left, top, right-left, bottom-top, softInk)
	c.rect(left+2, top+2, right-left-4, bottom-top-4, paper)
	c.rect(left, top, right-left, ruleHeight, inkInk)
}

// ends draws what a plate says at its foot: left and, ending at the right, the address.
func (c *canvas) ends(p Plate, left, right, y int) {
	small := style{regular, 20}
	where, set := c.fitted(settable(p.Where), small, 17, (right-left)/2)
	x := right - c.letters.width(where, set)
	c.text(where, x, y, set, softInk)
	foot, set := c.fitted(settable(join(p.Foot, p.Sheet)), small, 16, x-left-24)
	c.text(foot, left, y, set, softInk)
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " " + b
}

// paint draws the table: as high as its rows need, in the middle of what may be used.
func (p TablePlate) paint(c *canvas) {
	const left, right, rowHeight = tableLeft + platePad, tableRight - platePad, 82
	rows := p.Rows[:min(len(p.Rows), TableRows)]
	title, set := c.wrapped(settable(p.Title), style{bold, 40}, 30, right-left, 2)
	source, small := c.wrapped(settable(p.Source), style{regular, 22}, 19, right-left-20, 2)
	head := ruleHeight + 22 + 34 + 12 + len(title)*(set.size+8) + 12 + len(source)*(small.size+6) + 18
	height := head + len(rows)*rowHeight + 54
	top := SafeTop + max(0, plateBottom-SafeTop-height)/2
	c.plate(tableLeft, top, tableRight, top+height)
	y := top + ruleHeight + 22 + 30
	name, s := c.fitted(settable(p.Name), style{regular, 30}, 20, right-left)
	c.text(name, left, y, s, softInk)
	y += 16
	y = c.lines(title, left, y, 8, set, inkInk)
	y += 14
	c.rect(left, y, 6, len(source)*(small.size+6)+2, inkInk)
	c.lines(source, left+20, y-4, 6, small, softInk)
	y = top + head
	for _, r := range rows {
		c.rect(left, y, right-left, 1, lineInk)
		c.tableRow(r, left, right, y+rowHeight/2)
		y += rowHeight
	}
	c.rect(left, y, right-left, 1, lineInk)
	c.ends(p.Plate, left, right, y+36)
}

// tableRow draws a claim of a table.
func (c *canvas) tableRow(r CardRow, left, right, middle int) {
	const labelWide, lineWide, figureWide, gap = 280, 420, 420, 28
	x := left
	label, set := c.fitted(settable(r.Label), style{bold, 32}, 20, labelWide)
	c.text(label, x, middle+set.size*36/100, set, inkInk)
	x += labelWide + gap
	if r.Line != nil {
		c.claimLine(*r.Line, x, middle, lineWide, verdictInk(r.Verdict))
	}
	x += lineWide + gap
	c.figureOf(r, x, middle+12, figureWide, 32)
	x += figureWide + gap
	c.verdict(r, x, right, middle, 32)
}

// figureOf draws what was measured and, smaller, of what, on a line.
func (c *canvas) figureOf(r CardRow, x, y, width, size int) {
	figure, of := settable(r.Figure), settable(r.Of)
	strong, small := style{bold, size}, style{regular, size * 7 / 10}
	for c.letters.width(figure, strong)+12+c.letters.width(of, small) > width && strong.size > 18 {
		strong.size--
		small.size = strong.size * 7 / 10
	}
	if figure = c.ended(figure, strong, width); figure != "" {
		c.text(figure, x, y, strong, inkInk)
		wide := c.letters.width(figure, strong) + 12
		x, width = x+wide, width-wide
	}
	c.text(c.ended(of, small, width), x, y, small, softInk)
}

// verdict draws mark and word of a verdict, and gives where they begin.
func (c *canvas) verdict(r CardRow, left, right, middle, size int) {
	with := verdictInk(r.Verdict)
	c.mark(r.Verdict, left, middle-size/2, size, with)
	x := left + size + 14
	word, set := c.fitted(settable(r.Word), style{bold, size}, 18, right-x)
	c.text(word, x, middle+set.size*36/100, set, with)
}

// paint draws the claim low in the frame: load and verdict, the line, the figures.
func (p ClaimPlate) paint(c *canvas) {
	const left, right, height = claimLeft + platePad, claimRight - platePad, 264
	const top, wordWide = plateBottom - height, 420
	c.plate(claimLeft, top, claimRight, plateBottom)
	y := top + ruleHeight + 54
	label, set := c.fitted(settable(p.Row.Label), style{bold, 44}, 26, right-left-wordWide-24)
	c.text(label, left, y, set, inkInk)
	word := settable(p.Row.Word)
	wide := min(c.letters.width(word, style{bold, 40})+54, wordWide)
	c.verdict(p.Row, right-wide, right, y-15, 40)
	x := left + c.letters.width(label, set) + 24
	c.conditions(settable(p.Conditions), x, y, right-wide-30-x)
	if p.Row.Line != nil {
		c.zoomed(2, func() {
			c.claimLine(*p.Row.Line, left/2, (y+62)/2, (right-left)/2, verdictInk(p.Row.Verdict))
		})
	}
	y += 142
	c.figureOf(p.Row, left, y, right-left, 42)
	if name, s := c.fitted(settable(p.Name), style{regular, 24}, 18, 480); name != "" {
		c.text(name, right-c.letters.width(name, s), y, s, inkInk)
	}
	c.ends(p.Plate, left, right, y+38)
}

// conditions draws a text in one line, or in two smaller ones; none where there is hardly
// any room.
func (c *canvas) conditions(text string, x, y, width int) {
	if width < 160 || text == "" {
		return
	}
	if one, set := c.fitted(text, style{regular, 24}, 22, width); one == text {
		c.text(one, x, y, set, softInk)
		return
	}
	lines, set := c.wrapped(text, style{regular, 20}, 16, width, 2)
	for i, line := range lines {
		c.text(line, x, y+2-(len(lines)-1-i)*(set.size+5), set, softInk)
	}
}

// zoomed draws larger for a while.
func (c *canvas) zoomed(by int, draw func()) {
	c.times *= by
	draw()
	c.times /= by
}

// paint draws the chart under what it finds.
func (p ChartPlate) paint(c *canvas) error {
	const left, right = chartLeft + platePad, chartRight - platePad
	c.plate(chartLeft, SafeTop, chartRight, plateBottom)
	y := SafeTop + ruleHeight + 14
	title, set := c.wrapped(settable(p.Title), style{bold, 32}, 25, right-left, 2)
	y = c.lines(title, left, y, 6, set, inkInk)
	name, s := c.fitted(settable(p.Name), style{regular, 22}, 18, right-left)
	c.text(name, left, y+30, s, softInk)
	c.ends(p.Plate, left, right, plateBottom-16)
	return c.drawing(p.Drawing, left, y+44, right-left, plateBottom-46-(y+44))
}

// paint draws the card over all of the frame.
func (p EndCard) paint(c *canvas) {
	const left, right, code = SafeLeft, 1120, 400
	c.rect(0, 0, FrameWidth, FrameHeight, paper)
	y := SafeTop + 40
	site, set := c.fitted(settable(p.Site), style{bold, 34}, 22, right-left)
	c.text(site, left, y, set, inkInk)
	c.rect(left, y+22, right-left, ruleHeight, inkInk)
	y += 44
	lines, set := c.wrapped(settable(p.Title), style{bold, 56}, 38, right-left, 3)
	y = c.lines(lines, left, y, 10, set, inkInk)
	name, set := c.fitted(settable(p.Name), style{regular, 32}, 22, right-left)
	c.text(name, left, y+54, set, inkInk)
	y += 72
	source, small := c.wrapped(settable(p.Source), style{regular, 24}, 20, right-left-24, 3)
	c.rect(left, y+6, 6, len(source)*(small.size+8)+2, inkInk)
	c.lines(source, left+24, y, 8, small, softInk)
	top := SafeBottom - code
	c.code(p.Code, left, top, code)
	x, y := left+code+32, top+60
	for _, line := range []string{"Every reading, the method,", "the uncertainty, and what", "was corrected since:"} {
		c.text(line, x, y, style{regular, 28}, inkInk)
		y += 38
	}
	y += 12
	host, rest, _ := strings.Cut(settable(p.Where), "/")
	for _, line := range []string{host + "/", rest} {
		line, set := c.fitted(line, style{bold, 30}, 16, right-x)
		c.text(line, x, y, set, inkInk)
		y += 40
	}
	c.text(c.ended(settable(p.Sheet), style{regular, 22}, right-x), x, SafeBottom-20, style{regular, 22}, softInk)
}

// code draws a QR code with its quiet zone, four modules wide (ISO/IEC 18004, from
// memory), as large as whole pixels allow within a square.
func (c *canvas) code(dark [][]bool, left, top, size int) {
	const quiet = 4
	if len(dark) == 0 {
		return
	}
	module := size / (len(dark) + 2*quiet)
	c.rect(left, top, size, size, cardInk)
	from := (size - module*len(dark)) / 2
	for y, row := range dark {
		for x, is := range row {
			if is {
				c.rect(left+from+x*module, top+from+y*module, module, module, inkInk)
			}
		}
	}
}
