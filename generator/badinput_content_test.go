package generator_test

import (
	"fmt"
	"math"
	"strings"
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
