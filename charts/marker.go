package charts

// A style is how a series looks: shape and dash first, colour third.
type style struct {
	shape  []dot // corners of the marker for a radius of 1; nil for a circle
	dash   []int // nil for a solid line
	colour string
	custom string // the colour's custom property in a page's style
}

// The styles, by a method's position in methods.toml. The colours stand in for
// those of the page where there is no page, and are the light ones of the theme.
var styles = []style{
	{nil, nil, "#1f5fa8", "--series-1"},
	{[]dot{{-.9, -.9}, {.9, -.9}, {.9, .9}, {-.9, .9}}, []int{7, 4}, "#6a5d00", "--series-2"},
	{[]dot{{0, -1.1}, {1.1, .9}, {-1.1, .9}}, []int{2, 4}, "#9c2f6f", "--series-3"},
	{[]dot{{0, -1.25}, {1.25, 0}, {0, 1.25}, {-1.25, 0}}, []int{9, 4, 2, 4}, "#3d4650", "--series-4"},
	{[]dot{{0, 1.1}, {1.1, -.9}, {-1.1, -.9}}, []int{14, 5}, "#603000", "--series-5"},
	{[]dot{{-.4, -1.2}, {.4, -1.2}, {.4, -.4}, {1.2, -.4}, {1.2, .4}, {.4, .4}, {.4, 1.2}, {-.4, 1.2}, {-.4, .4}, {-1.2, .4}, {-1.2, -.4}, {-.4, -.4}},
		[]int{10, 3, 2, 3, 2, 3}, "#9048f0", "--series-6"},
}

func (s *series) look() style { return styles[s.styleIndex()] }

// styleIndex is which of the styles a series has; they begin again after the last.
func (s *series) styleIndex() int {
	if s.swapped > 0 {
		return s.swapped - 1
	}
	return s.style % len(styles)
}

// swap gives a method for which the styles have begun again one that is free in this
// chart, where an earlier method has its own. There are as many as styles.
func (p *plot) swap() {
	by := map[int]int{} // the method by the style that it has here
	for _, one := range p.series {
		if one.style < len(styles) {
			by[one.style] = one.style
		}
	}
	for _, one := range p.series {
		if one.style < len(styles) {
			continue
		}
		at := one.style % len(styles)
		for i := range styles {
			next := (at + i) % len(styles)
			if method, taken := by[next]; !taken || method == one.style {
				by[next], one.swapped = one.style, next+1
				break
			}
		}
	}
}

// path is the outline of a marker around a position.
func (s style) path(x, y, r float64) string {
	return drawing(func(w *svg) { w.outline(s, x, y, r) })
}

// outline adds the outline of a marker around a position: its first corner, and from there
// in steps, so that a marker has the same shape everywhere.
func (w *svg) outline(s style, x, y, r float64) *svg {
	if s.shape == nil {
		w.raw("M").number(x - r).raw(" ").number(y)
		w.raw("a").number(r).raw(" ").number(r).raw(" 0 1 0 ").number(2 * r).raw(" 0")
		return w.raw("a").number(r).raw(" ").number(r).raw(" 0 1 0 -").number(2 * r).raw(" 0z")
	}
	first := s.shape[0]
	w.raw("M").number(x + r*first.x).raw(" ").number(y + r*first.y)
	pen := pen{svg: w}
	for _, c := range s.shape {
		pen.to(dot{r * (c.x - first.x), r * (c.y - first.y)})
	}
	return w.raw("z")
}

// marker draws the marker of a series; more are other attributes of the element, and about is
// what a pointer is told of it, or empty.
func (w *svg) marker(s *series, x, y, r float64, more, about string) {
	name := "path"
	if look := s.look(); look.shape == nil {
		name = "circle"
		w.raw("<circle").raw(more).attribute(` cx="`, x).attribute(` cy="`, y).attribute(` r="`, r)
	} else {
		w.raw("<path").raw(more).raw(` d="`).outline(look, x, y, r).raw(`"`)
	}
	if about == "" {
		w.raw("/>")
		return
	}
	w.raw("><title>").escaped(about).raw("</title></").raw(name).raw(">")
}

// extent is half the width and height of a marker of radius 1.
func (s style) extent() (x, y float64) {
	x, y = 1, 1
	for i, c := range s.shape {
		if i == 0 {
			x, y = 0, 0
		}
		x, y = max(x, c.x), max(y, c.y, -c.y)
	}
	return x, y
}
