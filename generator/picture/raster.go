package picture

import "image"

// A point is a place on a canvas in 1/256 of a pixel, downwards.
type point struct{ x, y int }

// one is a pixel's width in those units.
const one = 256

// at is a place in whole pixels.
func at(x, y int) point { return point{x * one, y * one} }

func (p point) plus(x, y int) point { return point{p.x + x, p.y + y} }

// A raster gathers closed outlines and tells how much of each pixel they cover. Each edge
// adds to the cells that it crosses, in whole numbers, how much lies right of it
// within the cell; the sum along a row then is the share that is covered. Outlines that
// run the same way round add up, up to all of the pixel; the other way round cuts a hole.
type raster struct {
	edges      []edge
	start, pen point
	cells      []int32
}

type edge struct{ from, to point }

// full is what a cell's sum is when all of it is covered: twice the area.
const full = 2 * one * one

func (r *raster) move(p point) {
	r.close()
	r.start, r.pen = p, p
}

func (r *raster) line(p point) {
	r.edges = append(r.edges, edge{r.pen, p})
	r.pen = p
}

// close leads back to where the outline began.
func (r *raster) close() {
	if r.pen != r.start {
		r.line(r.start)
	}
}

// quad adds a quadratic curve by its control point and end, as short lines.
func (r *raster) quad(control, end point) {
	from := r.pen
	steps := stepsFor(from, control, end)
	for i := 1; i <= steps; i++ {
		a, b, c := (steps-i)*(steps-i), 2*i*(steps-i), i*i
		r.line(point{
			divided(a*from.x+b*control.x+c*end.x, steps*steps),
			divided(a*from.y+b*control.y+c*end.y, steps*steps),
		})
	}
}

// stepsFor gives how many lines stand for a curve: so many that none leaves it by
// more than about 1/64 of a pixel. A quadratic curve leaves n lines by at most
// |from − 2·control + end|/(4·n²).
func stepsFor(from, control, end point) int {
	bend := max(abs(from.x-2*control.x+end.x), abs(from.y-2*control.y+end.y))
	steps := 1
	for steps < 32 && bend > 4*steps*steps*one/64 {
		steps++
	}
	return steps
}

// box gives the pixels that the outlines touch.
func (r *raster) box() image.Rectangle {
	if len(r.edges) == 0 {
		return image.Rectangle{}
	}
	least, most := r.edges[0].from, r.edges[0].from
	for _, e := range r.edges {
		least = point{min(least.x, e.from.x, e.to.x), min(least.y, e.from.y, e.to.y)}
		most = point{max(most.x, e.from.x, e.to.x), max(most.y, e.from.y, e.to.y)}
	}
	return image.Rect(least.x>>8, least.y>>8, most.x>>8+1, most.y>>8+1)
}

// sweep tells each pixel within bounds that the outlines cover, with its level, and
// forgets them.
func (r *raster) sweep(bounds image.Rectangle, tell func(x, y, level int)) {
	r.close()
	box := r.box()
	width := box.Dx() + 1 // an edge adds to the cell beside it, too
	if n := width * box.Dy(); n > cap(r.cells) {
		r.cells = make([]int32, n)
	} else {
		r.cells = r.cells[:n]
		clear(r.cells)
	}
	for _, e := range r.edges {
		r.add(e, box.Min, width)
	}
	for y := range box.Dy() {
		sum := 0
		for x, cell := range r.cells[y*width : (y+1)*width] {
			if sum += int(cell); sum == 0 {
				continue
			}
			level := (min(abs(sum), full)*levels + full/2) / full
			if p := image.Pt(box.Min.X+x, box.Min.Y+y); level > 0 && p.In(bounds) {
				tell(p.X, p.Y, level)
			}
		}
	}
	r.edges, r.start, r.pen = r.edges[:0], point{}, point{}
}

// add adds an edge to the cells of the rows that it crosses.
func (r *raster) add(e edge, origin image.Point, width int) {
	from, to, way := e.from, e.to, 1
	if from.y > to.y {
		from, to, way = to, from, -1
	}
	rise := to.y - from.y
	if rise == 0 {
		return
	}
	across := func(y int) int { return from.x + floored((to.x-from.x)*(y-from.y), rise) }
	for y := from.y; y < to.y; {
		row := y >> 8
		below := min(to.y, (row+1)*one)
		r.addRow(r.cells[(row-origin.Y)*width:][:width], across(y)-origin.X*one, across(below)-origin.X*one, way*(below-y))
		y = below
	}
}

// addRow adds a piece of an edge that lies in one row and covers so much of its height.
func (r *raster) addRow(cells []int32, x1, x2, height int) {
	if x1 > x2 {
		x1, x2 = x2, x1
	}
	done := 0
	for x, run := x1, x2-x1; ; {
		cell := x >> 8
		next := min(x2, (cell+1)*one)
		share := height - done
		if next < x2 {
			share = floored(height*(next-x1), run) - done
		}
		inside := (x & 255) + next - cell*one // twice the mean distance from the cell's left side
		cells[cell] += int32(share * (2*one - inside))
		cells[cell+1] += int32(share * inside)
		done += share
		if next >= x2 {
			return
		}
		x = next
	}
}

// floored divides and rounds down, divided to the nearest.
func floored(a, b int) int {
	if a%b != 0 && (a < 0) != (b < 0) {
		return a/b - 1
	}
	return a / b
}

func divided(a, b int) int { return floored(2*a+b, 2*b) }

func abs(n int) int { return max(n, -n) }
