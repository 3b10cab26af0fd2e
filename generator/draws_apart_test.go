package generator_test

import (
	"fmt"
	"math"
	"testing"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// Two units by the same meters and into the same element, one of them with two runs:
// each is carried to the mean of the supply voltages. The voltmeter at the output has
// a correction, which is one error in all of its readings, and a drift.
func TestDrawsOfTwoUnits(t *testing.T) {
	s := certifiedScene
	s.meters = map[string]string{"supply_v": "reading_pct = 0.5, digits = 2, resolution = 0.01", "thdn_pct": "reading_pct = 5",
		"out_v": "constant = 0.09, reading_pct = 0.3, drift_pct_year = 0.9, correction_pct = -0.5, correction = 0.04, correction_pm_pct = 0.3, correction_pm = 0.02, correction_k = 2"}
	s.loads = []string{"id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1"}
	outs, supplies := []float64{18.37, 18.21, 17.6}, []float64{14.62, 14.5, 14.06}
	run := func(i int) string {
		return measured(fmt.Sprint("r", i), "out_v = "+digits(outs[i]), "supply_v = "+digits(supplies[i]), "thdn_pct = 1", "at = 2026-10-10T12:00:00Z")
	}
	p := pairOf(s.units(run(0)+run(1), run(2)))
	const volts = (14.56 + 14.06) / 2
	if math.Abs(p.Volts-volts) > 1e-9 {
		t.Fatalf("the common voltage is %v, want %v", p.Volts, volts)
	}
	e := experiment{groups: 3}
	var corners []sheet.PairCorner
	for _, c := range [][4]float64{{0, -1, 0, -1}, {2.6, -1, 0, 1}, {0, 1, 2.6, -1}, {2.6, 1, 2.6, 1}} {
		c := at(p, c[0], c[1], c[2], c[3])
		corners = append(corners, c)
		o := outcome{name: fmt.Sprintf("difference, k %v and %v, m %v and %v", c.KA, c.KB, c.MA, c.MB), x: c.YA - c.YB, u: c.U}
		e.outcomes = append(e.outcomes, o)
	}
	e.of = []string{formula.CarriedPair, formula.Difference}
	e.trial = func(d draw, common uint) []float64 {
		certificate, r := d.normal(1), 4.012+d.rect(0.04012)
		spec, drifted, supply := ofUnits(d, common&1 > 0), ofUnits(d, common&2 > 0), ofUnits(d, common&4 > 0)
		var y, v [3]float64
		for i, x := range outs {
			half, years, _ := halves(x)
			x = 0.995*x + 0.04 + (0.003*x+0.02)/2*certificate + half*spec[i] + years*drifted[i]
			y[i], v[i] = x*x/r*(1+d.normal(0.008)), supplies[i]+halfSupply(supplies[i])*supply[i]
		}
		carried := func(i int, k, m float64) float64 { return y[i] * math.Pow(volts/v[i], k) * math.Pow(r/4, m) }
		var all []float64
		for _, c := range corners {
			all = append(all, (carried(0, c.KA, c.MA)+carried(1, c.KA, c.MA))/2-carried(2, c.KB, c.MB))
		}
		return all
	}
	compare(t, e)
}

// ofUnits is one kind of a meter's error for three readings, of which the first two
// are one unit's: within the mean of a unit it is one error in any case.
func ofUnits(d draw, common bool) [3]float64 {
	two := d.alike(common, 1, 1)
	return [3]float64{two[0], two[0], two[1]}
}
