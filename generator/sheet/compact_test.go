package sheet

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattsheet/generator/record"
)

// oddBench has all that a power, a supply voltage or a load may be wrong by: finite
// degrees of freedom, a common gain with them, a correction, drift, the temperature
// of the air, and elements that get warm at the end of a lead.
const oddBench = testBench + moreLoads + `
[[instrument]]
id = "odd"
name = "a meter with everything"
calibrated = 2026-01-01
[[instrument.range]]
reads = "out_v"
to = 14
reading_pct = 1
shape = "normal"
k = 2
dof = 5
drift_pct_year = 0.5
tempco_pct_k = 0.05
from_c = 20
to_c = 25
correction_pct = 0.3
correction_pm_pct = 0.2
[[instrument.range]]
reads = "out_v"
to = 100
reading_pct = 0.6
constant = 0.05
gain_common = true
shape = "normal"
k = 2
dof = 4
drift_pct_year = 0.5
[[instrument.range]]
reads = "supply_v"
to = 100
reading_pct = 0.4
shape = "normal"
k = 2
dof = 3
correction = 0.02
correction_pm = 0.05
[[load]]
id = "warm4"
nominal_ohm = 4.01
ohm = 4.05
ohm_pct = 0.4
tempco_ppm = 200
tempco_pm_ppm = 60
hot_c = 120
hot_pm_c = 25
lead_ohm = 0.02
lead_pct = 10
calibration = "two"
`

// atPoints calls a function for each pair of units at each point of a content.
func atPoints(sheets []*Sheet, pair func(at Point, a, b *Standing)) {
	for _, at := range Points(sheets) {
		var all []*Standing
		for _, s := range sheets {
			all = append(all, StandingOf(s, at))
		}
		for i := range all {
			for _, b := range all[i:] {
				pair(at, all[i], b)
			}
		}
	}
}

// kept is a compact standing as another part of the program reads it back.
func kept(t rapid.TB, s *Standing) *Compact {
	c := s.Compact()
	text, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	out := &Compact{Slug: c.Slug, Name: c.Name}
	if err := json.Unmarshal(text, out); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(c, out) {
		t.Fatalf("%s: read back as another: %s", c.Slug, text)
	}
	return out
}

// agrees checks that two compact standings compare as the standings do, both ways
// round: the decision and its sentence, and each number of each corner.
func agrees(t rapid.TB, at Point, a, b *Standing) (apart bool) {
	for _, pair := range [][2]*Standing{{a, b}, {b, a}} {
		want := compare(pair[0], pair[1])
		got := CompactApart(kept(t, pair[0]), kept(t, pair[1]), at)
		name := a.Sheet.Slug + ", " + b.Sheet.Slug + " at " + at.Title()
		if got.Side != want.Side || got.Reason != want.Reason || got.Why != want.Why || got.PText != want.PText {
			t.Errorf("%s: %d, %q, %s, %s\nwant %d, %q, %s, %s", name, got.Side, got.Reason, got.Why, got.PText, want.Side, want.Reason, want.Why, want.PText)
		}
		if len(got.Corners) != len(want.Corners) || math.Abs(got.PMin-want.PMin) > 1e-9 || math.Abs(got.PMax-want.PMax) > 1e-9 {
			t.Fatalf("%s: p %v … %v at %d corners, want %v … %v at %d", name, got.PMin, got.PMax, len(got.Corners), want.PMin, want.PMax, len(want.Corners))
		}
		for i, c := range got.Corners {
			w := want.Corners[i]
			if math.Abs(c.P-w.P) > 1e-9 || !close(c.YA, w.YA, 1e-8) || !close(c.YB, w.YB, 1e-8) || !close(c.U, w.U, 1e-8) || !math.IsInf(w.DoF, 1) && !close(c.DoF, w.DoF, 1e-8) {
				t.Errorf("%s: corner %+v, want %+v", name, c, w)
			}
		}
		apart = want.Side != 0
	}
	return apart
}

// What is made compact compares as the whole sheets: all pairs of the demo and of a
// site as it may be after years.
func TestCompactComparesAsSheets(t *testing.T) {
	n := 50
	if testing.Short() {
		n = 12
	}
	for name, c := range map[string]*record.Content{"demo": demoContent(t, ""), "lifetime": lifetimeContent(t, n)} {
		var sheets []*Sheet
		for _, rec := range c.Records {
			sheets = append(sheets, Evaluate(c, rec))
		}
		pairs, apart := 0, 0
		atPoints(sheets, func(at Point, a, b *Standing) {
			if pairs++; agrees(t, at, a, b) {
				apart++
			}
		})
		if pairs < 100 || apart == 0 || apart == pairs {
			t.Errorf("%s: %d of %d pairs are told apart: the test sees little", name, apart, pairs)
		}
		t.Logf("%s: %d of %d pairs are told apart", name, apart, pairs)
	}
}

// The same of random records at a bench with all that a reading may have, units near
// each other and repeats on both sides of the common voltage.
func TestCompactComparesAsRandomSheets(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var texts []unitText
		for _, slug := range []string{"one", "two", "three"} {
			texts = append(texts, unitText{slug, drawRuns(r)})
		}
		atPoints(unitsAt(t, oddBench, texts...), func(at Point, a, b *Standing) { agrees(r, at, a, b) })
	})
}

// A run at the common voltage, but for what rounding left of a mean, is on neither side of it:
// standings, compact standings and other processors have to see the same corners.
func TestRunAtTheCommonVoltageIsOnNoSide(t *testing.T) {
	mean := (14.17 + (14.11+14.15)/2) / 2
	for _, c := range []struct {
		levels []float64
		want   bool
	}{
		{[]float64{14.11, 14.15}, false}, {[]float64{14.19, 14.15}, false}, {[]float64{14.11, 14.19}, true}, {nil, false},
		{[]float64{14.11, math.Nextafter(mean, 20)}, false}, {[]float64{14.19, math.Nextafter(mean, 0)}, false},
	} {
		if got := onBothSides(slices.Values(c.levels), mean); got != c.want {
			t.Errorf("%v around %v: %t", c.levels, mean, got)
		}
	}
	pairs := 0
	for _, volts := range []string{"14.11", "14.13", "14.15", "14.17", "14.19"} {
		units := unitsAt(t, oddBench, unitText{"one", run("r1", "supply_v = "+volts, `with.supply_v = "odd"`)},
			unitText{"two", run("r1", "supply_v = 14.11") + run("r2", "supply_v = 14.15", "at = 2026-03-02T12:00:00Z")})
		atPoints(units, func(at Point, a, b *Standing) {
			pairs++
			agrees(t, at, a, b)
		})
	}
	if pairs < 15 {
		t.Errorf("only %d pairs are compared", pairs)
	}
}

// drawRuns draws the runs of a unit of up to two channels.
func drawRuns(r *rapid.T) string {
	number := func(low, high int, name string) string {
		return fmt.Sprintf("%.2f", float64(rapid.IntRange(low, high).Draw(r, name))/100)
	}
	text, volts := "", rapid.SampledFrom([]int{1440, 1430, 1400, 1320}).Draw(r, "supply")
	for i := range rapid.IntRange(1, 4).Draw(r, "runs") {
		var driven, loads, out, distortion []string
		elements := rapid.Permutation([]string{"a4", "b4", "c4", "warm4"}).Draw(r, "loads")
		for n, c := range []string{`"L"`, `"R"`}[:rapid.IntRange(1, 2).Draw(r, "channels")] {
			driven, distortion = append(driven, c), append(distortion, "1.0")
			loads = append(loads, `"`+elements[n]+`"`)
			out = append(out, number(1350, 1800, "out"))
		}
		list := func(items []string) string { return "[" + strings.Join(items, ", ") + "]" }
		text += run(fmt.Sprint("r", i), "driven = "+list(driven), "load = "+list(loads), "out_v = "+list(out), "thdn_pct = "+list(distortion),
			"supply_v = "+number(volts-30, volts+30, "volts"), "at = 2026-03-0"+fmt.Sprint(1+i)+"T12:00:00Z", "ambient_c = "+number(1500, 3500, "air"),
			"with.out_v = \""+rapid.SampledFrom([]string{"dmm", "common", "odd"}).Draw(r, "meter")+"\"",
			"with.supply_v = \""+rapid.SampledFrom([]string{"dmm2", "odd"}).Draw(r, "supply meter")+"\"")
	}
	return text
}

// A compact standing is small, and has nothing of what is another's business.
func TestCompactIsSmall(t *testing.T) {
	s := units(t, unitText{"a", run("r1", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = [18, 18.1]", "thdn_pct = [1, 1]")},
		unitText{"b", run("r1") + run("r2", "supply_v = 14.41") + run("r3", "supply_v = 14.38")}, unitText{"c", run("r1", `outcome = "fuse"`)})
	for i, most := range []int{900, 1300, 200} {
		text, err := json.Marshal(StandingOf(s[i], fourOhms(s[i])).Compact())
		if err != nil || len(text) > most {
			t.Errorf("%d bytes, more than %d (%v): %s", len(text), most, err, text)
		}
		t.Logf("%d bytes: %s", len(text), text)
	}
}
