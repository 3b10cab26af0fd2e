package quantity

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Rows of the rule: JCGM 100:2008, 7.2.6 where said; else two significant
// digits, half away from zero on the decimal text, up where more than 2 % would
// be cut, worked out by hand.
func TestPairExtremes(t *testing.T) {
	for _, r := range []struct {
		x, u          float64
		value, uncert string
		why           string
	}{
		{100.02147, 0.00079, "100.02147", "0.00079", "JCGM 100, 7.2.2: the 100 g standard (from memory)"},
		{9.99, 0.0104, "9.990", "0.011", "0.010 would cut 3.8 %"},
		{9.99, 0.0102, "9.990", "0.010", "0.010 cuts 1.96 %"},
		{50, 9.94, "50.0", "9.9", "below the half"},
		{50, 9.95, "50", "10", "half, carries to another place"},
		{0.5, 0.0996, "0.50", "0.10", "carries to another place"},
		{0.5, 0.0994, "0.500", "0.099", "below the half"},
		{50, 99.6, "50", "100", "carries to three digits, of which two count"},
		{1234567, 99500, "1230000", "100000", "half; value to the same place, 10 000"},
		{5, 60, "5", "60", "U larger than the value"},
		{4, 600, "0", "600", "U larger than the value by two places"},
		{-7, 600, "−10", "600", "to the place of U, half away from zero"},
		{-4, 600, "0", "600", "no sign on nothing"},
		{6.02214076e23, 1.24e19, "602214000000000000000000", "13000000000000000000", "huge; 12 would cut 3.2 %"},
		{1.602e-19, 2.5e-23, "0.000000000000000000160200", "0.000000000000000000000025", "tiny"},
		{0, 3.3, "0.0", "3.3", "nothing, to the place of U"},
		{0, 0, "0", "", "exact"},
		{-2.5, 0, "−2.5", "", "exact"},
		{1e20, 0, "1e+20", "", "exact, as files write it"},
	} {
		if v, u := Pair(r.x, r.u); v != r.value || u != r.uncert {
			t.Errorf("Pair(%v, %v) = %q, %q; want %q, %q (%s)", r.x, r.u, v, u, r.value, r.uncert, r.why)
		}
	}
}

// The rule as properties, for U from 1e-30 to 1e30: two significant digits, at
// most 2 % below U, never more than a unit of the last place above it.
func TestUncertaintyRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mantissa := rapid.OneOf(rapid.Float64Range(1, 10), rapid.SampledFrom([]float64{1, 1.02, 1.05, 9.95, 9.949999, 9.99, 1.0204081632653})).Draw(t, "mantissa")
		U := mantissa * math.Pow(10, float64(rapid.IntRange(-30, 30).Draw(t, "exponent")))
		text, decimals := RoundUncertainty(U)
		rounded, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		unit := math.Pow(10, float64(-decimals))
		if rounded < 0.98*U*(1-1e-11) || rounded > U+unit*(1+1e-9) {
			t.Fatalf("%v is written %s: cut by more than 2 %%, or a unit too much", U, text)
		}
		if n := rounded / unit; !near(n, math.Round(n), 1e-6) || n < 9.9 || n > 99.1 {
			t.Fatalf("%v is written %s with %d decimals: not two significant digits", U, text, decimals)
		}
		if point := strings.IndexByte(text, '.'); decimals > 0 && len(text)-point-1 != decimals || decimals <= 0 && point >= 0 {
			t.Fatalf("%v is written %s, which has not %d decimals", U, text, decimals)
		}
	})
}

// The value is written to the place of U, and differs by half a unit of it at
// most.
func TestValueToTheSamePlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
		U := math.Exp(rapid.Float64Range(math.Log(1e-4), math.Log(1e7)).Draw(t, "ln U"))
		value, uncert := Pair(x, U)
		_, decimals := RoundUncertainty(U)
		back, err := strconv.ParseFloat(strings.Replace(value, "−", "-", 1), 64)
		if err != nil {
			t.Fatal(err)
		}
		unit := math.Pow(10, float64(-decimals))
		if math.Abs(back-x) > unit/2*(1+1e-9)+1e-11*math.Abs(x) {
			t.Fatalf("%v ± %v is written %s ± %s", x, U, value, uncert)
		}
		if after := func(s string) int { return len(s) - strings.IndexByte(s+".", '.') }; decimals > 0 && after(value) != after(uncert) {
			t.Fatalf("%v ± %v is written %s ± %s: not the same place", x, U, value, uncert)
		}
		if back == 0 && strings.HasPrefix(value, "−") {
			t.Fatalf("%v ± %v is written %s: a sign on nothing", x, U, value)
		}
	})
}

// Files: what is written reads back to 12 digits, is valid JSON, and reads and
// writes back to the same text.
func TestFloatRoundTrip(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, x float64) {
		text := Float(x)
		var back float64
		if err := json.Unmarshal([]byte(text), &back); err != nil {
			t.Fatalf("Float(%v) = %q is not JSON: %v", x, text, err)
		}
		if math.Abs(back-x) > 0.5e-11*math.Abs(x)*(1+1e-4) {
			t.Fatalf("Float(%v) = %q: more than half a unit of the 12th digit away", x, text)
		}
		if again := Float(back); again != text {
			t.Fatalf("Float(%v) = %q, read back and written %q", x, text, again)
		}
		if digits := strings.Trim(strings.SplitN(strings.NewReplacer("-", "", ".", "").Replace(text), "e", 2)[0], "0"); len(digits) > Digits {
			t.Fatalf("Float(%v) = %q has %d significant digits", x, text, len(digits))
		}
	}
	for _, x := range []float64{1, -1, 0.1, 1.0 / 3, 1e15, 999999999999.5, 1e15 - 1, 1e-6, 9.9999999999999e-7, 1e300, 1e-300, math.MaxFloat64, math.Pi * 1e-9} {
		check(t, x)
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, rapid.Float64Range(-10, 10).Draw(t, "mantissa")*math.Pow(10, float64(rapid.IntRange(-300, 300).Draw(t, "exponent"))))
	})
}

// Plain digits where a person would write them, a power of ten beyond (own rule).
func TestFloatForms(t *testing.T) {
	for _, r := range []struct {
		x    float64
		want string
	}{
		{1e-6, "0.000001"}, {9.99e-7, "9.99e-07"}, {999999999999999, "1e+15"}, {999999999999, "999999999999"},
		{1e14, "100000000000000"}, {1e15, "1e+15"}, {-1e-6, "-0.000001"}, {5e-324, "5e-324"},
	} {
		if got := Float(r.x); got != r.want {
			t.Errorf("Float(%v) = %q, want %q", r.x, got, r.want)
		}
	}
}

// Two processors that differ in the last bits write the same file, unless a
// value lies on the edge of the twelfth digit: 1/3, 2/3, π and e do not.
func TestFloatHidesTheLastBits(t *testing.T) {
	for _, x := range []float64{1.0 / 3, 200.0 / 3, math.Pi, math.E * 1e5, 496.48822456932} {
		for _, y := range []float64{math.Nextafter(x, 0), math.Nextafter(x, 1e9), x * (1 + 4e-15)} {
			if Float(x) != Float(y) {
				t.Errorf("Float writes %q for %v and %q for its neighbour", Float(x), x, Float(y))
			}
		}
	}
}
