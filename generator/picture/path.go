package picture

import (
	"fmt"
	"strings"
)

// An outline is a line of a path.
type outline struct {
	points []point
	closed bool
}

func anyClosed(lines []outline) bool {
	for _, l := range lines {
		if l.closed {
			return true
		}
	}
	return false
}

// outlines reads the value of d of an SVG path: M, L, l, H, V, h, v, z, and a as half a circle
// (SVG 2, section 9.3), in 1/256.
func outlines(d string) (all []outline, err error) {
	var pen point
	for d != "" {
		command := d[0]
		end := strings.IndexFunc(d[1:], func(r rune) bool { return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' })
		if end < 0 {
			end = len(d) - 1
		}
		numbers, err := numbersOf(d[1 : 1+end])
		if err != nil {
			return nil, fmt.Errorf("a path: %w", err)
		}
		d = d[1+end:]
		if command == 'M' {
			all = append(all, outline{})
		}
		step := takes[command]
		if len(all) == 0 || step == 0 && command != 'z' || len(numbers) < step || len(numbers) > step && (step == 0 || command == 'M' || len(numbers)%step != 0) {
			return nil, fmt.Errorf("a path has %q with %d numbers", command, len(numbers))
		}
		line := &all[len(all)-1]
		if command == 'z' {
			line.closed = true
			continue
		}
		for ; len(numbers) > 0; numbers = numbers[step:] { // a command goes on as long as there are numbers
			from := pen
			if pen = reached(from, command, numbers); command == 'a' {
				line.points = append(line.points, half(from, pen)...)
			}
			line.points = append(line.points, pen)
		}
	}
	return all, nil
}

// reached is where a command leads from a place; capital letters take no account of it.
func reached(from point, command byte, numbers []int) point {
	switch command {
	case 'H':
		return point{numbers[0], from.y}
	case 'V':
		return point{from.x, numbers[0]}
	case 'h':
		return from.plus(numbers[0], 0)
	case 'v':
		return from.plus(0, numbers[0])
	case 'l':
		return from.plus(numbers[0], numbers[1])
	case 'a':
		return from.plus(numbers[5], numbers[6])
	}
	return point{numbers[0], numbers[1]}
}

// circle is the outline of a circle, as two halves from its left.
func circle(x, y, radius int) outline {
	left, right := point{x - radius, y}, point{x + radius, y}
	points := append([]point{left}, half(left, right)...)
	points = append(append(points, right), half(right, left)...)
	return outline{append(points, left), true}
}

// takes says how many numbers a command of a path has.
var takes = map[byte]int{'M': 2, 'L': 2, 'l': 2, 'H': 1, 'V': 1, 'h': 1, 'v': 1, 'a': 7, 'z': 0}

func numbersOf(text string) (all []int, err error) {
	for _, one := range strings.FieldsFunc(strings.ReplaceAll(text, "-", " -"), func(r rune) bool { return r == ' ' || r == ',' }) {
		n, err := fixedNumber(one)
		if err != nil {
			return nil, err
		}
		all = append(all, n)
	}
	return all, nil
}

// half gives the points of half a circle between two ends that lie level, over the top
// from left to right and back below: as charts draw their circles.
func half(from, to point) (all []point) {
	centre, radius := point{(from.x + to.x) / 2, from.y}, abs(to.x-from.x)/2
	first := 48 // around counts from the right, downwards
	if to.x < from.x {
		first = 0
	}
	for n := first + 2; n < first+48; n += 2 {
		all = append(all, around(centre, radius, n))
	}
	return all
}
