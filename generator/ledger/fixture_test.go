package ledger

import (
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// The fixture is an invented bench and an invented unit of two channels: six runs by
// two methods, three claims, a spec and a temperature.
const (
	siteText = `
title = "Test"
tester = "nobody"
currency = "EUR"
[assume]
thdn_pct = 1
supply_dc_v = 14.4
`
	benchText = `
[usual]
out_v = "dmm"
supply_v = "dmm"
supply_a = "clamp"
thdn_pct = "an"
[[instrument]]
id = "dmm"
name = "voltmeter"
[[instrument.range]]
reads = "out_v"
to = 100
reading_pct = 0.8
[[instrument.range]]
reads = "supply_v"
to = 100
reading_pct = 0.1
[[instrument]]
id = "other"
name = "another voltmeter"
[[instrument.range]]
reads = "out_v"
to = 100
reading_pct = 0.5
[[instrument]]
id = "clamp"
name = "clamp"
[[instrument.range]]
reads = "supply_a"
to = 100
reading_pct = 2
[[instrument]]
id = "an"
name = "analyser"
[[instrument.range]]
reads = "thdn_pct"
to = 100
reading_pct = 5
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
id = "a8"
nominal_ohm = 8
ohm = 8.02
ohm_pct = 0.5
[[load]]
id = "a2"
nominal_ohm = 2
ohm = 2.01
ohm_pct = 0.5
`
	methodsText = `
[[method]]
id = "thd1"
title = "at 1 %"
thdn_pct = 1
freq_hz = 1000
answers_unstated = true
wording = "driven up"
pool = { rel_pct = 0.5, dof = 12 }
[[method]]
id = "clip"
title = "clipped"
into_clipping = true
freq_hz = 1000
wording = "driven on"
`
	recordText = `
[unit]
maker = "Invented"
model = "Two"
channels = ["L", "R"]
price = 100
size_mm = [200, 50, 150]
mass_kg = 2
[source]
how = "own"
from = "nobody"
[[claim]]
id = "4-ohm"
power_w = 80
load_ohm = 4
channels = 2
supply_v = 14.4
thdn_pct = 1
[[claim]]
id = "8-ohm"
power_w = 50
load_ohm = 8
channels = 1
supply_v = 14.4
thdn_pct = 1
[[claim]]
id = "2-ohm"
power_w = 150
load_ohm = 2
channels = 1
supply_v = 14.4
thdn_pct = 1
[[run]]
id = "r1"
method = "thd1"
load = ["a4", "b4"]
out_v = [18.00, 18.10]
thdn_pct = [1.0, 1.0]
supply_v = 14.40
supply_a = 17.0
at = 2026-05-04T10:00:00+02:00
[[run]]
id = "r2"
method = "thd1"
load = ["a4", "b4"]
out_v = [18.06, 18.02]
thdn_pct = [1.0, 1.0]
supply_v = 14.40
supply_a = 17.1
at = 2026-05-04T10:10:00+02:00
[[run]]
id = "r3"
method = "thd1"
load = "a8"
driven = ["L"]
out_v = 20.10
thdn_pct = 1.0
supply_v = 14.40
[[run]]
id = "r4"
method = "thd1"
load = "a4"
driven = ["L"]
out_v = 18.20
thdn_pct = 1.0
supply_v = 14.40
[[run]]
id = "r5"
method = "thd1"
load = "a2"
driven = ["L"]
out_v = 15.60
thdn_pct = 1.0
supply_v = 14.40
[[run]]
id = "r6"
method = "clip"
load = ["a4", "b4"]
out_v = [20.00, 20.10]
supply_v = 14.30
[[spec]]
id = "width"
name = "width"
unit = "mm"
limit = "at-most"
stated = 200
measured = 199.6
pm = 0.4
[[thermal]]
spot = "heat sink"
temp_c = [41.0, 52.5]
at_min = [0, 10]
ambient_c = 21
after = "r5"
pm = 2
`
)

// An edit replaces a text of a file that is in it once at least.
type edit struct{ file, old, with string }

// sheetOf evaluates the fixture with edits made to it.
func sheetOf(t testing.TB, edits ...edit) *sheet.Sheet {
	t.Helper()
	files := map[string]string{"site": siteText, "bench": benchText, "methods": methodsText, "record": recordText}
	for _, e := range edits {
		switch {
		case e.old == "":
			files[e.file] += e.with
		case !strings.Contains(files[e.file], e.old):
			t.Fatalf("%s has no %q", e.file, e.old)
		default:
			files[e.file] = strings.Replace(files[e.file], e.old, e.with, 1)
		}
	}
	file := func(name string) *record.File { return &record.File{Name: name + ".toml", Text: []byte(files[name])} }
	c := &record.Content{}
	var all [4]record.Problems
	c.Site, all[0] = record.DecodeSite(file("site"))
	c.Bench, all[1] = record.DecodeBench(file("bench"))
	c.Methods, all[2] = record.DecodeMethods(file("methods"))
	rec, more := record.DecodeRecord(file("record"), "two")
	c.Records, all[3] = []*record.Record{rec}, more
	if problems := slices.Concat(all[0], all[1], all[2], all[3], c.Check()); problems.Errors() {
		t.Fatal(problems)
	}
	return sheet.Evaluate(c, rec)
}

const day1, day2, day3 = "2026-05-05T10:00:00+02:00", "2026-06-05T10:00:00+02:00", "2026-07-05T10:00:00+02:00"

// sealOf seals the fixture with edits, upon a ledger.
func sealOf(t testing.TB, l *Ledger, date string, edits ...edit) *Ledger {
	t.Helper()
	out, err := Seal(l, Follow(l, sheetOf(t, edits...)), date, "", []byte("{}\n"))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// correcting is a [[correction]] of these results.
func correcting(changes string) edit {
	return edit{"record", "", `
[[correction]]
date = 2026-06-01
kind = "mistake"
reason = "The meter stood on another range."
noticed_by = "a viewer"
effect = "Less power."
changes = [` + changes + `]
`}
}

// three is a ledger of three entries, the second of which has a correction, and the
// edits that its last entry stands for.
func three(t testing.TB) (*Ledger, []edit) {
	t.Helper()
	first := sealOf(t, nil, day1)
	edits := []edit{{"record", "out_v = 20.10", "out_v = 19.10"}, correcting(`"run r3", "claim 8-ohm", "load line thd1 L"`)}
	second := sealOf(t, first, day2, edits...)
	edits = append(edits, edit{"record", "", "\n[[run]]\nid = \"r7\"\nmethod = \"clip\"\nload = \"a8\"\ndriven = [\"L\"]\nout_v = 23.0\nsupply_v = 14.4\n"})
	return sealOf(t, second, day3, edits...), edits
}

func readAgain(t testing.TB, text []byte) (*Ledger, record.Problems) {
	t.Helper()
	return Read(&record.File{Name: "ledger.toml", Text: text})
}
