package sheet

import (
	"math"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/verdict"
)

// volts across a load of a source with E volts behind an inner resistance: V =
// E·R/(R + Rs). The runs below are made with E = 20 V and Rs = 0.2 Ω.
var lineRuns = run("r8", `load = "a8"`, "out_v = 19.512") + run("r4", "out_v = 19.048") + run("r2", `load = "a2"`, "out_v = 18.182") + run("r1", `load = "a1"`, "out_v = 16.667")

func TestLoadLineOfRuns(t *testing.T) {
	s := evaluate(t, testSite, claim75+lineRuns)
	if len(s.Lines) != 1 {
		t.Fatalf("%d lines, want one", len(s.Lines))
	}
	l := s.Lines[0]
	if math.Abs(l.E.X-20) > 0.002 || math.Abs(l.Rs.X-0.2) > 0.0005 || !l.Fits || len(l.Points) != 4 {
		t.Errorf("E %s, Rs %s, fits %v, %d points", l.E.Text, l.Rs.Text, l.Fits, len(l.Points))
	}
	if first, last := l.Curve[0].Load, l.Curve[len(l.Curve)-1].Load; math.Abs(first-1) > 1e-9 || math.Abs(last-8) > 1e-9 {
		t.Errorf("the curve runs from %v to %v, want only the tested range", first, last)
	}
	for _, p := range l.Points {
		at := l.Curve[slices.IndexFunc(l.Curve, func(c CurvePoint) bool { return c.Load >= p.Load-1e-9 })]
		if at.Power.U <= 0 {
			t.Errorf("the curve has no uncertainty at %v", at.Load)
		}
	}
}

// Two loads make no line, nor do runs below the method's distortion or at another
// supply voltage.
func TestNoLoadLine(t *testing.T) {
	for name, runs := range map[string]string{
		"two loads":            run("a") + run("b", `load = "a2"`),
		"below the distortion": run("a") + run("b", `load = "a2"`) + run("c", `load = "a8"`, "thdn_pct = 0.5"),
		"another supply":       run("a") + run("b", `load = "a2"`) + run("c", `load = "a8"`, "supply_v = 13.5"),
		"a shutdown":           run("a") + run("b", `load = "a2"`) + run("c", `load = "a1"`, `outcome = "protected"`),
	} {
		if s := evaluate(t, testSite, claim75+runs); len(s.Lines) > 0 {
			t.Errorf("%s: %s", name, s.Lines[0].Text)
		}
	}
}

// Two groups of supply voltages: their median lies between, where no run is; the
// voltage with more load elements has the line.
func TestLoadLineOfTwoSupplies(t *testing.T) {
	low := run("l8", `load = "a8"`, "out_v = 17", "supply_v = 12.6") + run("l4", "out_v = 16.6", "supply_v = 12.6") +
		run("l4b", "out_v = 16.61", "supply_v = 12.6") + run("l4c", "out_v = 16.58", "supply_v = 12.61")
	s := evaluate(t, testSite, claim75+lineRuns+low)
	if len(s.Lines) != 1 || len(s.Lines[0].Points) != 4 || slices.Contains(s.Lines[0].Points[1].Runs, "l4") {
		t.Fatalf("%+v", s.Lines)
	}
}

// Inside the tested range the line answers, at its ends too; a float beyond it
// doesn't, and says what the range is.
func TestLoadLineAtALoad(t *testing.T) {
	l := evaluate(t, testSite, claim75+lineRuns).Lines[0]
	low, high := l.Points[3].Load, l.Points[0].Load
	for _, r := range []float64{low, 3.2, high} {
		f, err := l.At(r)
		want := l.E.X * l.E.X * r / ((r + l.Rs.X) * (r + l.Rs.X))
		if err != nil || math.Abs(f.X-want) > 1e-12*want || f.U <= 0 || f.Quantity != "estimate" {
			t.Errorf("at %v: %v, %v", r, f, err)
		}
	}
	for _, r := range []float64{math.Nextafter(low, 0), math.Nextafter(high, 9), 0, -4, 100, math.Inf(1)} {
		if f, err := l.At(r); err == nil || !strings.Contains(err.Error(), "outside the tested range of loads, 1 to 8") {
			t.Errorf("at %v: %v, %v", r, f, err)
		}
	}
	if f, err := l.At(math.NaN()); err == nil {
		t.Errorf("at no number: %v", f)
	}
}

// What a line that doesn't fit says depends on which point is off.
func TestWhyALineDoesNotFit(t *testing.T) {
	for _, r := range []struct{ name, from, to, want string }{
		{"low at the lowest load", "16.667", "12.0", "a limited current or its protection is likely."},
		{"high at the lowest load", "16.667", "19.5", "can't be told"},
		{"low at the next", "18.182", "16.0", "can't be told"},
	} {
		l := evaluate(t, testSite, claim75+strings.Replace(lineRuns, r.from, r.to, 1)).Lines[0]
		if l.Fits || !strings.Contains(l.Text, r.want) || !strings.Contains(l.Text, "Nothing is estimated") {
			t.Errorf("%s: %s", r.name, l.Text)
		}
		// a source of 20 V behind 0.2 Ω gives 400/1.44 W into 1 Ω
		if limited := strings.Contains(r.want, "likely"); limited != (l.Expected != nil) || limited && math.Abs(l.Expected.X-400/1.44) > 0.5 {
			t.Errorf("%s: expected %v", r.name, l.Expected)
		}
		if f, err := l.At(2); err == nil || !strings.Contains(err.Error(), "don't fit") {
			t.Errorf("%s: %v, %v", r.name, f, err)
		}
	}
	three := run("r8", `load = "a8"`, "out_v = 19.512") + run("r4", "out_v = 19.048") + run("r1", `load = "a1"`, "out_v = 12")
	if l := evaluate(t, testSite, claim75+three).Lines[0]; l.Fits || !strings.Contains(l.Text, "would look alike") {
		t.Errorf("three loads: %s", l.Text)
	}
}

// A residual's weight, size and standardised value hang together.
func TestResidualsOfALine(t *testing.T) {
	l := evaluate(t, testSite, claim75+strings.Replace(lineRuns, "19.048", "19.2", 1)).Lines[0]
	chi2, worst := 0.0, 0.0
	for _, p := range l.Points {
		chi2 += p.Weight * p.ResidualW * p.ResidualW
		worst = math.Max(worst, math.Abs(p.Standardised))
		if fit, _ := l.At(math.Min(math.Max(p.Load, 1), 8)); fit == nil || math.Abs(p.Power.X-fit.X-p.ResidualW) > 1e-9*p.Power.X || p.Residual.Std <= 0 || math.Abs(p.Standardised-p.ResidualW/p.Residual.Std) > 1e-12 {
			t.Errorf("at %v: %+v", p.Load, p)
		}
	}
	if math.Abs(chi2-l.Chi2) > 1e-12 || worst != l.Worst || math.Abs(l.P-math.Exp(-l.Chi2/2)) > 1e-12 {
		t.Errorf("χ² %v and %v, worst %v and %v, p %v", chi2, l.Chi2, worst, l.Worst, l.P)
	}
}

// A unit that limits its current is no source with one inner resistance.
func TestLoadLineThatDoesNotFit(t *testing.T) {
	s := evaluate(t, testSite, claim75+strings.Replace(lineRuns, "16.667", "12.0", 1))
	if len(s.Lines) != 1 || s.Lines[0].Fits || !strings.Contains(s.Lines[0].Text, "Nothing is estimated") {
		t.Fatalf("a limited current is not seen: %+v", s.Lines)
	}
	if !slices.ContainsFunc(s.Findings, func(f Finding) bool { return f.ID == "load-line" }) {
		t.Error("a line that doesn't fit is no finding")
	}
}

func TestCheckUnit(t *testing.T) {
	for last, want := range map[string]bool{"17.99": false, "17.40": true} {
		s := evaluateAt(t, testSite, testBench+strings.Replace(checkUnit, "LAST", last, 1), testMethods, testUnit+claim75+run("a"))
		found := BenchFindings(s.Content)
		if (len(found) == 1) != want {
			t.Errorf("with %s V on the last day: %v", last, found)
		}
		c := CheckUnit(s.Content)
		if len(c.Days) != 5 || c.Days[4].Off != want {
			t.Errorf("with %s V on the last day: %+v", last, c.Days[4])
		}
	}
	if s := evaluate(t, testSite, claim75+run("a")); CheckUnit(s.Content) != nil {
		t.Error("a bench without a check unit has one")
	}
}

func TestMethodWithoutPool(t *testing.T) {
	s := evaluateAt(t, testSite, testBench, strings.Replace(testMethods, "pool = { rel_pct = 1, dof = 8 }\n", "", 1), testUnit+claim75+run("a"))
	if !slices.ContainsFunc(s.Findings, func(f Finding) bool { return f.ID == "pool-missing" }) {
		t.Error("a method without a pool is no finding")
	}
	if c := s.Claims[0]; !strings.Contains(c.Why, "The uncertainty is incomplete") {
		t.Errorf("the verdict doesn't say that the uncertainty is incomplete: %s", c.Why)
	}
}

// Stated figures: the tolerance is the maker's, or half the last digit as printed,
// for one-sided limits too (4.5 means from 4.45).
func TestSpecs(t *testing.T) {
	rows := []struct {
		name, keys, limits string
		want               verdict.Word
	}{
		{"a value, half its last digit", `limit = "about"` + "\nstated = 262\nmeasured = 262.2\npm = 0.2", "261.5 to 262.5", verdict.Met},
		{"a value, beyond it", `limit = "about"` + "\nstated = 262\nmeasured = 263.5\npm = 0.2", "261.5 to 262.5", verdict.Missed},
		{"a value, read too coarsely", `limit = "about"` + "\nstated = 4.5\nmeasured = 4.5\npm = 4", "4.45 to 4.55", verdict.Open},
		{"a value, at its edge", `limit = "about"` + "\nstated = 262\nmeasured = 262.5\npm = 0.2", "261.5 to 262.5", verdict.Open},
		{"at least, one decimal", `limit = "at-least"` + "\nstated = 4.5\nmeasured = 4.46\npm = 0.001", "from 4.45", verdict.Met},
		{"at least, missed", `limit = "at-least"` + "\nstated = 4.5\nmeasured = 4.40\npm = 0.01", "from 4.45", verdict.Missed},
		{"at most", `limit = "at-most"` + "\nstated = 1.2\nmeasured = 1.1\npm = 0.02", "up to 1.25", verdict.Met},
		{"a range with a tolerance in percent", `limit = "between"` + "\nstated = 50\nstated_to = 200\ntolerance_pct = 10\nmeasured = 46\npm = 0.5", "45 to 220", verdict.Met},
		{"the maker's tolerance", `limit = "about"` + "\nstated = 80\ntolerance = 5\nmeasured = 84\npm = 0.3", "75 to 85", verdict.Met},
		{"not measured", `limit = "at-least"` + "\nstated = 100", "from 99.5", verdict.Untested},
	}
	for _, r := range rows {
		s := evaluate(t, testSite, "\n[[spec]]\nid = \"s\"\nname = \"something\"\n"+r.keys+"\n").Specs[0]
		if s.Coarse != strings.HasSuffix(r.name, "coarsely") {
			t.Errorf("%s: it is read too coarsely: %t", r.name, s.Coarse)
		}
		if s.Verdict != r.want || !strings.HasPrefix(s.Limits, r.limits+",") {
			t.Errorf("%s: %s, %s; want %s, %s", r.name, s.Verdict, s.Limits, r.want, r.limits)
		}
	}
}

func TestHalfDigit(t *testing.T) {
	for text, want := range map[string]float64{"4.5": 0.05, "230": 0.5, "0.050": 0.0005, "1_000": 0.5, "1e3": 500, "1.5e-3": 5e-5, "-12.34": 0.005} {
		if got := halfDigit(text); math.Abs(got-want) > 1e-15 {
			t.Errorf("half a digit of %s is %v, want %v", text, got, want)
		}
	}
}

// Repeats of a mean keep the instrument's error and add their scatter (by hand:
// 10.1, 10.3, 10.2 scatter by 0.1, their mean by 0.1/√3).
func TestSpecRepeats(t *testing.T) {
	s := evaluate(t, testSite, "\n[[spec]]\nid = \"s\"\nname = \"something\"\nlimit = \"about\"\nstated = 10\nmeasured = [10.1, 10.3, 10.2]\npm = 0.05\n").Specs[0]
	want := math.Hypot(0.1/math.Sqrt(3), 0.05/math.Sqrt(3))
	if math.Abs(s.Measured.X-10.2) > 1e-12 || math.Abs(s.Measured.Std-want) > 1e-12 {
		t.Errorf("%v, u %v; want 10.2, %v", s.Measured.X, s.Measured.Std, want)
	}
}
