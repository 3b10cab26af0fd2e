package sheet

import "math"

// Numerals are texts of the numbers that a derivation wrote last: most numbers of it stand
// in several sentences and rows. A number's place follows from its bits; it overwrites what
// stood there. The texts are those of [calc], which depends on nothing else.
type numerals [1024]numeral

type numeral struct {
	bits uint64
	n    uint8 // bytes of text; 0 where there is none
	text [15]byte
}

// term appends a term of a sum.
func (k *numerals) term(b []byte, x float64, first bool) []byte {
	switch {
	case first:
	case x < 0:
		b, x = append(b, " − "...), -x
	default:
		b = append(b, " + "...)
	}
	return k.append(b, x)
}

// append appends what [calc] makes of a number.
func (k *numerals) append(b []byte, x float64) []byte {
	if k == nil {
		return appendCalc(b, x)
	}
	const spread = 0x9e3779b97f4a7c15 // 2⁶⁴ divided by the golden section, odd
	bits := math.Float64bits(x)
	known := &k[bits*spread>>54]
	if known.n > 0 && known.bits == bits {
		return append(b, known.text[:known.n]...)
	}
	from := len(b)
	b = appendCalc(b, x)
	if n := len(b) - from; n <= len(known.text) {
		known.bits, known.n = bits, uint8(n)
		copy(known.text[:], b[from:])
	}
	return b
}
