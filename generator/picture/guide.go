package picture

// The action-safe area of a frame is 93 % of its width and height, in the middle: 1786 by
// 1004 pixels of 1920 by 1080 (SMPTE ST 2046-1 and ITU-R BT.1848; the standards' tables
// from memory).
const (
	actionLeft, actionTop     = 67, 38
	actionRight, actionBottom = FrameWidth - actionLeft, FrameHeight - actionTop
)

// A Guide shows where a frame may be covered or cut off, for who moves plates or lays a
// title of their own beside them. It is looked at while cutting, and not left in the film.
type Guide struct{}

// Draw gives the guide as a PNG with nothing but its lines and their names in it, as
// [TablePlate.Draw] does.
func (g Guide) Draw(times int) []byte { return drawn(times, g.paint) }

// Trace gives the guide as an SVG, as [TablePlate.Trace] does.
func (g Guide) Trace() []byte { return traced("safe areas", g.paint) }

// A stroke is how a line of a guide is drawn: dashes with gaps, or whole where there is no gap.
type stroke struct{ dash, gap int }

// paint draws the areas from the outer to the inner; each is another kind of line.
func (Guide) paint(c *canvas) {
	c.area(actionLeft, actionTop, actionRight, actionBottom, stroke{36, 24})
	c.area(SafeLeft, SafeTop, SafeRight, SafeBottom, stroke{dash: 1})
	c.level(SafeLeft, SafeRight, plateBottom, stroke{8, 12})
	c.tag("Action area, 93 %: nothing that matters lies beyond", 230, actionTop)
	c.tag("Title area, 90 %: all text stays within", 1180, SafeTop)
	c.tag("Plates end here: below it players show their bar and captions", 560, plateBottom)
}

// area draws the four sides of a rectangle.
func (c *canvas) area(left, top, right, bottom int, s stroke) {
	c.level(left, right, top, s)
	c.level(left, right, bottom, s)
	s.along(top, bottom, func(from, to int) { c.rail(left-3, from, 6, to-from) })
	s.along(top, bottom, func(from, to int) { c.rail(right-3, from, 6, to-from) })
}

// level draws a line from left to right.
func (c *canvas) level(left, right, y int, s stroke) {
	s.along(left, right, func(from, to int) { c.rail(from, y-3, to-from, 6) })
}

// along cuts a line into its dashes.
func (s stroke) along(from, to int, draw func(from, to int)) {
	if s.gap == 0 {
		draw(from, to)
		return
	}
	for ; from < to; from += s.dash + s.gap {
		draw(from, min(from+s.dash, to))
	}
}

// rail is a piece of a line: ink within paper, so that it is seen on any film.
func (c *canvas) rail(x, y, width, height int) {
	c.rect(x, y, width, height, paper)
	c.rect(x+min(2, width/2-1), y+min(2, height/2-1), width-2*min(2, width/2-1), height-2*min(2, height/2-1), inkInk)
}

// tag names a line, on the line.
func (c *canvas) tag(text string, left, y int) {
	set := style{regular, 22}
	text = settable(text)
	width := c.letters.width(text, set) + 28
	c.rect(left, y-18, width, 36, softInk)
	c.rect(left+2, y-16, width-4, 32, paper)
	c.text(text, left+14, y+8, set, inkInk)
}
