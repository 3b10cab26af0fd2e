package quantity

import "math"

// Agree reports whether two numbers are the same as files carry them: they differ
// by at most one unit of the twelfth significant digit, for processors differ in
// the last ones.
func Agree(x, y float64) bool {
	if x == y {
		return true
	}
	size := math.Max(math.Abs(x), math.Abs(y))
	if math.IsInf(size, 0) {
		return false
	}
	unit := math.Pow(10, math.Floor(math.Log10(size))-Digits+1)
	return math.Abs(x-y) <= 1.001*unit // the numbers are decimal, the difference isn't
}
