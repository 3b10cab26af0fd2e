package quantity

import (
	"math"
	"testing"
)

// Simultaneous readings of JCGM 100:2008, table H.2: volts, milliamperes, radians.
var tableH2 = [3][]float64{
	{5.007, 4.994, 5.005, 4.990, 4.999},
	{19.663, 19.639, 19.640, 19.685, 19.678},
	{1.0456, 1.0438, 1.0468, 1.0428, 1.0433},
}

// covariance is the covariance matrix of the means (JCGM 100:2008, equation 17).
func covariance(x [3][]float64) (means [3]float64, s [3][3]float64) {
	n := float64(len(x[0]))
	for i := range x {
		means[i], _ = typeA(x[i])
	}
	for i := range x {
		for j := range x {
			for k := range x[0] {
				s[i][j] += (x[i][k] - means[i]) * (x[j][k] - means[j]) / (n * (n - 1))
			}
		}
	}
	return means, s
}

// cholesky returns the lower triangle l with l·lᵀ = s.
func cholesky(s [3][3]float64) (l [3][3]float64) {
	for i := range s {
		for j := range i + 1 {
			sum := s[i][j]
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			if i == j {
				l[i][i] = math.Sqrt(sum)
			} else {
				l[i][j] = sum / l[j][j]
			}
		}
	}
	return l
}

// correlated returns values with the given covariance: each shares unit causes
// with the others by the rows of the Cholesky triangle.
func correlated(x [3]float64, s [3][3]float64) (out [3]Value) {
	l := cholesky(s)
	for i := range out {
		out[i] = Exact(x[i], "")
		for j := range i + 1 {
			out[i] = out[i].Add(New(0, "", l[i][j], source(string(rune('a'+j)), inf)))
		}
	}
	return out
}

// correlation is r(v, w) by u²(v ± w) = u²(v) + u²(w) ± 2·r·u(v)·u(w).
func correlation(v, w Value) float64 {
	plus, minus := v.Add(w).Std(), v.Sub(w).Std()
	return (plus*plus - minus*minus) / (4 * v.Std() * w.Std())
}

// impedance returns R = (V/I)·cos φ, X = (V/I)·sin φ and Z = V/I in Ω.
func impedance(v, i, phi Value) (r, x, z Value) {
	z = v.Div(i, "kΩ").Scale(1000).In("Ω")
	cos := Combine(math.Cos(phi.X), "", Term{phi, -math.Sin(phi.X)})
	sin := Combine(math.Sin(phi.X), "", Term{phi, math.Cos(phi.X)})
	return z.Mul(cos, "Ω"), z.Mul(sin, "Ω"), z
}

// JCGM 100:2008, H.2, approach 1. The unrounded figures are those that a national
// laboratory's open uncertainty library asserts for it; the Guide prints 127.732
// (0.071), 219.847 (0.295) and 254.260 (0.236) Ω, and unrounded u(X) would be
// 0.296: ±0.001 on the printed ones.
func TestImpedance(t *testing.T) {
	means, s := covariance(tableH2)
	in := correlated(means, s)
	for _, r := range []struct {
		name   string
		x, u   float64
		x0, u0 float64
	}{
		{"V", in[0].X, in[0].Std(), 4.9990, 0.00320936131},
		{"I", in[1].X, in[1].Std(), 19.6610, 0.00947100839},
		{"φ", in[2].X, in[2].Std(), 1.04446, 0.000752063827},
	} {
		if !near(r.x, r.x0, 1e-12) || !near(r.u, r.u0, 1e-8*r.u0) {
			t.Errorf("%s = %v, u %.10g; want %v, %v", r.name, r.x, r.u, r.x0, r.u0)
		}
	}
	r, x, z := impedance(in[0], in[1], in[2])
	for _, row := range []struct {
		name             string
		v                Value
		want, u          float64
		printed, uprints float64
	}{
		{"R", r, 127.73216993, 0.07107140740, 127.732, 0.071},
		{"X", x, 219.84651191, 0.29558167736, 219.847, 0.295},
		{"Z", z, 254.25970195, 0.23633613008, 254.260, 0.236},
	} {
		if !near(row.v.X, row.want, 1e-8) || !near(row.v.Std(), row.u, 1e-10) {
			t.Errorf("%s = %.11g Ω, u %.11g; want %.11g, %.11g", row.name, row.v.X, row.v.Std(), row.want, row.u)
		}
		if !near(row.v.X, row.printed, 0.001) || !near(row.v.Std(), row.uprints, 0.001) {
			t.Errorf("%s = %.7g Ω, u %.4g; printed %v, %v", row.name, row.v.X, row.v.Std(), row.printed, row.uprints)
		}
	}
	// Inputs: computed from table H.2 apart. Results: table H.3 as printed, from memory.
	for _, row := range []struct {
		name      string
		got, want float64
		tol       float64
	}{
		{"V, I", correlation(in[0], in[1]), -0.35531122, 1e-8},
		{"V, φ", correlation(in[0], in[2]), 0.85762421, 1e-8},
		{"I, φ", correlation(in[1], in[2]), -0.64511122, 1e-8},
		{"R, X", correlation(r, x), -0.588, 0.0011},
		{"R, Z", correlation(r, z), -0.485, 0.0011},
		{"X, Z", correlation(x, z), 0.993, 0.0011},
	} {
		if !near(row.got, row.want, row.tol) {
			t.Errorf("r(%s) = %.9g, want %v", row.name, row.got, row.want)
		}
	}
}

// JCGM 100:2008, H.2 from the inputs as the Guide prints them: u(V) 0.0032 V,
// u(I) 0.0095 mA, u(φ) 0.00075, r −0.36, 0.86, −0.65. Results from the same
// library, asserted there to 1e-10.
func TestImpedanceFromRoundedInputs(t *testing.T) {
	u, r := [3]float64{0.0032, 0.0095, 0.00075}, [3][3]float64{{1, -0.36, 0.86}, {-0.36, 1, -0.65}, {0.86, -0.65, 1}}
	var s [3][3]float64
	for i := range s {
		for j := range s {
			s[i][j] = r[i][j] * u[i] * u[j]
		}
	}
	in := correlated([3]float64{4.9990, 19.6610, 1.04446}, s)
	R, X, Z := impedance(in[0], in[1], in[2])
	for _, row := range []struct {
		name string
		v    Value
		u    float64
	}{{"R", R, 0.0699787279884}, {"X", X, 0.295716826846}, {"Z", Z, 0.236602971835}} {
		if !near(row.v.Std(), row.u, 1e-10) {
			t.Errorf("u(%s) = %.12g Ω, want %.12g", row.name, row.v.Std(), row.u)
		}
	}
}

// Two volts at two loads give a source's resistance
//
//	Rs = (V1 − V2)/(V2/R2 − V1/R1)
//
// An invented example; u computed apart with a general library for first-order
// propagation (the Python package uncertainties) to 12 digits. What the readings
// share decides: the gain of the meter cancels, the shared error of the loads
// does not.
func TestSharedErrorsDecide(t *testing.T) {
	rs := func(v1, v2, r1, r2 Value) Value {
		return v1.Sub(v2).Div(v2.Div(r2, "A").Sub(v1.Div(r1, "A")), "Ω")
	}
	volts := func(x float64, gain, digits Source) Value {
		return New(x, "V", Rectangular(0.008*x), gain).Add(New(0, "V", Rectangular(0.03), digits))
	}
	whole := func(x float64, s Source) Value { return New(x, "V", Rectangular(0.008*x+0.03), s) }
	ohms := func(x float64, s Source) Value { return New(x, "Ω", Rectangular(0.01*x), s) }
	gain, bridge := source("gain", inf), source("bridge", inf)
	for _, r := range []struct {
		name string
		v    Value
		u    float64
	}{
		{"all independent", rs(whole(44.72, source("v1", inf)), whole(42.15, source("v2", inf)), ohms(4.012, source("r1", inf)), ohms(2.006, source("r2", inf))), 0.034448336048534},
		{"gain and bridge shared", rs(volts(44.72, gain, source("d1", inf)), volts(42.15, gain, source("d2", inf)), ohms(4.012, bridge), ohms(2.006, bridge)), 0.0031133285659601},
		{"sharing not known: the larger", rs(whole(44.72, grouped("v1", "meter")), whole(42.15, grouped("v2", "meter")), ohms(4.012, grouped("r1", "loads")), ohms(2.006, grouped("r2", "loads"))), 0.034448336048534},
	} {
		if !near(r.v.X, 0.26050631632137, 1e-13) || !near(r.v.Std(), r.u, 1e-7*r.u) {
			t.Errorf("%s: Rs %.13g Ω, u %.13g; want 0.26050631632137, %.13g", r.name, r.v.X, r.v.Std(), r.u)
		}
	}
}
