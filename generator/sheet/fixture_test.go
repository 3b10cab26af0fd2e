package sheet

import (
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// The bench of the tests: one voltmeter for everything at the output, another for
// the supply, a clamp, an analyser, two 4 Ω elements measured in one go.
const testBench = `
[usual]
out_v = "dmm"
power_w = "wm"
thdn_pct = "an"
supply_v = "dmm2"
supply_a = "clamp"
supply_w = "wm"
[[instrument]]
id = "dmm"
name = "output meter"
bandwidth_hz = 20000
[[instrument.range]]
reads = "out_v"
to = 100
reading_pct = 0.8
digits = 3
resolution = 0.01
[[instrument]]
id = "dmm2"
name = "supply meter"
due = 2026-12-31
shortest_burst_ms = 10
[[instrument.range]]
reads = "supply_v"
to = 300
reading_pct = 0.1
[[instrument]]
id = "slow"
name = "slow supply meter"
[[instrument.range]]
reads = "supply_v"
to = 300
reading_pct = 0.1
[[instrument]]
id = "common"
name = "meter with a common gain"
[[instrument.range]]
reads = "out_v"
to = 100
reading_pct = 0.8
digits = 3
resolution = 0.01
gain_common = true
[[instrument]]
id = "clamp"
name = "clamp"
[[instrument.range]]
reads = "supply_a"
to = 400
reading_pct = 1
[[instrument]]
id = "an"
name = "analyser"
[[instrument.range]]
reads = "thdn_pct"
to = 100
reading_pct = 5
[[instrument]]
id = "wm"
name = "watt-meter"
[[instrument.range]]
reads = "power_w"
to = 5000
reading_pct = 0.5
[[instrument.range]]
reads = "supply_w"
to = 5000
reading_pct = 0.5
[[load]]
id = "a4"
nominal_ohm = 4
ohm = 4
ohm_pct = 0.5
calibration = "one"
[[load]]
id = "b4"
nominal_ohm = 4
ohm = 4
ohm_pct = 0.5
calibration = "one"
[[load]]
id = "far4"
nominal_ohm = 4
ohm = 4.3
ohm_pct = 0.5
calibration = "one"
[[load]]
id = "a8"
nominal_ohm = 8
ohm = 8
ohm_pct = 0.5
calibration = "one"
[[load]]
id = "a1"
nominal_ohm = 1
ohm = 1
ohm_pct = 0.5
calibration = "one"
[[load]]
id = "a2"
nominal_ohm = 2
ohm = 2
ohm_pct = 0.5
calibration = "one"
`

// checkUnit is appended to the bench where a test needs one.
const checkUnit = `
[check_unit]
name = "an old amplifier"
method = "thd1"
load = "a4"
day = [
  { date = 2026-09-01, out_v = 18.00 },
  { date = 2026-09-02, out_v = 18.02 },
  { date = 2026-09-03, out_v = 17.98 },
  { date = 2026-09-04, out_v = 18.01 },
  { date = 2026-09-05, out_v = LAST },
]
`

const testMethods = `
[[method]]
id = "thd1"
title = "at 1 % THD+N"
freq_hz = 1000
thdn_pct = 1
duration_s = 2
answers_unstated = true
wording = "driven until the analyser shows 1 %"
pool = { rel_pct = 1, dof = 8 }
[[method]]
id = "clip"
title = "clipped"
freq_hz = 1000
into_clipping = true
duration_s = 2
answers_unstated = true
wording = "driven into clipping"
pool = { rel_pct = 1, dof = 8 }
[[method]]
id = "long"
title = "five minutes"
freq_hz = 1000
thdn_pct = 1
duration_s = 300
wording = "held for five minutes"
pool = { rel_pct = 1, dof = 8 }
[[method]]
id = "burst"
title = "tone burst"
signal = "burst"
burst_ms = 20
every_ms = 500
freq_hz = 1000
thdn_pct = 1
answers_unstated = true
wording = "bursts"
pool = { rel_pct = 1, dof = 8 }
`

const testSite = `
title = "Test"
tester = "nobody"
[assume]
thdn_pct = 1
supply_dc_v = 14.4
`

const testUnit = `
[unit]
maker = "Invented"
model = "Two"
channels = ["L", "R"]
class = "AB"
[source]
how = "bought"
from = "a shop"
`

// claim75 is a claim of 75 W into 4 Ω, one channel, with all its conditions.
const claim75 = `
[[claim]]
id = "c"
power_w = 75
load_ohm = 4
channels = 1
supply_v = 14.4
thdn_pct = 1
`

// run writes a run of one channel at 4 Ω with the given id and further keys, which
// come first and so override the ones that stand here.
func run(id string, more ...string) string {
	keys := map[string]string{
		"method": `"thd1"`, "load": `"a4"`, "driven": `["L"]`, "thdn_pct": "1.0", "supply_v": "14.4", "out_v": "18",
	}
	order := []string{"method", "load", "driven", "thdn_pct", "supply_v", "out_v"}
	for _, m := range more {
		key, value, _ := strings.Cut(m, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		if _, has := keys[key]; !has {
			order = append(order, key)
		}
		keys[key] = value
	}
	var b strings.Builder
	b.WriteString("\n[[run]]\nid = \"" + id + "\"\n")
	for _, k := range order {
		if keys[k] != "" {
			b.WriteString(k + " = " + keys[k] + "\n")
		}
	}
	return b.String()
}

// evaluate decodes and evaluates a record of the test's unit.
func evaluate(t *testing.T, site, claimsAndRuns string) *Sheet {
	t.Helper()
	return evaluateUnit(t, site, testUnit, claimsAndRuns)
}

func evaluateUnit(t *testing.T, site, unit, claimsAndRuns string) *Sheet {
	t.Helper()
	return evaluateAt(t, site, testBench, testMethods, unit+claimsAndRuns)
}

// evaluateAt evaluates a record at another bench or by other methods.
func evaluateAt(t *testing.T, site, bench, methods, text string) *Sheet {
	t.Helper()
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	var all, p record.Problems
	c.Site, p = record.DecodeSite(file("site.toml", site))
	all = append(all, p...)
	c.Bench, p = record.DecodeBench(file("bench.toml", bench))
	all = append(all, p...)
	c.Methods, p = record.DecodeMethods(file("methods.toml", methods))
	all = append(all, p...)
	rec, p := record.DecodeRecord(file("record.toml", text), "two")
	all = append(all, p...)
	c.Records = []*record.Record{rec}
	all = append(all, c.Check()...)
	if all.Errors() {
		t.Fatal(all.Error())
	}
	return Evaluate(&c, rec)
}
