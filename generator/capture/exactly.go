package capture

import "math"

// What is written to files has to be the same on any machine, but a processor may round a
// product and the sum that it is part of at once. The Go language promises that a
// conversion, float64(x·y), rounds the product by itself; the functions here have one
// around each. What functions of the standard library give is rounded to twelve digits, as
// they differ in the last ones between processors.

// sineTerms are (π/2)^(2k+1)/(2k+1)! with alternating signs, for k from 10 down to 0.
var sineTerms = func() (terms [11]float64) {
	const q = math.Pi / 2
	const (
		t0  = q
		t1  = t0 * q * q / (2 * 3)
		t2  = t1 * q * q / (4 * 5)
		t3  = t2 * q * q / (6 * 7)
		t4  = t3 * q * q / (8 * 9)
		t5  = t4 * q * q / (10 * 11)
		t6  = t5 * q * q / (12 * 13)
		t7  = t6 * q * q / (14 * 15)
		t8  = t7 * q * q / (16 * 17)
		t9  = t8 * q * q / (18 * 19)
		t10 = t9 * q * q / (20 * 21)
	)
	return [11]float64{t10, -t9, t8, -t7, t6, -t5, t4, -t3, t2, -t1, t0}
}()

// sineOf is the sine of an angle in 2^−64 turns, by its series within a quarter of a turn;
// within 4e-16 of it.
func sineOf(phase uint64) float64 {
	const quarter = 1 << 62
	s := int64(phase)
	switch {
	case s > quarter:
		s = math.MaxInt64 - s
	case s < -quarter:
		s = math.MinInt64 - s
	}
	z := float64(s) / quarter
	square, sum := float64(z*z), 0.0
	for _, t := range sineTerms {
		sum = float64(sum*square) + t
	}
	return float64(sum * z)
}

// growth is exp(x) for a small x, by its series.
func growth(x float64) float64 {
	sum, term := 1.0, 1.0
	for n := 1.0; n < 30; n++ {
		term = float64(term*x) / n
		sum += term
	}
	return sum
}

// A chance is a sequence of numbers that look random and are always the same
// (SplitMix64: Steele, Lea and Flood 2014, from memory).
type chance uint64

func (c *chance) next() uint64 {
	*c += 0x9E3779B97F4A7C15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// triangular is between −1 and 1, most often near 0: the sum of two even ones.
func (c *chance) triangular() float64 {
	return (float64(c.next()>>12)+float64(c.next()>>12))/(1<<52) - 1
}
