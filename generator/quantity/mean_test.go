package quantity

import (
	"math"
	"testing"
)

// repeats returns n runs of one power, each with a meter's error (one strand)
// and the method's scatter from a pool with 12 degrees of freedom.
func repeats(n int, meter, pool float64) []Value {
	out := make([]Value, n)
	for i := range out {
		run := string(rune('a' + i))
		m := Source{ID: "meter " + run, Name: "meter", Group: "meter", Strand: "meter of channel L", DoF: inf}
		p := Source{ID: "pool " + run, Name: "pool", Estimate: "pool", DoF: 12}
		out[i] = New(500+float64(i), "W", meter, m).Add(New(0, "W", pool, p))
	}
	return out
}

// JCGM 100:2008, 4.2.3 (the standard deviation of a mean is s/√n) for what is
// independent, and 5.2.2 with r = +1 for what is not: a mean of n runs of u_m
// and u_p has
//
//	u² = u_m² + u_p²/n
func TestMeanKeepsTheInstrumentsError(t *testing.T) {
	for _, r := range []struct {
		n           int
		meter, pool float64
		x, u        float64
	}{
		{1, 3, 4, 500, 5},
		{4, 3, 8, 501.5, 5},
		{16, 3, 16, 507.5, 5},
		{9, 3, 0, 504, 3},
		{9, 0, 3, 504, 1},
		{25, 12, 25, 512, 13},
	} {
		m := Mean(repeats(r.n, r.meter, r.pool)...)
		if !near(m.X, r.x, 1e-12*r.x) || !near(m.Std(), r.u, 1e-12*r.u) {
			t.Errorf("n %d, meter %v, pool %v: mean %.13g, u %.13g; want %v, %v", r.n, r.meter, r.pool, m.X, m.Std(), r.x, r.u)
		}
	}
}

// An instrument whose error grows with the reading brings the mean of its errors,
// not their quadratic mean: (2 + 4 + 9)/3 = 5.
func TestMeanOfUnequalErrors(t *testing.T) {
	var values []Value
	for i, u := range []float64{2, 4, 9} {
		values = append(values, New(100, "W", u, Source{ID: string(rune('a' + i)), Strand: "meter", DoF: inf}))
	}
	if u := Mean(values...).Std(); !near(u, 5, 1e-14) {
		t.Errorf("u = %.15g, want 5", u)
	}
}

// Parts of different strands don't join, and parts without one stay single: two
// meters of u = 3 in turns average as 3/√2.
func TestMeanOfTwoInstruments(t *testing.T) {
	var values []Value
	for i, meter := range []string{"one", "two", "one", "two"} {
		values = append(values, New(100, "W", 3, Source{ID: string(rune('a' + i)), Strand: meter, DoF: inf}))
	}
	m := Mean(values...)
	if !near(m.Std(), 3/math.Sqrt2, 1e-14) || len(m.Parts) != 2 {
		t.Errorf("u = %.15g in %d parts, want %.15g in 2", m.Std(), len(m.Parts), 3/math.Sqrt2)
	}
}

// A mean names its joined errors the same way in any order, so that two means of
// the same runs are the same errors: their difference is exactly known.
func TestMeanInAnyOrder(t *testing.T) {
	r := repeats(5, 3, 4)
	a, b := Mean(r...), Mean(r[3], r[1], r[4], r[0], r[2])
	if d := a.Sub(b); !near(d.X, 0, 1e-12) || !near(d.Std(), 0, 1e-12) {
		t.Errorf("the difference of two means of the same runs is %v, u %v", d.X, d.Std())
	}
	for i := 1; i < len(a.Parts); i++ {
		if a.Parts[i-1].Source.ID >= a.Parts[i].Source.ID {
			t.Errorf("parts out of order: %q before %q", a.Parts[i-1].Source.ID, a.Parts[i].Source.ID)
		}
	}
}

// Joining errors leaves the values that were averaged as they were.
func TestMeanChangesNoValue(t *testing.T) {
	r := repeats(3, 3, 4)
	Mean(r...)
	for i, v := range r {
		if v.X != 500+float64(i) || !near(v.Std(), 5, 1e-14) || v.Parts[0].Source.ID != "meter "+string(rune('a'+i)) {
			t.Errorf("run %d is now %v, u %v, first part %q", i, v.X, v.Std(), v.Parts[0].Source.ID)
		}
	}
}

// One estimate counts once in the effective degrees of freedom (JCGM 100:2008,
// G.4.1): the pool's scatter s comes from one estimate with 12 degrees of
// freedom, so a mean of n runs has no more than those, where n estimates of 12
// each would have 12·n by equation G.2b.
func TestOneEstimateCountsOnce(t *testing.T) {
	for _, n := range []int{1, 2, 5} {
		pooled := Mean(repeats(n, 0, 4)...)
		if b := pooled.Budget(); !near(b.DoF, 12, 1e-12) {
			t.Errorf("n %d: ν = %.14g, want the pool's 12", n, b.DoF)
		}
		var apart []Value
		for i := range n {
			apart = append(apart, New(500, "W", 4, source(string(rune('a'+i)), 12)))
		}
		if b := Mean(apart...).Budget(); !near(b.DoF, 12*float64(n), 1e-12*12*float64(n)) {
			t.Errorf("n %d estimates: ν = %.14g, want %d", n, b.DoF, 12*n)
		}
	}
}

// Equation G.2b by hand: u_m = 3 (exactly known), u_p = 4 in all with 12 degrees
// of freedom, so ν = 5⁴/(4⁴/12) = 29.296875, whatever n is.
func TestPoolBesideAnInstrument(t *testing.T) {
	for _, n := range []int{1, 4, 9} {
		b := Mean(repeats(n, 3, 4*math.Sqrt(float64(n)))...).Budget()
		if !near(b.U, 5, 1e-13) || !near(b.DoF, 29.296875, 1e-11) {
			t.Errorf("n %d: u %.14g, ν %.14g; want 5, 29.296875", n, b.U, b.DoF)
		}
	}
}

// A group of one estimate taken as common: its variance is the square of the
// sum, and counts once: with (3 + 4)² of 5 degrees of freedom beside 24² exactly
// known, u = 25 and ν = 25⁴/(7⁴/5) = 813.4631403582.
func TestCommonGroupInDegreesOfFreedom(t *testing.T) {
	left := Source{ID: "pool left", Group: "pool", Estimate: "pool", DoF: 5}
	right := Source{ID: "pool right", Group: "pool", Estimate: "pool", DoF: 5}
	b := Sum(New(1, "W", 3, left), New(1, "W", 4, right), New(0, "W", 24, source("meter", inf))).Budget()
	if !near(b.U, 25, 1e-13) || !near(b.DoF, 25*25*25*25/(7.*7*7*7/5), 1e-9) {
		t.Errorf("u %.14g, ν %.14g; want 25, %.14g", b.U, b.DoF, 25*25*25*25/(7.*7*7*7/5))
	}
}

// The choice of 0 or 1 (JCGM 100:2008, 5.2.2, for both) is made for each group
// and each figure by itself, and listed.
func TestGroupsChooseForThemselves(t *testing.T) {
	meter := func(id string, c float64) Value {
		return Combine(0, "W", Term{New(0, "W", 1, grouped(id, "meter")), c})
	}
	load := func(id string, c float64) Value { return Combine(0, "W", Term{New(0, "W", 1, grouped(id, "load")), c}) }
	for _, r := range []struct {
		name    string
		v       Value
		u       float64
		sharing map[string]Sharing
	}{
		{"same signs: 3 + 4 = 7", meter("m1", 3).Add(meter("m2", 4)), 7, map[string]Sharing{"m1": Common, "m2": Common}},
		{"opposite signs: √(3² + 4²) = 5", meter("m1", 3).Add(meter("m2", -4)), 5, map[string]Sharing{"m1": Independent, "m2": Independent}},
		{"both negative", meter("m1", -3).Add(meter("m2", -4)), 7, map[string]Sharing{"m1": Common, "m2": Common}},
		{"alone in its group", meter("m1", 3), 3, map[string]Sharing{"m1": Own}},
		{"one common, one independent: √(7² + 5² + 6²)", Sum(meter("m1", 3), meter("m2", 4), load("l1", 3), load("l2", -4), New(0, "W", 6, source("pool", inf))), math.Sqrt(110),
			map[string]Sharing{"m1": Common, "m2": Common, "l1": Independent, "l2": Independent, "pool": Own}},
		{"groups are not joined with each other", meter("m1", 3).Add(load("l1", 4)), 5, map[string]Sharing{"m1": Own, "l1": Own}},
		{"as large either way: 0", Sum(meter("m1", 3), meter("m2", 0)), 3, map[string]Sharing{"m1": Independent, "m2": Independent}},
	} {
		b := r.v.Budget()
		if !near(b.U, r.u, 1e-14*r.u) {
			t.Errorf("%s: u = %.15g, want %.15g", r.name, b.U, r.u)
		}
		if len(b.Lines) != len(r.sharing) {
			t.Errorf("%s: %d lines, want %d", r.name, len(b.Lines), len(r.sharing))
		}
		for _, l := range b.Lines {
			if want, listed := r.sharing[l.Source.ID]; !listed || l.Sharing != want {
				t.Errorf("%s: %s is taken as %q, want %q", r.name, l.Source.ID, l.Sharing, want)
			}
		}
	}
}
