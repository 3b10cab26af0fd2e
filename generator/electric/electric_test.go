package electric

import (
	"math"
	"testing"

	"wattsheet/generator/quantity"
)

// agree reports whether got is want within the relative tolerance.
func agree(got, want, relative float64) bool { return math.Abs(got-want) <= relative*math.Abs(want) }

// rect returns x known to ± half, rectangular (JCGM 100:2008, 4.3.7).
func rect(id string, x, half float64, unit string) quantity.Value {
	return quantity.New(x, unit, quantity.Rectangular(half), quantity.Source{ID: id, DoF: math.Inf(1)})
}

// spec returns x read on an instrument with "percent of reading + digits", which
// is a half-width (common practice of instrument makers).
func spec(id string, x, percent, digits, resolution float64, unit string) quantity.Value {
	return rect(id, x, percent/100*x+digits*resolution, unit)
}

// A row is a result and what each named input contributes to it.
type row struct {
	name         string
	got          quantity.Value
	x, u         float64
	contribution map[string]float64
}

// check compares rows with figures computed apart. Tolerance: value 1e-12, as
// closed forms; u and contributions 1e-7, as a general library's numerical
// derivatives are.
func check(t *testing.T, rows []row) {
	t.Helper()
	for _, r := range rows {
		if !agree(r.got.X, r.x, 1e-12) || !agree(r.got.Std(), r.u, 1e-7) {
			t.Errorf("%s = %.14g %s, u %.11g; want %.14g, %.11g", r.name, r.got.X, r.got.Unit, r.got.Std(), r.x, r.u)
		}
		for _, p := range r.got.Parts {
			if want, listed := r.contribution[p.Source.ID]; !listed || !agree(p.C, want, 1e-7) {
				t.Errorf("%s: %s contributes %.11g, want %.11g", r.name, p.Source.ID, p.C, want)
			}
		}
	}
}

// The composite examples are invented. Models: JCGM 100:2008, 4.1.1 (power of a
// resistor), Joule's law and conservation of energy. Figures computed apart with
// a general library for first-order propagation (the Python package
// uncertainties), and there checked by Monte Carlo (JCGM 101) to 0.1 %.
func TestPowerOfAHotResistor(t *testing.T) {
	v := spec("V", 44.72, 0.8, 3, 0.01, "V")
	load := LoadAt(rect("R0", 4.012, 0.04012, "Ω"), rect("alpha", 100e-6, 20e-6, "1/K"), rect("T", 40, 10, "K"))
	p := InElement(v, load)
	check(t, []row{{"P = V²/(R0·(1 + α·(t − 25)))", p, 496.48822456932, 5.7498458132589,
		map[string]float64{"V": 4.9709515785, "R0": -2.86647610108, "alpha": -0.22840447013, "T": -0.285505587341}}})
	if value, _ := quantity.Pair(p.X, 2*p.Std()); value != "496" || p.Unit != "W" {
		t.Errorf("P = %s %s for people, want 496 W at U = 11.5 W", value, p.Unit)
	}
}

func TestPowerOfRepeats(t *testing.T) {
	runs := []float64{30.94, 31.82, 31.25, 32.06, 31.58}
	mean, squares := 0.0, 0.0
	for _, v := range runs {
		mean += v / 5
	}
	for _, v := range runs {
		squares += (v - mean) * (v - mean)
	}
	v := quantity.New(mean, "V", math.Sqrt(squares/4/5), quantity.Source{ID: "repeats", DoF: 4}).
		Add(rect("meter", 0, 0.008*mean+0.03, "V"))
	p := InElement(v, rect("R", 2.006, 0.02006, "Ω"))
	check(t, []row{{"P = (V̄ + dV)²/R", p, 495.58369890329, 8.5824419827763,
		map[string]float64{"repeats": 6.26351744157, "meter": 5.12248828462, "R": -2.86125381972}}})
	b := p.Budget()
	if !agree(b.DoF, 14.1003642575, 1e-9) {
		t.Errorf("ν = %.12g, want 14.1003642575", b.DoF)
	}
	// U at ν = 14.1 is 18.3952229097; the remaining 0.0004 moves k by 3e-6.
	if U := quantity.Coverage(quantity.Level, b.DoF) * b.U; !agree(U, 18.3952229097, 5e-6) {
		t.Errorf("U = %.12g W, want 18.3952", U)
	}
}

func TestEfficiencyAndHeat(t *testing.T) {
	out := InElement(spec("V", 38.73, 0.8, 3, 0.01, "V"), rect("R", 2.006, 0.02006, "Ω"))
	supply := SupplyPower(spec("Vs", 14.33, 0.5, 2, 0.01, "V"), spec("Is", 66.4, 2, 5, 0.1, "A"), quantity.Exact(1, ""))
	eta, heat := Efficiency(out, supply), Heat(out, supply)
	check(t, []row{
		{"η", eta, 78.586834482218, 1.5761745917527,
			map[string]float64{"V": 0.796243980058, "R": -0.453721300438, "Vs": -0.290185325778, "Is": -1.2491002066}},
		{"heat", heat, 203.74883948156, 17.807705922423, heatParts},
	})
	// What both share counts once: r(η, heat) = −0.99409044, by
	// u²(a ± b) = u²(a) + u²(b) ± 2·r·u(a)·u(b), with equal scales.
	a, b := eta.Scale(1/eta.Std()), heat.Scale(1/heat.Std())
	plus, minus := a.Add(b).Std(), a.Sub(b).Std()
	if r := (plus*plus - minus*minus) / 4; !agree(r, -0.99409044, 1e-7) {
		t.Errorf("r(η, heat) = %.9f, want −0.99409044", r)
	}
	if eta.Unit != "%" || heat.Unit != "W" || supply.Unit != "W" {
		t.Errorf("units %q, %q, %q; want %%, W, W", eta.Unit, heat.Unit, supply.Unit)
	}
}

// heatParts is what each input brings to the heat, by hand: −2·V/R, V²/R², Is and
// Vs times the input's uncertainty.
var heatParts = map[string]float64{
	"V": -2 * 38.73 / 2.006 * 0.196206715481, "R": 38.73 * 38.73 / (2.006 * 2.006) * 0.0115816463999,
	"Vs": 66.4 * 0.0529141521712, "Is": 14.33 * 1.05539629208,
}

func TestCarriedToAnotherSupply(t *testing.T) {
	load := rect("R", 4.012, 0.04012, "Ω")
	p := InElement(spec("V", 36.90, 0.8, 3, 0.01, "V"), load)
	vs := spec("Vs", 13.62, 0.5, 2, 0.01, "V")
	check(t, []row{
		{"P·(14.4/Vs)²", Carried(p, vs, load, 14.4, 4.012, 2, 0), 379.36964398388, 5.2659947256666,
			map[string]float64{"V": 3.86061164272, "R": -2.19029166082, "Vs": -2.83354912352}},
		{"k = m = 0: P as measured, 36.9²/4.012", Carried(p, vs, load, 14.4, 4, 0, 0), 36.9 * 36.9 / 4.012, p.Std(),
			map[string]float64{"V": p.Parts[1].C, "R": p.Parts[0].C, "Vs": 0}},
	})
	// P·(R/Rnom) = V²/Rnom: with m = +1 the load's error is gone (Ohm's law).
	constant := Carried(p, vs, load, 14.4, 4, 0, 1)
	if !agree(constant.X, 36.9*36.9/4, 1e-14) || !agree(constant.Std(), 2*36.9/4*quantity.Rectangular(0.008*36.9+0.03), 1e-13) {
		t.Errorf("at constant voltage %v W, u %v: want V²/4 Ω with the voltmeter's error alone", constant.X, constant.Std())
	}
	// P·(Rnom/R) = V²·Rnom/R²: with m = −1 it counts twice.
	if limited := Carried(p, vs, load, 14.4, 4, 0, -1); !agree(limited.Parts[0].C, -2*limited.X/4.012*quantity.Rectangular(0.04012), 1e-13) {
		t.Errorf("at limited current R contributes %v W", limited.Parts[0].C)
	}
}

// Dynamic headroom of two voltages at one load, 20·lg(50.10/44.72); the load
// cancels, and so does what the two readings share. u computed apart as above.
func TestLevelOfTwoVoltages(t *testing.T) {
	load := rect("R", 4.012, 0.04012, "Ω")
	ratio := func(a, b quantity.Value) quantity.Value {
		return Level(InElement(a, load).Div(InElement(b, load), ""), 1)
	}
	gain := func(x float64, digits string) quantity.Value {
		return rect("gain", x, 0.008*x, "V").Add(rect(digits, 0, 0.03, "V"))
	}
	for _, r := range []struct {
		name string
		got  quantity.Value
		u    float64
	}{
		{"independent readings", ratio(spec("a", 50.10, 0.8, 3, 0.01, "V"), spec("b", 44.72, 0.8, 3, 0.01, "V")), 0.061238680530},
		{"gain shared, digits independent", ratio(gain(50.10, "a"), gain(44.72, "b")), 0.00450939533623},
	} {
		if !agree(r.got.X, 0.9867186197776, 1e-12) || !agree(r.got.Std(), r.u, 1e-7) || r.got.Unit != "dB" {
			t.Errorf("%s: %.13g %s, u %.11g; want 0.9867186197776 dB, %.11g", r.name, r.got.X, r.got.Unit, r.got.Std(), r.u)
		}
	}
}

// Decibels of power, 10·lg (ISO 80000-1, annex; from memory), and volts of 1 W.
func TestLevelAndVolts(t *testing.T) {
	w := func(x float64) quantity.Value { return quantity.Exact(x, "W") }
	for _, r := range []struct {
		name      string
		got, want float64
	}{
		{"500 W against 1 W", Level(w(500), 1).X, 26.9897000434},
		{"487.3 W against 500 W", Level(w(487.3), 500).X, -0.1117359295},
		{"half the power", Level(w(250), 500).X, -3.01029995664},
		{"1 W into 4 Ω", Volts(w(1), quantity.Exact(4, "Ω")).X, 2},
		{"1 W into 8 Ω", Volts(w(1), quantity.Exact(8, "Ω")).X, 2.8284271247},
	} {
		if !agree(r.got, r.want, 1e-9) {
			t.Errorf("%s: %.12g, want %.12g", r.name, r.got, r.want)
		}
	}
	if v := Volts(w(0), quantity.Exact(4, "Ω")); v.X != 0 || v.Unit != "V" || v.Std() != 0 {
		t.Errorf("volts of no power: %v", v)
	}
}

// The lead carries the element's current I, so the terminals give I²·(R + Rlead)
// at I·(R + Rlead) volts (Ohm's law, resistors in series).
func TestTerminals(t *testing.T) {
	for _, r := range []struct{ current, load, lead float64 }{{10, 4, 0}, {11.1, 4.012, 0.021}, {30, 1.003, 0.05}, {0.5, 8, 0.0041}} {
		load, lead := rect("R", r.load, 0.01*r.load, "Ω"), rect("lead", r.lead, 0.1*r.lead, "Ω")
		v := spec("V", r.current*r.load, 0.8, 3, 0.01, "V")
		p := AtTerminals(InElement(v, load), lead, load)
		volts := Volts(p, load.Add(lead))
		if want := r.current * r.current * (r.load + r.lead); !agree(p.X, want, 1e-14) {
			t.Errorf("%v: %.15g W at the terminals, want %.15g", r, p.X, want)
		}
		if want := r.current * (r.load + r.lead); !agree(volts.X, want, 1e-14) {
			t.Errorf("%v: %.15g V at the terminals, want %.15g", r, volts.X, want)
		}
		// Vt = V·(1 + Rlead/R): its uncertainty by hand from that form.
		ratio := r.lead / r.load
		want := math.Hypot((1+ratio)*v.Std(), v.X*ratio*math.Hypot(quantity.Rectangular(0.1), quantity.Rectangular(0.01)))
		if !agree(volts.Std(), want, 1e-12) {
			t.Errorf("%v: u(Vt) = %.12g, want %.12g", r, volts.Std(), want)
		}
	}
}

// Back and forth: the volts of V²/R are V, and the load's error is gone again.
func TestVoltsUndoPower(t *testing.T) {
	v, load := spec("V", 44.72, 0.8, 3, 0.01, "V"), rect("R", 4.012, 0.04012, "Ω")
	if back := Volts(InElement(v, load), load); !agree(back.X, 44.72, 1e-15) || !agree(back.Std(), v.Std(), 1e-12) {
		t.Errorf("√(V²/R·R) = %v V, u %v; want 44.72, %v", back.X, back.Std(), v.Std())
	}
}

// Heat and output make up the supply power, errors and all (conservation of
// energy), and efficiency is output over it.
func TestEnergyIsConserved(t *testing.T) {
	out := InElement(spec("V", 38.73, 0.8, 3, 0.01, "V"), rect("R", 2.006, 0.02006, "Ω"))
	supply := SupplyPower(spec("Vs", 14.33, 0.5, 2, 0.01, "V"), spec("Is", 66.4, 2, 5, 0.1, "A"), rect("ripple", 1, 0.005, ""))
	if rest := Heat(out, supply).Add(out).Sub(supply); math.Abs(rest.X) > 1e-12 || rest.Std() > 1e-12 {
		t.Errorf("heat + output − supply = %v W, u %v", rest.X, rest.Std())
	}
	if back := Efficiency(out, supply).Mul(supply, "W").Scale(0.01).Sub(out); math.Abs(back.X) > 1e-12 || back.Std() > 1e-12 {
		t.Errorf("η·Ps − ΣP = %v W, u %v", back.X, back.Std())
	}
}
