package charts

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"
)

// A line is written in steps, and still each of its dots is where it would be by itself: to a
// tenth, however many steps lead there.
func TestStepsDontDrift(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for range 200 {
		line := polyline{{r.Float64() * 700, r.Float64() * 400}}
		for range 1 + r.IntN(300) {
			last := line[len(line)-1]
			next := dot{last.x + r.Float64()*3, last.y + r.Float64()*4 - 2}
			switch r.IntN(6) {
			case 0:
				next.x = last.x
			case 1:
				next.y = last.y
			case 2:
				next = last
			}
			line = append(line, next)
		}
		var want, got [][2]int64
		add := func(to *[][2]int64, x, y float64) {
			if c := [2]int64{int64(math.Round(10 * x)), int64(math.Round(10 * y))}; len(*to) == 0 || (*to)[len(*to)-1] != c {
				*to = append(*to, c)
			}
		}
		for _, d := range line {
			add(&want, d.x, d.y)
		}
		for _, c := range corners(t, drawing(func(w *svg) { w.line(line) })) {
			add(&got, c[0], c[1])
		}
		if !slices.Equal(got, want) {
			t.Fatalf("drawn in tenths: %v, want %v", got, want)
		}
	}
}

// What is drawn of a curve lies no farther beside it than the slack, its ends are its own, and
// a bend stays.
func TestThinned(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	for range 300 {
		e, rs := 10+r.Float64()*100, r.Float64()*2
		var line polyline
		for i := range 2 + r.IntN(60) { // a load line, P = E²·R/(R+Rs)², on a logarithmic axis
			ohm := 8 * math.Exp2(-float64(i)/20)
			line = append(line, dot{50 + 10*float64(i), 400 - e*e*ohm/(ohm+rs)/(ohm+rs)/5})
		}
		few := line.thinned(curveSlack)
		if few[0] != line[0] || few[len(few)-1] != line[len(line)-1] || len(few) > len(line) {
			t.Fatalf("%v of %v", few, line)
		}
		for _, d := range line {
			if top, bottom, ok := few.ends(d.x, d.x); !ok || math.Abs(top-d.y) > curveSlack+1e-9 && math.Abs(bottom-d.y) > curveSlack+1e-9 {
				t.Fatalf("%v lies beside %v", d, few)
			}
		}
	}
	bent := polyline{{0, 0}, {10, 0}, {20, 0.2}, {30, 0}, {40, 0}, {50, 0}}
	if few := bent.thinned(curveSlack); len(few) != 5 {
		t.Errorf("a bend is drawn as %v", few)
	}
	for _, short := range []polyline{nil, {{1, 2}}, {{1, 2}, {3, 4}}, {{1, 2}, {1, 5}, {1, 9}}} {
		if few := short.thinned(curveSlack); len(few) != len(short) {
			t.Errorf("%v is drawn as %v", short, few)
		}
	}
}

// A chart is in a unit's page twice, with dozens of marks: what one mark more takes is its place,
// its upright and its row.
func TestMarksAreFewBytes(t *testing.T) {
	texts := regexp.MustCompile(`<(title|desc)[^>]*>[^<]*</`)
	size := func(runs int) int {
		b := newBench()
		for n := range 20 {
			valid := b.run(0, []float64{8, 4, 2}[n%3], "completed", 300+float64(n))
			valid.Valid = n < runs
		}
		return len(texts.ReplaceAllString(PowerByLoad(b.Sheet).Wide, ""))
	}
	if per := float64(size(20)-size(6)) / 14; per > 68 {
		t.Errorf("a mark takes %.0f bytes", per)
	}
}
