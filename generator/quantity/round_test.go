package quantity

import (
	"math"
	"testing"
)

// Sources: JCGM 100:2008, 7.2.6 (rounding up a 10.47 mΩ uncertainty, 28.05 kHz
// to 28 kHz, a value to its uncertainty's place); the rows marked "rule" follow
// from this package's own rule and were worked out by hand.
func TestPair(t *testing.T) {
	rows := []struct {
		x, u          float64
		value, uncert string
		source        string
	}{
		{10.05762, 0.027, "10.058", "0.027", "JCGM 100, 7.2.6"},
		{0, 10.47, "0", "11", "JCGM 100, 7.2.6"},
		{0, 28.05, "0", "28", "JCGM 100, 7.2.6"},
		{496.488, 5.7498, "496.5", "5.7", "rule"},
		{487.312, 9.1047, "487.3", "9.1", "rule"},
		{1482.0, 29.64, "1482", "30", "rule"},
		{0.827, 0.119, "0.83", "0.12", "rule"},
		{1, 9.96, "1", "10", "rule: a carry moves the place"},
		{1.23456, 0.0996, "1.23", "0.10", "rule: a carry moves the place"},
		{9.949, 9.95, "10", "10", "rule: 9.95 is half, away from zero"},
		{5, 0.0995, "5.00", "0.10", "rule: half away from zero on the decimal text"},
		{3, 1.049, "3.0", "1.1", "rule: 1.0 would cut 4.7 %"},
		{3, 1.02, "3.0", "1.0", "rule: 1.0 cuts 1.96 %"},
		{3, 1.021, "3.0", "1.1", "rule: 1.0 would cut 2.06 %"},
		{0.2, 31.4, "0", "31", "rule: larger than the value"},
		{-0.2, 31.4, "0", "31", "rule: no sign on nothing"},
		{-12.34, 0.51, "−12.34", "0.51", "rule"},
		{12345, 678, "12350", "680", "rule: tens"},
		{12344, 996, "12300", "1000", "rule: carry to hundreds"},
		{2.675, 0, "2.675", "", "rule: exact"},
	}
	for _, r := range rows {
		v, u := Pair(r.x, r.u)
		if v != r.value || u != r.uncert {
			t.Errorf("Pair(%v, %v) = %q, %q; want %q, %q (%s)", r.x, r.u, v, u, r.value, r.uncert, r.source)
		}
	}
}

// Decimal ties: half away from zero on the decimal text gives 2.68, where the
// binary float lies below the tie (common practice, no source).
func TestFixedTies(t *testing.T) {
	for _, r := range []struct {
		x    float64
		n    int
		want string
	}{{2.675, 2, "2.68"}, {1.005, 2, "1.01"}, {-2.675, 2, "-2.68"}, {0.5, 0, "1"}, {149.5, 0, "150"}, {15, -1, "20"}, {4, -1, "0"}, {-0.004, 2, "0.00"}} {
		if got := Fixed(r.x, r.n); got != r.want {
			t.Errorf("Fixed(%v, %d) = %q, want %q", r.x, r.n, got, r.want)
		}
	}
}

func TestChanceKeepsItsSide(t *testing.T) {
	for _, r := range []struct {
		p    float64
		want string
	}{
		{0.95, "0.95"}, {math.Nextafter(0.95, 0), "0.94"}, {math.Nextafter(0.95, 1), "0.95"},
		{0.05, "0.05"}, {math.Nextafter(0.05, 1), "0.06"}, {math.Nextafter(0.05, 0), "0.05"},
		{0.0549, "0.06"}, {0.5, "0.50"}, {1, "> 0.99"}, {0, "< 0.01"}, {0.004, "< 0.01"},
	} {
		if got := Chance(r.p, 0.95, 0.05); got != r.want {
			t.Errorf("Chance(%v) = %q, want %q", r.p, got, r.want)
		}
	}
}

func TestFloatCarriesTwelveDigits(t *testing.T) {
	for _, r := range []struct {
		x    float64
		want string
	}{{1.0 / 3, "0.333333333333"}, {100, "100"}, {0, "0"}, {math.Copysign(0, -1), "0"}, {1e-9, "1e-09"}, {123456.789012345, "123456.789012"}, {-2.5, "-2.5"}} {
		if got := Float(r.x); got != r.want {
			t.Errorf("Float(%v) = %q, want %q", r.x, got, r.want)
		}
	}
}

func TestSignificant(t *testing.T) {
	for _, r := range []struct {
		x    float64
		n    int
		want string
	}{{99.96, 3, "100"}, {2.0, 3, "2.00"}, {0.012345, 3, "0.0123"}, {1234, 3, "1230"}, {-4.56, 2, "−4.6"}} {
		if got := Significant(r.x, r.n); got != r.want {
			t.Errorf("Significant(%v, %d) = %q, want %q", r.x, r.n, got, r.want)
		}
	}
}
