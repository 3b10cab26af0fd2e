package quantity

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// The two ways to write a number agree: at the bounds of each form and their
// neighbours, and for a great many others.
func TestAppendFloatIsFloat(t *testing.T) {
	check := func(x float64) {
		t.Helper()
		if got, want := string(AppendFloat([]byte("U"), x)), "U"+Float(x); got != want {
			t.Fatalf("%v: AppendFloat %s, Float %s", strconv.FormatFloat(x, 'e', -1, 64), got, want)
		}
	}
	for _, x := range []float64{
		0, math.Copysign(0, -1), 1, 10, 0.1, 1e-6, 9.99999999999e-7, 9.999999999995e-7, 1e14, 1e15, 999999999999, 999999999999.5, 9.999999999995e14,
		1e-290, 1e290, 1e99, 1e100, 1e-99, 1e-100, 1e-300, 1e-310, 5e-324, math.MaxFloat64, 0.3, 1.0 / 3, 123456789012.5, 14.4, 2.67, 1e11, 1e12, 1e13,
	} {
		for _, x := range []float64{x, -x} {
			check(x)
			check(math.Nextafter(x, math.Inf(1)))
			check(math.Nextafter(x, math.Inf(-1)))
		}
	}
	r := rand.New(rand.NewPCG(12, 6))
	for range 300_000 {
		check((r.Float64() - 0.5) * math.Pow(10, float64(r.IntN(40)-20)))
		check(float64(r.IntN(2_000_000)-1_000_000) / math.Pow(10, float64(r.IntN(9))))
		if x := math.Float64frombits(r.Uint64()); !math.IsNaN(x) && !math.IsInf(x, 0) && math.Abs(x) < 1e300 {
			check(x)
		}
	}
}

func BenchmarkAppendFloat(b *testing.B) {
	text := make([]byte, 0, 64)
	for b.Loop() {
		text = AppendFloat(text[:0], 109.43712345678)
	}
}

// Rounded is what strconv rounds to so many digits and reads back, to the last bit, and
// Float's text reads back to the same.
func TestRoundedIsReadBack(t *testing.T) {
	numbers := []float64{0, math.Copysign(0, -1), 1, -1, 0.1, 1e-323, 5e-324, math.MaxFloat64, 1e22, 1e23, -1e-11, 1e-12, 99999999999.95, 999999999999.5}
	random := rand.New(rand.NewPCG(1, 2))
	for range 200_000 {
		numbers = append(numbers, math.Float64frombits(random.Uint64()), math.Exp(60*random.Float64()-30)*(2*random.Float64()-1))
	}
	for _, x := range numbers {
		if math.IsInf(x, 0) || math.IsNaN(x) {
			continue
		}
		want, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', Digits-1, 64), 64)
		if err != nil { // rounded beyond the largest
			want = x
		} else if back, err := strconv.ParseFloat(Float(x), 64); err != nil || back != want {
			t.Errorf("%v is written %s", x, Float(x))
		}
		if want == 0 {
			want = 0 // a zero has no sign
		}
		if got := Rounded(x); math.Float64bits(got) != math.Float64bits(want) {
			t.Errorf("%v is rounded to %v, and read back %v", x, got, want)
		}
	}
	if !math.IsInf(Rounded(math.Inf(-1)), -1) || !math.IsNaN(Rounded(math.NaN())) {
		t.Error("what is no number is rounded to one")
	}
}
