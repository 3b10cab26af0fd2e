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

// outlines reads the value of d of an SVG path: M, L, H, V, h, v, z, and a as half a circle
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
		if len(all) == 0 || len(numbers) != takes[command] {
			return nil, fmt.Errorf("a path has %q with %d numbers", command, len(numbers))
		}
		line := &all[len(all)-1]
		from := pen
		switch command {
		case 'M', 'L':
			pen = point{numbers[0], numbers[1]}
		case 'H':
			pen.x = numbers[0]
		case 'V':
			pen.y = numbers[0]
		case 'h':
			pen.x += numbers[0]
		case 'v':
			pen.y += numbers[0]
		case 'a':
			pen = pen.plus(numbers[5], numbers[6])
			line.points = append(line.points, half(from, pen)...)
		case 'z':
			line.closed = true
			continue
		default:
			return nil, fmt.Errorf("a path has %q", command)
		}
		line.points = append(line.points, pen)
	}
	return all, nil
}

// takes says how many numbers a command of a path has.
var takes = map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'h': 1, 'v': 1, 'a': 7, 'z': 0}

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
