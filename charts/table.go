package charts

func texts(all ...string) []Cell {
	cells := make([]Cell, 0, len(all)+8)
	for _, s := range all {
		cells = append(cells, Cell{Text: s})
	}
	return cells
}
