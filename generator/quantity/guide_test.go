package quantity

import (
	"math"
	"testing"
)

var inf = math.Inf(1)

// near reports whether got is want within tol, absolute.
func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// source returns a source that stands alone, with so many degrees of freedom.
func source(id string, dof float64) Source { return Source{ID: id, Name: id, DoF: dof} }

// grouped returns a source of a group, its uncertainty taken as exactly known.
func grouped(id, group string) Source { return Source{ID: id, Name: id, Group: group, DoF: inf} }

// Half-widths to standard uncertainties, JCGM 100:2008, from memory; recomputing
// reproduces what the Guide prints. The printed column is checked to half a unit
// of its last digit.
func TestHalfWidths(t *testing.T) {
	for _, r := range []struct {
		source         string
		got            float64
		exact, printed float64
		half           float64 // half a unit of the last digit printed
	}{
		{"4.3.7, example 1: expansion of copper, ±0.40e-6/°C", Rectangular(0.40e-6), 0.2309401077e-6, 0.23e-6, 0.005e-6},
		{"4.3.7, example 2: voltmeter, 14e-6 of 0.928571 V and 2e-6 of 1 V, in µV", Rectangular(14*0.928571 + 2), 8.6602506, 8.7, 0.05},
		{"4.4.5: 96 °C to 104 °C, rectangular", Rectangular(4), 2.3094010768, 2.3, 0.05},
		{"4.4.5: 96 °C to 104 °C, triangular", Triangular(4), 1.6329931619, 1.6, 0.05},
		{"F.2.2.1: resolution of width 1", Rectangular(0.5), 0.2886751346, 0.29, 0.005},
		{"4.3.9 and JCGM 101, 6.4.6: divisors √3, √6, √2 of one half-width", Rectangular(1) * Triangular(1) * UShaped(1), 1.0 / 6, 1.0 / 6, 1e-9},
		{"JCGM 101, 6.4.6: U-shaped", UShaped(1), 0.7071067812, 0.71, 0.005},
	} {
		if !near(r.got, r.exact, 1e-8*r.exact) {
			t.Errorf("%s: %.12g, want %.12g", r.source, r.got, r.exact)
		}
		if !near(r.got, r.printed, r.half) {
			t.Errorf("%s: %.12g does not round to the printed %v", r.source, r.got, r.printed)
		}
	}
}

// JCGM 100:2008, 5.1.5 (from memory): the voltmeter of 4.3.7 with a Type A part
// of 12 µV and a correction of zero gives 15 µV.
func TestVoltmeter(t *testing.T) {
	v := New(0.928571e6, "µV", 12, source("repeats", 19)).Add(New(0, "µV", Rectangular(14.999994), source("voltmeter", inf)))
	if u := v.Std(); !near(u, 14.798647, 1e-6) {
		t.Errorf("u = %.8g µV, want 14.798647", u)
	}
}

// JCGM 100:2008, 5.2.2, example (from memory): ten resistors of 1000 Ω, each
// compared with the same standard of u = 100 mΩ, in series. Through the shared
// standard r = +1 and u = 1 Ω; the sum as though independent is 0.32 Ω.
func TestTenResistors(t *testing.T) {
	series := func(s func(i int) Source) Value {
		values := make([]Value, 10)
		for i := range values {
			values[i] = New(1000, "Ω", 0.1, s(i))
		}
		return Sum(values...)
	}
	standard := source("standard", inf)
	id := func(i int) string { return string(rune('a' + i)) }
	for _, r := range []struct {
		name    string
		sum     Value
		u       float64
		lines   int
		sharing Sharing
	}{
		{"one standard", series(func(int) Source { return standard }), 1, 1, Own},
		{"independent", series(func(i int) Source { return source(id(i), inf) }), 0.316227766, 10, Own},
		{"sharing not known", series(func(i int) Source { return grouped(id(i), "standard") }), 1, 10, Common},
	} {
		b := r.sum.Budget()
		if r.sum.X != 10000 || !near(b.U, r.u, 1e-9) || len(b.Lines) != r.lines {
			t.Errorf("%s: %v Ω, u %.10g, %d lines; want 10000 Ω, %.10g, %d", r.name, r.sum.X, b.U, len(b.Lines), r.u, r.lines)
		}
		for _, l := range b.Lines {
			if l.Sharing != r.sharing {
				t.Errorf("%s: %s is taken as %q, want %q", r.name, l.Source.ID, l.Sharing, r.sharing)
			}
		}
	}
}

// JCGM 100:2008, G.4.1, example (from memory): relative uncertainties of 0.25,
// 0.57 and 0.82 % from 10, 5 and 15 observations. Printed: 1.03 %, ν = 19.0,
// U = 2.2 %.
func TestWelchSatterthwaite(t *testing.T) {
	v := New(1, "", 0.25, source("a", 9)).Mul(New(1, "", 0.57, source("b", 4)), "").Mul(New(1, "", 0.82, source("c", 14)), "")
	b := v.Budget()
	if !near(b.U, 1.0294658809, 1e-9) || !near(b.DoF, 18.9987423, 1e-6) {
		t.Errorf("u %.10g %%, ν %.10g; want 1.0294658809, 18.9987423", b.U, b.DoF)
	}
	if U := Coverage(Level, 19) * b.U; !near(U, 2.1546968520, 1e-8) {
		t.Errorf("U %.10g %% at ν 19, want 2.1546968520", U)
	}
}

// An endGauge is the model of JCGM 100:2008, H.1, in nm:
//
//	l = lS + d − lS·(δα·θ + αS·δθ), θ = θmean + Δ
func endGauge(lS float64) Value {
	standard := New(lS, "nm", 25, source("standard", 18))
	d := Sum(New(215, "nm", 5.8, source("d, repeats", 24)),
		New(0, "nm", 3.9, source("d, comparator, random", 5)),
		New(0, "nm", 6.7, source("d, comparator, systematic", 8)))
	alpha := New(11.5e-6, "1/K", Rectangular(2e-6), source("αS", inf))
	dAlpha := New(0, "1/K", Rectangular(1e-6), source("δα", 50))
	dTheta := New(0, "K", Rectangular(0.05), source("δθ", 2))
	theta := New(-0.1, "K", 0.2, source("θmean", inf)).Add(New(0, "K", UShaped(0.5), source("Δ", inf)))
	expansion := dAlpha.Mul(theta, "").Add(alpha.Mul(dTheta, ""))
	return standard.Add(d).Sub(standard.Mul(expansion, "nm"))
}

// The unrounded figures are those that a national laboratory's open uncertainty
// library asserts for H.1 (to its last digit, hence the tolerance); the Guide
// prints u = 32 nm, ν = 16.7, t99(16) = 2.92 and rounds in between.
func TestEndGauge(t *testing.T) {
	l := endGauge(50000623)
	b := l.Budget()
	if l.X != 50000838 {
		t.Errorf("l = %v nm, want 50 000 838", l.X)
	}
	if !near(b.U, 31.6638791, 5e-8) {
		t.Errorf("u = %.10g nm, want 31.6638791", b.U)
	}
	if nominal := endGauge(5e7).Budget(); !near(nominal.U, 31.6637674111, 1e-9) || !near(nominal.DoF, 16.75215, 5e-6) {
		t.Errorf("u = %.12g nm, ν = %.8g at the nominal length; want 31.6637674111, 16.75215", nominal.U, nominal.DoF)
	}
	if k := Coverage(0.99, 16); !near(k, 2.9207816224, 1e-9) {
		t.Errorf("t99(16) = %.11g, want 2.9207816224", k)
	}
	contributions := map[string]float64{"δα": 2.886787, "δθ": 16.599027, "standard": 25, "θmean": 0, "αS": 0}
	for _, line := range b.Lines {
		if want, listed := contributions[line.Source.ID]; listed && !near(math.Abs(line.C), want, 1e-6) {
			t.Errorf("%s contributes %.8g nm, want %v", line.Source.ID, line.C, want)
		}
	}
}

// JCGM 101:2008, 9.3, mass calibration to first order (inputs from memory):
//
//	δm = (mR + δmR)·(1 + (ρa − 1.2)·(1/ρW − 1/ρR)) − 100 g
//
// The clause gives 1.2340 mg and u = 0.0539 mg for it.
func TestMassCalibration(t *testing.T) {
	mass := New(100000, "mg", 0.050, source("mR", inf)).Add(New(1.234, "mg", 0.020, source("δmR", inf)))
	air := New(1.2, "kg/m³", Rectangular(0.1), source("ρa", inf)).Sub(Exact(1.2, "kg/m³"))
	w := New(8000, "kg/m³", Rectangular(1000), source("ρW", inf)).Pow(-1, "m³/kg")
	r := New(8000, "kg/m³", Rectangular(50), source("ρR", inf)).Pow(-1, "m³/kg")
	dm := mass.Mul(Exact(1, "").Add(air.Mul(w.Sub(r), "")), "mg").Sub(Exact(100000, "mg"))
	if !near(dm.X, 1.234, 1e-9) || !near(dm.Std(), 0.0538516481, 1e-9) {
		t.Errorf("δm = %.10g mg, u %.10g; want 1.234, 0.0538516481", dm.X, dm.Std())
	}
	k := Coverage(Level, inf)
	if low, high := dm.X-k*dm.Std(), dm.X+k*dm.Std(); !near(low, 1.1284527, 1e-7) || !near(high, 1.3395473, 1e-7) {
		t.Errorf("95 %% interval %.8g … %.8g, want 1.1284527 … 1.3395473", low, high)
	}
}

// JCGM 101:2008, 9.2.2: four standard normal quantities add up to u = 2.0, and
// the 95 % interval is ±3.92; 9.2.3: by first order the same for rectangular
// ones of half-width √3.
func TestAdditiveModel(t *testing.T) {
	for _, half := range []float64{0, math.Sqrt(3)} {
		u := 1.0
		if half > 0 {
			u = Rectangular(half)
		}
		y := Sum(New(0, "", u, source("1", inf)), New(0, "", u, source("2", inf)), New(0, "", u, source("3", inf)), New(0, "", u, source("4", inf)))
		b := y.Budget()
		if y.X != 0 || !near(b.U, 2, 1e-12) || !near(Coverage(Level, b.DoF)*b.U, 3.9199280, 5e-8) || !math.IsInf(b.DoF, 1) {
			t.Errorf("y %v, u %v, U %v, ν %v; want 0, 2, 3.9199280, +Inf", y.X, b.U, Coverage(Level, b.DoF)*b.U, b.DoF)
		}
	}
}

// EA-4/02, example S3 (10 kΩ resistor): the budget from memory, its result as a
// published data file of the example has it (10 000.178 000 7665 Ω).
//
//	R = (RS + δRD + δRTS)·rC·r − δRTX
func TestResistorCalibration(t *testing.T) {
	readings := []float64{1.0000104, 1.0000107, 1.0000106, 1.0000103, 1.0000105}
	mean, u := typeA(readings)
	standard := Sum(New(10000.053, "Ω", 2.5e-3, source("certificate", inf)),
		New(0.020, "Ω", Rectangular(10e-3), source("drift", inf)),
		New(0, "Ω", Rectangular(2.75e-3), source("temperature of the standard", inf)))
	ratio := New(1, "", Triangular(1e-6), source("stray", inf)).Mul(New(mean, "", u, source("readings", 4)), "")
	r := standard.Mul(ratio, "Ω").Sub(New(0, "Ω", Rectangular(5.5e-3), source("temperature of the resistor", inf)))
	if !near(r.X, 10000.1780007665, 1e-9) {
		t.Errorf("R = %.14g Ω, want 10000.1780007665", r.X)
	}
	// Contributions as printed have four decimals of a mΩ: one unit of the fourth.
	if b := r.Budget(); !near(b.U, 8.3279149e-3, 1e-6) {
		t.Errorf("u = %.8g Ω, want 8.3279149 mΩ", b.U)
	}
}

// typeA is the mean and its standard uncertainty (JCGM 100:2008, 4.2.1 to 4.2.3).
func typeA(x []float64) (mean, u float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		u += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(u / (n - 1) / n)
}

// Of a group that is one error the fewest degrees of freedom count, whichever part
// they stand at; of independent ones each its own (Welch–Satterthwaite, JCGM
// 100:2008, G.4.1): (3² + 4²)²/(3⁴/9 + 4⁴/5) = 10.38 by hand.
func TestFreedomOfAGroup(t *testing.T) {
	part := func(id string, c, dof float64) Value {
		return New(0, "V", math.Abs(c), Source{ID: id, Group: "meter", DoF: dof}).Scale(math.Copysign(1, c))
	}
	for _, r := range []struct {
		a, b   Value
		u, dof float64
	}{
		{part("a", 3, 9), part("b", 4, 5), 7, 5},
		{part("a", 3, 5), part("b", 4, 9), 7, 5},
		{part("a", 3, inf), part("b", 4, 5), 7, 5},
		{part("a", 3, inf), part("b", 4, inf), 7, inf},
		{part("a", 3, 9), part("b", -4, 5), 5, 625 / (81.0/9 + 256.0/5)},
	} {
		b := r.a.Add(r.b).Budget()
		if !near(b.U, r.u, 1e-12) || math.Abs(1/b.DoF-1/r.dof) > 1e-12 {
			t.Errorf("u = %v with ν = %v, want %v with %v", b.U, b.DoF, r.u, r.dof)
		}
	}
}
