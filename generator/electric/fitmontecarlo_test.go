package electric

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"wattsheet/generator/quantity"
)

// draws is how many, and tolerance how well a standard deviation is compared: that
// of a million draws is itself known to 0.07 %, and second-order terms add up to
// 0.1 %.
func draws() (n int, tolerance float64) {
	if testing.Short() {
		return 100_000, 0.01
	}
	return 1_000_000, 0.003
}

// A source of a Monte Carlo check: a rectangular error of the given half-width.
type cause struct {
	id   string
	half float64
}

func (c cause) value() quantity.Value {
	return quantity.New(0, "", quantity.Rectangular(c.half), quantity.Source{ID: c.id, DoF: math.Inf(1)})
}

// supplyRuns are invented readings at three supply voltages: volts across one
// element, and supply volts, each with an own error and a gain common to all; the
// runs scatter.
var supplyRuns = []struct{ out, supply float64 }{{16.80, 14.40}, {16.86, 14.41}, {15.78, 13.51}, {15.83, 13.50}, {14.62, 12.60}, {14.59, 12.61}}

var supplyCauses = []cause{{"out gain", 0.008}, {"supply gain", 0.005}, {"load", 0.04}}

// reading with errors: x·(1 + gain) + own.
func withErrors(x float64, gain, own cause) quantity.Value {
	return quantity.Combine(x, "V", quantity.Term{Value: gain.value(), Sensitivity: x}, quantity.Term{Value: own.value(), Sensitivity: 1})
}

// supplyPoints are the readings as this package's points.
func supplyPoints() []ExponentPoint {
	var points []ExponentPoint
	r := supplyCauses[2].value()
	r.X = 4.012
	for i, run := range supplyRuns {
		v := withErrors(run.out, supplyCauses[0], cause{fmt.Sprint("out ", i), 0.03})
		scatter := cause{fmt.Sprint("scatter ", i), 0.014}.value()
		scatter.X = 1
		points = append(points, ExponentPoint{
			InElement(v, r).Mul(scatter, "W"), withErrors(run.supply, supplyCauses[1], cause{fmt.Sprint("supply ", i), 0.02}), 0})
	}
	return points
}

// JCGM 101:2008, clauses 5 to 8: raw readings are drawn, k is fitted anew with the
// weights kept, and one run is carried to another voltage at k = 0, 2.6 and that k.
func TestExponentAgainstMonteCarlo(t *testing.T) {
	points := supplyPoints()
	e, err := FitExponent(points, func(s *quantity.Source) bool { return s.ID == "out gain" || s.ID == "supply gain" || s.ID == "load" })
	if err != nil {
		t.Fatal(err)
	}
	const toV = 13.8
	carried := func(k quantity.Value) quantity.Value {
		return CarriedByOwn([]quantity.Value{points[4].P}, []quantity.Value{points[4].V}, toV, k)
	}
	want := map[string]quantity.Value{"k": e.K, "at k = 0": carried(quantity.Exact(0, "")), "at k = 2.6": carried(quantity.Exact(2.6, "")), "at its own k": carried(e.K)}
	names := []string{"k", "at k = 0", "at k = 2.6", "at its own k"}
	n, tolerance := draws()
	random := rand.New(rand.NewPCG(20080901, 7))
	off := func(half float64) float64 { return half * (2*random.Float64() - 1) }
	x, y, group := make([]float64, len(points)), make([]float64, len(points)), make([]int, len(points))
	moments := make([]moment, len(names))
	for i := 1; i <= n; i++ {
		outGain, supplyGain, r := off(0.008), off(0.005), 4.012+off(0.04)
		for j, run := range supplyRuns {
			v := run.out*(1+outGain) + off(0.03)
			x[j] = math.Log(run.supply*(1+supplyGain) + off(0.02))
			y[j] = math.Log(v * v / r * (1 + off(0.014)))
		}
		k := slope(centred(x, e.Weights, group), centred(y, e.Weights, group), e.Weights)
		at := func(k float64) float64 { return math.Exp(y[4] + k*(math.Log(toV)-x[4])) }
		for m, value := range []float64{k, at(0), at(2.6), at(k)} {
			moments[m].add(value, float64(i))
		}
	}
	for i, name := range names {
		compareWithDraws(t, name, want[name], moments[i], n, tolerance)
	}
}

func (m *moment) add(y, n float64) {
	step := y - m.mean
	m.mean += step / n
	m.squares += step * (y - m.mean)
}

func compareWithDraws(t *testing.T, name string, y quantity.Value, m moment, n int, tolerance float64) {
	t.Helper()
	sd := m.sd(float64(n))
	if !agree(y.Std(), sd, tolerance) {
		t.Errorf("%s: u = %.6g, by Monte Carlo %.6g (%+.3f %%)", name, y.Std(), sd, 100*(sd/y.Std()-1))
	}
	if math.Abs(y.X-m.mean) > 0.03*sd {
		t.Errorf("%s: %.8g, by Monte Carlo %.8g (%+.3f u)", name, y.X, m.mean, (m.mean-y.X)/sd)
	}
	t.Logf("%s: %.6g, u %.6g, by Monte Carlo %.6g and %.6g (%+.3f %%)", name, y.X, y.Std(), m.mean, sd, 100*(sd/y.Std()-1))
}

// The same for the power at a load between the tested ones: readings drawn, E and Rs
// fitted anew with the weights kept. The voltmeter's gain and the loads' calibration
// are common to all points.
func TestLoadLineAgainstMonteCarlo(t *testing.T) {
	loads := []float64{8.03, 4.02, 2.01, 1.02}
	var points []LoadPoint
	gain, bridge := cause{"gain", 0.008}, cause{"bridge", 0.005}
	readings := make([]float64, len(loads))
	for i, r := range loads {
		readings[i] = math.Round(1000*47*r/(r+0.22)*(1+0.002*float64(i%2))) / 1000
		load := quantity.Combine(r, "Ω", quantity.Term{Value: bridge.value(), Sensitivity: r}, quantity.Term{Value: cause{fmt.Sprint("load ", i), 0.006}.value(), Sensitivity: r})
		v := withErrors(readings[i], gain, cause{fmt.Sprint("out ", i), 0.15})
		points = append(points, LoadPoint{InElement(v, load), load})
	}
	l, err := FitLoadLine(points, func(s *quantity.Source) bool { return s.ID == "gain" })
	if err != nil {
		t.Fatal(err)
	}
	const at = 3.2
	n, tolerance := draws()
	random := rand.New(rand.NewPCG(20080901, 8))
	off := func(half float64) float64 { return half * (2*random.Float64() - 1) }
	drawn := make([]LoadPoint, len(points))
	var e, rs, p moment
	for i := 1; i <= n; i++ {
		g, b := off(0.008), off(0.005)
		for j, r := range loads {
			r *= 1 + b + off(0.006)
			v := readings[j]*(1+g) + off(0.15)
			drawn[j] = LoadPoint{quantity.Exact(v*v/r, "W"), quantity.Exact(r, "Ω")}
		}
		x, s := l.E.X, l.Rs.X
		for range 4 {
			dx, ds := gaussNewton(drawn, l.Weights, x, s)
			x, s = x+dx, s+ds
		}
		e.add(x, float64(i))
		rs.add(s, float64(i))
		p.add(x*x*at/((at+s)*(at+s)), float64(i))
	}
	compareWithDraws(t, "E", l.E, e, n, tolerance)
	compareWithDraws(t, "Rs", l.Rs, rs, n, tolerance)
	compareWithDraws(t, "P(3.2 Ω)", l.At(quantity.Exact(at, "Ω")), p, n, tolerance)
}
