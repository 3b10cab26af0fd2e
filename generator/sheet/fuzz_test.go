package sheet

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// FuzzEvaluate evaluates whatever record, bench and methods pass the checks: no
// panic, and no figure that isn't a number. The three texts follow the tests' own
// unit, bench and methods; of the bench and the methods they may also replace a
// number, see spoiledAt.
func FuzzEvaluate(f *testing.F) {
	add := func(text string) { f.Add(text, "", "", "", 0, 1.0) }
	add(claim75 + run("a") + run("b", "out_v = 0") + run("c", "power_w = 81", "supply_a = 0"))
	add(claim75 + lineRuns + run("x", `outcome = "protected"`, "lasted_s = 3"))
	add(claim75 + run("a", "supply_v = 13") + run("b", "supply_v = 15") + run("c", "supply_w = 0", "supply_v = 14"))
	add(claim75 + run("a", "supply_v = 13.5") + run("b", "supply_v = 12.6", "out_v = 15") + run("c", "supply_v = 15", "out_v = 1e-3"))
	add("\n[[spec]]\nid = \"s\"\nname = \"s\"\nlimit = \"about\"\nstated = 1e12\nmeasured = [-1e12, 3]\npm = 1e12\n")
	add("\n[[thermal]]\nspot = \"s\"\ntemp_c = [20, 1000]\nat_min = [0, 1]\nambient_c = -50\n")
	add(claim75 + "of = [\"L\"]\ndriven = 2\nfreq_hz = [20, 20000]\nduration_s = 1\n" + run("a", "load_c = 90", "freq_hz = 40") + run("b", `method = "burst"`, `read_as = { supply_v = "held-min", out_v = "held-max" }`))
	f.Add(claim75+lineRuns+run("a", `load = "hot"`, "load_c = 90"), "\n[[load]]\nid = \"hot\"\nnominal_ohm = 4\nohm = 4\nohm_pct = 1\nat_c = 20\ntempco_ppm = -10000\ntempco_pm_ppm = 10000\nhot_c = 1000\nhot_pm_c = 1000\nlead_ohm = 10\nlead_pct = 100\n",
		"\n[[method]]\nid = \"m\"\ntitle = \"m\"\nfreq_hz = 40\nsupply_ripple_pct = 100\nwording = \"m\"\npool = { rel_pct = 100, dof = 1 }\n", "price = 0.01\nmass_kg = 0.001\nsize_mm = [0.1, 0.1, 0.1]\n", 3, 0.001)
	f.Add(claim75+run("a"), strings.Replace(checkUnit, "LAST", "0.001", 1), "", "fuses_a = [0.001]\n", 7, 100.0)
	full := benchWith(f, "dmm", "calibrated = 2026-01-10", everything("normal")+"\ndof = 3")
	f.Fuzz(func(t *testing.T, text, bench, methods, unit string, at int, by float64) {
		if strings.Contains(unit, "[") {
			unit = "" // another table: the record's text is for that
		}
		methods, text = spoiledAt(testMethods+methods, at, by), strings.Replace(testUnit, "[source]", unit+"\n[source]", 1)+text
		for _, b := range []string{testBench, full} {
			finite(t, spoiledAt(b+bench, at, by), methods, text)
		}
	})
}

// assigned finds the numbers of a text.
var assigned = regexp.MustCompile(`= (-?[0-9][0-9.]*)\b`)

// spoiledAt replaces the n-th number of a text; of no text where there are fewer.
func spoiledAt(text string, n int, by float64) string {
	all := assigned.FindAllStringSubmatchIndex(text, -1)
	if n < 0 || n >= len(all) {
		return text
	}
	return text[:all[n][2]] + strconv.FormatFloat(by, 'g', -1, 64) + text[all[n][3]:]
}

// finite evaluates content that passes its checks, and reports whether it does.
func finite(t *testing.T, bench, methods, text string) bool {
	t.Helper()
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	var site, ofBench, ofMethods record.Problems
	c.Site, site = record.DecodeSite(file("site.toml", "currency = \"EUR\"\n"+testSite))
	c.Bench, ofBench = record.DecodeBench(file("bench.toml", bench))
	c.Methods, ofMethods = record.DecodeMethods(file("methods.toml", methods))
	rec, problems := record.DecodeRecord(file("record.toml", text), "two")
	c.Records = []*record.Record{rec}
	if problems = slices.Concat(problems, site, ofBench, ofMethods, c.Check()); problems.Errors() {
		return false
	}
	s := Evaluate(&c, rec)
	comparesWithTwin(t, &c, s)
	figures := everyFigure(s)
	if check := CheckUnit(&c); check != nil {
		figures = append(figures, check.Mean)
		BenchFindings(&c)
	}
	for _, figure := range figures {
		for _, x := range []float64{figure.X, figure.Std, figure.U, figure.K} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%s is %v ± %v\n%s\n%s\n%s", figure.Quantity, figure.X, figure.U, bench, methods, text)
			}
		}
		if math.IsNaN(figure.DoF) || figure.DoF <= 0 {
			t.Fatalf("%s has %v degrees of freedom", figure.Quantity, figure.DoF)
		}
	}
	for _, claim := range s.Claims {
		for _, x := range []float64{claim.PMin, claim.PMax, claim.BarLow, claim.BarHigh} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("claim %s: p %v to %v, bar %v to %v\n%s", claim.ID, claim.PMin, claim.PMax, claim.BarLow, claim.BarHigh, text)
			}
		}
		if claim.HasP && (claim.PMin < 0 || claim.PMax > 1 || claim.PMin > claim.PMax) {
			t.Fatalf("claim %s: p %v to %v", claim.ID, claim.PMin, claim.PMax)
		}
	}
	for _, f := range s.Findings {
		if f.Text == "" || !f.Place.Given() {
			t.Fatalf("the finding %s has no text or place", f.ID)
		}
	}
	return true
}

// everyTable is a record that has all tables which are evaluated.
var everyTable = claim75 + lineRuns + run("s4", "out_v = 19.1", "supply_a = 8", "load_c = 40") + run("w4", "power_w = 90", "supply_w = 130", "load_c = 41") +
	run("u4", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = [18.9, 18.8]", "thdn_pct = [1.0, 1.0]", "supply_v = 13.9") +
	run("b4", `method = "burst"`, "out_v = 20", `read_as = { supply_v = "held-min" }`) + run("c4", `method = "clip"`, "out_v = 24", "thdn_pct = 20") +
	run("p4", `outcome = "protected"`, "lasted_s = 3") + `
[[spec]]
id = "s"
name = "s"
limit = "between"
stated = 50
stated_to = 60
tolerance = 1
measured = [52, 53]
pm = 1
[[thermal]]
spot = "s"
temp_c = [20, 40]
at_min = [0, 5]
ambient_c = 20
pm = 1
`

// Numbers at the ends of what is taken, several at once: whatever passes the checks
// evaluates to finite figures.
func TestExtremesTogether(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	extremes := []string{"0", "1e-18", "1e-9", "0.001", "0.01", "0.5", "1", "2", "8", "50", "99.9", "100", "1000", "10000", "1e6", "1e12", "-1", "-50"}
	unit := strings.Replace(testUnit, "[source]", "price = 300\nmass_kg = 2.5\nsize_mm = [200, 50, 100]\nfuses_a = [30]\n[source]", 1)
	bench := testBench + "[[load]]\nid = \"hot\"\nnominal_ohm = 4\nohm = 4\nohm_pct = 1\ntempco_ppm = 100\ntempco_pm_ppm = 20\nhot_c = 60\nhot_pm_c = 10\nlead_ohm = 0.01\nlead_pct = 10\n" + strings.Replace(checkUnit, "LAST", "18", 1)
	mixed := func(text string, one int) string {
		return assigned.ReplaceAllStringFunc(text, func(old string) string {
			if random.IntN(one) > 0 {
				return old
			}
			return "= " + extremes[random.IntN(len(extremes))]
		})
	}
	if !finite(t, bench, testMethods, unit+everyTable) {
		t.Fatal("the content has mistakes before it is spoiled")
	}
	passed, n := 0, 500
	if testing.Short() {
		n = 60
	}
	for range n {
		if finite(t, mixed(bench, 80), mixed(testMethods, 80), mixed(unit+everyTable, 40)) {
			passed++
		}
	}
	if passed < n/10 {
		t.Errorf("only %d of %d contents pass their checks: the test sees little", passed, n)
	}
	t.Logf("%d of %d contents pass their checks", passed, n)
}

// comparesWithTwin checks that a unit is not told apart from one with the same
// record, nor by the bounds of a table, and that all figures of that are finite.
func comparesWithTwin(t *testing.T, content *record.Content, s *Sheet) {
	twin := *s.Record
	twin.Slug = s.Slug + "-twin"
	for _, table := range RankTables([]*Sheet{s, Evaluate(content, &twin)}) {
		for i, r := range table.Rows {
			if r.First != 1 || r.Last != len(table.Rows) {
				t.Fatalf("%s: ranks %s of twins", table.Title, r.Rank)
			}
			for _, c := range table.Pair(0, i).Corners {
				for _, x := range []float64{c.YA, c.YB, c.U, c.P} {
					if math.IsNaN(x) || math.IsInf(x, 0) {
						t.Fatalf("%s: corner %+v", table.Title, c)
					}
				}
			}
		}
	}
}

// everyFigure lists the figures of a sheet.
func everyFigure(s *Sheet) []*Figure {
	var all []*Figure
	add := func(figures ...*Figure) {
		for _, f := range figures {
			if f != nil {
				all = append(all, f)
			}
		}
	}
	for _, r := range s.Runs {
		add(r.Total, r.SupplyV, r.SupplyA, r.SupplyPower, r.Efficiency, r.Heat)
		for _, c := range r.Channels {
			add(c.Resistance, c.Volts, c.OutV, c.Power, c.Check, c.Distortion)
		}
	}
	for _, c := range s.Claims {
		add(c.Level)
		for _, ch := range c.Channels {
			add(ch.Mean)
		}
	}
	for _, spec := range s.Specs {
		add(spec.Measured)
	}
	for _, t := range s.Thermals {
		for _, p := range t.Points {
			add(p.TempC, p.Rise)
		}
	}
	for _, r := range s.Ratios {
		add(r.Figure)
	}
	for _, l := range s.Lines {
		add(l.E, l.Rs, l.Expected)
		for _, p := range l.Curve {
			add(p.Power)
		}
		for _, p := range l.Points {
			add(p.Power, p.Residual)
		}
	}
	if s.Exponent != nil {
		add(s.Exponent.K)
	}
	for _, c := range s.Claims {
		if c.Estimate == nil {
			continue
		}
		for _, e := range c.Estimate.Channels {
			add(e.Low, e.High, e.Own)
		}
	}
	return all
}
