package charts

import "wattsheet/generator/quantity"

// table lists exactly the points drawn, in their order, and the claims after them.
func (p *plot) table() Table {
	t := Table{Head: []string{
		"Load / Ω", "Method", "Channel", "Run", "Outcome",
		"P / W", "U(P) / W", "k", "P / dBW", "V / V", "U(V) / V",
	}}
	for _, q := range p.points {
		t.Rows = append(t.Rows, p.row(q))
	}
	for _, k := range p.strokes {
		t.Rows = append(t.Rows, p.claimRow(k))
	}
	return t
}

func (p *plot) row(q *point) []Cell {
	power, k := q.ch.Power, ""
	if power.U > 0 {
		k = quantity.Significant(power.K, 3)
	}
	row := texts(loadText(p.loads[q.load]), p.series[q.series].name, q.ch.Name)
	row = append(row, Cell{Text: q.run.ID, Href: "#run-" + q.run.ID}, Cell{Text: q.run.OutcomeText})
	row = append(row, texts(power.ValueText, power.UText, k, levelCell(q))...)
	if q.ch.OutV == nil {
		return append(row, texts("", "")...)
	}
	return append(row, texts(q.ch.OutV.ValueText, q.ch.OutV.UText)...)
}

func (p *plot) claimRow(k *stroke) []Cell {
	row := texts(loadText(p.loads[k.load]), "claim: "+k.claim.Label, "")
	row = append(row, Cell{Text: k.claim.ID, Href: "#claim-" + k.claim.ID}, Cell{Text: k.claim.Word})
	return append(row, texts(claimW(k), "", "", quantity.Significant(dBW(k.claim.ClaimW), 4), "", "")...)
}

// levelCell is a point's level without its unit, which is in the head.
func levelCell(q *point) string {
	r, ok := levelReading(q.ch)
	if !ok {
		return ""
	}
	half := (r.high - r.low) / 2
	value, _ := quantity.Pair(r.y, finite(half))
	if finite(half) == 0 {
		return quantity.Significant(r.y, 4)
	}
	return value
}

func texts(all ...string) []Cell {
	var cells []Cell
	for _, s := range all {
		cells = append(cells, Cell{Text: s})
	}
	return cells
}
