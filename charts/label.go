package charts

import (
	"iter"
	"math"
	"slices"
)

// A label is a text that stands at what it names.
type label struct {
	text   string
	series int  // whose colour it has, or -1 for ink
	box    box  // what it covers
	placed bool // false where there was no room
	light  bool // not bold
}

// placeLabels finds a place for the name of each series at its line, for the
// outcome of each hollow mark, and for the word claim at one stroke of each kind.
// No label covers a mark, a line, a claim, an edge or another label; one for which
// there is no such place stays out, and series then stand in a legend.
func (l *layout) placeLabels() {
	p := newPlacer(l)
	l.labels = make([]label, len(l.series))
	for _, i := range p.hardestFirst() {
		text := shortened(l.series[i].label, l.plotWidth()*0.8, true)
		l.labels[i], _ = p.put(label{text: text, series: i}, p.besideLine(i, textWidth(text, true)))
	}
	for _, q := range l.points {
		if !q.done() {
			text := shortened(outcomeWord(q), l.plotWidth()*0.5, false)
			p.add(label{text: text, series: q.series, light: true}, places(around(l.markBox(q), textWidth(text, false))))
		}
	}
	p.labelClaims()
}

// outcomeWord is the outcome as the record has it, which is one word or two.
func outcomeWord(q *point) string {
	if q.run.Rec == nil || q.run.Rec.Outcome == "" {
		return q.run.OutcomeText
	}
	return map[string]string{
		"protected": "protection", "fuse": "fuse", "supply-limit": "supply limit", "stopped": "stopped",
	}[q.run.Rec.Outcome]
}

// A placer knows what labels must not cover.
type placer struct {
	*layout
	blocks []box      // marks, claims, and labels placed so far
	lines  []polyline // of the series
	marks  [][]dot    // of the series
}

func newPlacer(l *layout) *placer {
	p := &placer{layout: l}
	for _, q := range l.points {
		if _, ok := l.spot(q); ok {
			p.blocks = append(p.blocks, l.markBox(q))
		}
	}
	for _, k := range l.strokes {
		if b, ok := l.strokeBox(k); ok {
			p.blocks = append(p.blocks, b)
		}
	}
	for i, s := range l.series {
		p.lines = append(p.lines, l.line(i))
		var marks []dot
		for _, q := range s.points {
			if at, ok := l.spot(q); ok {
				marks = append(marks, dot{at.x, at.y})
			}
		}
		p.marks = append(p.marks, marks)
	}
	return p
}

// hardestFirst lists the series by the number of loads that their lines join: a
// long line has more places for its name than a single mark.
func (p *placer) hardestFirst() []int {
	var order []int
	for i := range p.series {
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(p.lines[a]) - len(p.lines[b]) })
	return order
}

// labelClaims names one stroke of those that are single and one of those that are
// double.
func (p *placer) labelClaims() {
	for _, bridged := range []bool{false, true} {
		text := "claim"
		if bridged {
			text = "claim, bridged"
		}
		for _, k := range p.strokes {
			at, ok := p.strokeBox(k)
			if ok && k.claim.Rec.Bridged == bridged && p.add(label{text: text, series: -1, light: true}, places(around(at, textWidth(text, false)))) {
				break
			}
		}
	}
}

// A candidate is a place that a label might take, and how far it is from the best.
type candidate struct {
	box  box
	cost float64
}

// put gives a label its best free place and reports whether there is one.
func (p *placer) put(name label, candidates iter.Seq[candidate]) (label, bool) {
	best := math.Inf(1)
	for c := range candidates {
		if c.cost < best && p.free(c.box) && p.plainlyAt(name.series, c.box) {
			best, name.box, name.placed = c.cost, c.box, true
		}
	}
	if name.placed {
		p.blocks = append(p.blocks, name.box)
	}
	return name, name.placed
}

// add puts a label beside those of the series, where there is room.
func (p *placer) add(name label, candidates iter.Seq[candidate]) bool {
	name, ok := p.put(name, candidates)
	if ok {
		p.labels = append(p.labels, name)
	}
	return ok
}

// free reports whether a label there would cover nothing and lie within the plot.
func (p *placer) free(b box) bool {
	plot := box{p.left + 2, p.top - 6, p.width - 2, p.height - p.bottom - 3}
	if !b.within(plot) || b.touches(p.blocks, 2) {
		return false
	}
	for _, line := range p.lines {
		if line.crosses(b.grown(2)) {
			return false
		}
	}
	return true
}

// plainlyAt reports whether a place is nearer to a series than to any other, so
// that nobody reads the name at the wrong line.
func (p *placer) plainlyAt(series int, b box) bool {
	if series < 0 {
		return true
	}
	own := p.distance(series, b)
	for i := range p.series {
		if i != series && p.distance(i, b) < own+2 {
			return false
		}
	}
	return true
}

// distance is how far a box lies from a series' line and marks.
func (p *placer) distance(series int, b box) float64 {
	nearest := p.lines[series].distance(b)
	for _, d := range p.marks[series] {
		nearest = min(nearest, b.distance(d)-markRadius)
	}
	return nearest
}

// line returns the dots that a series' line joins.
func (l *layout) line(series int) polyline {
	var line polyline
	for _, q := range l.series[series].lowest() {
		if at, ok := l.spot(q); ok {
			line = append(line, dot{at.x, at.y})
		}
	}
	return line
}

func places(all [12]candidate) iter.Seq[candidate] { return slices.Values(all[:]) }

// besideLine yields the places around a series' marks, and above and below its line.
func (p *placer) besideLine(series int, width float64) iter.Seq[candidate] {
	return func(yield func(candidate) bool) {
		if line := p.lines[series]; len(line) > 1 && !alongLine(line, width, yield) {
			return
		}
		for _, q := range p.series[series].points {
			if _, ok := p.spot(q); ok && !p.aroundMark(q, width, yield) {
				return
			}
		}
	}
}

func (p *placer) aroundMark(q *point, width float64, yield func(candidate) bool) bool {
	for far := 0.0; far <= 10; far += 5 {
		for _, c := range around(p.markBox(q).grown(far), width) {
			if !yield(candidate{c.box, c.cost + 6 + far}) {
				return false
			}
		}
	}
	return true
}

// alongLine prefers places near the line and near its middle.
func alongLine(line polyline, width float64, yield func(candidate) bool) bool {
	from, to := line[0].x, line[len(line)-1].x
	for x := from - width/2; x <= to+width/2; x += 8 {
		top, bottom, ok := line.ends(x-width/2, x+width/2)
		if !ok {
			continue
		}
		middle := math.Abs(x-(from+to)/2) / 40
		for gap := 5.0; gap <= 17; gap += 6 {
			above := box{x - width/2, top - gap - lineHeight + 4, x + width/2, top - gap}
			below := box{x - width/2, bottom + gap, x + width/2, bottom + gap + lineHeight - 4}
			if !yield(candidate{above, gap + middle}) || !yield(candidate{below, gap + middle + 1}) {
				return false
			}
		}
	}
	return true
}

// around lists the places around a box: right, left, above, below, and the corners.
func around(b box, width float64) [12]candidate {
	const gap, height = 4, lineHeight - 4
	cx, cy := (b.x0+b.x1)/2, (b.y0+b.y1)/2
	at := func(x, y, cost float64) candidate {
		return candidate{box{x, y, x + width, y + height}, cost}
	}
	right, left := b.x1+gap, b.x0-gap-width
	above, below := b.y0-gap-height, b.y1+gap
	return [12]candidate{
		at(right, cy-height/2, 0), at(left, cy-height/2, 1),
		at(cx-width/2, above, 2), at(cx-width/2, below, 3),
		at(b.x0, above, 4), at(b.x1-width, above, 5), at(b.x0, below, 6), at(b.x1-width, below, 7),
		at(right-gap, above+4, 8), at(left+gap, above+4, 9), at(right-gap, below-4, 10), at(left+gap, below-4, 11),
	}
}
