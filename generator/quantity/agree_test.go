package quantity

import (
	"math"
	"testing"
)

func TestAgreeToTheTwelfthDigit(t *testing.T) {
	for _, row := range []struct {
		x, y float64
		want bool
	}{
		{0, 0, true}, {1, 1, true}, {-2.5, -2.5, true}, {1, -1, false}, {0, 1e-300, false},
		{100.000000001, 100.000000002, true},  // one unit
		{100.000000001, 100.000000003, false}, // two
		{9.99999999999, 10, true},             // across a power of ten
		{1e-20, 1.00000000001e-20, true},
		{math.NaN(), 1, false}, {math.Inf(1), math.Inf(1), true}, {math.Inf(1), 1, false},
	} {
		if got := Agree(row.x, row.y); got != row.want || Agree(row.y, row.x) != row.want {
			t.Errorf("Agree(%v, %v) = %v", row.x, row.y, got)
		}
	}
}
