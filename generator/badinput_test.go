package generator_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

// Content that holds every numeric key of every file, to be spoiled one by one.
var whole = map[string]string{
	"site.toml": `title = "Spoiled"
tester = "nobody"
currency = "EUR"
[rule]
met_from = 0.95
short_to = 0.05
allowance_pct = 0
[assume]
thdn_pct = 1
supply_dc_v = 14.4
supply_mains_v = 230
`,
	"bench.toml": `[usual]
out_v = "v"
power_w = "w"
thdn_pct = "an"
supply_v = "vs"
supply_a = "clamp"
supply_w = "w"
load_c = "th"
[[supply]]
id = "psu"
name = "a supply"
volts = 14.4
amps = 200
lead_mm2 = 35
lead_cables = 2
lead_m = 1.1
[[expect]]
class = "AB"
efficiency_pct = 62
[[instrument]]
id = "v"
name = "volts"
bandwidth_hz = 20000
crest_factor = 3
range = [{ reads = "out_v", to = 100, reading_pct = 0.8, range_pct = 0.1, digits = 3, resolution = 0.01 }]
[[instrument]]
id = "w"
name = "watts"
range = [{ reads = "power_w", to = 5000, reading_pct = 0.5 }, { reads = "supply_w", to = 5000, reading_pct = 0.5 }]
[[instrument]]
id = "an"
name = "analyser"
distortion_of = "total"
range = [{ reads = "thdn_pct", to = 100, reading_pct = 5 }]
[[instrument]]
id = "vs"
name = "supply volts"
shortest_burst_ms = 10
range = [{ reads = "supply_v", to = 300, reading_pct = 0.1 }]
[[instrument]]
id = "clamp"
name = "clamp"
range = [{ reads = "supply_a", to = 400, reading_pct = 1 }]
[[instrument]]
id = "th"
name = "thermometer"
range = [{ reads = "load_c", to = 400, digits = 20, resolution = 0.1 }]
[[load]]
id = "a8"
nominal_ohm = 8
ohm = 8.01
ohm_pct = 0.5
[[load]]
id = "a4"
nominal_ohm = 4
ohm = 4.01
ohm_pct = 0.5
at_c = 20
tempco_ppm = 100
tempco_pm_ppm = 20
hot_c = 60
hot_pm_c = 10
lead_ohm = 0.01
lead_pct = 10
max_w = 500
[[load]]
id = "a2"
nominal_ohm = 2
ohm = 2.01
ohm_pct = 0.5
[check_unit]
name = "an old amplifier"
method = "thd1"
load = "a4"
day = [{ date = 2026-09-01, out_v = 18.00, supply_v = 14.4 }, { date = 2026-09-02, out_v = 18.02, supply_v = 14.4 }]
`,
	"methods.toml": `[[method]]
id = "thd1"
title = "at 1 %"
freq_hz = 1000
thdn_pct = 1
low_hz = 50
high_hz = 3500
duration_s = 2
answers_up_to_s = 2
answers_unstated = true
supply_ripple_pct = 1
wording = "driven to 1 %"
pool = { rel_pct = 1, dof = 8 }
[[method]]
id = "burst"
title = "burst"
signal = "burst"
freq_hz = 1000
burst_ms = 20
every_ms = 500
answers_unstated = true
wording = "bursts"
`,
	"units/spoiled/record.toml": `[unit]
maker = "Invented"
model = "Spoiled"
channels = ["L", "R"]
class = "AB"
year = 2026
price = 300
size_mm = [200, 50, 100]
mass_kg = 2.5
fuses_a = [30, 30]
lowest_ohm = 2
lowest_bridged_ohm = 4
[source]
how = "own"
from = "nobody"
[[claim]]
id = "c"
power_w = 75
load_ohm = 4
channels = 1
driven = 1
supply_v = 14.4
thdn_pct = 1
freq_hz = 1000
[[claim]]
id = "d"
power_w = 75
load_ohm = 4
channels = 1
duration_s = 1
[[run]]
id = "r8"
method = "thd1"
driven = ["L"]
load = "a8"
out_v = 19.51
thdn_pct = 1.0
supply_v = 14.4
[[run]]
id = "r4"
method = "thd1"
driven = ["L"]
load = "a4"
out_v = 19.05
power_w = 90
thdn_pct = 1.0
supply_v = 14.4
supply_a = 10.1
freq_hz = 1000
load_c = 61
ambient_c = 22
warm_up_min = 10
lasted_s = 2
[[run]]
id = "s4"
method = "thd1"
driven = ["L"]
load = "a4"
out_v = 19.07
thdn_pct = 1.0
supply_v = 14.3
supply_w = 145
[[run]]
id = "r2"
method = "thd1"
driven = ["L"]
load = "a2"
out_v = 18.18
thdn_pct = 1.0
supply_v = 14.4
[[run]]
id = "n4"
method = "thd1"
driven = ["R"]
load_ohm = 4
power_w = 85
thdn_pct = 1.0
supply_v = 14.5
[[run]]
id = "k8"
method = "thd1"
driven = ["R"]
load = "a8"
supply_v = 14.4
capture = "c01"
from_s = 0.01
to_s = 0.4
[[capture]]
id = "c01"
file = "one.csv"
clock_pct = 0.01
rate_hz = 8000
[[capture.channel]]
column = 1
role = "out"
of = "R"
scale = 20
scale_pct = 0.5
scale_k = 2
offset = 0.1
offset_pm = 0.02
[[spec]]
id = "s"
name = "corner"
unit = "Hz"
limit = "between"
stated = 50
stated_to = 200
tolerance = 5
measured = [52, 53]
pm = 1
[[spec]]
id = "t"
name = "noise"
limit = "about"
stated = 80
tolerance_pct = 5
measured = 81
pm = 1
[[spec]]
id = "u"
name = "low-pass"
unit = "Hz"
limit = "about"
stated = 60
capture = "c02"
capture_as = "corner-high"
from_s = 0.01
to_s = 2.8
at_hz = 12
drop_db = 4
[[spec]]
id = "v"
name = "noise, by a capture"
unit = "dB"
limit = "at-least"
stated = 10
capture = "c02"
capture_as = "signal-to-noise"
low_hz = 40
high_hz = 400
weighting = "a"
ref_w = 100
ref_ohm = 4
[[capture]]
id = "c02"
file = "two.csv"
clock_pct = 0.01
rate_hz = 1000
[[capture.channel]]
column = 1
role = "out"
of = "L"
scale = 20
scale_pct = 0.5
[[thermal]]
spot = "fin"
temp_c = [40, 61]
at_min = [0, 5]
ambient_c = 22
emissivity = 0.95
pm = 2
[[shop]]
name = "a shop"
link = "https://shop.example/"
price = 299
`,
}

// The samples of the content's capture: a tone of 1 kHz with some of its third harmonic.
func init() {
	var b strings.Builder
	b.WriteString("out\n")
	for i := range 3600 {
		phase := 2 * math.Pi * float64(i) / 8
		fmt.Fprintf(&b, "%.5f\n", math.Sin(phase)+0.01*math.Sin(3*phase))
	}
	whole["units/spoiled/one.csv"] = b.String()

	// And of a sweep through a filter of first order at 60 Hz.
	b.Reset()
	b.WriteString("out\n")
	for f := 8.0; f < 200; f *= math.Exp2(1. / 8) {
		for i := range int(2000 / f) {
			fmt.Fprintf(&b, "%.5f\n", math.Sin(2*math.Pi*f*float64(i)/1000)/math.Hypot(1, f/60))
		}
	}
	whole["units/spoiled/two.csv"] = b.String()
}

// load writes content into a folder and loads it.
func load(t *testing.T, content map[string]string) (*site.Site, record.Problems) {
	t.Helper()
	root := t.TempDir()
	for name, text := range content {
		file := filepath.Join(root, "content", filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s, problems, err := site.Inspect(root, time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	return s, problems
}

// follow goes the whole way with content: it stops with errors that have a place and
// a hint, or every page and file of the site holds only numbers.
func follow(t *testing.T, content map[string]string) (*site.Site, record.Problems) {
	t.Helper()
	s, problems := load(t, content)
	if problems.Errors() {
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.Summary == "" || p.Hint == "" || !strings.HasPrefix(p.File, "content/") {
				t.Errorf("an error without its place or a hint: %+v", p)
			}
		}
		return s, problems
	}
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		t.Fatalf("passes its checks, but gives no site: %v %v", err, problems)
	}
	for _, o := range outputs {
		if text := digested.ReplaceAllString(string(o.Bytes), ""); !strings.HasPrefix(o.Path, "assets/") {
			if at := noNumberIn(text); at != nil {
				t.Fatalf("%s has %q", o.Path, text[max(0, at[0]-90):min(len(text), at[1]+40)])
			}
		}
	}
	for _, f := range slices.Concat(s.Sheets[0].Findings, sheet.BenchFindings(s.Content)) {
		if file, line, column := f.Place.Position(); file == "" || line < 1 || column < 1 {
			t.Errorf("the finding %s has no place", f.ID)
		}
	}
	return s, nil
}

// spoiled returns the content with one text of one file replaced, from a place on.
func spoiled(file, old, by string) map[string]string {
	out := map[string]string{}
	for name, text := range whole {
		out[name] = text
	}
	if !strings.Contains(out[file], old) {
		panic(file + " has no " + old)
	}
	out[file] = strings.Replace(out[file], old, by, 1)
	return out
}

func TestWholeContentIsSound(t *testing.T) {
	s, problems := follow(t, whole)
	if len(problems) > 0 {
		t.Fatal(problems.Error())
	}
	if len(s.Sheets[0].Lines) != 1 || len(s.Sheets[0].Repeats) != 1 || len(s.Sheets[0].Claims) != 2 || sheet.CheckUnit(s.Content) == nil {
		t.Error("the content doesn't reach a load line, repeats, claims and the check unit")
	}
}

// keyed finds "key = 1.5" and the numbers of "key = [1, 2]".
var keyed = regexp.MustCompile(`(?m)\b([a-z][a-z0-9_]*) = (-?[0-9][0-9.]*\b|\[[0-9][0-9., ]*\])`)

// Every numeric key of every file with every kind of number that is none, or no
// measurement's: the way ends with an error that has its place, or with a site that
// holds only numbers.
func TestEverySpoiledNumber(t *testing.T) {
	values := []string{"nan", "inf", "-inf", "0", "-1", "1e300", "1e-300", "5e-324", "999_999", "1e12", "[]", "[1, inf]", "''"}
	if testing.Short() {
		values = []string{"nan", "0", "1e300", "5e-324", "1e12", "[]"}
	}
	keys := 0
	for _, file := range []string{"site.toml", "bench.toml", "methods.toml", "units/spoiled/record.toml"} {
		text := whole[file]
		for _, at := range keyed.FindAllStringSubmatchIndex(text, -1) {
			keys++
			key := text[at[2]:at[3]]
			line := 1 + strings.Count(text[:at[0]], "\n")
			t.Run(fmt.Sprintf("%s/%d/%s", file, line, key), func(t *testing.T) {
				t.Parallel()
				for _, value := range values {
					content := map[string]string{}
					for name, other := range whole {
						content[name] = other
					}
					content[file] = text[:at[4]] + value + text[at[5]:]
					_, problems := follow(t, content)
					if t.Failed() {
						t.Fatalf("with %s = %s", key, value)
					}
					if !problems.Errors() && strings.ContainsAny(value, "nf'[") {
						t.Fatalf("%s = %s passes", key, value)
					}
				}
			})
		}
	}
	if keys < 100 {
		t.Errorf("only %d numeric keys are found", keys)
	}
}

// spoil is a mistake of a record or bench, and what becomes of it: the text of the
// error, or the finding, that a tester sees.
type spoil struct {
	name, file, old, by string
	problem             string // part of the error's text; empty where the content passes
	finding             string // id of a finding; empty where there is an error
}

// What a tester types in haste. Each has one place, and is told there.
func TestBadInput(t *testing.T) {
	const rec, bench = "units/spoiled/record.toml", "bench.toml"
	for _, s := range []spoil{
		{"a reading that is no number", rec, "out_v = 19.51", "out_v = nan", "out_v is nan, which no instrument shows", ""},
		{"an infinite reading", rec, "power_w = 90", "power_w = inf", "power_w is inf, which no instrument shows", ""},
		{"negative volts", rec, "out_v = 19.51", "out_v = -19.51", "out_v is -19.51; it has to be at least 0", ""},
		{"a reading beyond everything", rec, "out_v = 19.51", "out_v = 1e300", "out_v is 1e300; it has to be at least 0 and at most 10000", ""},
		{"a load of 0 Ω", bench, "ohm = 4.01", "ohm = 0", "ohm is 0; it has to be at least 0.001", ""},
		{"a negative load", bench, "ohm = 4.01", "ohm = -4.01", "ohm is -4.01; it has to be at least 0.001", ""},
		{"a claim of 0 W", rec, "power_w = 75", "power_w = 0", "power_w is 0; it has to be at least 0.001", ""},
		{"an empty list of readings", rec, "out_v = 19.51", "out_v = []", "out_v is empty", ""},
		{"an empty list of channels", rec, `channels = ["L", "R"]`, "channels = []", "channels is empty", ""},
		{"two readings for one channel", rec, "out_v = 19.51", "out_v = [19.51, 19.5]", "out_v has 2 readings, but 1 channel is driven", ""},
		{"an exponent too many", rec, "out_v = 19.51", "out_v = 19.51e-30", "too small to be anything measured", ""},
		{"no current", rec, "supply_a = 10.1", "supply_a = 0", "", "efficiency-above-one"},
		{"a supply that shows nothing", rec, "supply_w = 145", "supply_w = 0", "", "efficiency-above-one"},
		{"no volts", rec, "out_v = 19.07", "out_v = 0", "", "power-far-off"},
		{"a decimal point lost", rec, "out_v = 19.05", "out_v = 1.905", "", "power-disagrees"},
		{"a load that was not measured by its name", rec, "load = \"a8\"", "load = \"a9\"", "there is no load \"a9\" in bench.toml", ""},
	} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			got, problems := follow(t, spoiled(s.file, s.old, s.by))
			line := 1 + strings.Count(whole[s.file][:strings.Index(whole[s.file], s.old)], "\n")
			if s.problem != "" {
				if !slices.ContainsFunc(problems, func(p record.Problem) bool {
					return strings.Contains(p.Summary, s.problem) && p.Line == line && p.File == "content/"+s.file
				}) {
					t.Errorf("%q is not told in line %d: %v", s.problem, line, problems)
				}
				return
			}
			if problems.Errors() || !slices.ContainsFunc(got.Sheets[0].Findings, func(f sheet.Finding) bool { return f.ID == s.finding }) {
				t.Errorf("no finding %s: %v, %v", s.finding, problems, got.Sheets)
			}
		})
	}
}

// Few runs, none that counts, or none at all: the claims say so in words.
func TestTooLittleToDecide(t *testing.T) {
	const rec = "units/spoiled/record.toml"
	runs := regexp.MustCompile(`(?s)\[\[run\]\]\n.*?(\n\[\[spec)`)
	one := "[[run]]\nid = \"r4\"\nmethod = \"thd1\"\ndriven = [\"L\"]\nload = \"a4\"\nout_v = 19.05\nthdn_pct = 1.0\nsupply_v = 14.4\n"
	for _, r := range []struct{ name, runs, verdict string }{
		{"one run", one, "met"},
		{"no run", "", "untested"},
		{"one run, invalid", one + "invalid = \"the lead fell off\"\n", "untested"},
		{"all runs invalid", strings.ReplaceAll(runs.FindString(whole[rec]), "driven =", "invalid = \"misread\"\ndriven ="), "untested"},
		{"one run, nothing but zeros", strings.NewReplacer("19.05", "0", "1.0\n", "0\n").Replace(one), "open"},
		{"one run, shut down before a reading", "[[run]]\nid = \"r4\"\nmethod = \"thd1\"\ndriven = [\"L\"]\nload = \"a4\"\nsupply_v = 14.4\noutcome = \"protected\"\nlasted_s = 0\n", "open"},
	} {
		t.Run(r.name, func(t *testing.T) {
			content := spoiled(rec, "maker", "maker")
			content[rec] = runs.ReplaceAllString(content[rec], strings.TrimSuffix(r.runs, "\n[[spec")+"$1")
			s, problems := follow(t, content)
			if problems.Errors() {
				t.Fatal(problems.Error())
			}
			c := s.Sheets[0].Claims[0]
			if string(c.Verdict) != r.verdict || r.verdict != "met" && c.Why == "" {
				t.Errorf("%s: %s; want %s", c.Verdict, c.Why, r.verdict)
			}
		})
	}
}
