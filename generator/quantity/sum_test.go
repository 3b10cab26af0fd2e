package quantity

import (
	"fmt"
	"math/rand"
	"reflect"
	"testing"
)

// TestSumOfManyIsTheSum compares the sum of many values with adding them one by one,
// bit for bit, also where contributions cancel on the way.
func TestSumOfManyIsTheSum(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	for n := fewValues + 1; n < fewValues+60; n++ {
		var values []Value
		for i := range n {
			v := Exact(random.NormFloat64(), "W")
			for s := range 6 {
				c := random.NormFloat64()
				if s == 0 && i%2 == 1 { // what the value before it brought, taken away again
					c = -values[i-1].Parts[0].C
				}
				v = v.Add(New(0, "W", 1, Source{ID: fmt.Sprintf("%d shared", s)}).Scale(c))
			}
			values = append(values, v.Add(New(0, "W", random.Float64(), Source{ID: fmt.Sprintf("own %d", i)})))
		}
		one := values[0]
		for _, v := range values[1:] {
			one = one.Add(v)
		}
		if many := Sum(values...); !reflect.DeepEqual(one, many) {
			t.Fatalf("of %d values: one by one %v, at once %v", n, one, many)
		}
	}
}
