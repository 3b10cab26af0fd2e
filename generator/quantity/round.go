package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Digits is the number of significant digits that files carry: processors differ
// in the last ones of a float64.
const Digits = 12

// Float writes x with at most [Digits] significant digits, as JSON and CSV take
// it. x must be finite.
func Float(x float64) string {
	s := strconv.FormatFloat(x, 'e', Digits-1, 64)
	y, err := strconv.ParseFloat(s, 64)
	if err != nil || y == 0 {
		return "0"
	}
	if a := math.Abs(y); a >= 1e15 || a < 1e-6 {
		return strconv.FormatFloat(y, 'e', -1, 64)
	}
	return strconv.FormatFloat(y, 'f', -1, 64)
}

// A decimal is a number of [Digits] significant digits: ±0.d₀d₁… · 10^(exponent+1),
// the text that rounding works on.
type decimal struct {
	negative bool
	digits   [Digits]byte // '0' to '9', the first not '0' unless the number is 0
	exponent int          // power of ten of the first digit
}

func decimalOf(x float64) decimal {
	var d decimal
	var buffer [Digits + 16]byte
	s := strconv.AppendFloat(buffer[:0], x, 'e', Digits-1, 64)
	if s[0] == '-' {
		d.negative, s = true, s[1:]
	}
	d.digits[0] = s[0]
	copy(d.digits[1:], s[2:Digits+1])
	d.exponent, _ = strconv.Atoi(string(s[Digits+2:]))
	return d
}

// Fixed writes x with so many decimals (negative: rounded to tens, hundreds …),
// half away from zero on the decimal text, with a hyphen for minus. x must be
// finite.
func Fixed(x float64, decimals int) string {
	d := decimalOf(x)
	kept := d.exponent + decimals + 1 // digits that stay
	if kept < 0 {
		return zeros(decimals)
	}
	digits := make([]byte, 0, max(kept, 1)+1)
	digits = append(digits, '0')
	digits = append(digits, d.digits[:min(kept, Digits)]...)
	for len(digits) < kept+1 {
		digits = append(digits, '0')
	}
	if kept < Digits && d.digits[kept] >= '5' {
		for i := len(digits) - 1; ; i-- {
			if digits[i]++; digits[i] <= '9' {
				break
			}
			digits[i] = '0'
		}
	}
	// digits now is a whole number in units of the last place, with a leading 0
	if strings.Trim(string(digits), "0") == "" {
		return zeros(decimals)
	}
	for range -decimals {
		digits = append(digits, '0')
	}
	for len(digits) < decimals+1 {
		digits = append([]byte{'0'}, digits...)
	}
	whole := len(digits) - max(decimals, 0)
	text := strings.TrimLeft(string(digits[:whole]), "0")
	if text == "" {
		text = "0"
	}
	if decimals > 0 {
		text += "." + string(digits[whole:])
	}
	if d.negative {
		return "-" + text
	}
	return text
}

// zeros writes nothing with so many decimals.
func zeros(decimals int) string {
	if decimals <= 0 {
		return "0"
	}
	return "0." + strings.Repeat("0", decimals)
}

// RoundUncertainty rounds an expanded uncertainty U > 0 to two significant
// digits, half away from zero on the decimal text, but up where that would cut
// more than 2 % off (JCGM 100:2008, 7.2.6: 10.47 becomes 11). It returns the
// text and the number of decimals, which the value is then written with; a carry
// moves the place: 9.96 becomes 10.
func RoundUncertainty(U float64) (text string, decimals int) {
	d := decimalOf(U)
	exact := int64(0)
	for _, digit := range d.digits {
		exact = exact*10 + int64(digit-'0')
	}
	const place = 1e10 // of the second digit, in units of the twelfth
	two := (exact + place/2) / place
	if two*place*100 < exact*98 {
		two++
	}
	decimals = 1 - d.exponent
	if two == 100 {
		two, decimals = 10, decimals-1
	}
	x, _ := strconv.ParseFloat(strconv.FormatInt(two, 10)+"e"+strconv.Itoa(-decimals), 64)
	return Fixed(x, decimals), decimals
}

// exponent returns the power of ten of x's first significant digit.
func exponent(x float64) int { return decimalOf(x).exponent }

// Pair rounds a value and its expanded uncertainty for people: U by
// [RoundUncertainty], the value to the same place. With U = 0 the value is
// written as it is and the uncertainty is empty.
func Pair(x, U float64) (value, uncertainty string) {
	if U == 0 {
		return minus(Float(x)), ""
	}
	text, decimals := RoundUncertainty(U)
	return minus(Fixed(x, decimals)), text
}

// Significant writes x with so many significant digits, trailing zeros kept, half
// away from zero on the decimal text.
func Significant(x float64, digits int) string {
	if x == 0 {
		return "0"
	}
	s := Fixed(x, digits-1-exponent(x))
	f, _ := strconv.ParseFloat(s, 64)
	return minus(Fixed(f, digits-1-exponent(f)))
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
