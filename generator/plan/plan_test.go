package plan

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"wattsheet/generator/record"
)

// A fixture is content as a tester writes it, for one unit.
type fixture struct{ site, bench, methods, record string }

const (
	testSite  = "title = 'Plans'\ntester = 'nobody'\n[assume]\nthdn_pct = 1\nsupply_dc_v = 14.4\nsupply_mains_v = 230\n"
	testBench = `
[usual]
out_v = "volts"
thdn_pct = "analyser"
supply_v = "dc"
supply_a = "clamp"
[[supply]]
id = "bank"
name = "bank"
volts = 14.4
amps = 100
[[supply]]
id = "wall"
name = "wall"
volts = 230
amps = 10
[[instrument]]
id = "volts"
name = "volts"
bandwidth_hz = 20000
due = 2027-01-01
range = [{ reads = "out_v", to = 19.99, reading_pct = 0.5 }, { reads = "out_v", to = 199.9, reading_pct = 0.5 }]
[[instrument]]
id = "dc"
name = "dc"
range = [{ reads = "supply_v", to = 300, reading_pct = 0.1 }]
[[instrument]]
id = "clamp"
name = "clamp"
range = [{ reads = "supply_a", to = 60, reading_pct = 1 }]
[[instrument]]
id = "analyser"
name = "analyser"
range = [{ reads = "thdn_pct", to = 30, reading_pct = 3 }]
[[load]]
id = "a4"
nominal_ohm = 4
ohm = 4.01
ohm_pct = 0.5
max_w = 300
[[load]]
id = "b4"
nominal_ohm = 4
ohm = 3.99
ohm_pct = 0.5
max_w = 300
[[load]]
id = "a2"
nominal_ohm = 2
ohm = 2.005
ohm_pct = 0.5
max_w = 900
[[load]]
id = "b2"
nominal_ohm = 2
ohm = 1.995
ohm_pct = 0.5
max_w = 900
`
	testMethods = `
[[method]]
id = "thd1"
title = "at 1 % THD+N"
freq_hz = 1000
thdn_pct = 1
duration_s = 30
answers_unstated = true
wording = "w"
pool = { rel_pct = 0.8, dof = 8 }
[[method]]
id = "thd10"
title = "at 10 % THD+N"
freq_hz = 1000
thdn_pct = 10
duration_s = 15
answers_unstated = true
wording = "w"
pool = { rel_pct = 0.8, dof = 8 }
[[method]]
id = "long"
title = "for five minutes"
freq_hz = 1000
thdn_pct = 1
duration_s = 300
wording = "w"
pool = { rel_pct = 0.8, dof = 8 }
[[method]]
id = "burst"
title = "tone burst"
signal = "burst"
freq_hz = 1000
thdn_pct = 1
duration_s = 20
burst_ms = 20
every_ms = 500
answers_unstated = true
wording = "w"
pool = { rel_pct = 0.8, dof = 8 }
`
	testUnit = `
[unit]
maker = "Invented"
model = "Plan"
channels = ["L", "R"]
class = "D"
fuses_a = [30, 30]
lowest_ohm = 2
lowest_bridged_ohm = 4
[source]
how = "own"
from = "nobody"
`
)

// claim writes a claim of one channel at 14.4 V and 1 %, with more keys.
func claim(id, watts, ohm string, more ...string) string {
	return "[[claim]]\nid = '" + id + "'\npower_w = " + watts + "\nload_ohm = " + ohm + "\n" + strings.Join(append([]string{"channels = 1", "supply_v = 14.4", "thdn_pct = 1"}, more...), "\n") + "\n"
}

func with(claims ...string) fixture {
	return fixture{testSite, testBench, testMethods, testUnit + strings.Join(claims, "")}
}

// but replaces a text of any of the files, which has to be there.
func (f fixture) but(old, by string) fixture {
	found := false
	for _, text := range []*string{&f.site, &f.bench, &f.methods, &f.record} {
		found = found || strings.Contains(*text, old)
		*text = strings.Replace(*text, old, by, 1)
	}
	if !found {
		panic("the fixture has no " + old)
	}
	return f
}

// decoded are the fixture's files.
func (f fixture) decoded(t testing.TB) (*record.Content, *record.Record) {
	t.Helper()
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	var problems [4]record.Problems
	var rec *record.Record
	c.Site, problems[0] = record.DecodeSite(file("site.toml", f.site))
	c.Bench, problems[1] = record.DecodeBench(file("bench.toml", f.bench))
	c.Methods, problems[2] = record.DecodeMethods(file("methods.toml", f.methods))
	rec, problems[3] = record.DecodeRecord(file("record.toml", f.record), "plan")
	c.Records = []*record.Record{rec}
	if all := append(slices.Concat(problems[:]...), c.Check()...); all.Errors() {
		t.Fatal(all.Error())
	}
	return &c, rec
}

func (f fixture) plan(t testing.TB) *Plan {
	t.Helper()
	c, rec := f.decoded(t)
	return Make(c, rec, "2026-10-09")
}

// demo is the content of the demo site, whose records are all in it.
func demo(t testing.TB) *record.Content {
	t.Helper()
	read := func(name string) *record.File {
		text, err := os.ReadFile(filepath.Join("..", "..", "content", filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		return &record.File{Name: name, Text: text}
	}
	var c record.Content
	var problems record.Problems
	add := func(more record.Problems) { problems = append(problems, more...) }
	var more record.Problems
	c.Site, more = record.DecodeSite(read("site.toml"))
	add(more)
	c.Bench, more = record.DecodeBench(read("bench.toml"))
	add(more)
	c.Methods, more = record.DecodeMethods(read("methods.toml"))
	add(more)
	units, err := filepath.Glob("../../content/units/*/record.toml")
	if err != nil || len(units) < 10 {
		t.Fatal(units, err)
	}
	for _, name := range units {
		slug := filepath.Base(filepath.Dir(name))
		rec, more := record.DecodeRecord(read("units/"+slug+"/record.toml"), slug)
		add(more)
		c.Records = append(c.Records, rec)
	}
	add(c.Check())
	if problems.Errors() {
		t.Fatal(problems.Error())
	}
	return &c
}

// planned is the demo's content and the plan of each of its units, made once.
var planned = sync.OnceValue(func() (d struct {
	content *record.Content
	plans   []*Plan
}) {
	d.content = demo(panicking{})
	for _, rec := range d.content.Records {
		d.plans = append(d.plans, Make(d.content, rec, "2026-10-09"))
	}
	return d
})

// panicking stands for a test where there is none.
type panicking struct{ testing.TB }

func (panicking) Helper()           {}
func (panicking) Fatal(args ...any) { panic(args) }

// ids are a run's flags.
func (r *Run) ids() (ids []string) {
	for _, f := range r.Flags {
		ids = append(ids, f.ID)
	}
	return ids
}

// On a bench that has both, the volts of the mains are read by what measures its power,
// though the usual meter's range would hold them: that one is on DC.
func TestMainsAreReadAtTheMains(t *testing.T) {
	const meter = "[[instrument]]\nid = \"plug\"\nname = \"plug\"\nrange = [{ reads = \"supply_w\", to = 3000, reading_pct = 1 }, { reads = \"supply_v\", to = 300, reading_pct = 1 }]\n"
	home := with(strings.Replace(claim("c", "100", "4"), "14.4", "230", 1)).but("class = \"D\"", "class = \"D\"\nsupply = \"mains\"")
	both := home.but("[[load]]\nid = \"a4\"", meter+"[[load]]\nid = \"a4\"")
	for _, row := range []struct {
		name  string
		of    fixture
		meter string
		other bool
	}{
		{"both", both, "plug", true},
		{"a car's unit", with(claim("c", "100", "4")).but("[[load]]\nid = \"a4\"", meter+"[[load]]\nid = \"a4\""), "dc", false},
		{"no meter of the mains", home, "dc", false},
		{"the usual one", both.but("supply_v = \"dc\"", "supply_v = \"plug\""), "plug", false},
	} {
		p := row.of.plan(t)
		i := slices.IndexFunc(p.Runs[0].Meters, func(m Meter) bool { return m.Reads == "supply_v" })
		if m := p.Runs[0].Meters[i]; m.Instrument != row.meter || m.Other != row.other {
			t.Errorf("%s: %+v", row.name, m)
		}
	}
}
