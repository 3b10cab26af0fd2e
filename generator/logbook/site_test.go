package logbook

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/plan"
	"wattsheet/generator/record"
)

var update = flag.Bool("update", false, "write the golden files anew")

// day is when the tests are at the bench.
var day = time.Date(2026, 11, 26, 14, 5, 10, 0, time.FixedZone("", 3600))

const siteText = `title = "Test"
tester = "nobody"
assume = { thdn_pct = 1, supply_dc_v = 14.4 }
`

const benchText = `[usual]
out_v = "dmm"
thdn_pct = "an"
supply_v = "dmm"
supply_a = "clamp"
[[instrument]]
id = "dmm"
name = "meter"
[[instrument.range]]
reads = "out_v"
to = 200
reading_pct = 0.5
[[instrument.range]]
reads = "supply_v"
to = 60
reading_pct = 0.1
[[instrument]]
id = "mains"
name = "meter for the mains"
[[instrument.range]]
reads = "supply_v"
to = 300
reading_pct = 0.2
[[instrument]]
id = "clamp"
name = "clamp"
[[instrument.range]]
reads = "supply_a"
to = 400
reading_pct = 1.5
[[instrument]]
id = "an"
name = "analyser"
[[instrument.range]]
reads = "thdn_pct"
to = 30
reading_pct = 4
[[load]]
id = "a4"
nominal_ohm = 4
ohm = 4.01
ohm_pct = 0.5
[[load]]
id = "b4"
nominal_ohm = 4
ohm = 3.99
ohm_pct = 0.5
[[load]]
id = "a2"
nominal_ohm = 2
ohm = 2.01
ohm_pct = 0.5
`

const checkText = `
[check_unit]
name = "a module of the workshop's own"
method = "thd1"
load = "a4"
[[check_unit.day]]
date = 2026-11-24
out_v = 14.88
supply_v = 12.60
[[check_unit.day]]
date = 2026-11-25
out_v = 14.86
supply_v = 12.61
`

const methodsText = `[[method]]
id = "thd1"
title = "at 1 % THD+N"
freq_hz = 1000
thdn_pct = 1
answers_unstated = true
wording = "driven up"
pool = { rel_pct = 0.8, runs = ["elsewhere/r01"] }
[[method]]
id = "burst"
title = "tone burst"
signal = "burst"
burst_ms = 20
freq_hz = 1000
thdn_pct = 1
wording = "in bursts"
pool = { rel_pct = 1.5 }
`

// recordText is a unit of two channels with a claim of 75 W at 4 ohms.
const recordText = `[unit]
maker = "Mossfettle"
model = "Brackenjar 75"
channels = ["L", "R"]
class = "AB"

[source]
how = "bought"
from = "a shop"

[[claim]]
id = "4-ohm"
power_w = 75
load_ohm = 4
channels = 2
supply_v = 14.4
thdn_pct = 1
`

const runText7 = `
[[run]]
id = "r07"
method = "thd1"
load = ["a4", "b4"]
out_v = [17.41, 17.38]
thdn_pct = [1.00, 0.99]
supply_v = 14.40
supply_a = 17.9
`

// newSite writes a site with one unit, called unit, and gives its root and its record.
func newSite(t testing.TB, bench, text string) (root, file string) {
	t.Helper()
	root = t.TempDir()
	file = filepath.Join(root, "content", "units", "unit", "record.toml")
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		file: text, filepath.Join(root, siteFile): siteText,
		filepath.Join(root, benchFile): bench, filepath.Join(root, methodsFile): methodsText,
	} {
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return root, file
}

// begin opens the unit of a site and begins a dialogue without the check unit.
func begin(t *testing.T, root string) *Dialogue {
	t.Helper()
	return beginning(t, root, false)
}

// beginning is a dialogue, aloud as at a terminal or as of a script.
func beginning(t testing.TB, root string, aloud bool) *Dialogue {
	t.Helper()
	b, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(b.Close)
	d, _ := Begin(b, byPlan, day, aloud)
	return d
}

func contents(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// runsOf decodes a record of the test site.
func runsOf(t *testing.T, text string) []record.Run {
	t.Helper()
	r, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: []byte(text)}, "unit")
	if problems.Errors() {
		t.Fatalf("the record doesn't decode:\n%v\n%s", problems, text)
	}
	return r.Runs
}

// must says lines that have to be taken.
func must(t *testing.T, d *Dialogue, lines ...string) (said []string) {
	t.Helper()
	for _, line := range lines {
		r := d.Take(line, day)
		if r.Err != nil {
			t.Fatalf("%q is refused: %v", line, r.Err)
		}
		said = append(said, r.Said...)
	}
	return said
}

func contains(lines []string, text string) bool {
	return strings.Contains(strings.ReplaceAll(strings.Join(lines, "\n"), nbsp, " "), text)
}

// byPlan is the plan of a record, as the command hands it on.
func byPlan(c *record.Content, rec *record.Record) []Planned {
	var out []Planned
	for _, r := range plan.Make(c, rec, "2026-11-26").Runs {
		p := Planned{Method: r.Method, FreqHz: float64(r.FreqHz), Bridged: r.Bridged, SupplyV: float64(r.Supply.V), EfficiencyPct: float64(r.Supply.EfficiencyPct), Claims: r.Claims}
		for _, o := range r.Outputs {
			p.Outputs = append(p.Outputs, PlannedOutput{o.Channel, o.Load, float64(o.LoadOhm), float64(o.W), float64(o.V)})
		}
		out = append(out, p)
	}
	return out
}
