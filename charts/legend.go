package charts

// A legendItem is the name of a series that has no room at its line.
type legendItem struct {
	series int
	text   string
	x, y   float64
}

const swatchWidth = 34.0

// placeLegend lists the series without a label, in rows under the plot.
func (l *layout) placeLegend() {
	x, row := l.left, 0
	for i := range l.series {
		if l.labels[i].placed {
			continue
		}
		text := shortened(l.series[i].label, l.plotWidth()-swatchWidth-6, true)
		width := swatchWidth + 6 + textWidth(text, true)
		if x > l.left && x+width > l.width-l.right {
			x, row = l.left, row+1
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
