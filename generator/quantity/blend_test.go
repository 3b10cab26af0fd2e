package quantity

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// A blend gives what the mean of combined values gives, whatever is shared, grouped
// or of one strand.
func TestBlendIsTheMean(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 500 {
		n := 1 + rnd.IntN(4)
		members, values := make([][]Value, n), make([]Value, n)
		sensitivities := make([][]float64, n)
		for i := range n {
			var terms []Term
			for j := range 3 {
				v := Exact(1, "W")
				for range 1 + rnd.IntN(3) {
					k := rnd.IntN(4)
					s := Source{ID: fmt.Sprint("s", k, i), DoF: math.Inf(1)}
					switch k {
					case 0:
						s.ID = "shared"
					case 1:
						s.ID, s.Group, s.Strand = fmt.Sprint("meter ", i, j), "meter", fmt.Sprint("meter ", j)
						if i%2 == 1 {
							s.DoF = float64(5 + 3*j) // certificates of several ranges
						}
					case 2:
						s.Estimate, s.DoF = "pool", 8
					case 3:
						s.Group = "loads"
					}
					v = v.Add(New(0, "W", rnd.Float64(), s))
				}
				f := rnd.NormFloat64()
				members[i] = append(members[i], v)
				sensitivities[i] = append(sensitivities[i], f)
				terms = append(terms, Term{v, f})
			}
			values[i] = Combine(1, "W", terms...)
		}
		want := Mean(values...).Budget()
		u, dof := NewBlend(members...).At(func(i, j int) float64 { return sensitivities[i][j] })
		if math.Abs(u-want.U) > 1e-12*want.U || math.Abs(1/dof-1/want.DoF) > 1e-9 {
			t.Fatalf("u %v, ν %v; the mean has %v, %v", u, dof, want.U, want.DoF)
		}
	}
}
