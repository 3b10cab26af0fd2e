package sheet

import (
	"math"
	"strings"
	"testing"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// The rules of which runs count, one row each. 18 V across 4 Ω is 81 W, 17 V is
// 72.25 W; the claim is 75 W. u is about 1.4 % of the power: 0.92 % from the meter
// (0.8 % + 3 digits, rectangular, twice), 1 % from the pool, 0.3 % from the load.
func TestWhichRunsCount(t *testing.T) {
	long := strings.Replace(claim75, "id = \"c\"", "id = \"c\"\nduration_s = 300", 1)
	band := claim75 + "freq_hz = [20, 20000]\n"
	burst := claim75 + "signal = \"burst\"\n"
	rows := []struct {
		name, claim, runs string
		want              verdict.Word
		reason            string
	}{
		{"at the claim's distortion, above the claim", claim75, run("a"), verdict.Met, ""},
		{"at the claim's distortion, below the claim", claim75, run("a", "out_v = 17"), verdict.Short, ""},
		{"within the uncertainty", claim75, run("a", "out_v = 17.3"), verdict.Open, "close"},
		{"no run at that load", claim75, run("a", `load = "a2"`), verdict.Untested, "no-run"},
		{"the only run is invalid", claim75, run("a", `invalid = "meter on DC"`), verdict.Untested, "no-run"},
		{"an invalid run doesn't count beside a valid one", claim75, run("a", `invalid = "meter on DC"`, "out_v = 1") + run("b"), verdict.Met, ""},
		{"below the distortion can give met", claim75, run("a", "thdn_pct = 0.5"), verdict.Met, ""},
		{"below the distortion can't give short", claim75, run("a", "thdn_pct = 0.5", "out_v = 16"), verdict.Open, "distortion"},
		{"above the distortion can't give met", claim75, run("a", "thdn_pct = 10"), verdict.Open, "distortion"},
		{"above the distortion can give short", claim75, run("a", "thdn_pct = 10", "out_v = 16"), verdict.Short, ""},
		{"at decides where there is one", claim75, run("a", "out_v = 17") + run("b", "thdn_pct = 0.5"), verdict.Short, ""},
		{"below met and above short contradict", claim75, run("a", "thdn_pct = 0.5") + run("b", "thdn_pct = 10", "out_v = 16"), verdict.Open, "distortion"},
		{"unknown distortion decides nothing", claim75, run("a", "thdn_pct ="), verdict.Open, "distortion"},
		{"unknown distortion, driven into clipping, is above", claim75, run("a", "thdn_pct =", `method = "clip"`, "out_v = 16"), verdict.Short, ""},
		{"a held peak can't give met", claim75, run("a", `read_as = { out_v = "held-max" }`), verdict.Open, "distortion"},
		{"a held peak can give short", claim75, run("a", "out_v = 16", `read_as = { out_v = "held-max" }`), verdict.Short, ""},
		{"the bench's supply at its limit can give met", claim75, run("a", `outcome = "supply-limit"`), verdict.Met, ""},
		{"the bench's supply at its limit can't give short", claim75, run("a", "out_v = 16", `outcome = "supply-limit"`), verdict.Open, "distortion"},
		{"both bounds on one run are nothing", claim75, run("a", "out_v = 16", `outcome = "supply-limit"`, `read_as = { out_v = "held-max" }`), verdict.Open, "distortion"},
		{"one frequency of a band can't give met", band, run("a"), verdict.Open, "distortion"},
		{"one frequency of a band can give short", band, run("a", "out_v = 16"), verdict.Short, ""},
		{"a frequency outside the band", band, run("a", "freq_hz = 19"), verdict.Incomparable, "frequency"},
		{"another frequency", claim75 + "freq_hz = 40\n", run("a"), verdict.Incomparable, "frequency"},
		{"no supply voltage", claim75, run("a", "supply_v ="), verdict.Open, "supply"},
		{"a supply more than 10 % off", claim75, run("a", "supply_v = 12.9"), verdict.Open, "supply"},
		{"a supply within 10 %, but corners disagree", claim75, run("a", "supply_v = 13.2", "out_v = 17"), verdict.Open, "supply"},
		{"a supply within 10 %, and corners agree", claim75, run("a", "supply_v = 13.2", "out_v = 15"), verdict.Short, ""},
		{"bridged only", claim75, run("a", `driven = ["L+R"]`), verdict.Incomparable, "unlike"},
		{"another number of channels", claim75, run("a", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = [18, 18]", "thdn_pct = [1.0, 1.0]"), verdict.Incomparable, "unlike"},
		{"a burst claim, a continuous run", burst, run("a"), verdict.Incomparable, "unlike"},
		{"a burst claim, its supply read within the burst", burst, run("a", `method = "burst"`, `read_as = { supply_v = "held-min" }`), verdict.Met, ""},
		{"a burst claim, its supply read as a mean", burst, run("a", `method = "burst"`), verdict.Open, "supply"},
		{"a burst claim, its supply read by a slow meter", burst, run("a", `method = "burst"`, `read_as = { supply_v = "held-min" }`, `with = { supply_v = "slow" }`), verdict.Open, "supply"},
		{"a claim of five minutes, a short run", long, run("a"), verdict.Incomparable, "unlike"},
		{"a claim of five minutes, a long run", long, run("a", `method = "long"`), verdict.Met, ""},
		{"a long run doesn't answer a claim without a duration", claim75, run("a", `method = "long"`), verdict.Incomparable, "unlike"},
		{"a shutdown turns met into open", claim75, run("a") + run("b", `outcome = "protected"`), verdict.Open, "outcome"},
		{"a blown fuse turns met into open", claim75, run("a") + run("b", `outcome = "fuse"`), verdict.Open, "outcome"},
		{"a completed short stays short", claim75, run("a", "out_v = 16") + run("b", `outcome = "protected"`), verdict.Short, ""},
		{"only a shutdown", claim75, run("a", `outcome = "stopped"`), verdict.Open, "outcome"},
		{"a shutdown before the claimed duration", long, run("a", `method = "long"`, `outcome = "protected"`, "lasted_s = 212"), verdict.Short, ""},
		{"a blown fuse without its supply voltage keeps nothing open", claim75, run("a") + run("b", `outcome = "fuse"`, "supply_v ="), verdict.Met, ""},
		{"only a blown fuse without its supply voltage", claim75, run("a", `outcome = "fuse"`, "supply_v ="), verdict.Open, "outcome"},
		{"one shut down, the other's supply not read", claim75, run("a", `outcome = "protected"`) + run("b", "supply_v ="), verdict.Open, "supply, outcome"},
		{"one shut down, the other's distortion not read", claim75, run("a", `outcome = "protected"`) + run("b", "thdn_pct ="), verdict.Open, "outcome, distortion"},
		{"stopped by the tester before the claimed duration", long, run("a", `method = "long"`, `outcome = "stopped"`, "lasted_s = 212"), verdict.Open, "outcome"},
		{"a load more than 5 % off", claim75, run("a", `load = "far4"`, "out_v = 20"), verdict.Open, "load"},
		{"watt-meter and volts agree", claim75, run("a", "power_w = 81"), verdict.Met, ""},
		{"watt-meter and volts disagree", claim75, run("a", "power_w = 90"), verdict.Open, "readings"},
	}
	for _, r := range rows {
		c := evaluate(t, testSite, r.claim+r.runs).Claims[0]
		if c.Verdict != r.want || c.Reason != r.reason {
			t.Errorf("%s: %s (%s), want %s (%s): %s %v", r.name, c.Verdict, c.Reason, r.want, r.reason, c.Why, c.Uses)
		}
	}
}

// What keeps a claim open that no run decides is said as it is: no sentence speaks of all
// runs where some are lost to another reason, or of the claim's condition where it states none.
func TestWhyNoRunDecides(t *testing.T) {
	noThdn := strings.Replace(claim75, "thdn_pct = 1\n", "", 1)
	noSupply := strings.Replace(claim75, "supply_v = 14.4\n", "", 1)
	bareThdn := strings.Replace(testSite, "thdn_pct = 1\n", "", 1)
	bareSupply := strings.Replace(testSite, "supply_dc_v = 14.4\n", "", 1)
	rows := []struct{ site, claim, runs, why, use string }{
		{testSite, claim75, run("a", "supply_v ="), "No matching run has its supply voltage read within 10 % of the claim's.", "no supply voltage was read"},
		{testSite, claim75 + "signal = \"burst\"\n", run("a", `method = "burst"`) + run("b"), "No matching run has its supply voltage read as the signal needs it.",
			"the supply voltage was not read as the signal needs it: the lowest within a burst, by an instrument that is stated to read it there"},
		{testSite, claim75, run("a", `read_as = { supply_v = "held-min" }`), "No matching run has its supply voltage read as the signal needs it.",
			"the supply voltage was not read as the signal needs it: as a mean"},
		{testSite, claim75, run("a", `read_as = { supply_v = "held-min" }`) + run("b", "supply_v = 12"), "No matching run has its supply voltage read within 10 % of the claim's.",
			"the supply voltage was not read as the signal needs it: as a mean"},
		{testSite, noSupply, run("a", "supply_v = 12.9"), "No matching run has its supply voltage read within 10 % of the assumed 14.4 V.", "supply at 12.900 V, more than 10 % off the assumed 14.4 V"},
		{bareSupply, noSupply, run("a"), "The claim names no supply voltage, and the site assumes none.", "the claim names no supply voltage, and the site assumes none"},
		{testSite, claim75, run("a", "thdn_pct ="), "No run stands at the claim's distortion, and the others don't decide.", "its distortion is not known"},
		{testSite, noThdn, run("a", "thdn_pct ="), "No run stands at the assumed 1 % distortion, and the others don't decide.", "its distortion is not known"},
		{bareThdn, noThdn, run("a"), "The claim names no distortion, and the site assumes none.", "the claim names no distortion, and the site assumes none"},
		{testSite, claim75, run("a", `outcome = "fuse"`, "supply_v ="), "No matching run completed: the unit's fuse blew in run a.", "the unit's fuse blew, and no supply voltage was read"},
		{testSite, claim75, run("a", `outcome = "protected"`, "lasted_s = 0.4") + run("b", `outcome = "stopped"`, "supply_v ="),
			"No matching run completed: the unit shut down in run a after 0.4 s; the tester stopped run b.", "the unit shut down (protection)"},
		{testSite, claim75, run("a", `outcome = "protected"`) + run("b", "supply_v ="),
			"No matching run decides. Each is lost to one of these: its supply voltage wasn't read within 10 % of the claim's; the unit, its fuse or the tester ended it.", "the unit shut down (protection)"},
	}
	for _, r := range rows {
		c := evaluate(t, r.site, r.claim+r.runs).Claims[0]
		plain := func(text string) string { return strings.ReplaceAll(text, nbsp, " ") }
		if why, use := plain(c.Why), plain(c.Uses[0].Why); why != r.why || use != r.use {
			t.Errorf("got  %s (%s)\nwant %s (%s)", why, use, r.why, r.use)
		}
	}
}

// A unit with unlike channels: what is claimed for some of them, with all driven
// and mixed loads, is decided by those alone.
func TestClaimOfSomeChannels(t *testing.T) {
	claims := `
[[claim]]
id = "front"
of = ["L"]
driven = 2
power_w = 75
load_ohm = 4
channels = 1
supply_v = 14.4
thdn_pct = 1
[[claim]]
id = "sub"
of = ["R"]
driven = 2
power_w = 300
load_ohm = 2
channels = 1
supply_v = 14.4
thdn_pct = 1
[[claim]]
id = "alone"
of = ["R"]
power_w = 300
load_ohm = 2
channels = 1
supply_v = 14.4
thdn_pct = 1
`
	mixed := run("a", `driven = ["L", "R"]`, `load = ["a4", "a2"]`, "out_v = [18, 23]", "thdn_pct = [1.0, 1.0]")
	s := evaluate(t, testSite, claims+mixed)
	for i, want := range []verdict.Word{verdict.Met, verdict.Short, verdict.Incomparable} {
		if c := s.Claims[i]; c.Verdict != want {
			t.Errorf("claim %s: %s, want %s: %s", c.ID, c.Verdict, want, c.Why)
		}
	}
	if c := s.Claims[0]; len(c.Channels) != 1 || c.Channels[0].Name != "L" {
		t.Errorf("claim front is decided by %v, want channel L alone", c.Channels)
	}
}

// A claim that doesn't state a condition may be met; short needs to be short also
// with the condition eased.
func TestAssumedConditions(t *testing.T) {
	noThdn := strings.Replace(claim75, "thdn_pct = 1\n", "", 1)
	noSupply := strings.Replace(claim75, "supply_v = 14.4\n", "", 1)
	neither := strings.Replace(noThdn, "supply_v = 14.4\n", "", 1)
	bare := strings.Replace(testSite, "thdn_pct = 1\n", "", 1)
	short10 := run("b", "thdn_pct = 10", "out_v = 16.5")
	rows := []struct {
		name, site, claim, runs string
		want                    verdict.Word
		reason                  string
	}{
		{"no distortion stated, met", testSite, noThdn, run("a"), verdict.Met, ""},
		{"no distortion stated, short at 1 % only", testSite, noThdn, run("a", "out_v = 16"), verdict.Open, "condition"},
		{"no distortion stated, short at 10 % too", testSite, noThdn, run("a", "out_v = 16") + short10, verdict.Short, ""},
		{"no distortion stated, short even clipped", testSite, noThdn, run("a", "out_v = 15") + run("b", `method = "clip"`, "thdn_pct =", "out_v = 16.5"), verdict.Short, ""},
		{"no distortion stated, not short at 10 %", testSite, noThdn, run("a", "out_v = 16") + run("b", "thdn_pct = 10", "out_v = 18"), verdict.Open, "condition"},
		{"no distortion stated, none assumed", bare, noThdn, run("a"), verdict.Open, "distortion"},
		{"no supply stated, met", testSite, noSupply, run("a"), verdict.Met, ""},
		{"no supply stated, short by little", testSite, noSupply, run("a", "out_v = 16"), verdict.Open, "condition"},
		{"no supply stated, short by much", testSite, noSupply, run("a", "out_v = 14.5"), verdict.Short, ""},
		{"neither stated, short by much at 10 %", testSite, neither, run("a", "out_v = 14") + run("b", "thdn_pct = 10", "out_v = 14.8"), verdict.Short, ""},
		{"neither stated, short at 10 % but not at a tenth more volts", testSite, neither, run("a", "out_v = 15") + run("b", "thdn_pct = 10", "out_v = 16.5"), verdict.Open, "condition"},
	}
	for _, r := range rows {
		c := evaluate(t, r.site, r.claim+r.runs).Claims[0]
		if c.Verdict != r.want || c.Reason != r.reason {
			t.Errorf("%s: %s (%s), want %s (%s): %s", r.name, c.Verdict, c.Reason, r.want, r.reason, c.Why)
		}
	}
}

// Every boundary of classes and matches at the value and at its neighbours.
func TestBoundaries(t *testing.T) {
	s := evaluate(t, testSite, claim75+run("a"))
	e := &evaluator{content: s.Content, rec: s.Record}
	r, c := s.Runs[0], &s.Record.Claims[0]
	d := r.Channels[0].Distortion
	next := math.Nextafter
	for _, row := range []struct {
		x    float64
		want string
	}{
		{1 + d.U, classAt}, {next(1+d.U, 2), classAbove}, {next(1+d.U, 0), classAt},
		{1 - d.U, classAt}, {next(1-d.U, 0), classBelow}, {next(1-d.U, 2), classAt},
	} {
		d.X = row.x
		if got, _ := e.classOf(c, 1, r, r.Channels[0]); got != row.want {
			t.Errorf("distortion %v ± %v against 1: %s, want %s", row.x, d.U, got, row.want)
		}
	}
	d.X = 1
	terms := e.termsOf(c)
	for _, row := range []struct {
		v    float64
		lost bool
	}{{15.84, false}, {next(15.84, 20), false}, {15.84 * (1 + 1e-9), true}, {next(15.84, 0), false}} { // 10 % more, as a tester writes it
		r.SupplyV.X = row.v
		if reason, _ := e.lost(c, terms, r); (reason != "") != row.lost {
			t.Errorf("supply %v: lost to %q, want lost %v", row.v, reason, row.lost)
		}
	}
}

// A mean of repeats keeps what the instruments are wrong by, and only the pool
// shrinks (independent calculation: the sum of squares by hand).
func TestMeanKeepsTheInstrument(t *testing.T) {
	one := evaluate(t, testSite, claim75+run("a")).Claims[0].Weakest.Mean
	four := evaluate(t, testSite, claim75+run("a")+run("b")+run("c")+run("d")).Claims[0].Weakest.Mean
	p := 81.0
	meter := 2 * p / 18 * (0.008*18 + 0.03) / math.Sqrt(3)
	load := p * 0.005 / math.Sqrt(3)
	pool := 0.01 * p
	for _, row := range []struct {
		f *Figure
		n float64
	}{{one, 1}, {four, 4}} {
		variance := meter*meter + load*load + pool*pool/row.n
		want := math.Sqrt(variance)
		if math.Abs(row.f.Std-want) > 1e-12*want {
			t.Errorf("u of %v runs is %v, want %v", row.n, row.f.Std, want)
		}
		dof := variance * variance / (math.Pow(pool*pool/row.n, 2) / 8)
		if math.Abs(row.f.DoF-dof) > 1e-9*dof {
			t.Errorf("ν of %v runs is %v, want %v", row.n, row.f.DoF, dof)
		}
	}
}

// What two channels share is not known: the total takes the larger of both, and
// says which; a stated common gain is one error in any case.
func TestSharingOfChannels(t *testing.T) {
	both := run("a", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = [18, 18]", "thdn_pct = [1.0, 1.0]")
	total := evaluate(t, testSite, claim75+both).Runs[0].Total
	p := 81.0
	meter := 2 * p / 18 * (0.008*18 + 0.03) / math.Sqrt(3)
	load, pool := p*0.005/math.Sqrt(3), 0.01*p
	want := 2 * math.Sqrt(meter*meter+load*load+pool*pool)
	if math.Abs(total.Std-want) > 1e-12*want {
		t.Errorf("u of the total is %v, want %v with all taken as common", total.Std, want)
	}
	for _, l := range total.Lines {
		if l.Sharing != quantity.Common {
			t.Errorf("%s is taken as %q in the total", l.Source.ID, l.Sharing)
		}
	}
	gain := evaluate(t, testSite, claim75+strings.Replace(both, "[[run]]", "[[run]]\nwith = { out_v = \"common\" }", 1)).Runs[0].Total
	shared := 2 * p / 18 * 0.008 * 18 / math.Sqrt(3)
	rest := math.Sqrt(meter*meter - shared*shared)
	want = math.Sqrt(4*shared*shared + 2*rest*rest + 4*load*load + 4*pool*pool)
	if math.Abs(gain.Std-want) > 1e-12*want {
		t.Errorf("u of the total with a common gain is %v, want %v", gain.Std, want)
	}
}

// A unit that shuts down before anything could be read is a result all the same.
func TestShutdownWithoutReadings(t *testing.T) {
	s := evaluate(t, testSite, claim75+run("a")+run("b", `outcome = "fuse"`, "out_v =", "thdn_pct ="))
	if c := s.Claims[0]; c.Verdict != verdict.Open || c.Reason != reasonOutcome {
		t.Errorf("%s (%s): %s", c.Verdict, c.Reason, c.Why)
	}
	if r := s.Runs[1]; r.Channels[0].Power != nil || r.Total != nil {
		t.Error("a run without readings has a power")
	}
}
