package quantity

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// fewValues is how many values are added one after the other: to add more so would take time
// with the square of their number.
const fewValues = 16

// sumOfMany is the sum of values as adding one after the other gives it, bit for bit:
// each source's contributions are added in the order of the values, and one that
// cancels is dropped where it does.
func sumOfMany(values []Value) Value {
	out := Value{X: values[0].X, Unit: values[0].Unit}
	byID := make(map[string]Part, len(values))
	for i, v := range values {
		if i > 0 {
			out.X += v.X
		}
		for _, p := range v.Parts {
			sum, there := byID[p.Source.ID]
			if !there {
				byID[p.Source.ID] = p
				continue
			}
			c, size := sum.C+p.C, math.Abs(sum.C)+math.Abs(p.C)
			if math.Abs(c) > cancelled*size {
				byID[p.Source.ID] = Part{sum.Source, c}
			} else {
				delete(byID, p.Source.ID)
			}
		}
	}
	out.Parts = slices.SortedFunc(maps.Values(byID), func(a, b Part) int { return cmp.Compare(a.Source.ID, b.Source.ID) })
	return out
}
