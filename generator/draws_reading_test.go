package generator_test

import (
	"fmt"
	"testing"
)

// certifiedMeter is one with all that a bench may know of one: a specification, a
// correction with its uncertainty, a drift since its calibration, and an influence of
// the air, which is 5.5 K too warm.
const certifiedMeter = "constant = 0.09, reading_pct = 0.3, drift_pct_year = 0.9, tempco_pct_k = 0.06, from_c = 18, to_c = 28, " +
	"correction_pct = -0.5, correction = 0.04, correction_pm_pct = 0.3, correction_pm = 0.02, correction_k = 2"

var certifiedScene = scene{
	meters: map[string]string{"out_v": certifiedMeter, "supply_v": certifiedMeter, "thdn_pct": "reading_pct = 5"},
	facts:  map[string]string{"out_v": "calibrated = 2026-01-10", "supply_v": "calibrated = 2026-01-10"},
	loads:  twoLoads[:1], methods: "pool = { rel_pct = 0.8, dof = 1000000 }\n",
}

var certifiedDay = []string{"supply_v = 14.4", "at = 2026-10-10T12:00:00Z", "ambient_c = 33.5", "thdn_pct = 1"}

// halves are what a reading's specification, drift since 273 days and influence of
// the air bound it to.
func halves(x float64) (spec, drifted, warm float64) {
	return 0.09 + 0.003*x, 0.009 * x * 273 / 365.25, 0.0006 * x * 5.5
}

// corrected are readings with one error of the certificate's correction, and each
// kind of the others shared or not.
func corrected(d draw, common uint, shown ...float64) []float64 {
	one := d.normal(1)
	var spec, drifted, warm []float64
	for _, x := range shown {
		s, dr, w := halves(x)
		spec, drifted, warm = append(spec, s), append(drifted, dr), append(warm, w)
	}
	a, b, c := d.alike(common&1 > 0, spec...), d.alike(common&2 > 0, drifted...), d.alike(common&4 > 0, warm...)
	out := make([]float64, len(shown))
	for i, x := range shown {
		out[i] = 0.995*x + 0.04 + (0.003*x+0.02)/2*one + a[i] + b[i] + c[i]
	}
	return out
}

// Two channels by one corrected meter: whether the kinds of its errors are shared is
// not known, but for the correction's.
func TestDrawsOfCorrectedReadings(t *testing.T) {
	s := certifiedScene
	s.loads = []string{evenLoad, "id = 'b', nominal_ohm = 4, ohm = 4, ohm_pct = 0"}
	s.text = measuredWith("r", append([]string{"driven = ['L', 'R']", "load = ['a', 'b']", "out_v = [18.37, 17.9]"}, certifiedDay[:3]...)...)
	r := s.sheet().Runs[0]
	e := experiment{groups: 3, outcomes: []outcome{
		outcomeOf("supply volts", r.SupplyV), outcomeOf("power of one channel", r.Channels[0].Power), outcomeOf("power of both", r.Total),
	}}
	e.trial = func(d draw, common uint) []float64 {
		v, scatter := corrected(d, common, 18.37, 17.9), 1+d.normal(0.008)
		one, two := v[0]*v[0]/4*scatter, v[1]*v[1]/4*scatter // the repeats' scatter as one is the larger
		return []float64{corrected(d, 0, 14.4)[0], one, one + two}
	}
	compare(t, e)
}

// The parts by themselves, on one reading: drift, and temperature.
func TestDrawsOfDriftAndTemperature(t *testing.T) {
	for name, r := range map[string]struct {
		spec string
		half float64
	}{
		"drift":       {"constant = 0, drift_pct_year = 0.9", 0.009 * 14.4 * 273 / 365.25},
		"temperature": {"constant = 0, tempco_pct_k = 0.06, from_c = 18, to_c = 28", 0.0006 * 14.4 * 5.5},
	} {
		o := outcomeOf(name, supplied(r.spec, "calibrated = 2026-01-10", "14.4", certifiedDay[1:3]...)())
		compare(t, experiment{outcomes: []outcome{o}, trial: func(d draw, _ uint) []float64 { return []float64{14.4 + d.rect(r.half)} }})
	}
}

// Repeats on other days: the meter is the same, so each kind of its errors is one,
// but the drift grows with the days.
func TestDrawsOfCorrectedRepeats(t *testing.T) {
	s := certifiedScene
	s.loads, s.text = []string{evenLoad}, stated("c", "75")
	days := []struct {
		day  string
		days float64
		out  float64
	}{{"2026-01-20", 10, 18.37}, {"2026-05-01", 111, 18.21}, {"2026-10-10", 273, 18.5}}
	for i, at := range days {
		s.text += measured(fmt.Sprint("r", i), "out_v = "+digits(at.out), "supply_v = 14.4", "thdn_pct = 1", "ambient_c = 33.5", "at = "+at.day+"T12:00:00Z")
	}
	mean := s.sheet().Claims[0].Channels[0].Mean
	compare(t, experiment{outcomes: []outcome{outcomeOf("mean of three days", mean)}, trial: func(d draw, _ uint) []float64 {
		one, spec, drifted, warm, sum := d.normal(1), d.rect(1), d.rect(1), d.rect(1), 0.0
		for _, at := range days {
			v := 0.995*at.out + 0.04 + (0.003*at.out+0.02)/2*one + (0.09+0.003*at.out)*spec + 0.009*at.out*at.days/365.25*drifted + 0.0006*at.out*5.5*warm
			sum += v * v / 4 * (1 + d.normal(0.008))
		}
		return []float64{sum / 3}
	}})
}
