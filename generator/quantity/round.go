package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Float writes x with at most [Digits] significant digits, as JSON and CSV take
// it. x must be finite.
func Float(x float64) string {
	var buffer [32]byte
	return string(AppendFloat(buffer[:0], x))
}

// AppendFloat appends x as [Float] writes it.
func AppendFloat(b []byte, x float64) []byte {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return strconv.AppendFloat(b, x, 'g', -1, 64)
	}
	if n := int64(x); float64(n) == x && -most < n && n < most {
		return strconv.AppendInt(b, n, 10)
	}
	d := decimalOf(x)
	if d.exponent >= 15 || d.exponent < -6 {
		y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', Digits-1, 64), 64)
		if err != nil || y == 0 {
			return append(b, '0')
		}
		return strconv.AppendFloat(b, y, 'e', -1, 64)
	}
	return d.appendAll(b)
}

// Rounded is the number that [Float] writes, as reading it back gives it.
func Rounded(x float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	d := decimalOf(x)
	y, power := float64(d.n), d.exponent-(Digits-1)
	if power < -(len(tens)-1) || power >= len(tens) {
		y, err := strconv.ParseFloat(Float(x), 64)
		if err != nil {
			return x
		}
		return y
	}
	if d.negative && d.n != 0 {
		y = -y
	}
	return scaled10(y, power) // a whole number below 2⁵³ and an exact power: rounded once, as when read
}

// AppendShort appends x, below 10¹⁵, with at most so many significant digits, without
// trailing zeros, half away from zero on the decimal text, with a hyphen for minus.
func AppendShort(b []byte, x float64, digits int) []byte {
	if d, sure := fewDigits(x, digits); sure {
		return d.append(b)
	}
	return decimalOf(x).short(b, digits)
}

func (d decimal) short(b []byte, digits int) []byte {
	digits = min(digits, Digits)
	n, beyond := d.rounded(digits)
	decimals := digits - 1 - d.exponent
	for n > 0 && n%10 == 0 && decimals > 0 {
		n, decimals = n/10, decimals-1
	}
	if n == 0 {
		decimals = 0
	}
	return appendPlain(b, d.negative, n, beyond, decimals)
}

// Fixed writes x with so many decimals (negative: rounded to tens, hundreds …),
// half away from zero on the decimal text, with a hyphen for minus. x must be
// finite.
func Fixed(x float64, decimals int) string {
	var buffer [32]byte
	return string(AppendFixed(buffer[:0], x, decimals))
}

// AppendFixed appends x as [Fixed] writes it.
func AppendFixed(b []byte, x float64, decimals int) []byte {
	d := decimalOf(x)
	n, beyond := d.rounded(d.exponent + 1 + decimals)
	return appendPlain(b, d.negative, n, beyond, decimals)
}

// RoundUncertainty rounds an expanded uncertainty U > 0 to two significant
// digits, half away from zero on the decimal text, but up where that would cut
// more than 2 % off (JCGM 100:2008, 7.2.6: 10.47 becomes 11). It returns the
// text and the number of decimals, which the value is then written with; a carry
// moves the place: 9.96 becomes 10.
func RoundUncertainty(U float64) (text string, decimals int) {
	var buffer [32]byte
	b, decimals := appendUncertainty(buffer[:0], U)
	return string(b), decimals
}

func appendUncertainty(b []byte, U float64) (out []byte, decimals int) {
	d := decimalOf(U)
	const place = 1e10 // of the second digit, in units of the twelfth
	two := (d.n + place/2) / place
	if two*place*100 < d.n*98 {
		two++
	}
	decimals = 1 - d.exponent
	if two == 100 {
		two, decimals = 10, decimals-1
	}
	return appendPlain(b, false, two, 0, decimals), decimals
}

// Pair rounds a value and its expanded uncertainty for people: U by
// [RoundUncertainty], the value to the same place. With U = 0 the value is
// written as it is and the uncertainty is empty.
func Pair(x, U float64) (value, uncertainty string) {
	const between = "\x00"
	var buffer [64]byte
	b, end := AppendPair(buffer[:0], between, x, U)
	if value = string(b[:end]); end < len(b) {
		uncertainty = string(b[end+len(between):])
	}
	return value, uncertainty
}

// AppendPair appends a value and, with a text between them, its expanded uncertainty,
// as [Pair] rounds them; end is where the value ends, and with U = 0 it stands alone.
func AppendPair(b []byte, between string, x, U float64) (out []byte, end int) {
	var room [2][32]byte
	uncertainty, decimals := room[0][:0], 0
	value := room[1][:0]
	if U == 0 {
		value = AppendFloat(value, x)
	} else {
		uncertainty, decimals = appendUncertainty(uncertainty, U)
		value = AppendFixed(value, x, decimals)
	}
	if value[0] == '-' {
		b, value = append(b, "−"...), value[1:]
	}
	b = append(b, value...)
	if end = len(b); U != 0 {
		b = append(append(b, between...), uncertainty...)
	}
	return b, end
}

// Significant writes x with so many significant digits, trailing zeros kept, half
// away from zero on the decimal text.
func Significant(x float64, digits int) string {
	if x == 0 {
		return "0"
	}
	d := decimalOf(x)
	n, beyond := d.rounded(digits)
	if digits < Digits && n == whole[digits] { // a carry moves the place
		n, d.exponent = n/10, d.exponent+1
	}
	var buffer [32]byte
	return minus(string(appendPlain(buffer[:0], d.negative, n, beyond, digits-1-d.exponent)))
}

// Chance writes a probability with two decimals, never rounded across the bounds
// that decide, nor to a certainty: with atLeast = 0.95, 0.9496 is "0.94"; with
// atMost = 0.05, 0.0523 is "0.06"; 0.9999 is "> 0.99".
func Chance(p, atLeast, atMost float64) string {
	side := func(p float64) int {
		switch {
		case p >= atLeast:
			return 1
		case p <= atMost:
			return -1
		}
		return 0
	}
	for decimals := 2; decimals <= Digits; decimals++ {
		step := math.Pow(10, float64(-decimals))
		for _, by := range []float64{0, -step, step} {
			text := Fixed(p, decimals)
			if by != 0 {
				f, _ := strconv.ParseFloat(text, 64)
				text = Fixed(f+by, decimals)
			}
			switch f, _ := strconv.ParseFloat(text, 64); {
			case f <= 0 && by == 0:
				return "< 0.01"
			case f >= 1 && by == 0:
				return "> 0.99"
			case f > 0 && f < 1 && side(f) == side(p):
				return text
			}
		}
	}
	return Fixed(p, Digits)
}

// minus puts the minus sign, U+2212, in the place of a leading hyphen.
func minus(s string) string {
	if strings.HasPrefix(s, "-") {
		return "−" + s[1:]
	}
	return s
}
