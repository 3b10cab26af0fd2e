package quantity

import (
	"math"
	"strconv"
)

// AppendFloat adds x to text as [Float] writes it: files have thousands of numbers,
// and need no string of each.
func AppendFloat(text []byte, x float64) []byte {
	// What has 12 digits is written back by the shortest text of the nearest float64
	// as long as those have 15 digits: all but the smallest (IEEE 754, binary64). Nor
	// does rounding reach beyond the largest, which this leaves to Float too.
	if a := math.Abs(x); !(a > 1e-290 && a < 1e290) {
		return append(text, Float(x)...)
	}
	var room [Digits + 16]byte
	s := strconv.AppendFloat(room[:0], x, 'e', Digits-1, 64)
	if s[0] == '-' {
		text, s = append(text, '-'), s[1:]
	}
	power := s[Digits+2:] // behind the e: a sign and two digits or three
	exponent := 0
	for _, digit := range power[1:] {
		exponent = 10*exponent + int(digit-'0')
	}
	if power[0] == '-' {
		exponent = -exponent
	}
	digits := s[:Digits+1]
	digits[1], digits = digits[0], digits[1:] // over the point
	for len(digits) > 1 && digits[len(digits)-1] == '0' {
		digits = digits[:len(digits)-1]
	}
	return appendDecimal(text, digits, exponent, power)
}

// appendDecimal writes digits of which the first stands for so many tens, as files
// have them: plainly between 1e-6 and 1e15, otherwise with the power of ten.
func appendDecimal(text, digits []byte, exponent int, power []byte) []byte {
	switch n := len(digits); {
	case exponent >= 15 || exponent < -6:
		text = append(text, digits[0])
		if n > 1 {
			text = append(append(text, '.'), digits[1:]...)
		}
		return append(append(text, 'e'), power...)
	case exponent < 0:
		text = append(append(text, "0.00000"[:1-exponent]...), digits...)
	case exponent+1 >= n:
		text = append(append(text, digits...), "00000000000000"[:exponent+1-n]...)
	default:
		text = append(append(append(text, digits[:exponent+1]...), '.'), digits[exponent+1:]...)
	}
	return text
}
