package picture

import (
	"image/color"
	"slices"
	"strconv"
	"strings"
)

// The size of a card, in pixels: the shape that link previews are shown in.
const (
	CardWidth  = 1200
	CardHeight = 630
)

// CardVersion changes whenever the same Card gives other pixels.
const CardVersion = "1"

// A Card is the picture that stands for a page where its link is shown: what was found,
// in words first. Texts are one line each, for people; none is trusted to be short.
type Card struct {
	Site   string // who publishes
	Sheet  string // the sheet's number and version, or what else stands at the top
	Tested string // at the top right
	Title  string // the verdicts in a sentence, or the site's name
	Name   string // the unit, or a line under the site's name
	Source string // who supplied the unit
	Rows   []CardRow
	More   string      // what is said of rows that are left out
	Counts []CardCount // in place of rows
	Foot   string      // what ± means
	Where  string      // the address
}

// A CardRow is one claim.
type CardRow struct {
	Label, Figure, Of string
	Verdict           string // met, short, open, untested or incomparable
	Word              string // the verdict in words
	Line              *CardLine
}

// A CardLine is a claim line; places are in parts of a thousand of its width.
type CardLine struct {
	Limit             int
	Drawn             bool // there is a mean
	Mean, From, To    int  // the mean, and the whiskers' ends
	Low, High         int  // the bar; none where they are equal
	EndFrom, EndTo    bool // the whisker ends within the scale
	OpenLow, OpenHigh bool // the bar has no end there
	Off               int  // −1 or 1 where the mean lies off the scale, to the left or right
}

// A CardCount is how many claims have a verdict, and the verdict in words.
type CardCount struct {
	Verdict string
	Count   int
	Text    string
}

// The inks of a card, as the light pages have them.
const (
	paper ink = iota
	inkInk
	softInk
	lineInk
	cardInk
	groundShortInk
	groundInk
	metInk
	shortInk
	openInk
)

var cardColours = []color.RGBA{
	paper:          {0xfb, 0xfa, 0xf7, 0xff},
	inkInk:         {0x1b, 0x1f, 0x23, 0xff},
	softInk:        {0x5a, 0x60, 0x68, 0xff},
	lineInk:        {0xd9, 0xd6, 0xcd, 0xff},
	cardInk:        {0xff, 0xff, 0xff, 0xff},
	groundShortInk: {0xe0, 0xde, 0xd9, 0xff},
	groundInk:      {0xf1, 0xf0, 0xec, 0xff},
	metInk:         {0x0b, 0x6e, 0x63, 0xff},
	shortInk:       {0xb3, 0x40, 0x0a, 0xff},
	openInk:        {0x5b, 0x4b, 0xb0, 0xff},
}

func verdictInk(word string) ink {
	switch word {
	case "met":
		return metInk
	case "short":
		return shortInk
	case "open":
		return openInk
	}
	return softInk
}

// The measures of a card: text keeps away from the edges, which some places cut.
const (
	cardLeft  = 60
	cardRight = CardWidth - cardLeft
	cardInner = cardRight - cardLeft
	cardFoot  = CardHeight - 40 // the line that the last text stands on
)

// MostRows is how many claims a card has room for.
const MostRows = 4

// Draw gives the card as a PNG: the same bytes each time and on any machine, with the
// same release of Go.
func (card Card) Draw() []byte {
	c := card.paint()
	defer c.done()
	return c.png()
}

func (card Card) paint() *canvas {
	card = card.settable()
	c := newCanvas(cardColours)
	c.head(card)
	y := c.title(card)
	foot := c.foot(card)
	if len(card.Counts) > 0 {
		c.counts(card.Counts, y+30, foot)
		return c
	}
	c.rows(card, y+16, foot)
	return c
}

// settable is the card with texts that can be set.
func (card Card) settable() Card {
	for _, text := range []*string{&card.Site, &card.Sheet, &card.Tested, &card.Title, &card.Name, &card.Source, &card.More, &card.Foot, &card.Where} {
		*text = settable(*text)
	}
	card.Rows, card.Counts = slices.Clone(card.Rows), slices.Clone(card.Counts)
	for i := range card.Rows {
		r := &card.Rows[i]
		r.Label, r.Figure, r.Of, r.Word = settable(r.Label), settable(r.Figure), settable(r.Of), settable(r.Word)
	}
	for i := range card.Counts {
		card.Counts[i].Text = settable(card.Counts[i].Text)
	}
	return card
}

// head draws the site, the sheet's number and the day above the heavy rule.
func (c *canvas) head(card Card) {
	const y = 62
	small := style{regular, 23}
	right := c.right(card.Tested, y, small, 380, softInk)
	site, set := c.fitted(card.Site, style{bold, 25}, 19, right-cardLeft-300)
	c.text(site, cardLeft, y, set, inkInk)
	x := cardLeft + c.letters.width(site, set) + 22
	sheet, set := c.fitted(card.Sheet, small, 17, right-22-x)
	c.text(sheet, x, y, set, softInk)
	c.rect(cardLeft, 82, cardInner, 5, inkInk)
}

// right draws a text that ends at the right side, and gives where it begins.
func (c *canvas) right(text string, y int, s style, width int, with ink) int {
	text, s = c.fitted(text, s, 16, width)
	x := cardRight - c.letters.width(text, s)
	c.text(text, x, y, s, with)
	return x
}

// title draws headline, name and source, and gives where they end.
func (c *canvas) title(card Card) int {
	y := 92
	lines, set := c.wrapped(card.Title, style{bold, 54}, 38, cardInner, 2)
	y = c.lines(lines, cardLeft, y, 8, set, inkInk)
	if card.Name != "" {
		y += 48
		name, set := c.fitted(card.Name, style{regular, 30}, 22, cardInner)
		c.text(name, cardLeft, y, set, inkInk)
	}
	if card.Source != "" {
		y += 18
		lines, set := c.wrapped(card.Source, style{regular, 21}, 19, cardInner-24, 2)
		c.rect(cardLeft, y, 6, len(lines)*(set.size+7)+2, inkInk)
		y = c.lines(lines, cardLeft+24, y-4, 7, set, softInk) + 4
		y += 2
	}
	return y
}

// foot draws the last line and gives where what stands above it may end.
func (c *canvas) foot(card Card) int {
	small := style{regular, 19}
	x := c.right(card.Where, cardFoot, small, 640, softInk)
	left := strings.TrimSpace(card.More + " " + card.Foot)
	left, small = c.fitted(left, small, 16, x-cardLeft-24)
	c.text(left, cardLeft, cardFoot, small, softInk)
	return cardFoot - 30
}

// rows draws the claims, as far apart as there is room.
func (c *canvas) rows(card Card, from, to int) {
	rows := card.Rows[:min(len(card.Rows), MostRows)]
	if len(rows) == 0 {
		return
	}
	height := min((to-from)/len(rows), 76)
	for i, r := range rows {
		top := from + i*height
		c.rect(cardLeft, top, cardInner, 1, lineInk)
		c.row(r, top+1, height-1)
	}
	c.rect(cardLeft, from+len(rows)*height, cardInner, 1, lineInk)
}

// The columns of a row, in pixels from the left.
const (
	lineAt   = 250
	lineWide = 300
	figureAt = lineAt + lineWide + 26
	wordAt   = 872
)

// row draws one claim.
func (c *canvas) row(r CardRow, top, height int) {
	middle := top + height/2
	size := min(28, height*5/10)
	c.label(r.Label, middle, size)
	if r.Line != nil {
		c.claimLine(*r.Line, lineAt, middle, lineWide, verdictInk(r.Verdict))
	}
	c.figure(r, middle, size)
	with := verdictInk(r.Verdict)
	c.mark(r.Verdict, wordAt, middle-14, 28, with)
	word, set := c.fitted(r.Word, style{bold, min(27, size)}, 17, cardRight-wordAt-40)
	c.text(word, wordAt+40, middle+set.size*36/100, set, with)
}

// label draws what a claim is for: in one line, or in two smaller ones.
func (c *canvas) label(text string, middle, size int) {
	const wide = lineAt - cardLeft - 16
	if one, set := c.fitted(text, style{bold, size}, 22, wide); one == text {
		c.text(one, cardLeft, middle+set.size*36/100, set, inkInk)
		return
	}
	lines, set := c.wrapped(text, style{bold, 20}, 16, wide, 2)
	step := set.size + 3
	y := middle + set.size*36/100 - (len(lines)-1)*step/2
	for i, line := range lines {
		c.text(line, cardLeft, y+i*step, set, inkInk)
	}
}

// figure draws what was measured and, smaller, of what; both get smaller where they
// don't fit beside each other.
func (c *canvas) figure(r CardRow, middle, size int) {
	const wide = wordAt - figureAt - 18
	strong, small := style{bold, size}, style{regular, size * 7 / 10}
	for c.letters.width(r.Figure, strong)+10+c.letters.width(r.Of, small) > wide && strong.size > 17 {
		strong.size--
		small.size = strong.size * 7 / 10
	}
	figure := c.ended(r.Figure, strong, wide)
	x, y := figureAt, middle+size*36/100
	if figure != "" {
		c.text(figure, x, y, strong, inkInk)
		x += c.letters.width(figure, strong) + 10
	}
	c.text(c.ended(r.Of, small, wide-(x-figureAt)), x, y, small, softInk)
}

// claimLine draws a claim line: the ground, the heavy stroke at the limit, whiskers, bar
// and ring.
func (c *canvas) claimLine(l CardLine, left, middle, width int, with ink) {
	x := func(thousandth int) int { return left + divided(min(max(thousandth, 0), 1000)*width, 1000) }
	c.rect(left, middle-10, x(l.Limit)-left, 20, groundShortInk)
	c.rect(x(l.Limit), middle-10, left+width-x(l.Limit), 20, groundInk)
	c.rect(x(l.Limit)-2, middle-20, 4, 40, inkInk)
	switch {
	case !l.Drawn:
		return
	case l.Off < 0:
		c.shape(at(left, middle), at(left+16, middle-11), at(left+16, middle+11))
		c.paint(with)
		return
	case l.Off > 0:
		c.shape(at(left+width, middle), at(left+width-16, middle-11), at(left+width-16, middle+11))
		c.paint(with)
		return
	}
	if l.To > l.From {
		c.rect(x(l.From), middle-1, x(l.To)-x(l.From), 2, with)
	}
	if l.EndFrom {
		c.rect(x(l.From)-1, middle-9, 2, 18, with)
	}
	if l.EndTo {
		c.rect(x(l.To)-1, middle-9, 2, 18, with)
	}
	if l.High > l.Low {
		c.rect(x(l.Low), middle-6, max(x(l.High)-x(l.Low), 1), 12, with)
	}
	if l.OpenLow {
		c.dashes(left, x(l.Low), middle, with)
	}
	if l.OpenHigh {
		c.dashes(x(l.High), left+width, middle, with)
	}
	centre := at(x(l.Mean), middle)
	c.disc(centre, 8*one, with)
	c.disc(centre, 4*one+one/2, cardInk)
}

// dashes lead a bar that has no end to the edge of the scale.
func (c *canvas) dashes(from, to, middle int, with ink) {
	for x := from; x < to; x += 10 {
		c.rect(x, middle-6, min(5, to-x), 12, with)
	}
}

// counts draws how many claims have which verdict, each with its shape, in two columns.
func (c *canvas) counts(all []CardCount, from, to int) {
	rows := (len(all) + 1) / 2
	height := min((to-from)/rows, 84)
	for i, one := range all {
		x, middle := cardLeft+i/rows*(cardInner/2), from+i%rows*height+height/2
		c.mark(one.Verdict, x, middle-18, 36, verdictInk(one.Verdict))
		text, set := c.fitted(strconv.Itoa(one.Count)+"\u00a0"+one.Text, style{bold, 34}, 20, cardInner/2-80)
		c.text(text, x+54, middle+set.size*36/100, set, verdictInk(one.Verdict))
	}
}
