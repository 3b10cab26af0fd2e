package electric

import (
	"math"
	"testing"

	"wattsheet/generator/quantity"
)

// Every function's sensitivities against the central difference
//
//	(f(x + h) − f(x − h))/(2h), h = 1e-5·x
//
// at several points. Tolerance: the difference's own error, h²·f‴/6 and
// 2^-53·f/h, stays below 1e-8 of the largest term.
func TestSensitivities(t *testing.T) {
	type args = []quantity.Value
	for _, f := range []struct {
		name   string
		f      func(a args) quantity.Value
		points [][]float64
	}{
		{"LoadAt", func(a args) quantity.Value { return LoadAt(a[0], a[1], a[2]) }, [][]float64{{4.012, 100e-6, 40}, {2, 0.0039, -15}, {8.1, 20e-6, 250}}},
		{"InElement", func(a args) quantity.Value { return InElement(a[0], a[1]) }, [][]float64{{44.72, 4.012}, {2, 8}, {0.3, 0.5}}},
		{"AtTerminals", func(a args) quantity.Value { return AtTerminals(a[0], a[1], a[2]) }, [][]float64{{500, 0.021, 4.012}, {1482, 0.05, 1}}},
		{"Volts", func(a args) quantity.Value { return Volts(a[0], a[1]) }, [][]float64{{500, 4.012}, {1, 8}}},
		{"SupplyPower", func(a args) quantity.Value { return SupplyPower(a[0], a[1], a[2]) }, [][]float64{{14.33, 66.4, 1}, {12.6, 210, 1}}},
		{"Efficiency", func(a args) quantity.Value { return Efficiency(a[0], a[1]) }, [][]float64{{747.8, 951.5}, {10, 100}}},
		{"Heat", func(a args) quantity.Value { return Heat(a[0], a[1]) }, [][]float64{{747.8, 951.5}}},
		{"Level", func(a args) quantity.Value { return Level(a[0], 500) }, [][]float64{{487.3}, {1}, {2000}}},
		{"OfFundamental", func(a args) quantity.Value { return OfFundamental(a[0]) }, [][]float64{{1}, {9.95}, {43.5}, {80}}},
		{"Carried", func(a args) quantity.Value { return Carried(a[0], a[1], a[2], 14.4, 4, 2.6, -1) }, [][]float64{{379.4, 13.62, 4.012}, {520, 15.1, 3.9}}},
		{"Carried, k 1.3, m 1", func(a args) quantity.Value { return Carried(a[0], a[1], a[2], 12.6, 2, 1.3, 1) }, [][]float64{{379.4, 13.62, 2.05}}},
	} {
		for _, x := range f.points {
			for i := range x {
				at := func(h float64) quantity.Value {
					a := make(args, len(x))
					for j := range x {
						a[j] = quantity.Exact(x[j], "")
					}
					a[i] = quantity.New(x[i]+h, "", 1, quantity.Source{ID: "it", DoF: math.Inf(1)})
					return f.f(a)
				}
				h := 1e-5 * math.Abs(x[i])
				want := (at(h).X - at(-h).X) / (2 * h)
				if got := at(0).Parts[0].C; !agree(got, want, 1e-7) {
					t.Errorf("%s at %v: sensitivity %d is %.10g, numerically %.10g", f.name, x, i, got, want)
				}
			}
		}
	}
}

// Distortion of the fundamental and of the whole signal. Square: √(π²/8 − 1) and
// √(1 − 8/π²), closed forms of the Fourier series; triangle √(π⁴/96 − 1) likewise;
// clipped sines by their Fourier integrals, computed apart (eight decimals; at
// small ones the ratio has fewer good digits).
func TestOfFundamental(t *testing.T) {
	for _, r := range []struct {
		name string
		r, f float64
		rel  float64
	}{
		{"square wave", 0.435236178254173, 0.483425847608679, 1e-14},
		{"square wave, closed form", math.Sqrt(1 - 8/(math.Pi*math.Pi)), math.Sqrt(math.Pi*math.Pi/8 - 1), 1e-14},
		{"triangle", math.Sqrt(1 - 96/math.Pow(math.Pi, 4)), 0.121152926519304, 1e-12},
		{"clipped at 0.95", 0.01923658, 0.01924014, 5e-7},
		{"clipped at 0.9", 0.04216180, 0.04219933, 5e-7},
		{"clipped at 0.7", 0.13630384, 0.13758794, 1e-7},
		{"clipped at 0.3", 0.31302825, 0.32959230, 5e-8},
		{"clipped at 0.1", 0.39533550, 0.43039702, 5e-8},
		{"clipped at 0.001", 0.43484093, 0.48288442, 5e-8},
		{"none", 0, 0, 0},
		{"1 % is 1.00005 %", 0.01, 0.0100005000375, 1e-11},
	} {
		if got := OfFundamental(quantity.Exact(100*r.r, "%")); !agree(got.X, 100*r.f, r.rel) || got.Unit != "%" {
			t.Errorf("%s: %.14g %s, want %.14g %%", r.name, got.X, got.Unit, 100*r.f)
		}
	}
}
