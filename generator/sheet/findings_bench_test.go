package sheet

import (
	"slices"
	"strings"
	"testing"
)

// foundAt are the findings of a record at another bench or by other methods.
func foundAt(t *testing.T, bench, methods, text string) []Finding {
	t.Helper()
	return evaluateAt(t, testSite, bench, methods, text).Findings
}

func hasFinding(list []Finding, id string) bool {
	return slices.ContainsFunc(list, func(f Finding) bool {
		return f.ID == id && f.Text != "" && f.Cause != "" && f.Place.Given()
	})
}

// A sine has a crest factor of √2, a burst read over the whole period √(500/20)
// times as much: 7.07 (definition of the crest factor, peak by rms).
func TestCrestFactorFinding(t *testing.T) {
	crest := func(c string) string {
		return strings.Replace(testBench, "bandwidth_hz = 20000\n", "bandwidth_hz = 20000\ncrest_factor = "+c+"\n", 1)
	}
	reads := func(c string) string {
		return strings.Replace(crest(c), "crest_factor = "+c+"\n", "crest_factor = "+c+"\nshortest_burst_ms = 20\n", 1)
	}
	noisy := strings.Replace(testMethods, "thdn_pct = 1\n", "thdn_pct = 1\ncrest_factor = 4\n", 1)
	for _, r := range []struct {
		name, bench, methods, run string
		want                      bool
	}{
		{"a sine, as printed with three decimals", crest("1.414"), testMethods, run("a"), false},
		{"a sine, as printed with one decimal", crest("1.4"), testMethods, run("a"), false},
		{"a sine beyond", crest("1.38"), testMethods, run("a"), true},
		{"the method's own, within", crest("4"), noisy, run("a"), false},
		{"the method's own, beyond", crest("3.9"), noisy, run("a"), true},
		{"a burst over the whole period, within", crest("7.1"), testMethods, run("a", `method = "burst"`), false},
		{"a burst over the whole period, beyond", crest("6.9"), testMethods, run("a", `method = "burst"`), true},
		{"a burst, read within it", reads("3"), testMethods, run("a", `method = "burst"`), false},
		{"not stated", testBench, noisy, run("a", `method = "burst"`), false},
	} {
		if got := hasFinding(foundAt(t, r.bench, r.methods, testUnit+claim75+r.run), "beyond-crest-factor"); got != r.want {
			t.Errorf("%s: found is %t", r.name, got)
		}
	}
}

// A waveform clipped alike on both sides has no even harmonics (Fourier series of
// f(t + T/2) = -f(t)): a distortion meter that ends below the third sees nothing of it.
func TestHarmonicsBeyondBandFinding(t *testing.T) {
	ends := func(hz string) string {
		return strings.Replace(testBench, "id = \"an\"\n", "id = \"an\"\nbandwidth_hz = "+hz+"\n", 1)
	}
	at := func(hz string) string { return run("a", "freq_hz = "+hz) }
	for _, r := range []struct {
		name, bench, run string
		want             bool
	}{
		{"20 kHz, a tone of 1 kHz", ends("20000"), at("1000"), false},
		{"20 kHz, a tone of 10 kHz", ends("20000"), at("10000"), true},
		{"20 kHz, a tone of 20 kHz", ends("20000"), at("20000"), true},
		{"22 kHz, a tone of 7 kHz", ends("22000"), at("7000"), false},
		{"at the third harmonic", ends("3000"), at("1000"), false},
		{"just below it", ends("2999.999999"), at("1000"), true},
		{"below the signal, which is told otherwise", ends("999"), at("1000"), false},
		{"not stated", testBench, at("20000"), false},
		{"no distortion was read", ends("20000"), run("a", "freq_hz = 10000", "thdn_pct ="), false},
	} {
		if got := hasFinding(foundAt(t, r.bench, testMethods, testUnit+claim75+r.run), "harmonics-beyond-band"); got != r.want {
			t.Errorf("%s: found is %t", r.name, got)
		}
	}
}

// What an instrument's uncertainty lacks is found, and told on the figure.
func TestIncompleteFinding(t *testing.T) {
	aged := func(more, keys string) string {
		bench := strings.Replace(testBench, "name = \"clamp\"\n", "name = \"clamp\"\n"+more, 1)
		return strings.Replace(bench, "to = 400\n", "to = 400\n"+keys, 1)
	}
	const dates, drift, tempco = "calibrated = 2026-01-01\ndue = 2027-01-01\n", "drift_pct_year = 1\n", "tempco_pct_k = 0.1\nfrom_c = 18\nto_c = 28\n"
	for _, r := range []struct{ name, bench, run, lacks string }{
		{"never calibrated", aged("", drift), run("a", "supply_a = 10"), "the drift of clamp is not counted: bench.toml doesn't say when it was calibrated"},
		{"no day at all", aged("calibrated = 2026-01-01\n", drift), run("a", "supply_a = 10"), "the drift of clamp is not counted: neither the run's day nor the end of the calibration is known"},
		{"until due", aged(dates, drift), run("a", "supply_a = 10"), ""},
		{"on the run's day", aged("calibrated = 2026-01-01\n", drift), run("a", "supply_a = 10", "at = 2026-07-02T10:00:00Z"), ""},
		{"no air temperature", aged("", tempco), run("a", "supply_a = 10"), "what temperature does to clamp is not counted: the run has no ambient_c"},
		{"with one", aged("", tempco), run("a", "supply_a = 10", "ambient_c = 5"), ""},
		{"none stated", aged("", "drift_pct_year = 0\n"), run("a", "supply_a = 10"), ""},
	} {
		s := evaluateAt(t, testSite, r.bench, testMethods, testUnit+claim75+r.run)
		if got := hasFinding(s.Findings, "uncertainty-incomplete"); got != (r.lacks != "") {
			t.Errorf("%s: found is %t", r.name, got)
		}
		if got := strings.Join(s.Runs[0].SupplyA.Incomplete, "; "); got != r.lacks {
			t.Errorf("%s: the figure lacks %q", r.name, got)
		}
		if got := slices.Contains(s.Runs[0].Efficiency.Incomplete, r.lacks); got != (r.lacks != "") {
			t.Errorf("%s: what is made of it lacks %v", r.name, s.Runs[0].Efficiency.Incomplete)
		}
	}
}

// One length, mass or temperature in two units. By hand: 10.2 in are 259.08 mm,
// written to ±1.27 mm; 4.4 lb are 1.9958 kg, ±0.0227 kg; 140 °F are 60 °C, ±0.28 °C.
func TestTwoUnitsFinding(t *testing.T) {
	unit := func(keys string) string { return strings.Replace(testUnit, "[source]", keys+"\n[source]", 1) }
	spec := func(keys string) string {
		return testUnit + "\n[[spec]]\nid = \"w\"\nname = \"width\"\nlimit = \"about\"\n" + keys
	}
	thermal := func(keys string) string {
		return testUnit + "\n[[thermal]]\nspot = \"fin\"\nat_min = [0, 5]\n" + keys
	}
	for _, r := range []struct {
		text string
		want bool
	}{
		{unit("size_mm = [259, 55, 180]\nsize_in = [10.2, 2.17, 7.09]"), false},
		{unit("size_mm = [260, 55, 180]\nsize_in = [10.2, 2.2, 7.1]"), false},
		{unit("size_mm = [261, 55, 180]\nsize_in = [10.2, 2.2, 7.1]"), true},
		{unit("size_mm = [259, 55, 180]\nsize_in = [10.20, 2.17, 7.9]"), true},
		{unit("mass_kg = 2.00\nmass_lb = 4.4"), false},
		{unit("mass_kg = 2.00\nmass_lb = 4.5"), true},
		{unit("mass_kg = 2.0\nmass_lb = 4.5"), false}, // 2.0 is anything up to 2.05
		{spec("unit = \"mm\"\nstated = 259\nalso = 10.2\nalso_unit = \"in\"\n"), false},
		{spec("unit = \"mm\"\nstated = 229\nalso = 10.2\nalso_unit = \"in\"\n"), true},
		{spec("unit = \"°C\"\nstated = 80\nalso = 176\nalso_unit = \"°F\"\n"), false},
		{spec("unit = \"°C\"\nstated = 80\nalso = 144\nalso_unit = \"°F\"\n"), true}, // the 32 forgotten
		{thermal("temp_c = [60.0, 71]\ntemp_f = [140, 160]\nambient_c = 20\nambient_f = 68\n"), false},
		{thermal("temp_c = [60.0, 71]\ntemp_f = [141, 160]\n"), true},
		{thermal("temp_c = [60.0, 71]\nambient_c = 20\nambient_f = 70\n"), true},
	} {
		if got := hasFinding(foundAt(t, testBench, testMethods, r.text+run("a")), "two-units-disagree"); got != r.want {
			t.Errorf("found is %t in %s", got, r.text)
		}
	}
}

// A reading with fewer decimals than its range shows was on a wider one, or was cut; the
// widths are the specification's sum at 18 V: 0.8 % and 3 digits.
func TestCoarserThanRange(t *testing.T) {
	wider := func(resolution string) string {
		return strings.Replace(testBench, "digits = 3\nresolution = 0.01\n",
			"digits = 3\nresolution = 0.01\n[[instrument.range]]\nreads = \"out_v\"\nto = 1000\nreading_pct = 0.8\ndigits = 3\nresolution = "+resolution+"\n", 1)
	}
	for _, r := range []struct {
		name, bench, run string
		want             bool
	}{
		{"a decimal short", wider("0.1"), run("a", "out_v = 18.0"), true},
		{"two decimals short", wider("0.1"), run("a", "out_v = 18"), true},
		{"with powers of ten", wider("0.1"), run("a", "out_v = 180e-1"), true},
		{"all decimals", wider("0.1"), run("a", "out_v = 18.00"), false},
		{"more than shown", wider("0.1"), run("a", "out_v = 18.001"), false},
		{"all decimals of the wider range itself", wider("0.1"), run("a", "out_v = 180.1"), false},
		{"one channel of two", wider("0.1"), run("a", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = [18.00, 18.1]", "thdn_pct = [1.0, 1.0]"), true},
		{"the wider range is no coarser", wider("0.01"), run("a", "out_v = 18.0"), false},
		{"there is no wider range", testBench, run("a", "out_v = 18.0"), false},
		{"a run that doesn't count", wider("0.1"), run("a", "out_v = 18.0", `invalid = "a lead off"`), false},
	} {
		found := foundAt(t, r.bench, testMethods, testUnit+claim75+r.run)
		if got := hasFinding(found, "coarser-than-range"); got != r.want {
			t.Errorf("%s: found is %t", r.name, got)
		}
	}
	for _, f := range foundAt(t, wider("0.1"), testMethods, testUnit+claim75+run("a", "out_v = 18.0")) {
		const text, cause = "run a: out_v is 18.0\u00a0V, but dmm shows 0.01\u00a0V on its range to 100\u00a0V",
			"the meter on its range to 1000\u00a0V (±0.44\u00a0V there, not ±0.17\u00a0V), or a last digit left out, be it a zero"
		if f.ID == "coarser-than-range" && (f.Text != text || f.Cause != cause) {
			t.Errorf("it says %q, %q", f.Text, f.Cause)
		}
	}
}
