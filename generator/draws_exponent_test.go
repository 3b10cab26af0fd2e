package generator_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"wattsheet/generator/electric"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// Three runs of a unit at other supply voltages, into one element: what its exponent
// is made of. A fourth, into another element, is carried to the claim's 14.4 V by it.
var exponentRuns = []struct{ out, supply float64 }{{25.02, 15.10}, {23.31, 14.02}, {21.24, 12.80}}

const claimRunOut, claimRunSupply = 19.8, 13.52

// exponentScene reads all with one voltmeter at the output and one at the supply.
func exponentScene() *sheet.Sheet {
	s := scene{
		meters:  map[string]string{"out_v": usualVolts, "supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01", "thdn_pct": "reading_pct = 5"},
		methods: "pool = { rel_pct = 0.8, dof = 1000000 }\n",
		loads:   []string{"id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1", "id = 'b', nominal_ohm = 8, ohm = 7.98, ohm_pct = 1"},
		text:    stated("c", "100"),
	}
	for i, r := range exponentRuns {
		s.text += measuredWith(fmt.Sprint("r", i), "driven = ['L']", "load = 'b'", "out_v = "+digits(r.out), "supply_v = "+digits(r.supply), "thdn_pct = 1")
	}
	s.text += measured("s", "out_v = "+digits(claimRunOut), "supply_v = "+digits(claimRunSupply), "thdn_pct = 1")
	return s.sheet()
}

// exponentOf is k by weighted means of logarithms.
func exponentOf(p, v, w []float64) float64 {
	var sum, mx, my float64
	for i := range p {
		sum, mx, my = sum+w[i], mx+w[i]*math.Log(v[i]), my+w[i]*math.Log(p[i])
	}
	var above, below float64
	for i := range p {
		dx := math.Log(v[i]) - mx/sum
		above, below = above+w[i]*dx*(math.Log(p[i])-my/sum), below+w[i]*dx*dx
	}
	return above / below
}

func halfOut(v float64) float64    { return 0.008*v + 0.03 }
func halfSupply(v float64) float64 { return 0.005*v + 0.02 }

func TestDrawsOfASupplyExponent(t *testing.T) {
	got := exponentScene()
	one := got.Claims[0].Estimate.Channels[0]
	var p, v, w, outs, supplies []float64
	for _, r := range exponentRuns {
		p, v, w = append(p, r.out*r.out/7.98), append(v, r.supply), append(w, 0)
		outs, supplies = append(outs, halfOut(r.out)), append(supplies, halfSupply(r.supply))
	}
	outs, supplies = append(outs, halfOut(claimRunOut)), append(supplies, halfSupply(claimRunSupply))
	k := 1.0
	for range 30 { // the weights follow k; the element's error, the same in all, is no part of them
		for i, r := range exponentRuns {
			w[i] = 1 / (math.Pow(2*rect(outs[i])/r.out, 2) + 0.008*0.008 + math.Pow(k*rect(supplies[i])/r.supply, 2))
		}
		k = exponentOf(p, v, w)
	}
	e := experiment{groups: 2, outcomes: []outcome{
		outcomeOf("k", got.Exponent.K), outcomeOf("at 14.4 V, k = 0", one.Low), outcomeOf("at 14.4 V, k = 2.6", one.High), outcomeOf("at 14.4 V, its own k", one.Own),
	}}
	e.trial = func(d draw, common uint) []float64 {
		dv, ds := d.alike(common&1 > 0, outs...), d.alike(common&2 > 0, supplies...)
		b := 7.98 + d.rect(0.0798)
		for i, r := range exponentRuns {
			p[i], v[i] = math.Pow(r.out+dv[i], 2)/b*(1+d.normal(0.008)), r.supply+ds[i]
		}
		k := exponentOf(p, v, w)
		watts := math.Pow(claimRunOut+dv[3], 2) / (4.012 + d.rect(0.04012)) * (1 + d.normal(0.008))
		up := 14.4 / (claimRunSupply + ds[3])
		return []float64{k, watts, watts * math.Pow(up, 2.6), watts * math.Pow(up, k)}
	}
	compare(t, e)
}

// Two runs on both sides of the claim's voltage: they are the mean that is carried,
// and the exponent that it is carried with. Their errors count once.
func TestDrawsOfAPointBetween(t *testing.T) {
	s := scene{
		meters:  map[string]string{"out_v": usualVolts, "supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01", "thdn_pct": "reading_pct = 5"},
		methods: "pool = { rel_pct = 1, dof = 1000000 }\n", loads: []string{"id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1"},
		text: stated("c", "50") + measured("r", "out_v = 16", "supply_v = 13.2", "thdn_pct = 1") + measured("s", "out_v = 18.4", "supply_v = 15.6", "thdn_pct = 1"),
	}
	own := s.sheet().Claims[0].Estimate.Channels[0].Own
	compare(t, experiment{groups: 2, outcomes: []outcome{outcomeOf("at 14.4 V", own)}, trial: func(d draw, common uint) []float64 {
		dv, ds := d.alike(common&1 > 0, halfOut(16), halfOut(18.4)), d.alike(common&2 > 0, halfSupply(13.2), halfSupply(15.6))
		r := 4.012 + d.rect(0.04012)
		low, high := math.Pow(16+dv[0], 2)/r*(1+d.normal(0.01)), math.Pow(18.4+dv[1], 2)/r*(1+d.normal(0.01))
		k := math.Log(high/low) / math.Log((15.6+ds[1])/(13.2+ds[0]))
		return []float64{low * math.Pow(14.4/(13.2+ds[0]), k)} // the same from the other run
	}})
}

// A fit that is right is refused five times in a hundred, whatever it is a fit of:
// points of a known line with errors of the size that they are said to have.
func TestDrawsOfGoodness(t *testing.T) {
	const sets, rel = 20_000, 0.004
	d := draw{rand.New(rand.NewPCG(1900, 7))}
	refused, low := 0, 0
	for range sets {
		var points []electric.LoadPoint
		for i, r := range lineLoads {
			p := 47 * 47 * r / ((r + 0.22) * (r + 0.22)) * (1 + d.normal(rel))
			points = append(points, electric.LoadPoint{P: quantity.New(p, "W", rel*p, free(fmt.Sprint("p", i))), R: quantity.Exact(r, "Ω")})
		}
		l := fitted(points)
		if !l.Fits() {
			refused++
		}
		if l.Chance() < 0.5 {
			low++
		}
	}
	for _, r := range []struct {
		n    int
		want float64
	}{{refused, 0.05}, {low, 0.5}} {
		if share := float64(r.n) / sets; math.Abs(share-r.want) > 4*math.Sqrt(r.want*(1-r.want)/sets) {
			t.Errorf("p is below %v in %.4f of right fits", r.want, share)
		}
	}
}
