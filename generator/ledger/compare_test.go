package ledger

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/formula"
)

func said(changes []Change) (lines []string) {
	for _, c := range changes {
		lines = append(lines, strings.ReplaceAll(fmt.Sprintf("%s: was %s, now %s: %s", c.Of, c.Was, c.Now, strings.Join(c.Why, "; ")), nbsp, " "))
	}
	return lines
}

// Every cause is named, for exactly the results that rest on it: was, now and why.
func TestEachCauseIsNamed(t *testing.T) {
	sealed := sealOf(t, nil, day1).Last()
	for _, row := range []struct {
		name  string
		edits []edit
		says  []string // among the changes
		heads string   // of all changes
	}{
		{"reading", []edit{{"record", "out_v = 20.10", "out_v = 19.10"}},
			[]string{
				"claim 8-ohm: was open (close), now short: run r3 was edited",
				"run r3 / channel L / power: was (50.4 ± 1.1) W, now (45.49 ± 0.98) W: run r3 was edited",
				"run r3 / readings: was as sealed, now edited: run r3 was edited",
			}, "claim 8-ohm, run r3, load line thd1 L"},
		{"run added", []edit{{"record", "[[spec]]", "[[run]]\nid = \"r9\"\nmethod = \"thd1\"\nload = \"a8\"\ndriven = [\"L\"]\nout_v = 20.4\nthdn_pct = 1.0\nsupply_v = 14.4\n[[spec]]"}},
			[]string{"claim 8-ohm / channel L / mean: was (50.4 ± 1.1) W, now (51.1 ± 1.1) W: run r9 was added"},
			"claim 8-ohm, load line thd1 L"},
		{"run marked invalid", []edit{{"record", "id = \"r2\"", "id = \"r2\"\ninvalid = \"the meter stood on DC\""}},
			[]string{
				"claim 4-ohm / channel L / mean: was (81.1 ± 1.7) W, now (80.8 ± 1.7) W: run r2 was marked invalid",
				"load line thd1 L / E: was (22.09 ± 0.33) V, now (22.10 ± 0.33) V: run r2 was marked invalid",
				"run r2 / readings: was valid, now invalid: run r2 was marked invalid",
			}, "claim 4-ohm, load line thd1 L, run r2"},
		{"run marked invalid, and with it a load line of three", []edit{{"record", "id = \"r5\"", "id = \"r5\"\ninvalid = \"the meter stood on DC\""}},
			[]string{
				"load line thd1 L / E: was (22.09 ± 0.33) V, now gone: run r5 was marked invalid",
				"load line thd1 L / Rs: was (0.848 ± 0.063) Ω, now gone: run r5 was marked invalid",
			}, ""},
		{"run edited, and with it a load line of three", []edit{{"record", "id = \"r5\"\nmethod = \"thd1\"", "id = \"r5\"\nmethod = \"clip\""}},
			[]string{"load line thd1 L / E: was (22.09 ± 0.33) V, now gone: run r5 was edited"}, ""},
		{"all runs marked invalid, and with them the ratios", []edit{
			{"record", "id = \"r1\"", "id = \"r1\"\ninvalid = \"x\""}, {"record", "id = \"r2\"", "id = \"r2\"\ninvalid = \"x\""}, {"record", "id = \"r3\"", "id = \"r3\"\ninvalid = \"x\""},
			{"record", "id = \"r4\"", "id = \"r4\"\ninvalid = \"x\""}, {"record", "id = \"r5\"", "id = \"r5\"\ninvalid = \"x\""}, {"record", "id = \"r6\"", "id = \"r6\"\ninvalid = \"x\""}},
			[]string{"now gone: run r1 was marked invalid; run r2 was marked invalid; run r3 was marked invalid; run r4 was marked invalid; run r5 was marked invalid; run r6 was marked invalid"}, ""},
		{"run taken out", []edit{{"record", recordText[strings.Index(recordText, "[[run]]\nid = \"r6\""):strings.Index(recordText, "[[spec]]")], ""}},
			[]string{"run r6 / channel L / power: was (99.8 ± 1.9) W, now gone: run r6 was taken out"}, "run r6"},
		{"claim edited", []edit{{"record", "power_w = 50", "power_w = 45"}},
			[]string{
				"claim 8-ohm: was open (close), now met: claim 8-ohm was edited",
				"claim 8-ohm / as stated: was as sealed, now edited: claim 8-ohm was edited",
			}, "claim 8-ohm"},
		{"instrument", []edit{{"bench", "reads = \"supply_a\"\nto = 100\nreading_pct = 2", "reads = \"supply_a\"\nto = 100\nreading_pct = 3"}},
			[]string{"run r1 / efficiency: was (66.5 ± 2.0) %, now (66.5 ± 2.6) %: instrument clamp was changed in bench.toml"}, "run r1, run r2"},
		{"another instrument", []edit{{"record", "id = \"r6\"", "id = \"r6\"\nwith = { out_v = \"other\" }"}},
			[]string{"run r6 / channel L / power: was (99.8 ± 1.9) W, now (99.8 ± 1.3) W: run r6 is read with another instrument; instrument other is used now"}, "run r6"},
		{"load", []edit{{"bench", "ohm = 8.02", "ohm = 8.04"}},
			[]string{"run r3 / channel L / power: was (50.4 ± 1.1) W, now (50.3 ± 1.1) W: load a8 was changed in bench.toml"},
			"claim 8-ohm, run r3, load line thd1 L"},
		{"pool", []edit{{"methods", "rel_pct = 0.5", "rel_pct = 2.5"}},
			[]string{"claim 4-ohm: was open (close), p = 0.823 … 0.943, now open (close), p = 0.694 … 0.779: the pool of thd1 was changed in methods.toml"},
			"claim 4-ohm, claim 8-ohm, claim 2-ohm, run r1, run r2, run r3, run r4, run r5, load line thd1 L, ratio power for volume, ratio power for mass"},
		{"method", []edit{{"methods", "answers_unstated = true\n", ""}},
			[]string{"claim 8-ohm: was open (close), now incomparable (unlike): method thd1 was changed in methods.toml"}, "claim 4-ohm, claim 8-ohm, claim 2-ohm"},
		{"rule", []edit{{"site", "[assume]", "[rule]\nmet_from = 0.55\nshort_to = 0.01\n[assume]"}},
			[]string{"the rule or the assumptions were changed in site.toml"}, ""},
		{"spec", []edit{{"record", "measured = 199.6", "measured = 199.1"}},
			[]string{"spec width / measured: was (199.60 ± 0.45) mm, now (199.10 ± 0.45) mm: spec width was edited"}, "spec width"},
		{"temperature", []edit{{"record", "52.5", "53.5"}},
			[]string{"temperature heat sink / point 2 / temperature: was (52.5 ± 2.3) °C, now (53.5 ± 2.3) °C: temperature heat sink was edited"}, "temperature heat sink"},
		{"mass", []edit{{"record", "mass_kg = 2", "mass_kg = 3"}},
			[]string{"the unit's channels, supply, size or mass were edited"}, "ratio power for mass"},
	} {
		t.Run(row.name, func(t *testing.T) {
			changes := Compare(sealed, StateOf(sheetOf(t, row.edits...)))
			lines := said(changes)
			for _, want := range row.says {
				if !slices.ContainsFunc(lines, func(l string) bool { return strings.Contains(l, want) }) {
					t.Errorf("nothing says %q", want)
				}
			}
			heads := strings.Join(headsOf(changes), ", ")
			if row.heads != "" && heads != row.heads {
				t.Errorf("changed are %s, want %s", heads, row.heads)
			}
			if t.Failed() {
				t.Log(strings.Join(lines, "\n"))
			}
		})
	}
}

// What only tells something, and what is new, changes no sealed result.
func TestWhatIsNoChange(t *testing.T) {
	sealed := sealOf(t, nil, day1).Last()
	for _, row := range []struct {
		name     string
		edit     edit
		unsealed string
	}{
		{"nothing", edit{"record", "", ""}, ""},
		{"a remark", edit{"record", "id = \"r1\"", "id = \"r1\"\nremarks = \"a warm day\""}, ""},
		{"the price", edit{"record", "price = 100", "price = 130"}, ""},
		{"where it is printed", edit{"record", "id = \"4-ohm\"", "id = \"4-ohm\"\nprinted_in = \"leaflet\""}, "claim 4-ohm"},
		{"a calibration", edit{"bench", "name = \"clamp\"", "name = \"clamp\"\ncalibrated = 2026-01-01"}, ""},
		{"the wording", edit{"methods", "driven up", "driven up slowly"}, ""},
		{"another form of the same number", edit{"bench", "ohm = 8.02", "ohm = 8.020"}, ""},
		{"the default, written", edit{"record", "id = \"r1\"", "id = \"r1\"\noutcome = \"completed\""}, ""},
		{"a new run that no claim looks at", edit{"record", "[[spec]]", "[[run]]\nid = \"r8\"\nmethod = \"clip\"\nload = \"a8\"\ndriven = [\"L\"]\nout_v = 23\nsupply_v = 14.4\n[[spec]]"}, "run r8"},
		{"a new claim", edit{"record", "[[run]]", "[[claim]]\nid = \"4-ohm-one\"\npower_w = 90\nload_ohm = 4\nchannels = 1\nsupply_v = 14.4\nthdn_pct = 1\n[[run]]"}, "claim 4-ohm-one"},
	} {
		now := StateOf(sheetOf(t, row.edit))
		if changes := Compare(sealed, now); len(changes) > 0 {
			t.Errorf("%s: %s", row.name, strings.Join(said(changes), "\n"))
		}
		if got := strings.Join(Unsealed(sealed, now), ", "); got != row.unsealed {
			t.Errorf("%s: not sealed are %q, want %q", row.name, got, row.unsealed)
		}
	}
}

// A formula whose arithmetic was changed says so; one that gives something else
// without a new revision is the program's.
func TestFormulaAndProgramAreNamed(t *testing.T) {
	sealed := sealOf(t, nil, day1).Last()
	now := StateOf(sheetOf(t))
	i := slices.IndexFunc(now.Figures, func(f Figure) bool { return f.Of == "run r1 / efficiency" })
	now.Figures[i].X *= 1.1
	if got := said(Compare(sealed, now)); len(got) != 1 || !strings.HasSuffix(got[0], ": nothing that it rests on changed: this program computes it otherwise") {
		t.Errorf("without a revision it says %q", got)
	}
	n := slices.IndexFunc(now.RestsOn, func(b Basis) bool { return b.What == "formula "+formula.Efficiency })
	now.RestsOn[n].Revision = 2
	if got := said(Compare(sealed, now)); len(got) != 1 || !strings.HasSuffix(got[0], ": formula efficiency has revision 2, and had 1") {
		t.Errorf("with a revision it says %q", got)
	}
}

// The twelfth digit may differ by one, as between processors, and a figure by a
// billionth of its U; any more is a change.
func TestTheLastDigitMayDiffer(t *testing.T) {
	sealed := sealOf(t, nil, day1).Last()
	i := slices.IndexFunc(sealed.Figures, func(f Figure) bool { return f.Of == "run r3 / channel L / power" })
	for _, row := range []struct {
		by   float64 // in units of the twelfth digit
		want int
	}{{0, 0}, {1, 0}, {-1, 0}, {200, 1}, {-200, 1}} {
		now := StateOf(sheetOf(t))
		now.Figures[i].X = digits(now.Figures[i].X + row.by*1e-10)
		if got := Compare(sealed, now); len(got) != row.want {
			t.Errorf("%v units: %d changes, want %d", row.by, len(got), row.want)
		}
		if row.want == 1 && math.Abs(now.Figures[i].X-sealed.Figures[i].X) > 1e-7 {
			t.Error("the change is larger than meant")
		}
	}
	now := StateOf(sheetOf(t))
	now.Figures[i].X += 1e-7
	if got := said(Compare(sealed, now)); len(got) != 1 || !strings.Contains(got[0], "was (50.3753117 ± 1.0803852) W, now (50.3753118 ± 1.0803852) W") {
		t.Errorf("a change below the shown digits says %q", got)
	}
}

// Two figures that round alike are told apart by as few digits as do it, on both sides alike.
func TestFiguresThatRoundAlike(t *testing.T) {
	for _, c := range []struct {
		x, u, y, w float64
		was, now   string
	}{
		{-0.146032242909, 0.198314191551, -0.152705411243, 0.198325183749, "(−0.146 ± 0.198) dB", "(−0.153 ± 0.198) dB"},
		{116.04, 5.31, 116.03, 5.33, "(116.04 ± 5.31) dB", "(116.03 ± 5.33) dB"},
		{2480.2, 54.1, 2480.1, 54.1, "(2480.2 ± 54.1) dB", "(2480.1 ± 54.1) dB"},
		{100, 1.5, 101, 1.5, "(100.0 ± 1.5) dB", "(101.0 ± 1.5) dB"},
		{100, 0, 101, 0, "100 dB", "101 dB"},
		{1e6, 120000, 1e6 + 1, 120000, "(1000000 ± 120000) dB", "(1000001 ± 120000) dB"},
	} {
		f, g := Figure{X: c.x, U: c.u, Unit: "dB"}, Figure{X: c.y, U: c.w, Unit: "dB"}
		if was, now := strings.ReplaceAll(figureText(f, g), nbsp, " "), strings.ReplaceAll(figureText(g, f), nbsp, " "); was != c.was || now != c.now {
			t.Errorf("was %s, now %s; want %s and %s", was, now, c.was, c.now)
		}
	}
}
