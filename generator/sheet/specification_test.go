package sheet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// benchWith is the tests' bench with other keys for the range of one instrument
// and other facts of the instrument itself.
func benchWith(t testing.TB, id, facts, keys string) string {
	t.Helper()
	head, tail, ok := strings.Cut(testBench, "id = \""+id+"\"\n")
	_, rest, ranged := strings.Cut(tail, "[[instrument.range]]\n")
	if !ok || !ranged {
		t.Fatal("no instrument", id)
	}
	next := strings.Index(rest, "[[")
	return head + "id = \"" + id + "\"\nname = \"" + id + "\"\n" + facts + "\n[[instrument.range]]\n" + keys + "\n" + rest[next:]
}

// read evaluates one reading of the first run.
func read(s *Sheet, run int, name string) measured {
	d := s.Deriver().d
	rec := s.Runs[run].Rec
	return d.e.reading(rec, name, rec.Readings(name)[0], "")
}

// Standard uncertainties of specifications against published examples, all from
// memory and reproduced by recomputing. Each is one reading of a watt-meter, whose
// numbers stand for whatever the example measures. The tolerance is half a unit of
// the last digit printed.
func TestSpecificationAgainstExamples(t *testing.T) {
	for _, r := range []struct {
		source, keys, reading string
		want, half            float64
	}{
		{"JCGM 100:2008, 4.3.4: 129 µΩ at 99 %, k = 2.58: 50 µΩ", "to = 20\nconstant = 0.000129\nshape = \"normal\"\nk = 2.58", "10.000742", 50e-6, 0.5e-6},
		{"JCGM 100:2008, 4.3.7, example 2: 14e-6 of the reading and 2e-6 of the range: 8.7 µV", "to = 1\nreading_pct = 0.0014\nrange_pct = 0.0002", "0.928571", 8.7e-6, 0.05e-6},
		{"JCGM 100:2008, 4.4.5: 96 °C to 104 °C, rectangular: 2.3", "to = 200\nconstant = 4", "100", 2.3, 0.05},
		{"JCGM 100:2008, 4.3.9 and 4.4.5: the same, triangular: 1.6", "to = 200\nconstant = 4\nshape = \"triangular\"", "100", 1.6, 0.05},
		{"JCGM 100:2008, H.1.3.4: 0.5 °C, U-shaped: 0.35", "to = 200\nconstant = 0.5\nshape = \"u-shaped\"", "100", 0.35, 0.005},
		{"EA-4/02, S3: certificate 5 mΩ at k = 2: 2.5 mΩ", "to = 20000\nconstant = 0.005\nshape = \"normal\"\nk = 2", "10000.178", 2.5e-3, 0.05e-3},
		{"EA-4/02, S3: ratio ±1e-6, triangular: 4.1 mΩ", "to = 20000\nreading_pct = 0.0001\nshape = \"triangular\"", "10000.178", 4.1e-3, 0.05e-3},
		{"a multimeter's ±(0.5 % + 3 digits) at 2 V: a half-width of 0.013 V", "to = 6\nreading_pct = 0.5\ndigits = 3\nresolution = 0.001", "2.000", 0.0075055535, 1e-9},
	} {
		bench := benchWith(t, "wm", "", "reads = \"power_w\"\n"+r.keys)
		s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", "out_v =", "power_w = "+r.reading))
		got := read(s, 0, "power_w")
		if math.Abs(got.Std()-r.want) > r.half {
			t.Errorf("%s: u = %.6g", r.source, got.Std())
		}
	}
}

// EA-4/02, example S3 (from memory): the standard may have drifted by ±10 mΩ since
// its calibration (5.8 mΩ) and is ±0.055 K off at 5e-6/K (1.6 mΩ), certificate
// 5 mΩ at k = 2. Each is a component of its own. 1461 days are four years.
func TestDriftAndTemperatureAgainstExample(t *testing.T) {
	bench := benchWith(t, "wm", "calibrated = 2023-01-01\n", `reads = "power_w"
to = 20000
constant = 0.005
shape = "normal"
k = 2
drift_pct_year = 0.000025
tempco_pct_k = 0.0005
from_c = 23
to_c = 23`)
	s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", "out_v =", "power_w = 10000", "ambient_c = 23.055", "at = 2027-01-01T08:00:00+02:00"))
	got := read(s, 0, "power_w")
	want := map[string]float64{"wm/power_w@two/a": 2.5e-3, "wm/power_w drift@two/a": 5.7735e-3, "wm/power_w temperature@two/a": 1.5877e-3}
	if len(got.Parts) != len(want) || got.lacks != nil {
		t.Fatalf("%d components, lacks %v", len(got.Parts), got.lacks)
	}
	for _, p := range got.Parts {
		if math.Abs(p.C-want[p.Source.ID]) > 1e-7 {
			t.Errorf("%s contributes %.6g, want %.6g", p.Source.ID, p.C, want[p.Source.ID])
		}
	}
	if u := math.Sqrt(2.5*2.5+5.7735*5.7735+1.5877*1.5877) * 1e-3; math.Abs(got.Std()-u) > 1e-7 {
		t.Errorf("u = %.6g, want %.6g: the components are independent", got.Std(), u)
	}
}

// Air at the end of the reference range adds nothing, at the next number beyond it
// does.
func TestInfluenceStartsBeyondTheRange(t *testing.T) {
	i := &record.Instrument{ID: "x"}
	r := &record.Range{TempcoPctK: wrote(1), FromC: wrote(18), ToC: wrote(28)}
	for _, c := range []struct {
		air  float64
		want bool
	}{{18, false}, {math.Nextafter(18, 0), true}, {28, false}, {math.Nextafter(28, 99), true}, {23, false}} {
		got := influenceOf(&record.Run{AmbientC: wrote(c.air)}, i, r, 10)
		if (got.half > 0) != c.want || got.lacks != "" {
			t.Errorf("at %v °C: ±%v, %q", c.air, got.half, got.lacks)
		}
	}
	if got := influenceOf(&record.Run{AmbientC: wrote(8)}, i, r, -10).half; got != 1 {
		t.Errorf("10 K outside at 1 %%/K of 10: ±%v, want 1", got)
	}
}

// wrote is a number that counts as written.
func wrote(x float64) record.Number {
	bench, _ := record.DecodeBench(&record.File{Name: "b", Text: []byte("[[load]]\nohm = " + fmt.Sprint(x))})
	n := bench.Loads[0].Ohm
	n.Value = x
	return n
}

// The drift runs from the calibration to the run's day, or until it is due; the
// time zone's day counts, and a run before the calibration is as far off.
func TestDriftDays(t *testing.T) {
	i := &record.Instrument{ID: "x", Calibrated: record.Date{Text: "2026-02-27"}, Due: record.Date{Text: "2027-02-27"}}
	r := &record.Range{DriftPctYear: wrote(1)}
	for at, days := range map[string]float64{
		"2026-03-01T00:30:00+02:00": 2, "2026-02-27T10:00:00Z": 0, "2028-03-01T10:00:00Z": 733, "2026-02-17T10:00:00Z": 10, "": 365,
	} {
		got := driftOf(&record.Run{At: record.Moment{Text: at}}, i, r, 100)
		if got.days != days || math.Abs(got.half-days/365.25) > 1e-12 {
			t.Errorf("at %q: %v days, ±%v", at, got.days, got.half)
		}
	}
}

// A correction moves the figure, and its uncertainty is one error in all readings
// on the range: it is whole in a mean of two channels or runs, and a constant one
// falls out of a difference.
func TestCorrectionIsOneError(t *testing.T) {
	bench := benchWith(t, "dmm2", "", "reads = \"supply_v\"\nto = 60\ndigits = 0\nresolution = 0.01\ncorrection = -0.20\ncorrection_pm = 0.06\ncorrection_k = 3")
	s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", "supply_v = 14.40")+run("b", "supply_v = 12.60"))
	a, b := read(s, 0, "supply_v"), read(s, 1, "supply_v")
	if math.Abs(a.X-14.20) > 1e-12 || math.Abs(a.Std()-0.02) > 1e-15 {
		t.Errorf("%v ± %v, want 14.20 with u 0.02", a.X, a.Std())
	}
	if u := meanOf([]measured{a, b}).Std(); math.Abs(u-0.02) > 1e-15 {
		t.Errorf("of a mean u = %v, want 0.02", u)
	}
	if d := a.Sub(b.Value); len(d.Parts) != 0 || math.Abs(d.X-1.8) > 1e-12 {
		t.Errorf("the difference is %v with %d components", d.X, len(d.Parts))
	}
	if v := s.Runs[0].SupplyV; v.Formula != "reading-corrected" || v.ValueText != "14.200" || v.UText != "0.039" {
		t.Errorf("published as %s by %s", v.Text, v.Formula)
	}
}

// Within a mean of repeats each kind of an instrument's error is one error; kinds
// are independent of each other.
func TestKindsOfErrorInAMean(t *testing.T) {
	keys := "reads = \"supply_v\"\nto = 60\nconstant = 0.03\ndrift_pct_year = 1\ntempco_pct_k = 0.1\nfrom_c = 20\nto_c = 25"
	bench := benchWith(t, "dmm2", "calibrated = 2026-01-01\ndue = 2027-01-01", keys)
	more := []string{"supply_v = 14", "ambient_c = 15", "at = 2026-07-01T12:00:00Z"}
	s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", more...)+run("b", more...)+run("c", more...))
	one := read(s, 0, "supply_v")
	mean := meanOf([]measured{one, read(s, 1, "supply_v"), read(s, 2, "supply_v")})
	by := []float64{0.03, 14 * 0.01 * 181 / 365.25, 14 * 0.001 * 5}
	want := math.Sqrt((by[0]*by[0] + by[1]*by[1] + by[2]*by[2]) / 3)
	for name, got := range map[string]float64{"one": one.Std(), "mean": mean.Std()} {
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: u = %v, want %v", name, got, want)
		}
	}
}

// The degrees of freedom of a certificate belong to all that it brings, also where
// its gain is common; with a rectangular part of the same u they are fourfold
// (Welch–Satterthwaite, JCGM 100:2008, G.4.1).
func TestFreedomOfACertificate(t *testing.T) {
	for keys, dof := range map[string]float64{
		"reading_pct = 1": 10, "reading_pct = 1\nconstant = 0.1\ngain_common = true": 10,
		"constant = 0.2\ncorrection = 0\ncorrection_pm = 0.2": 40,
	} {
		bench := benchWith(t, "dmm2", "", "reads = \"supply_v\"\nto = 60\nshape = \"normal\"\nk = 2\ndof = 10\n"+keys)
		s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", "supply_v = 14"))
		if got := s.Runs[0].SupplyV.DoF; math.Abs(got-dof) > 1e-9 {
			t.Errorf("%s: ν = %v, want %v", keys, got, dof)
		}
	}
}

// everything is a range with all that a range may have, its errors of one shape.
func everything(shape string) string {
	keys := `reads = "out_v"
to = 60
reading_pct = 0.8
range_pct = 0.1
digits = 3
resolution = 0.01
constant = 0.05
drift_pct_year = 0.9
tempco_pct_k = 0.06
from_c = 18
to_c = 28
correction_pct = -0.5
correction = 0.04
correction_pm_pct = 0.3
correction_pm = 0.02
correction_k = 2
shape = "` + shape + `"`
	if shape == "normal" {
		keys += "\nk = 2.5"
	}
	return keys
}

// drawn draws an error of a shape within ±1, or of the standard deviation 1/k.
func drawn(rnd *rand.Rand, shape string) float64 {
	u := 2*rnd.Float64() - 1
	switch shape {
	case "triangular":
		return (u + 2*rnd.Float64() - 1) / 2
	case "u-shaped":
		return math.Sin(math.Pi * rnd.Float64() * 2)
	case "normal":
		return rnd.NormFloat64() / 2.5
	}
	return u
}

// Power of a run with all components of its reading at once against Monte Carlo
// (JCGM 101:2008, 7): a million draws of the raw numbers, each error from its own
// law, with a load whose certificate states k = 2. The standard deviation of the
// draws is good to 0.1 %, and u leaves out what isn't linear, u(P)/P squared.
func TestReadingAgainstMonteCarlo(t *testing.T) {
	const draws, v, r0 = 1_000_000, 18.37, 4.012
	for n, shape := range []string{"rectangular", "triangular", "u-shaped", "normal"} {
		bench := benchWith(t, "dmm", "calibrated = 2026-01-10", everything(shape))
		bench = strings.Replace(bench, "id = \"a4\"\nnominal_ohm = 4\nohm = 4\nohm_pct = 0.5", "id = \"a4\"\nnominal_ohm = 4\nohm = 4.012\nohm_pct = 0.6\nohm_k = 2", 1)
		s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", "out_v = 18.37", "ambient_c = 33.5", "at = 2026-10-10T12:00:00Z"))
		p := s.Runs[0].Channels[0].Power
		rnd := rand.New(rand.NewPCG(uint64(n), 20261010))
		half := 0.008*v + 0.001*60 + 3*0.01 + 0.05
		rect := func() float64 { return 2*rnd.Float64() - 1 }
		all := make([]float64, draws)
		sum, squares := 0.0, 0.0
		for i := range all {
			volts := v - 0.005*v + 0.04 + half*drawn(rnd, shape) + (0.003*v+0.02)/2*rnd.NormFloat64() +
				0.009*v*273/365.25*rect() + 0.0006*v*5.5*rect()
			ohms := r0 * (1 + 0.006/2*rnd.NormFloat64())
			all[i] = volts * volts / ohms * (1 + 0.01*rnd.NormFloat64())
			sum += all[i] - p.X
			squares += (all[i] - p.X) * (all[i] - p.X)
		}
		mean := sum / draws
		sd := math.Sqrt(squares/draws - mean*mean)
		if math.Abs(sd/p.Std-1) > 0.003 {
			t.Errorf("%s: u = %v, the draws scatter by %v", shape, p.Std, sd)
		}
		if math.Abs(mean) > 0.03*p.Std {
			t.Errorf("%s: P = %v, the draws' mean is off by %v", shape, p.X, mean)
		}
		slices.Sort(all)
		// u times 1.96 never claims less than the draws' own interval: errors with
		// ends lie closer than a normal law's
		if got := (all[draws*975/1000] - all[draws*25/1000]) / 2 / (quantity.Quantile(0.975, math.Inf(1)) * p.Std); got > 1.005 || got < 0.9 {
			t.Errorf("%s: the draws' 95 %% interval is %v times 1.96 u", shape, got)
		}
	}
}

// An explanation shows each number, so that a pocket calculator gives the next: by
// hand for a reading of 18.37 V in shape normal.
func TestReadingIsExplained(t *testing.T) {
	bench := benchWith(t, "dmm", "calibrated = 2026-01-10", everything("normal")+"\ndof = 12")
	s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", "out_v = 18.37", "ambient_c = 33.5", "at = 2026-10-10T12:00:00Z")+
		run("b", "out_v = 18.37", "ambient_c = 20"))
	text := func(r *Run) string {
		var words []string
		for _, p := range s.DeriveRun(r) {
			for _, l := range p.Lines() {
				words = append(words, strings.Fields(l)...)
			}
		}
		return strings.Join(words, " ")
	}
	for _, want := range []string{
		"±(0.8 % of reading + 0.1 % of 60 + 3 × 0.01 + 0.05), expanded with k = 2.5, ν = 12",
		"u = (0.8 %·18.37 + 0.1 %·60 + 3·0.01 + 0.05)/2.5 = 0.28696/2.5 = 0.114784 V [specification]",
		"e = -0.5 %·18.37 + 0.04 = -0.05185 V, x = 18.37 + (-0.05185) = 18.3182 V",
		"stated with k = 2 to U(e) = 0.3 %·18.37 + 0.02 = 0.07511 V: u(e) = 0.07511/2 = 0.037555 V, one error in all readings on this range",
		"drift, 0.9 % a year, 273 days from 2026-01-10 to 2026-10-10: half-width 0.9 %·18.37·273/365.25 = 0.123573 V",
		"u = 0.123573/√3 = 0.071345 V [drift-since-calibration]",
		"air at 33.5 °C, 5.5 K outside 18 to 28 °C: half-width 0.06 %·18.37·5.5 = 0.060621 V",
		"u = 0.060621/√3 = 0.0349996 V [temperature-influence]",
		"= 18.37 + (-0.05185) = 18.3182 V, published as (18.32 ± 0.30) V",
	} {
		if !strings.Contains(text(s.Runs[0]), want) {
			t.Errorf("not said: %s", want)
		}
	}
	for _, want := range []string{"air at 20 °C, inside 18 to 28 °C: nothing to add", "neither the run's day nor the end of the calibration is known"} {
		if !strings.Contains(text(s.Runs[1]), want) {
			t.Errorf("not said: %s", want)
		}
	}
}

// A load line is weighted without what is stated as common: a gain and a
// correction, and nothing else of a reading.
func TestStatedCommon(t *testing.T) {
	bench := benchWith(t, "dmm", "calibrated = 2026-01-10", everything("normal")+"\ngain_common = true")
	s := evaluateAt(t, testSite, bench, testMethods, testUnit+run("a", "ambient_c = 33.5", "at = 2026-10-10T12:00:00Z"))
	var common []string
	for _, p := range read(s, 0, "out_v").Parts {
		if statedCommon(p.Source) {
			common = append(common, p.Source.Name)
		}
	}
	slices.Sort(common)
	if want := []string{"output volts, common gain (dmm)", "output volts, correction (dmm)"}; !slices.Equal(common, want) {
		t.Errorf("common are %q, want %q", common, want)
	}
}
