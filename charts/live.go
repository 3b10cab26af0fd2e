package charts

import "bytes"

// The live chart is data for themes/default/script/chart.js: an option that ECharts
// takes once names of functions and of colours are replaced, and for each view and
// shape where everything lies and every text ready-made, so that the script computes
// no figure. Its form is liveChart in live_test.go.

// live writes the live chart as JSON that may stand in a script element as it is.
func live(c *Chart, p *plot, wide, tall *layout) []byte {
	desk := desks.Get().(*[]byte)
	w := &script{(*desk)[:0]}
	defer func() { *desk = w.bytes; desks.Put(desk) }()
	w.raw(`{"title":`).text(c.Title).raw(`,"place":`).text(p.x.name).raw(`,"series":[`)
	for i, s := range p.series {
		w.comma(i)
		writeSeries(w, s)
	}
	w.raw(`],"points":[`)
	for i, q := range p.points {
		w.comma(i).raw(`{"series":`).count(q.series)
		writeTexts(w, p, q.in, q.lines)
	}
	for i, k := range p.strokes {
		w.comma(i + len(p.points)).raw(`{"series":-1`)
		writeTexts(w, p, k.in, k.conditions())
	}
	w.raw(`],"curves":[`)
	for i, k := range p.curves {
		w.comma(i).count(k.series)
	}
	w.raw(`],"bands":[`)
	for i, b := range p.bands {
		w.comma(i).places(b.x0, b.x1, b.low, b.high)
	}
	w.raw(`],"option":`)
	writeOption(w, p)
	w.raw(`,"views":[`)
	writeView(w, wide, tall)
	forWide, forTall := p.frames()
	for i := 1; i < len(p.views); i++ {
		if p.shows(i) {
			w.raw(",")
			writeView(w, layoutOf(p, forWide, i), layoutOf(p, forTall, i))
		}
	}
	return bytes.Clone(w.raw("]}").bytes)
}

func writeSeries(w *script, s *series) {
	look := s.look()
	w.raw(`{"label":`).text(s.label).raw(`,"look":`).count(s.styleIndex() + 1)
	w.raw(`,"colour":`).text(look.custom).raw(`,"path":`).text(look.path(0, 0, 10))
	if look.dash != nil {
		w.raw(`,"dash":`).value(look.dash)
	}
	if s.bridged {
		w.raw(`,"bridged":true`)
	}
	w.raw("}")
}

// writeTexts writes a point's figure in each view that has one, and its conditions.
func writeTexts(w *script, p *plot, in []reading, lines []string) {
	w.raw(`,"text":{`)
	n := 0
	for i, r := range in {
		if r.text != "" {
			w.comma(n).text(p.views[i].id).raw(":").text(r.text)
			n++
		}
	}
	w.raw(`},"lines":[`)
	for i, line := range lines {
		w.comma(i).text(line)
	}
	w.raw("]}")
}

// writeView writes a view: its axis, the figures of all points, and both shapes.
func writeView(w *script, wide, tall *layout) {
	w.raw(`{"id":`).text(wide.view.id).raw(`,"about":`).text(wide.view.about)
	w.raw(`,"axis":{"name":`).text(wide.view.axis).raw(`,"min":`).place(wide.scale.low).raw(`,"max":`).place(wide.scale.high)
	if wide.scale.log {
		w.raw(`},"ticks":`).places(wide.scale.ticks...)
	} else {
		w.raw(`,"interval":`).place(wide.scale.step).raw("}")
	}
	w.raw(`,"y":[`)
	for i, q := range wide.points {
		w.comma(i)
		if r, ok := wide.read(q); ok {
			w.places(r.y, max(r.low, wide.scale.low), r.high)
		} else {
			w.raw("null")
		}
	}
	for i, k := range wide.strokes {
		w.comma(i + len(wide.points))
		if r := k.in[wide.at]; r.text != "" {
			w.places(r.y)
		} else {
			w.raw("null")
		}
	}
	w.raw(`],"curves":[`)
	for i, k := range wide.curves {
		w.comma(i).raw("[")
		for j, y := range k.y[wide.at] {
			w.comma(j).places(k.x[j], y)
		}
		w.raw("]")
	}
	w.raw(`],"rules":[`)
	for i, r := range wide.rules {
		w.comma(i).place(r.y[wide.at])
	}
	w.raw(`],"wide":`)
	writeShape(w, wide)
	w.raw(`,"tall":`)
	writeShape(w, tall)
	w.raw("}")
}

// writeShape writes where things lie in a layout of a view.
func writeShape(w *script, l *layout) {
	left, right := l.placeAt(l.left), l.placeAt(l.width-l.right)
	w.raw(`{"size":`).places(l.width, l.height).raw(`,"grid":`).places(decimal(l.left), l.top, l.right, l.bottom)
	w.raw(`,"title":`).place(decimal(l.left - l.titleEnd())).raw(`,"gap":`).place(18 + lineHeight*float64(l.rows))
	w.raw(`,"ends":`).places(min(left, right), max(left, right)).raw(`,"ticks":[`)
	for i, t := range l.ticks {
		text := t.text
		if t.low && text != "" {
			text = nbsp + "\n" + text // an empty line would be dropped
		}
		w.comma(i).raw("[").place(t.at).raw(",").text(text).raw("]")
	}
	w.raw(`],"x":[`)
	for i, q := range l.points {
		w.comma(i).place(l.placeAt(l.px(q.x) + l.dodge[q.n]))
	}
	for i, k := range l.strokes {
		w.comma(i + len(l.points)).place(k.load)
	}
	w.raw(`],"widths":[`)
	for i, k := range l.strokes {
		b, _ := l.strokeBox(k)
		w.comma(i).place(decimal(b.x1 - b.x0))
	}
	w.raw(`],"labels":[`)
	n := 0
	for _, name := range l.labels {
		if !name.placed || name.text == "" {
			continue
		}
		x, y := (name.box.x0+name.box.x1)/2, (name.box.y0+name.box.y1)/2
		w.comma(n).raw(`{"series":`).count(name.series).raw(`,"x":`).place(l.placeAt(x)).raw(`,"y":`).place(l.value(y))
		w.raw(`,"text":`).text(name.text)
		if name.light {
			w.raw(`,"light":true`)
		}
		w.raw("}")
		n++
	}
	w.raw(`],"legend":[`)
	for i, item := range l.legend {
		w.comma(i).raw(`{"series":`).count(item.series).raw(`,"x":`).place(item.x).raw(`,"y":`).place(item.y)
		w.raw(`,"text":`).text(item.text)
		if item.more {
			w.raw(`,"more":true`)
		}
		w.raw("}")
	}
	w.raw("]}")
}
