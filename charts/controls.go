package charts

import "bytes"

// controls writes what a chart's buttons are made of, which stand from the start, as
// JSON that may stand in a script element as it is: the head of [live], the views' names,
// and whether there are claims.
func controls(c *Chart, p *plot) []byte {
	desk := desks.Get().(*[]byte)
	w := &script{(*desk)[:0]}
	defer func() { *desk = w.bytes; desks.Put(desk) }()
	w.raw(`{"title":`).text(c.Title).raw(`,"series":[`)
	for i, s := range p.series {
		w.comma(i)
		writeSeries(w, s)
	}
	w.raw(`],"views":[`)
	n := 0
	for i, v := range p.views {
		if i == 0 || p.shows(i) {
			w.comma(n).raw(`{"id":`).text(v.id).raw(`,"about":`).text(v.about).raw("}")
			n++
		}
	}
	w.raw("]")
	if len(p.strokes) > 0 {
		w.raw(`,"claims":true`)
	}
	return bytes.Clone(w.raw("}").bytes)
}

// shows reports whether a point has a figure in a view.
func (p *plot) shows(view int) bool {
	return p.any(func(q *point) bool { return q.in[view].text != "" })
}
