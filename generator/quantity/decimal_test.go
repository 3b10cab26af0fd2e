package quantity

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// Twelve digits are those of the standard library, which rounds exactly, also where
// the quick way isn't sure: at halves of the twelfth digit, at powers of ten, and
// beside each.
func TestDecimalsAreExact(t *testing.T) {
	check := func(x float64) {
		t.Helper()
		d := decimalOf(x)
		digits, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', Digits-1, 64), "e")
		n, err := strconv.ParseUint(strings.Replace(strings.TrimPrefix(digits, "-"), ".", "", 1), 10, 64)
		power, err2 := strconv.Atoi(exponent)
		if err != nil || err2 != nil {
			t.Fatal(x, err, err2)
		}
		if d.n != n || d.exponent != power || d.negative != strings.HasPrefix(digits, "-") {
			t.Fatalf("decimalOf(%v) = %+v, want %d and power %d", x, d, n, power)
		}
	}
	beside := func(x float64) {
		t.Helper()
		for _, y := range []float64{x, math.Nextafter(x, 0), math.Nextafter(x, math.MaxFloat64)} {
			check(y)
			check(-y)
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	for power := -320; power <= 308; power++ {
		ten, err := strconv.ParseFloat("1e"+strconv.Itoa(power), 64)
		if err != nil {
			t.Fatal(err)
		}
		beside(ten)
		for range 100 {
			if x := (1 + 9*r.Float64()) * ten; !math.IsInf(x, 0) {
				check(x)
			}
			half := strconv.FormatUint(1e11+r.Uint64N(9e11), 10) + "5e" + strconv.Itoa(power-12)
			if x, err := strconv.ParseFloat(half, 64); err == nil {
				beside(x)
			}
		}
	}
	for range 100_000 {
		check(math.Exp(40*r.Float64()-20) * float64(1-2*r.IntN(2)))
		check(float64(r.Uint64N(1e13)) / 16)
	}
	check(0)
}

// What isn't finite has no digits; it is named as the standard library names it.
func TestFloatNamesWhatIsNotFinite(t *testing.T) {
	for _, x := range []float64{math.Inf(1), math.Inf(-1), math.NaN()} {
		if got, want := Float(x), strconv.FormatFloat(x, 'g', -1, 64); got != want {
			t.Errorf("Float(%v) = %q, want %q", x, got, want)
		}
	}
}

// What is written with so many digits or decimals is the text of twelve digits,
// rounded on paper: half away from zero, digit by digit (own rule).
func TestWrittenAsOnPaper(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 100_000 {
		x := math.Exp(60*r.Float64()-30) * float64(1-2*r.IntN(2))
		if r.IntN(3) == 0 {
			x = float64(r.IntN(2_000_001)-1_000_000) / 1000
		}
		if r.IntN(3) == 0 { // at a half of the sixth digit, and where twelve digits just reach one
			x = (float64(100_000+r.IntN(900_000)) + []float64{0.5, 0.4999995, 0.4999994, 0.49999949, 0.501, 0.499}[r.IntN(6)]) * tens[r.IntN(9)] / 1e8
		}
		decimals := r.IntN(20) - 6
		if got, want := Fixed(x, decimals), onPaper(x, decimals); got != want {
			t.Fatalf("Fixed(%v, %d) = %q, want %q", x, decimals, got, want)
		}
		if x == 0 {
			continue
		}
		digits := 1 + r.IntN(14)
		at := func(x float64) int { return digits - 1 - decimalOf(x).exponent }
		first, err := strconv.ParseFloat(onPaper(x, at(x)), 64)
		if err != nil {
			t.Fatal(err)
		}
		want := onPaper(first, at(first)) // a carry moves the place
		if got := Significant(x, digits); got != minus(want) {
			t.Fatalf("Significant(%v, %d) = %q, want %q", x, digits, got, minus(want))
		}
		if strings.Contains(want, ".") {
			want = strings.TrimRight(strings.TrimRight(want, "0"), ".")
		}
		if got := string(AppendShort(nil, x, digits)); got != want {
			t.Fatalf("AppendShort(%v, %d) = %q, want %q", x, digits, got, want)
		}
	}
}

// onPaper rounds the twelve digits of x to so many decimals as a person does, with
// carries from the right.
func onPaper(x float64, decimals int) string {
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(math.Abs(x), 'e', Digits-1, 64), "e")
	power, _ := strconv.Atoi(exponent)
	kept := power + decimals + 1
	if kept < 0 {
		kept, mantissa = 0, "0"
	}
	digits := []byte("0" + strings.Replace(mantissa, ".", "", 1) + strings.Repeat("0", kept+1))
	up := digits[kept+1] >= '5'
	digits = digits[:kept+1]
	for i := kept; up; i-- {
		if up = digits[i] == '9'; up {
			digits[i] = '0'
		} else {
			digits[i]++
		}
	}
	text := strings.Repeat("0", max(decimals, 0)) + string(digits) + strings.Repeat("0", max(-decimals, 0))
	before, after := text[:len(text)-max(decimals, 0)], text[len(text)-max(decimals, 0):]
	if before = strings.TrimLeft(before, "0"); before == "" {
		before = "0"
	}
	nothing := strings.Trim(before+after, "0") == ""
	if after != "" {
		before += "." + after
	}
	if x < 0 && !nothing {
		return "-" + before
	}
	return before
}

func BenchmarkSignificant(b *testing.B) {
	for b.Loop() {
		Significant(14.3567891234, 6)
	}
}

func BenchmarkFloat(b *testing.B) {
	for b.Loop() {
		Float(14.3567891234)
	}
}

func BenchmarkAppendShort(b *testing.B) {
	var buffer [32]byte
	for b.Loop() {
		AppendShort(buffer[:0], 14.3567891234, 6)
	}
}
