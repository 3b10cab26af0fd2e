package charts

import "strings"

// A legendItem is the name of a series that has no room at its line.
type legendItem struct {
	series int
	text   string
	x, y   float64
	more   bool // a further line of the same name
}

// legendLines is how many lines a name may have in the legend.
const legendLines = 3

const swatchWidth = 34.0

// The room between a legend's line and its text, and left of a legend at least.
const (
	legendGap  = 6.0
	legendEdge = 4.0
)

// legendRoom is how wide a text of the legend may be.
func (l *layout) legendRoom() float64 {
	return l.width - l.right - legendEdge - swatchWidth - legendGap
}

// placeLegend lists the series without a label, in rows under the plot; where a name is too
// long for it, they begin left of it.
func (l *layout) placeLegend() {
	from := l.left
	for i, s := range l.series {
		if !l.labels[i].placed {
			width := swatchWidth + legendGap + textWidth(s.label, true)
			from = max(legendEdge, min(from, l.width-l.right-width))
		}
	}
	x, row := from, 0
	for i := range l.series {
		if l.labels[i].placed {
			continue
		}
		for n, text := range wrapped(l.series[i].label, l.legendRoom(), legendLines) {
			width := swatchWidth + legendGap + textWidth(text, true)
			if n > 0 || x > from && x+width > l.width-l.right {
				x, row = from, row+1
			}
			l.legend = append(l.legend, legendItem{i, text, x, l.height + 14 + float64(row)*(lineHeight+4), n > 0})
			x += width + 18
			if n > 0 {
				x = l.width // nothing beside a further line
			}
		}
	}
	if len(l.legend) > 0 {
		rows := float64(row+1)*(lineHeight+4) + 6
		l.height += rows
		l.bottom += rows
	}
}

// wrapped breaks a text of bold letters at blanks into lines of a width, so many at most; what is
// too long all the same is cut.
func wrapped(text string, width float64, most int) (lines []string) {
	line := ""
	for _, word := range strings.Split(text, " ") {
		if longer := line + " " + word; line != "" && textWidth(longer, true) > width && len(lines) < most-1 {
			lines, line = append(lines, shortened(line, width, true)), word
		} else {
			line = strings.TrimPrefix(longer, " ")
		}
	}
	return append(lines, shortened(line, width, true))
}
