package picture

// ring is a circle as 96 points, for a radius of 4096: a quarter, by whole numbers.
var quarter = func() (points [25]point) {
	// A quarter of a circle by a cubic curve leaves it by less than 1/3600 of its radius
	// where the control points stand 0.5523 radii along the tangents.
	const radius, along = 4096, 2262
	for i := range points {
		t, u := i, 24-i
		weights := [4]int{u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t}
		xs, ys := [4]int{radius, radius, along, 0}, [4]int{0, along, radius, radius}
		for k, w := range weights {
			points[i].x += w * xs[k]
			points[i].y += w * ys[k]
		}
		points[i] = point{divided(points[i].x, 24*24*24), divided(points[i].y, 24*24*24)}
	}
	return points
}()

// around gives the n-th of the 96 points of a circle.
func around(centre point, radius, n int) point {
	p := quarter[n%24]
	for range n / 24 % 4 {
		p = point{-p.y, p.x}
	}
	return centre.plus(divided(p.x*radius, 4096), divided(p.y*radius, 4096))
}

// disc fills a circle; the radius is in 1/256 of a pixel, as all that follows.
func (c *canvas) disc(centre point, radius int, with ink) {
	c.move(around(centre, radius, 0))
	for n := 1; n < 96; n++ {
		c.line(around(centre, radius, n))
	}
	c.paint(with)
}

// arc fills a piece of a ring, from one of its 96 points to another.
func (c *canvas) arc(centre point, radius, width, from, to int) {
	c.move(around(centre, radius+width/2, from))
	for n := from + 1; n <= to; n++ {
		c.line(around(centre, radius+width/2, n))
	}
	for n := to; n >= from; n-- {
		c.line(around(centre, radius-width/2, n))
	}
	c.raster.close()
}

// shape fills a polygon.
func (c *canvas) shape(corners ...point) {
	c.move(corners[0])
	for _, p := range corners[1:] {
		c.line(p)
	}
	c.raster.close()
}

// mark draws the shape of a verdict in a square of a size: a tick, an arrow down, a
// broken ring, a short dash, a ring with a bar, as pages do. Any other word has none.
func (c *canvas) mark(word string, left, top, size int, with ink) {
	corner := at(left, top)
	// The shapes are given in tenths of a sixteenth of the square.
	place := func(x, y int) point {
		return corner.plus(divided(x*size*one, 160), divided(y*size*one, 160))
	}
	corners := func(xy ...int) {
		var all []point
		for i := 0; i+1 < len(xy); i += 2 {
			all = append(all, place(xy[i], xy[i+1]))
		}
		c.shape(all...)
	}
	radius, width := divided(54*size*one, 160), divided(24*size*one, 160)
	switch word {
	case "met":
		corners(16, 93, 34, 77, 60, 105, 126, 29, 144, 45, 61, 141)
	case "short":
		corners(68, 20, 92, 20, 92, 105, 117, 80, 134, 97, 80, 151, 26, 97, 43, 80, 68, 105)
	case "open":
		for n := 0; n < 96; n += 16 {
			c.arc(place(80, 80), radius, width, n, n+10)
		}
	case "untested":
		corners(40, 68, 120, 68, 120, 92, 40, 92)
	case "incomparable":
		c.arc(place(80, 80), radius, width, 0, 96)
		c.paint(with)
		corners(34, 110, 110, 34, 126, 50, 50, 126)
	}
	c.paint(with)
}
