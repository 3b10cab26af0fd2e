package quantity

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The laws below are those of arithmetic and of first-order propagation (JCGM
// 100:2008, 5.1.2 and 5.2.2). Tolerance: a dozen roundings of 2^-53, on the
// scale of what was added.
const rounding = 1e-13

// drawn draws a value away from zero, of up to four of six causes, some in
// groups, some with finite degrees of freedom.
func drawn(t *rapid.T, label string) Value {
	x := rapid.Float64Range(0.01, 1000).Draw(t, label)
	if rapid.Bool().Draw(t, label+" negative") {
		x = -x
	}
	v := Exact(x, "W")
	for i := range rapid.IntRange(0, 4).Draw(t, label+" parts") {
		s := drawnSource(t, fmt.Sprint(label, i))
		v = v.Add(New(0, "W", math.Abs(x)*rapid.Float64Range(0.001, 0.1).Draw(t, label+" u"), s))
	}
	return v
}

// drawnSource draws one of six sources; what it is follows from its name.
func drawnSource(t *rapid.T, label string) Source {
	return []Source{
		{ID: "a", DoF: inf}, {ID: "b", DoF: 4}, {ID: "c", Group: "g", DoF: inf}, {ID: "d", Group: "g", DoF: inf},
		{ID: "e", Estimate: "pool", DoF: 9}, {ID: "f", Estimate: "pool", DoF: 9},
	}[rapid.IntRange(0, 5).Draw(t, label)]
}

// same fails the test unless v and w agree in value and in every part, on the
// given scale.
func same(t *rapid.T, law string, v, w Value, scale float64) {
	t.Helper()
	if !near(v.X, w.X, rounding*scale) {
		t.Fatalf("%s: %v, want %v", law, v.X, w.X)
	}
	for _, id := range []string{"a", "b", "c", "d", "e", "f"} {
		if got, want := part(v, id), part(w, id); !near(got, want, rounding*scale) {
			t.Fatalf("%s: %s brings %v, want %v", law, id, got, want)
		}
	}
	if !slices.IsSortedFunc(v.Parts, func(p, q Part) int {
		if p.Source.ID < q.Source.ID {
			return -1
		}
		return 1
	}) {
		t.Fatalf("%s: parts are not sorted, or one is listed twice", law)
	}
}

// part is what the source of that name brings to v.
func part(v Value, id string) float64 {
	for _, p := range v.Parts {
		if p.Source.ID == id {
			return p.C
		}
	}
	return 0
}

func TestInverses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, w := drawn(t, "v"), drawn(t, "w")
		scale := math.Abs(v.X) + math.Abs(w.X)
		same(t, "v + w − w = v", v.Add(w).Sub(w), v, scale)
		same(t, "v − v = 0", v.Sub(v), Value{}, scale)
		same(t, "v·w/w = v", v.Mul(w, "").Div(w, ""), v, math.Abs(v.X)*10)
		same(t, "v/w·w = v", v.Div(w, "").Mul(w, ""), v, math.Abs(v.X)*10)
		same(t, "v/v = 1", v.Div(v, ""), Exact(1, ""), 1)
	})
}

func TestPowers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := drawn(t, "v")
		square := v.X * v.X
		same(t, "v² = v·v", v.Pow(2, ""), v.Mul(v, ""), square)
		same(t, "v³ = v·v·v", v.Pow(3, ""), v.Mul(v, "").Mul(v, ""), math.Abs(square*v.X))
		same(t, "v⁻¹ = 1/v", v.Pow(-1, ""), Exact(1, "").Div(v, ""), 1/math.Abs(v.X))
		same(t, "v¹ = v", v.Pow(1, ""), v, math.Abs(v.X))
		same(t, "v⁰ = 1", v.Pow(0, ""), Exact(1, ""), 1)
		same(t, "2·v = v + v", v.Scale(2), v.Add(v), math.Abs(v.X))
		if v.X > 0 {
			same(t, "(√v)² = v", v.Pow(0.5, "").Pow(2, ""), v, v.X)
			same(t, "v^2.6 = v²·v^0.6", v.Pow(2.6, ""), v.Pow(2, "").Mul(v.Pow(0.6, ""), ""), math.Pow(v.X, 2.6)*10)
		}
	})
}

func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := []Value{drawn(t, "a"), drawn(t, "b"), drawn(t, "c"), drawn(t, "d")}
		scale := 0.0
		for _, v := range values {
			scale += math.Abs(v.X)
		}
		shuffled := rapid.Permutation(values).Draw(t, "order")
		sum, other := Sum(values...), Sum(shuffled...)
		same(t, "a sum in another order", other, sum, scale)
		same(t, "a mean in another order", Mean(shuffled...), Mean(values...), scale)
		b, o := sum.Budget(), other.Budget()
		if !near(b.U, o.U, rounding*scale) || b.U > 1e-6*scale && !near(b.DoF/o.DoF, 1, 1e-6) && b.DoF != o.DoF {
			t.Fatalf("u %v, ν %v; in another order %v, %v", b.U, b.DoF, o.U, o.DoF)
		}
	})
}

// Another unit changes the numbers by its factor and the degrees of freedom not
// at all.
func TestScaleInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, f := drawn(t, "v"), rapid.SampledFrom([]float64{1e-12, 1e-3, -1, 0.3048, 3.412141633, 1e9}).Draw(t, "factor")
		b, s := v.Budget(), v.Scale(f).Budget()
		if !near(s.U, math.Abs(f)*b.U, rounding*math.Abs(f*v.X)) || b.DoF != s.DoF && !near(s.DoF, b.DoF, 1e-9*b.DoF) {
			t.Fatalf("u %v, ν %v; scaled by %v: %v, %v", b.U, b.DoF, f, s.U, s.DoF)
		}
	})
}

// Welch–Satterthwaite lies between the fewest degrees of freedom of a component
// and their sum (JCGM 100:2008, G.4.1, note 1); here 4 and 9 are finite.
func TestDegreesOfFreedomAreBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := drawn(t, "v")
		if b := v.Budget(); b.DoF < 4*(1-1e-12) || len(v.Parts) == 0 && !math.IsInf(b.DoF, 1) {
			t.Fatalf("ν = %v from components of 4, 9 and ∞", b.DoF)
		}
	})
}

// JCGM 100:2008, 5.2.2, equation 16: u²(v + w) = u²(v) + u²(w) + 2·r·u(v)·u(w),
// with r carried by a shared cause.
func TestCorrelation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, w := rapid.Float64Range(0.1, 10).Draw(t, "u"), rapid.Float64Range(0.1, 10).Draw(t, "w")
		r := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{-1, 0, 1})).Draw(t, "r")
		shared, own := source("shared", inf), source("own", inf)
		a := New(5, "W", u, shared)
		b := Combine(7, "W", Term{New(0, "W", 1, shared), r * w}, Term{New(0, "W", 1, own), math.Sqrt(1-r*r) * w})
		for _, sign := range []float64{1, -1} {
			got := a.Add(b.Scale(sign)).Std()
			if want := math.Sqrt(math.Max(0, u*u+w*w+sign*2*r*u*w)); !near(got*got, want*want, 1e-12*(u*u+w*w)) {
				t.Fatalf("u(a %+v·b) = %v at r %v, want %v", sign, got, r, want)
			}
		}
	})
}

// The group rule against every choice of 0 and 1 for the groups, tried in turn.
func TestGroupRuleIsTheLargest(t *testing.T) {
	names := []string{"g", "h", "i"}
	rapid.Check(t, func(t *rapid.T) {
		v := Value{}
		parts := map[string][]float64{}
		for i := range rapid.IntRange(1, 9).Draw(t, "parts") {
			group := rapid.SampledFrom(names).Draw(t, "group")
			c := rapid.Float64Range(-5, 5).Draw(t, "c")
			parts[group] = append(parts[group], c)
			v = v.Add(Combine(0, "", Term{New(0, "", 1, grouped(fmt.Sprint("part", i), group)), c}))
		}
		largest := 0.0
		for choice := range 1 << len(names) {
			variance := 0.0
			for i, name := range names {
				variance += groupVariance(parts[name], choice>>i&1 == 1)
			}
			largest = math.Max(largest, variance)
		}
		if u := v.Std(); !near(u*u, largest, 1e-12*(1+largest)) {
			t.Fatalf("u² = %v, the largest of all choices is %v", u*u, largest)
		}
	})
}

func groupVariance(c []float64, common bool) float64 {
	squares, sum := 0.0, 0.0
	for _, x := range c {
		squares, sum = squares+x*x, sum+x
	}
	if common {
		return sum * sum
	}
	return squares
}

// Sensitivities of a long expression against the central difference
// (f(x + h) − f(x − h))/2h. Tolerance: its own error, h²·f‴/6 and 2^-52/h.
func TestSensitivitiesNumerically(t *testing.T) {
	f := func(a, b, c Value) Value {
		return a.Mul(b, "").Div(a.Add(c), "").Pow(1.3, "").Sub(c.Scale(0.25)).Div(b, "")
	}
	rapid.Check(t, func(t *rapid.T) {
		var x [3]float64
		for i := range x {
			x[i] = rapid.Float64Range(0.5, 20).Draw(t, "x")
		}
		at := func(i int, h float64) Value {
			v := [3]Value{Exact(x[0], ""), Exact(x[1], ""), Exact(x[2], "")}
			v[i] = New(x[i]+h, "", 1, source("it", inf))
			return f(v[0], v[1], v[2])
		}
		for i := range x {
			h := 1e-5 * x[i]
			want := (at(i, h).X - at(i, -h).X) / (2 * h)
			if got := part(at(i, 0), "it"); !near(got, want, 1e-7*(1+math.Abs(want))) {
				t.Fatalf("∂f/∂x%d at %v is %v, numerically %v", i, x, got, want)
			}
		}
	})
}
