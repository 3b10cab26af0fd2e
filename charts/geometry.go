package charts

import "math"

// A box is a rectangle with its sides along the axes; y grows downwards.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) grown(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

func (b box) overlaps(o box) bool {
	return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1
}

// with is the least box around both.
func (b box) with(o box) box {
	return box{min(b.x0, o.x0), min(b.y0, o.y0), max(b.x1, o.x1), max(b.y1, o.y1)}
}

// firstOverlap returns which of the others b overlaps first; -1 where none.
func firstOverlap(b box, others []box) int {
	for i := range others {
		if b.overlaps(others[i]) {
			return i
		}
	}
	return -1
}

func (b box) within(o box) bool {
	return b.x0 >= o.x0 && b.y0 >= o.y0 && b.x1 <= o.x1 && b.y1 <= o.y1
}

// gap is how far two boxes are apart at least; 0 where they overlap.
func (b box) gap(o box) float64 {
	return max(b.x0-o.x1, o.x0-b.x1, b.y0-o.y1, o.y0-b.y1, 0)
}

// A dot is a point of a line.
type dot struct{ x, y float64 }

// A polyline goes from left to right.
type polyline []dot

// ends returns the parts of a line within x0 … x1, as the lowest and highest y
// there, or false where the line has no part there.
func (line polyline) ends(x0, x1 float64) (top, bottom float64, ok bool) {
	top, bottom = math.Inf(1), math.Inf(-1)
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		from, to := max(x0, a.x), min(x1, b.x)
		if from > to || a.x == b.x {
			continue
		}
		for _, x := range []float64{from, to} {
			y := a.y + (b.y-a.y)*(x-a.x)/(b.x-a.x)
			top, bottom = min(top, y), max(bottom, y)
		}
		ok = true
	}
	return top, bottom, ok
}

// thinned leaves out dots as long as none of them lies farther than the slack above or below
// the line that is left.
func (line polyline) thinned(slack float64) polyline {
	kept := line[:min(1, len(line))]
	kept = kept[:len(kept):len(kept)]
	for from, to := 0, 2; from+1 < len(line); to++ {
		if to < len(line) && line[from:to+1].straight(slack) {
			continue
		}
		from = to - 1
		kept = append(kept, line[from])
	}
	return kept
}

// straight reports whether no dot of a line lies farther than the slack above or below the one
// from its first to its last.
func (line polyline) straight(slack float64) bool {
	a, b := line[0], line[len(line)-1]
	if !(b.x > a.x) {
		return false
	}
	for _, d := range line[1 : len(line)-1] {
		if !(math.Abs(a.y+(b.y-a.y)*(d.x-a.x)/(b.x-a.x)-d.y) <= slack) {
			return false
		}
	}
	return true
}

// hull is the box around a line.
func (line polyline) hull() box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, d := range line {
		b = box{min(b.x0, d.x), min(b.y0, d.y), max(b.x1, d.x), max(b.y1, d.y)}
	}
	return b
}

// crosses reports whether a line passes through a box.
func (line polyline) crosses(b box) bool {
	for i := 1; i < len(line); i++ {
		top, bottom, ok := line[i-1:i+1].ends(b.x0, b.x1)
		if ok && top < b.y1 && bottom > b.y0 {
			return true
		}
	}
	return false
}

// distance is how far a box lies from a line at the nearest; 0 where they meet.
func (line polyline) distance(b box) float64 {
	nearest := math.Inf(1)
	for i, d := range line {
		nearest = min(nearest, b.distance(d))
		if i > 0 {
			nearest = min(nearest, b.apart(line[i-1], d))
		}
	}
	if line.crosses(b) {
		return 0
	}
	return nearest
}

// apart is how far the corners of a box lie from the line between two dots.
func (b box) apart(from, to dot) float64 {
	nearest := math.Inf(1)
	dx, dy := to.x-from.x, to.y-from.y
	length := dx*dx + dy*dy
	if length == 0 {
		return nearest
	}
	for _, c := range [4]dot{{b.x0, b.y0}, {b.x1, b.y0}, {b.x0, b.y1}, {b.x1, b.y1}} {
		along := min(max(((c.x-from.x)*dx+(c.y-from.y)*dy)/length, 0), 1)
		ex, ey := c.x-from.x-along*dx, c.y-from.y-along*dy
		nearest = min(nearest, ex*ex+ey*ey)
	}
	return math.Sqrt(nearest)
}

// distance is how far a box lies from a dot; 0 inside.
func (b box) distance(d dot) float64 { return math.Sqrt(b.squared(d)) }

// squared is the square of that.
func (b box) squared(d dot) float64 {
	dx := max(b.x0-d.x, 0, d.x-b.x1)
	dy := max(b.y0-d.y, 0, d.y-b.y1)
	return dx*dx + dy*dy
}

// textWidth estimates how wide a text is at fontSize, on the wide side of the fonts
// that a browser may take.
func textWidth(s string, bold bool) float64 {
	em := 0.0
	for _, r := range s {
		em += glyphWidth(r)
	}
	if bold {
		em *= 1.1
	}
	return em * fontSize
}

// glyphWidth is a character's width in em, for a wide sans-serif face.
func glyphWidth(r rune) float64 {
	switch {
	case r == ' ' || r == '\u00a0' || r == '.' || r == ',' || r == ':' || r == '/' || r == '-' || r == '(' || r == ')':
		return 0.39
	case r == 'i' || r == 'j' || r == 'l' || r == 'I' || r == '\'' || r == '|':
		return 0.32
	case r == 'f' || r == 't' || r == 'r':
		return 0.42
	case r == 'm' || r == 'w' || r == 'M' || r == 'W' || r == '%' || r == '@' || r == '+' || r == '±':
		return 0.97
	case r >= 'A' && r <= 'Z' || r == 'Ω':
		return 0.74
	case r < 0x250:
		return 0.63
	case r < 0x1100:
		return 0.8
	}
	return 1.1
}

// shortened cuts a text to a width, with an ellipsis.
func shortened(s string, width float64, bold bool) string {
	if textWidth(s, bold) <= width {
		return s
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		if cut := string(runes[:n]) + "…"; textWidth(cut, bold) <= width {
			return cut
		}
	}
	return "…"
}
