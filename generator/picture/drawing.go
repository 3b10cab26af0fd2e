package picture

import (
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"strconv"
	"strings"
)

// A look is how elements of a drawing are painted, where they don't say it themselves: the
// values of the attributes that SVG hands down (SVG 2, 6.3: inherited properties).
type look map[string]string

// What an attribute is to a drawing: handed down, of one element, or nothing, because it is for
// browsers, readers and scripts. One that isn't here can't be drawn: what a chart says with it
// would be lost without a word.
const (
	handed = iota + 1
	own
	aside
)

var attributes = map[string]int{
	"color": handed, "fill": handed, "fill-opacity": handed, "stroke": handed, "stroke-width": handed, "stroke-dasharray": handed,
	"font-weight": handed, "text-anchor": handed, "paint-order": handed,
	"x": own, "y": own, "width": own, "height": own, "cx": own, "cy": own, "r": own, "d": own, "viewBox": own,
	"xmlns": aside, "class": aside, "id": aside, "role": aside, "aria-labelledby": aside, "data-n": aside,
	"font-family": aside, "font-size": aside, "stroke-linejoin": aside,
}

// A sketch is an SVG being drawn on a canvas, in a box of it.
type sketch struct {
	*canvas
	left, top int
	up, down  int // a length of the drawing times up, divided by down, is one of the canvas
	looks     []look
}

// drawing draws an SVG of package charts into a box, as large as fits and in its middle.
// It knows the elements and attributes that are used there, and no more: an error tells of
// any other, so that no part of a chart is left out without a word.
func (c *canvas) drawing(markup string, left, top, width, height int) error {
	d := xml.NewDecoder(strings.NewReader(markup))
	s := &sketch{canvas: c, left: left * one, top: top * one, looks: []look{{}}}
	var text *xml.StartElement
	content := ""
	for {
		token, err := d.Token()
		switch t := token.(type) {
		case xml.StartElement:
			if text = nil; t.Name.Local == "text" {
				text, content = new(t.Copy()), ""
			}
			if t.Name.Local == "svg" {
				err = s.begin(t, width, height)
			} else if err == nil {
				err = s.element(t)
			}
			err = cmp.Or(err, known(t))
			s.looks = append(s.looks, s.look(t))
		case xml.EndElement:
			s.looks = s.looks[:len(s.looks)-1]
			if t.Name.Local == "text" && text != nil {
				err = s.lettered(*text, content)
			}
			text = nil
		case xml.CharData:
			content += string(t)
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("a drawing can't be drawn: %w", err)
		}
	}
}

// begin chooses the scale.
func (s *sketch) begin(t xml.StartElement, width, height int) error {
	wide, high := s.length(t, "width"), s.length(t, "height")
	if wide <= 0 || high <= 0 {
		return errors.New("it has no size")
	}
	// In eighths of its own size, so that letters have whole sizes too.
	s.up, s.down = min(width*one*8/wide, height*one*8/high), 8
	s.left += (width*one - s.scaled(wide)) / 2
	s.top += (height*one - s.scaled(high)) / 2
	return nil
}

func (s *sketch) scaled(n int) int { return divided(n*s.up, max(s.down, 1)) }

// look gives what an element hands down.
func (s *sketch) look(t xml.StartElement) look {
	l := maps.Clone(s.looks[len(s.looks)-1])
	for _, a := range t.Attr {
		if attributes[a.Name.Local] == handed {
			l[a.Name.Local] = a.Value
		}
	}
	return l
}

// known refuses an element with an attribute that isn't.
func known(t xml.StartElement) error {
	for _, a := range t.Attr {
		if attributes[a.Name.Local] == 0 {
			return fmt.Errorf("the attribute %q of %q isn't known", a.Name.Local, t.Name.Local)
		}
	}
	return nil
}

func attribute(t xml.StartElement, name string) string {
	for _, a := range t.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// length reads an attribute that is a number, in 1/256.
func (s *sketch) length(t xml.StartElement, name string) int {
	n, _ := fixedNumber(attribute(t, name))
	return n
}

// fixedNumber reads a decimal number as 1/256 of one, by whole numbers.
func fixedNumber(text string) (int, error) {
	whole, part, _ := strings.Cut(strings.TrimPrefix(text, "-"), ".")
	part = (part + "000")[:3]
	w, err := strconv.Atoi("0" + whole)
	if err != nil {
		return 0, err
	}
	p, err := strconv.Atoi(part)
	if err != nil {
		return 0, err
	}
	n := divided((w*1000+p)*one, 1000)
	if strings.HasPrefix(text, "-") {
		n = -n
	}
	return n, nil
}

// element draws an element that has no text.
func (s *sketch) element(t xml.StartElement) error {
	l := s.look(t)
	switch t.Name.Local {
	case "g", "text", "title", "desc":
		return nil
	case "rect":
		x, y := s.length(t, "x"), s.length(t, "y")
		corner, far := s.place(point{x, y}), s.place(point{x + s.length(t, "width"), y + s.length(t, "height")})
		s.shape(corner, point{far.x, corner.y}, far, point{corner.x, far.y})
		return s.fill(l)
	case "circle":
		return s.lines(l, []outline{circle(s.length(t, "cx"), s.length(t, "cy"), s.length(t, "r"))})
	case "path":
		lines, err := outlines(attribute(t, "d"))
		if err != nil {
			return err
		}
		return s.lines(l, lines)
	}
	return fmt.Errorf("the element %q isn't known", t.Name.Local)
}

// lines fills and strokes the lines of an element.
func (s *sketch) lines(l look, lines []outline) error {
	for i := range lines {
		for k := range lines[i].points {
			lines[i].points[k] = s.place(lines[i].points[k])
		}
	}
	if l["fill"] != "none" && anyClosed(lines) {
		for _, one := range lines {
			s.shape(one.points...)
		}
		if err := s.fill(l); err != nil {
			return err
		}
	}
	return s.stroke(l, lines)
}

func (s *sketch) place(p point) point { return point{s.left + s.scaled(p.x), s.top + s.scaled(p.y)} }

// fill paints the raster as an element says.
func (s *sketch) fill(l look) error {
	with, err := s.ink(l["fill"], l)
	if err != nil {
		return err
	}
	opacity := l["fill-opacity"]
	if opacity == "" {
		s.paint(with)
		return nil
	}
	n, err := fixedNumber(opacity)
	if err != nil {
		return err
	}
	s.tint(with, max(1, divided(n*levels, one)))
	return nil
}

// inks of a drawing, by their colours; white is the ground that it lies on.
var drawingInks = map[string]ink{"#1b1f23": inkInk, "#5a6068": softInk, "#d9d6cd": lineInk, "#ffffff": paper}

func (s *sketch) ink(colour string, l look) (ink, error) {
	if colour == "currentColor" {
		colour = l["color"]
	}
	if colour == "" {
		return inkInk, nil
	}
	if known, is := drawingInks[colour]; is {
		return known, nil
	}
	for i := series1Ink; i <= series6Ink; i++ {
		c := overlayColours[i]
		if colour == fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) {
			return i, nil
		}
	}
	return 0, fmt.Errorf("the colour %q isn't known", colour)
}

// stroke draws the lines of a path.
func (s *sketch) stroke(l look, lines []outline) error {
	if l["stroke"] == "" || l["stroke"] == "none" {
		return nil
	}
	with, err := s.ink(l["stroke"], l)
	if err != nil {
		return err
	}
	width := one
	if l["stroke-width"] != "" {
		if width, err = fixedNumber(l["stroke-width"]); err != nil {
			return err
		}
	}
	var dashes []int
	for _, d := range strings.Fields(l["stroke-dasharray"]) {
		n, err := fixedNumber(d)
		if err != nil {
			return err
		}
		dashes = append(dashes, s.scaled(n))
	}
	for _, one := range lines {
		points := one.points
		if one.closed {
			points = append(points[:len(points):len(points)], points[0])
		}
		s.along(points, s.scaled(width), dashes)
	}
	s.paint(with)
	return nil
}

// along leads the raster around a line of a width, round where it bends, in dashes where
// there are any.
func (s *sketch) along(points []point, width int, dashes []int) {
	left, which, on := math.MaxInt, 0, true
	if len(dashes) > 0 {
		left = dashes[0]
	}
	for i := 1; i < len(points); i++ {
		from, to := points[i-1], points[i]
		length := distance(from, to)
		if length == 0 {
			continue
		}
		for done := 0; done < length; {
			step := min(left, length-done)
			if on {
				s.bar(between(from, to, done, length), between(from, to, done+step, length), width)
			}
			if done += step; left != math.MaxInt {
				if left -= step; left <= 0 {
					which, on = (which+1)%len(dashes), !on
					left = max(dashes[which], one/4)
				}
			}
		}
		if on && i+1 < len(points) && width > one {
			s.turn(to, width/2)
		}
	}
}

func between(from, to point, part, of int) point {
	return point{from.x + divided((to.x-from.x)*part, of), from.y + divided((to.y-from.y)*part, of)}
}

// distance is between two points, to the nearest whole number. A square root is the same
// on any processor, of a whole number that a float holds exactly.
func distance(a, b point) int {
	x, y := b.x-a.x, b.y-a.y
	return int(math.Round(math.Sqrt(float64(x*x + y*y))))
}

// bar leads the raster around a straight piece of a line, and turn around a round joint;
// both the same way round, so that they add up.
func (s *sketch) bar(from, to point, width int) {
	length := distance(from, to)
	if length == 0 {
		return
	}
	nx, ny := divided((from.y-to.y)*width, 2*length), divided((to.x-from.x)*width, 2*length)
	s.shape(from.plus(-nx, -ny), to.plus(-nx, -ny), to.plus(nx, ny), from.plus(nx, ny))
}

func (s *sketch) turn(centre point, radius int) {
	var all []point
	for n := range 24 {
		all = append(all, around(centre, radius, n*4))
	}
	s.shape(all...)
}

// lettered draws a text; one with a rim has the ground's colour around it.
func (s *sketch) lettered(t xml.StartElement, content string) error {
	l := s.look(t)
	with, err := s.ink(l["fill"], l)
	if err != nil {
		return err
	}
	const size = 14 // what charts write with
	set := style{regular, divided(s.scaled(size*one), one)}
	if l["font-weight"] == "600" {
		set.weight = bold
	}
	content = settable(content)
	at := s.place(point{s.length(t, "x"), s.length(t, "y")})
	width := s.letters.width(content, set)
	switch l["text-anchor"] {
	case "middle":
		at.x -= width * one / 2
	case "end":
		at.x -= width * one
	}
	x, y := divided(at.x, one), divided(at.y, one)
	if l["paint-order"] == "stroke" {
		for _, by := range [][2]int{{-3, 0}, {3, 0}, {0, -3}, {0, 3}, {-2, -2}, {2, -2}, {-2, 2}, {2, 2}} {
			s.text(content, x+by[0], y+by[1], set, paper)
		}
	}
	s.text(content, x, y, set, with)
	return nil
}
