package verdict

import (
	"math"
	"slices"
	"testing"
)

// At the bounds, and at the neighbouring floats; one corner of many is enough to
// leave two quantities together. Own rule: nothing outside decides here.
func TestApartAtTheBounds(t *testing.T) {
	rule := Rule{0.95, 0.05}
	up, down := func(p float64) float64 { return math.Nextafter(p, 1) }, func(p float64) float64 { return math.Nextafter(p, 0) }
	for _, r := range []struct {
		p    []float64
		want Side
	}{
		{[]float64{0.95}, First},
		{[]float64{up(0.95)}, First},
		{[]float64{down(0.95)}, Neither},
		{[]float64{0.05}, Second},
		{[]float64{down(0.05)}, Second},
		{[]float64{up(0.05)}, Neither},
		{[]float64{1, 1, 0.95}, First},
		{[]float64{1, 1, down(0.95)}, Neither},
		{[]float64{0, 0, 0.05}, Second},
		{[]float64{0, 0, up(0.05)}, Neither},
		{[]float64{1, 0}, Neither},
		{[]float64{0.5}, Neither},
		{nil, Neither},
	} {
		if got := Apart(rule, r.p); got != r.want {
			t.Errorf("%v: %d, want %d", r.p, got, r.want)
		}
		back := slices.Clone(r.p)
		slices.Reverse(back)
		if got := Apart(rule, back); got != r.want {
			t.Errorf("%v: %d, want %d", back, got, r.want)
		}
	}
}
