package generator_test

import (
	"fmt"
	"math"
	"testing"

	"wattsheet/generator/sheet"
)

// A point of the line's experiment: an element's resistance, and the volts read
// across it.
var linePoints = []struct{ ohms, volts float64 }{{7.98, 39.24}, {4.012, 38.44}, {2.006, 36.90}, {1.003, 34.55}}

const lineVolts, lineOhms, linePool = 0.008, 0.005, 0.01 // halves of reading and resistance, and the pool

// lineScene is four runs into elements of one calibration, read by one voltmeter.
func lineScene() *sheet.LoadLine {
	s := scene{
		meters:  map[string]string{"out_v": usualVolts, "supply_v": "reading_pct = 0.1", "thdn_pct": "reading_pct = 5"},
		methods: "pool = { rel_pct = 1, dof = 1000000 }\n",
	}
	for i, p := range linePoints {
		id := string(rune('a' + i))
		s.loads = append(s.loads, fmt.Sprintf("id = '%s', nominal_ohm = %d, ohm = %v, ohm_pct = 0.5, calibration = 'one'", id, int(p.ohms+0.5), p.ohms))
		s.text += measuredWith(id, "driven = ['L']", "load = '"+id+"'", fmt.Sprint("out_v = ", p.volts), "supply_v = 14.4", "thdn_pct = 1")
	}
	return s.sheet().Lines[0]
}

// least is the weighted least-squares fit of P = A·R/(R + s)², A = E², by the one
// condition that is left when A is the best for each s:
//
//	Σ w·(P − A·g)·g′ = 0, g = R/(R + s)², g′ = −2R/(R + s)³, A = Σ w·P·g/Σ w·g²
//
// found by secants.
func least(p, r, w []float64, s float64) (e, rs float64) {
	condition := func(s float64) (sum, a float64) {
		var above, below float64
		for i := range p {
			g := r[i] / ((r[i] + s) * (r[i] + s))
			above, below = above+w[i]*p[i]*g, below+w[i]*g*g
		}
		a = above / below
		for i := range p {
			q := 1 / (r[i] + s)
			sum += w[i] * (p[i] - a*r[i]*q*q) * -2 * r[i] * q * q * q
		}
		return sum, a
	}
	before, f0 := s+1e-4, 0.0
	f0, _ = condition(before)
	for range 30 {
		f, a := condition(s)
		if math.Abs(s-before) < 1e-12 || f == f0 {
			return math.Sqrt(a), s
		}
		before, s, f0 = s, s-f*(s-before)/(f-f0), f
	}
	_, a := condition(s)
	return math.Sqrt(a), s
}

// weights are 1/u² of P − P(R), with R's error in both, at a line.
func weightsAt(e, rs float64) []float64 {
	var w []float64
	for _, at := range linePoints {
		p := at.volts * at.volts / at.ohms
		byVolts := 2 * p / at.volts * rect(lineVolts*at.volts+0.03)
		byOhms := (-p/at.ohms - e*e*(rs-at.ohms)/math.Pow(at.ohms+rs, 3)) * rect(lineOhms*at.ohms)
		w = append(w, 1/(byVolts*byVolts+byOhms*byOhms+p*linePool*p*linePool))
	}
	return w
}

func TestDrawsOfALoadLine(t *testing.T) {
	l := lineScene()
	var p, r []float64
	for _, at := range linePoints {
		p, r = append(p, at.volts*at.volts/at.ohms), append(r, at.ohms)
	}
	e, rs := 40.0, 0.1
	for range 20 { // the weights follow the line, until both rest
		e, rs = least(p, r, weightsAt(e, rs), rs)
	}
	if math.Abs(e-l.E.X) > 1e-6 || math.Abs(rs-l.Rs.X) > 1e-7 {
		t.Fatalf("E %v, Rs %v; the sheet has %v, %v", e, rs, l.E.X, l.Rs.X)
	}
	w := weightsAt(e, rs)
	middle := l.Curve[10]
	out := []outcome{outcomeOf("E", l.E), outcomeOf("Rs", l.Rs), outcomeOf(fmt.Sprintf("P at %.3f Ω", middle.Load), middle.Power)}
	for _, p := range l.Points {
		out = append(out, outcomeOf(fmt.Sprintf("residual at %.3f Ω", p.Load), p.Residual))
	}
	drawnP, drawnR := make([]float64, len(p)), make([]float64, len(p))
	var volts, ohms []float64
	for _, at := range linePoints {
		volts, ohms = append(volts, lineVolts*at.volts+0.03), append(ohms, lineOhms*at.ohms)
	}
	compare(t, experiment{groups: 2, outcomes: out, trial: func(d draw, common uint) []float64 {
		dv, dr := d.alike(common&1 > 0, volts...), d.alike(common&2 > 0, ohms...)
		for i, at := range linePoints {
			v := at.volts + dv[i]
			drawnR[i] = at.ohms + dr[i]
			drawnP[i] = v * v / drawnR[i] * (1 + d.normal(linePool))
		}
		e, s := least(drawnP, drawnR, w, rs)
		all := []float64{e, s, e * e * middle.Load / ((middle.Load + s) * (middle.Load + s))}
		for i, r := range drawnR {
			all = append(all, drawnP[i]-e*e*r/((r+s)*(r+s)))
		}
		return all
	}})
}
