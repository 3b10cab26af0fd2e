package electric

import (
	"math"
	"math/rand/v2"
	"testing"

	"wattsheet/generator/quantity"
)

// A reading is what a bench shows: a value and the half-width that it is known to.
type reading struct {
	x, half float64
}

// An evaluation is one figure twice: by this package from values, and by its
// formula from bare numbers.
type evaluation struct {
	name    string
	value   func(in map[string]quantity.Value) quantity.Value
	formula func(d draw) float64
}

// A draw is one possible truth behind the readings.
type draw struct{ v, r0, alpha, rise, lead, vs, is, ripple float64 }

func (d draw) ohms() float64      { return d.r0 * (1 + d.alpha*d.rise) }
func (d draw) terminals() float64 { return d.v * d.v / d.ohms() * (1 + d.lead/d.ohms()) }
func (d draw) supply() float64    { return d.vs * d.is * d.ripple }
func (d draw) carried(k, m float64) float64 {
	return d.terminals() * math.Pow(14.4/d.vs, k) * math.Pow((d.ohms()+d.lead)/2, m)
}

// bench is an invented bench: a hot load of nominally 2 Ω with a lead, specs of
// the usual kind, each a half-width. Rectangular, as JCGM 101:2008, 6.4.2.
var bench = map[string]reading{
	"v": {38.73, 0.33984}, "r0": {1.994, 0.01994}, "alpha": {100e-6, 20e-6}, "rise": {60, 10},
	"lead": {0.021, 0.0021}, "vs": {14.03, 0.09015}, "is": {66.4, 1.828}, "ripple": {1, 0.01},
}

func evaluations() []evaluation {
	load := func(in map[string]quantity.Value) quantity.Value { return LoadAt(in["r0"], in["alpha"], in["rise"]) }
	power := func(in map[string]quantity.Value) quantity.Value {
		return AtTerminals(InElement(in["v"], load(in)), in["lead"], load(in))
	}
	supply := func(in map[string]quantity.Value) quantity.Value {
		return SupplyPower(in["vs"], in["is"], in["ripple"])
	}
	carried := func(k, m float64) func(in map[string]quantity.Value) quantity.Value {
		return func(in map[string]quantity.Value) quantity.Value {
			return Carried(power(in), in["vs"], load(in).Add(in["lead"]), 14.4, 2, k, m)
		}
	}
	return []evaluation{
		{"power at terminals", power, draw.terminals},
		{"volts at terminals", func(in map[string]quantity.Value) quantity.Value { return Volts(power(in), load(in).Add(in["lead"])) },
			func(d draw) float64 { return math.Sqrt(d.terminals() * (d.ohms() + d.lead)) }},
		{"efficiency", func(in map[string]quantity.Value) quantity.Value { return Efficiency(power(in), supply(in)) },
			func(d draw) float64 { return 100 * d.terminals() / d.supply() }},
		{"heat", func(in map[string]quantity.Value) quantity.Value { return Heat(power(in), supply(in)) },
			func(d draw) float64 { return d.supply() - d.terminals() }},
		{"carried, k 2.6, m −1", carried(2.6, -1), func(d draw) float64 { return d.carried(2.6, -1) }},
		{"carried, k 2.6, m +1", carried(2.6, 1), func(d draw) float64 { return d.carried(2.6, 1) }},
		{"carried, k 0, m +1", carried(0, 1), func(d draw) float64 { return d.carried(0, 1) }},
		{"level", func(in map[string]quantity.Value) quantity.Value { return Level(power(in), 750) },
			func(d draw) float64 { return 10 * math.Log10(d.terminals()/750) }},
	}
}

// JCGM 101:2008, clauses 5 to 8: a million draws of the raw readings, each
// rectangular, against first-order propagation. The standard deviation of a
// million draws is itself known to 0.07 %, and second-order terms are up to
// 0.1 % here: 0.3 % for u, which is stricter than clause 8 asks at two
// significant digits. The mean is known to u/1000, and second-order terms move
// it by up to 0.02·u: 0.025·u.
func TestAgainstMonteCarlo(t *testing.T) {
	const draws = 1_000_000
	in := map[string]quantity.Value{}
	for id, r := range bench {
		in[id] = rect(id, r.x, r.half, "")
	}
	all := evaluations()
	moments := sample(all, draws)
	for i, e := range all {
		y := e.value(in)
		mean, sd := moments[i].mean, moments[i].sd(draws)
		if !agree(y.Std(), sd, 0.003) {
			t.Errorf("%s: u = %.6g %s, by Monte Carlo %.6g (%+.3f %%)", e.name, y.Std(), y.Unit, sd, 100*(sd/y.Std()-1))
		}
		if math.Abs(y.X-mean) > 0.025*sd {
			t.Errorf("%s: %.8g %s, by Monte Carlo %.8g (%+.3f u)", e.name, y.X, y.Unit, mean, (mean-y.X)/sd)
		}
	}
}

// A moment is a running mean and sum of squared deviations (Welford's method).
type moment struct{ mean, squares float64 }

func (m moment) sd(n float64) float64 { return math.Sqrt(m.squares / (n - 1)) }

// sample draws the readings and evaluates every formula on each draw.
func sample(all []evaluation, draws int) []moment {
	random := rand.New(rand.NewPCG(20080901, 101))
	one := func(id string) float64 { return bench[id].x + bench[id].half*(2*random.Float64()-1) }
	out := make([]moment, len(all))
	for n := 1; n <= draws; n++ {
		d := draw{one("v"), one("r0"), one("alpha"), one("rise"), one("lead"), one("vs"), one("is"), one("ripple")}
		for i, e := range all {
			y := e.formula(d)
			step := y - out[i].mean
			out[i].mean += step / float64(n)
			out[i].squares += step * (y - out[i].mean)
		}
	}
	return out
}
