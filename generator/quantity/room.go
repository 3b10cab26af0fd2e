package quantity

// A Room is memory for what one evaluation makes and keeps as a whole: sources, parts and
// lines. It is taken in pieces, each of which is kept as long as anything in it is. It is
// for one goroutine. Of a nil room everything is by itself.
type Room struct {
	sources pieces[Source]
	parts   pieces[Part]
	budgets pieces[Line]
}

// Pieces of memory, each twice as large as the one before up to mostPieces.
type pieces[T any] struct {
	left []T
	size int
}

const (
	leastPieces = 8
	mostPieces  = 128
)

// take takes n, in a new piece where the last one is used up.
func (p *pieces[T]) take(n int) []T {
	if n > len(p.left) {
		p.size = min(max(2*p.size, leastPieces), mostPieces)
		if n > p.size/2 {
			return make([]T, n)
		}
		p.left = make([]T, p.size)
	}
	out := p.left[:n:n]
	p.left = p.left[n:]
	return out
}

// lines are n lines.
func (r *Room) lines(n int) []Line {
	if r == nil {
		return make([]Line, n)
	}
	return r.budgets.take(n)
}

// New is [New] in the room.
func (r *Room) New(x float64, unit string, u float64, s Source) Value {
	return r.Caused(x, unit, Cause{u, s})
}

// Caused is [Caused] in the room.
func (r *Room) Caused(x float64, unit string, causes ...Cause) Value {
	v, n := Value{X: x, Unit: unit}, 0
	for i := range causes {
		if causes[i].U != 0 {
			n++
		}
	}
	if n == 0 {
		return v
	}
	var sources []Source
	if r == nil {
		sources, v.Parts = make([]Source, n), make([]Part, n)
	} else {
		sources, v.Parts = r.sources.take(n), r.parts.take(n)
	}
	n = 0
	for i := range causes {
		c := &causes[i]
		if c.U == 0 {
			continue
		}
		s := &sources[n]
		*s = c.Source
		s.U, s.Unit = c.U, unit
		v.Parts[n] = Part{s, c.U}
		n++
	}
	byID(v.Parts)
	return v
}

// byID sorts parts by their sources' IDs.
func byID(parts []Part) { sorted(parts) }

// name is what parts are sorted by.
func (p Part) name() string { return p.Source.ID }
