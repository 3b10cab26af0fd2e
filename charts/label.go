package charts

import (
	"math"
	"slices"
	"sync"
)

// A label is a text that stands at what it names.
type label struct {
	text   string
	series int  // whose colour it has, or one of ofClaims and ofRules for ink
	box    box  // what it covers
	placed bool // false where there was no room
	light  bool // not bold
}

// What a label that is of no series is of.
const (
	ofClaims = -1
	ofRules  = -2
)

// placeLabels finds a place for the name of each series at its line, for the word
// at each hollow mark, and for the word claim at one stroke of each kind. No label
// covers a mark, a line, a claim, an edge or another label; one for which there is
// no such place stays out, and series then stand in a legend.
func (l *layout) placeLabels() {
	p := newPlacer(l)
	defer p.put()
	l.labels = make([]label, len(l.series))
	for _, i := range p.hardestFirst() {
		if l.series[i].quiet {
			l.labels[i] = label{series: i, placed: true}
			continue
		}
		text := l.series[i].label
		if textWidth(text, true) > l.plotWidth() { // it is whole in the legend
			l.labels[i] = label{text: text, series: i}
			continue
		}
		p.begin(label{text: text, series: i})
		p.besideLine(i, textWidth(text, true))
		l.labels[i], _ = p.end()
	}
	p.labelWords()
	p.labelClaims()
	p.labelRules()
}

// A placer knows what labels must not cover, and holds the label being placed with
// the best place found so far.
type placer struct {
	*layout
	blocks []box      // marks, claims, and labels placed so far
	boxes  []box      // of the marks, by point
	thin   []polyline // lines that no name is of: curves and rules
	hulls  []box      // around each line, then each thin one
	marks  [][]dot    // of the series
	last   int        // of the blocks, the one that was in the way last: most often it is again
	name   label
	best   float64
}

// placers are used again with the room that they hold.
var placers = sync.Pool{New: func() any { return new(placer) }}

func newPlacer(l *layout) *placer {
	p := placers.Get().(*placer)
	p.layout, p.last = l, 0
	p.blocks, p.hulls, p.thin = p.blocks[:0], p.hulls[:0], p.thin[:0]
	p.boxes = append(p.boxes[:0], make([]box, len(l.points))...)
	for len(p.marks) < len(l.series) {
		p.marks = append(p.marks, nil)
	}
	for i := range p.marks {
		p.marks[i] = p.marks[i][:0]
	}
	for _, q := range l.points {
		if at, ok := l.spot(q); ok {
			p.boxes[q.n] = l.markBox(q)
			p.blocks = append(p.blocks, p.boxes[q.n])
			p.marks[q.series] = append(p.marks[q.series], dot{at.x, at.y})
		}
	}
	for _, k := range l.strokes {
		if b, ok := l.strokeBox(k); ok {
			p.blocks = append(p.blocks, b)
		}
	}
	for _, k := range l.curves {
		p.thin = append(p.thin, l.curveLine(k))
	}
	for _, r := range l.rules {
		y := l.y(r.y[l.at])
		p.thin = append(p.thin, polyline{{l.left, y}, {l.width - l.right, y}})
	}
	for _, line := range l.lines {
		p.hulls = append(p.hulls, line.hull())
	}
	for _, line := range p.thin {
		p.hulls = append(p.hulls, line.hull())
	}
	return p
}

// put gives a placer back, without what it was for.
func (p *placer) put() {
	p.layout, p.name = nil, label{}
	clear(p.thin)
	placers.Put(p)
}

// hardestFirst lists the series by how many marks their lines join: a long line has
// more places for its name than a single mark.
func (p *placer) hardestFirst() []int {
	joined := make([]int, len(p.series))
	for n, line := range p.lines {
		joined[p.of[n]] += len(line)
	}
	var order []int
	for i := range p.series {
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return joined[a] - joined[b] })
	return order
}

// A wording is a word and the marks that it stands at, which touch each other.
type wording struct {
	name label
	at   box
}

// labelWords puts the words at the hollow marks: one where marks of a series that touch
// have the same.
func (p *placer) labelWords() {
	var said []wording
	for _, q := range p.points {
		if q.word == "" {
			continue
		}
		w := wording{label{text: shortened(q.word, p.plotWidth()*0.5, false), series: q.series, light: true}, p.boxes[q.n]}
		if p.series[q.series].quiet {
			w.name.series = ofRules // it lies on another's line
		}
		i := slices.IndexFunc(said, func(s wording) bool { return s.name == w.name && s.at.overlaps(w.at) })
		if i < 0 {
			said = append(said, w)
			continue
		}
		said[i].at = said[i].at.with(w.at)
	}
	for _, s := range said {
		p.add(s.name, s.at)
	}
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
			if ok && k.claim.Rec.Bridged == bridged && p.add(label{text: text, series: ofClaims, light: true}, at) {
				break
			}
		}
	}
}

// labelRules names the rules, each near its line and as far right as there is room.
func (p *placer) labelRules() {
	for _, r := range p.rules {
		width, y := textWidth(r.text, false), p.y(r.y[p.at])
		p.begin(label{text: r.text, series: ofRules, light: true})
		for x := p.width - p.right - width; x > p.left; x -= 12 {
			far := (p.width - p.right - width - x) / 40
			p.try(box{x, y - 4 - lineHeight + 4, x + width, y - 4}, far)
			p.try(box{x, y + 4, x + width, y + lineHeight}, far+1)
		}
		p.keep()
	}
}

// begin starts to place a label; try offers places; end takes the best of them.
func (p *placer) begin(name label) { p.name, p.best = name, math.Inf(1) }

// try offers a place and says how far it is from the ideal.
func (p *placer) try(b box, cost float64) {
	if cost < p.best && p.free(b) && p.plainlyAt(p.name.series, b) {
		p.best, p.name.box, p.name.placed = cost, b, true
	}
}

func (p *placer) end() (label, bool) {
	if p.name.placed {
		p.blocks = append(p.blocks, p.name.box)
	}
	return p.name, p.name.placed
}

// keep ends with the label among those that are not of a series' name, where there
// is room.
func (p *placer) keep() bool {
	name, ok := p.end()
	if ok {
		p.labels = append(p.labels, name)
	}
	return ok
}

// add puts a label around a box, where there is room.
func (p *placer) add(name label, at box) bool {
	p.begin(name)
	p.around(at, textWidth(name.text, false), 0)
	return p.keep()
}

// free reports whether a label there would cover nothing and lie within the plot.
func (p *placer) free(b box) bool {
	if b.x0 < p.left+2 || b.y0 < p.top-6 || b.x1 > p.width-2 || b.y1 > p.height-p.bottom-3 {
		return false
	}
	near := b.grown(2)
	if p.blocked(near, min(p.last, len(p.blocks)), len(p.blocks)) || p.blocked(near, 0, p.last) {
		return false
	}
	for i := range p.hulls {
		if !near.overlaps(p.hulls[i]) {
			continue
		}
		if i < len(p.lines) && p.lines[i].crosses(near) || i >= len(p.lines) && p.thin[i-len(p.lines)].crosses(near) {
			return false
		}
	}
	return true
}

// blocked reports whether any of some blocks is in the way.
func (p *placer) blocked(b box, from, to int) bool {
	for i := from; i < to; i++ {
		if b.overlaps(p.blocks[i]) {
			p.last = i
			return true
		}
	}
	return false
}

// plainlyAt reports whether a place is nearer to a series than to any other, so
// that nobody reads the name at the wrong line.
func (p *placer) plainlyAt(series int, b box) bool {
	if series < 0 || len(p.series) == 1 {
		return true
	}
	limit := p.distance(series, b) + 2
	for i := range p.series {
		if i != series && p.nearer(i, b, limit) {
			return false
		}
	}
	return true
}

// distance is how far a box lies from a series' lines and marks.
func (p *placer) distance(series int, b box) float64 {
	nearest := math.Inf(1)
	for _, d := range p.marks[series] {
		nearest = min(nearest, b.squared(d))
	}
	nearest = math.Sqrt(nearest) - markRadius
	for n, line := range p.lines {
		if p.of[n] == series && b.gap(p.hulls[n]) < nearest {
			nearest = min(nearest, line.distance(b))
		}
	}
	return nearest
}

// nearer reports whether a box lies nearer than the limit to a series' lines or marks.
func (p *placer) nearer(series int, b box, limit float64) bool {
	for _, d := range p.marks[series] {
		if math.Sqrt(b.squared(d))-markRadius < limit {
			return true
		}
	}
	for n, line := range p.lines {
		if p.of[n] == series && b.gap(p.hulls[n]) < limit && line.distance(b) < limit {
			return true
		}
	}
	return false
}

// besideLine offers the places above and below a series' lines, and around its marks.
func (p *placer) besideLine(series int, width float64) {
	for n, line := range p.lines {
		if p.of[n] == series {
			p.alongLine(line, width)
		}
	}
	for far := 0.0; far <= 10; far += 5 {
		for _, q := range p.series[series].points {
			if _, ok := p.read(q); ok && p.best > far+6 {
				p.around(p.boxes[q.n].grown(far), width, far+6)
			}
		}
	}
}

// alongLine prefers places near the line and near its middle, and goes from there
// outwards until no place can be better than the best.
func (p *placer) alongLine(line polyline, width float64) {
	const nearest = 5
	middle, reach := (line[0].x+line[len(line)-1].x)/2, (line[len(line)-1].x-line[0].x)/2+width/2
	for far := 0.0; far <= reach && nearest+far/40 < p.best; far += 8 {
		p.besideAt(line, middle-far, width, far/40)
		if far > 0 {
			p.besideAt(line, middle+far, width, far/40)
		}
	}
}

// besideAt offers the places above and below a part of a line.
func (p *placer) besideAt(line polyline, x, width, cost float64) {
	top, bottom, ok := line.ends(x-width/2, x+width/2)
	if !ok {
		return
	}
	for gap := 5.0; gap <= 17; gap += 6 {
		p.try(box{x - width/2, top - gap - lineHeight + 4, x + width/2, top - gap}, cost+gap)
		p.try(box{x - width/2, bottom + gap, x + width/2, bottom + gap + lineHeight - 4}, cost+gap+1)
	}
}

// around offers the places around a box: right, left, above, below, and the corners.
func (p *placer) around(b box, width, cost float64) {
	const gap, height = 4, lineHeight - 4
	cx, cy := (b.x0+b.x1)/2, (b.y0+b.y1)/2
	at := func(x, y, more float64) { p.try(box{x, y, x + width, y + height}, cost+more) }
	right, left := b.x1+gap, b.x0-gap-width
	above, below := b.y0-gap-height, b.y1+gap
	at(right, cy-height/2, 0)
	at(left, cy-height/2, 1)
	at(cx-width/2, above, 2)
	at(cx-width/2, below, 3)
	at(b.x0, above, 4)
	at(b.x1-width, above, 5)
	at(b.x0, below, 6)
	at(b.x1-width, below, 7)
	at(right-gap, above+4, 8)
	at(left+gap, above+4, 9)
	at(right-gap, below-4, 10)
	at(left+gap, below-4, 11)
}
