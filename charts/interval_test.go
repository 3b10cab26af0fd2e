package charts

import (
	"math"
	"strings"
	"testing"
)

// Every whisker has room on the scale, and the scale is no wider than it has to be.
func TestIntervalScale(t *testing.T) {
	for _, c := range []struct{ most, want float64 }{
		{0.4, 0.5}, {0.99, 1}, {1, 1.5}, {98, 100}, {99.5, 150}, {290.6 + 6.7, 400}, {956 + 24, 1000}, {995, 1500}, {7950, 10000}, {0, 1}, {math.Inf(1), 1},
	} {
		if got := IntervalScale([]Interval{{c.most, 0}, {c.most / 2, 0}}); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("up to %g W the scale ends at %g W, want %g W", c.most, got, c.want)
		}
	}
}

// A ring stands at its power on the common scale, its whiskers U from it.
func TestIntervals(t *testing.T) {
	drawn := Intervals([]Interval{{100, 10}, {50, 0}})
	for _, want := range []string{`cx="66.67%"`, `x1="60%" x2="73.33%"`} {
		if !strings.Contains(drawn[0], want) {
			t.Errorf("%s isn't in %s", want, drawn[0])
		}
	}
	if strings.Contains(drawn[1], "whisker") || !strings.Contains(drawn[1], `cx="33.33%"`) {
		t.Errorf("without uncertainty: %s", drawn[1])
	}
}
