package quantity

import (
	"math"
	"strconv"
)

// Digits is the number of significant digits that files carry: processors differ
// in the last ones of a float64.
const Digits = 12

// A decimal is a number of [Digits] significant digits, ±n·10^(exponent−11): the
// text that rounding works on.
type decimal struct {
	negative bool
	n        uint64 // 10¹¹ to 10¹² − 1, or 0
	exponent int    // power of ten of the first digit
}

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// whole are the powers of ten up to that of a decimal.
var whole = [Digits + 1]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12}

const most = 1_000_000_000_000 // 10^Digits

// decimalOf rounds x to a decimal, exactly as [strconv.FormatFloat] does to 12
// digits. x must be finite.
func decimalOf(x float64) decimal {
	if a := math.Abs(x); a > 1e-9 && a < 1e30 {
		if d, sure := scaled12(a); sure {
			d.negative = x < 0
			return d
		}
	}
	return converted(x)
}

// scaled12 rounds a to 12 digits by one multiplication or division with an exact
// power of ten. That is wrong by 2⁻⁵³ of the result at most, which is below 2⁴⁰:
// so it is sure unless the result lies within 2⁻¹⁰ of a half.
func scaled12(a float64) (d decimal, sure bool) {
	y, power := toDigits(a, Digits)
	n := uint64(y)
	rest := y - float64(n)
	if rest >= 0.5 {
		n++
	}
	if n == most {
		n, power = n/10, power+1
	}
	return decimal{n: n, exponent: power}, math.Abs(rest-0.5) > 1.0/1024 && n >= most/10
}

// toDigits is a·10^(digits − 1 − power), from 10^(digits − 1) to 10^digits but for
// rounding.
func toDigits(a float64, digits int) (y float64, power int) {
	const bias, lg2 = 1023, 0.30102999566398120
	power = int(math.Floor(float64(int(math.Float64bits(a)>>52)-bias) * lg2))
	if y = scaled10(a, digits-1-power); y >= tens[digits] { // the estimate of the power is right, or one too small
		power++
		y = scaled10(a, digits-1-power)
	}
	return y, power
}

// scaled10 is a·10^power, rounded once.
func scaled10(a float64, power int) float64 {
	if power < 0 {
		return a / tens[-power]
	}
	return a * tens[power]
}

// A few is the first digits of a number, less zeros at the end.
type few struct {
	negative bool
	digits   [Digits]byte
	n        int // of them
	power    int // of ten, of the first
}

// fewDigits rounds x to so many digits in one step. That is the same as by way of
// twelve unless what is cut off lies within 1/512 of a half, where it isn't sure.
func fewDigits(x float64, digits int) (f few, sure bool) {
	a := math.Abs(x)
	if digits > 9 || !(a > 1e-6 && a < 1e15) {
		return f, false
	}
	y, power := toDigits(a, digits)
	n := uint32(y)
	rest := y - float64(n)
	if math.Abs(rest-0.5) < 1.0/512 || y < tens[digits-1] {
		return f, false
	}
	if rest > 0.5 {
		n++
	}
	if n == uint32(whole[digits]) {
		n, power = n/10, power+1
	}
	f.negative, f.power = x < 0, power
	for i := digits - 1; i >= 0; i-- {
		digit := byte(n % 10)
		if n /= 10; digit > 0 && f.n == 0 {
			f.n = i + 1
		}
		f.digits[i] = '0' + digit
	}
	return f, true
}

// pairs are the numbers of two digits, one after the other.
var pairs = func() (pairs [200]byte) {
	for i := range pairs {
		pairs[i] = byte('0' + i/2/(10-9*(i%2))%10)
	}
	return pairs
}()

// appendAll appends all digits of d but zeros at the end, in plain.
func (d decimal) appendAll(b []byte) []byte {
	f := few{negative: d.negative, n: Digits, power: d.exponent}
	for i, n := Digits-2, d.n; i >= 0; i -= 2 {
		pair := n % 100 * 2
		f.digits[i], f.digits[i+1], n = pairs[pair], pairs[pair+1], n/100
	}
	for f.n > 1 && f.digits[f.n-1] == '0' {
		f.n--
	}
	return f.append(b)
}

// append appends the digits in plain, with a hyphen for minus.
func (f *few) append(b []byte) []byte {
	if f.negative {
		b = append(b, '-')
	}
	switch point := f.power + 1; {
	case point <= 0:
		b = appendZeros(append(b, "0."...), -point)
		return append(b, f.digits[:f.n]...)
	case point < f.n:
		b = append(append(b, f.digits[:point]...), '.')
		return append(b, f.digits[point:f.n]...)
	default:
		return appendZeros(append(b, f.digits[:f.n]...), point-f.n)
	}
}

// converted is the decimal of any finite number.
func converted(x float64) decimal {
	var d decimal
	var buffer [Digits + 16]byte
	s := strconv.AppendFloat(buffer[:0], x, 'e', Digits-1, 64)
	if s[0] == '-' {
		d.negative, s = true, s[1:]
	}
	d.n = uint64(s[0] - '0')
	for _, digit := range s[2 : Digits+1] {
		d.n = 10*d.n + uint64(digit-'0')
	}
	d.exponent, _ = strconv.Atoi(string(s[Digits+2:]))
	return d
}

// rounded is d in units of the last of so many digits, half away from zero;
// d.n·10^beyond where there are more digits than a decimal has.
func (d decimal) rounded(digits int) (n uint64, beyond int) {
	switch {
	case digits < 0:
		return 0, 0
	case digits >= Digits:
		return d.n, digits - Digits
	}
	unit := whole[Digits-digits]
	return (d.n + unit/2) / unit, 0
}

// appendPlain appends n·10^beyond, in units of the last of so many decimals
// (negative: of tens, hundreds …), with a hyphen for minus.
func appendPlain(b []byte, negative bool, n uint64, beyond, decimals int) []byte {
	if n == 0 {
		negative, beyond, decimals = false, 0, max(decimals, 0)
	}
	if negative {
		b = append(b, '-')
	}
	if decimals < 0 {
		beyond, decimals = beyond-decimals, 0
	}
	var buffer [20]byte
	digits := strconv.AppendUint(buffer[:0], n, 10)
	point := len(digits) + beyond - decimals // digits before the point
	switch {
	case point <= 0:
		b = appendZeros(append(b, "0."...), -point)
		return appendZeros(append(b, digits...), beyond)
	case point < len(digits):
		b = append(append(b, digits[:point]...), '.')
		return appendZeros(append(b, digits[point:]...), beyond)
	}
	b = appendZeros(append(b, digits...), point-len(digits))
	if decimals > 0 {
		b = appendZeros(append(b, '.'), decimals)
	}
	return b
}

func appendZeros(b []byte, n int) []byte {
	for range n {
		b = append(b, '0')
	}
	return b
}
