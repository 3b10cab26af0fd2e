package charts

// A legendItem is the name of a series that has no room at its line.
type legendItem struct {
	series int
	text   string
	x, y   float64
}

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
		text := shortened(l.series[i].label, l.legendRoom(), true)
		width := swatchWidth + legendGap + textWidth(text, true)
		if x > from && x+width > l.width-l.right {
			x, row = from, row+1
		}
		l.legend = append(l.legend, legendItem{i, text, x, l.height + 14 + float64(row)*(lineHeight+4)})
		x += width + 18
	}
	if len(l.legend) > 0 {
		rows := float64(row+1)*(lineHeight+4) + 6
		l.height += rows
		l.bottom += rows
	}
}
