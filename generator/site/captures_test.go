package site

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/datafile"
	"wattsheet/generator/sheet"
)

// wavOf is a WAV file of 16-bit samples, written as the RIFF layout has it (from memory).
func wavOf(rate int, channels ...[]float64) string {
	n := len(channels[0])
	data := make([]byte, 0, 2*n*len(channels))
	for i := range n {
		for _, c := range channels {
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(math.Max(-1, math.Min(32767./32768, c[i]))*32768))))
		}
	}
	b := append([]byte("RIFF"), binary.LittleEndian.AppendUint32(nil, uint32(36+len(data)))...)
	b = append(b, "WAVEfmt \x10\x00\x00\x00\x01\x00"...)
	b = binary.LittleEndian.AppendUint16(b, uint16(len(channels)))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate*2*len(channels)))
	b = binary.LittleEndian.AppendUint16(b, uint16(2*len(channels)))
	b = append(b, "\x10\x00data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(data)))
	return string(append(b, data...))
}

// samples are those of a function of time.
func samples(rate int, seconds float64, of func(t float64) float64) []float64 {
	x := make([]float64, int(seconds*float64(rate)))
	for i := range x {
		x[i] = of(float64(i) / float64(rate))
	}
	return x
}

const (
	tinyCapture = "content/units/ottersprocket-20/one.wav"
	tinyScale   = `
[[capture]]
id = "c01"
file = "one.wav"
recorder = "analyser"
clock_pct = 0.01
channel = [
  { column = 1, role = "out", scale = 40, scale_pct = 0.5, scale_by = "divider", offset_pm = 0.01 },
  { column = 2, role = "supply_v", scale = 20, scale_pct = 0.4 },
  { column = 3, role = "supply_a", scale = 50, scale_pct = 1.5, offset = 0.5, offset_pm = 0.05 },
]
`
)

// steadyWAV is a tone of 1 kHz, 20 V rms with 0.2 V of its third harmonic, from a supply of
// 14.4 V that carries 5 A and as much again as a wave of 2 kHz in both volts and amperes.
func steadyWAV() string {
	const rate = 8000
	tone := func(t float64) float64 {
		return (20*math.Sqrt2*math.Sin(2*math.Pi*1000.1*t) + 0.2*math.Sqrt2*math.Sin(2*math.Pi*3000.3*t)) / 40
	}
	v := func(t float64) float64 { return (14.4 - 0.3*math.Cos(2*math.Pi*2000.2*t)) / 20 }
	a := func(t float64) float64 { return (10 + 4*math.Cos(2*math.Pi*2000.2*t) - 0.5) / 50 }
	return wavOf(rate, samples(rate, 4, tone), samples(rate, 4, v), samples(rate, 4, a))
}

// withRun is the tiny record with other readings in its run.
func withRun(t *testing.T, keys, more string) string {
	t.Helper()
	text := tinyFile(t, tinyRecord)
	head, tail, _ := strings.Cut(text, "out_v = 20.00\n")
	_, tail, _ = strings.Cut(tail, "at = ")
	return head + keys + "at = " + tail + more
}

func capturedSite(t *testing.T, keys, more, wav string) *Site {
	t.Helper()
	return loaded(t, tiny(t, map[string]string{tinyRecord: withRun(t, keys, more), tinyCapture: wav}))
}

func nearby(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s is %.9g, want %.9g", what, got, want)
	}
}

// The figures of a steady tone are those of its closed form: power (20² + 0.2²)/4 W, THD
// 1 %, supply power 14.4·10 − 0.3·4/2 W, which volts times amperes miss.
func TestSteadyRunFromACapture(t *testing.T) {
	s := capturedSite(t, "capture = \"c01\"\nfrom_s = 0.5\nto_s = 3.5\n", tinyScale, steadyWAV()).Sheets[0]
	r := s.Runs[0]
	nearby(t, "power", r.Channels[0].Power.X, (400+0.04)/4, 1e-6)
	nearby(t, "distortion", r.Channels[0].Distortion.X, 1, 1e-3)
	nearby(t, "supply volts", r.SupplyV.X, 14.4, 1e-6)
	nearby(t, "supply current", r.SupplyA.X, 10, 1e-5)
	nearby(t, "supply power", r.SupplyPower.X, 144-0.6, 1e-5)
	nearby(t, "efficiency", r.Efficiency.X, 100*(400.04/4)/143.4, 1e-5)
	nearby(t, "frequency", r.Captured.Freq.X, 1000.1, 1e-7)
	// by hand: the load 1 %/√3, the scale twice 0.5 %/√3, the pool 1 %
	u := math.Hypot(math.Hypot(1/math.Sqrt(3), 2*0.5/math.Sqrt(3)), 1)
	nearby(t, "u of the power, %", 100*r.Channels[0].Power.Std/r.Channels[0].Power.X, u, 1e-3)
	verified(t, s)
}

// verified recomputes the published sheet from itself.
func verified(t *testing.T, s *sheet.Sheet) {
	t.Helper()
	data, err := datafile.JSON(s)
	if err != nil {
		t.Fatal(err)
	}
	if d := differences(t, data); len(d) > 0 {
		t.Error(d)
	}
}

// otherMethod is the tiny site's methods with a method more.
func otherMethod(t *testing.T, text string) string {
	t.Helper()
	return tinyFile(t, "content/methods.toml") + text
}

// A sine through a clipper at 25 V, in steps of 0.25 dB: at 1 % THD it carries 1.0475058652
// times the power of the sine that just touches the rails (closed form, as in package
// capture), 25²/2/4 W. The supply gives 20 W and 1.5 times what comes out. Clipping
// begins where 1.5 times a sine's share is flat; the most is the last step.
func TestSteppedRunFromACapture(t *testing.T) {
	const rate = 16000
	level := func(t float64) float64 { return 25 * math.Pow(10, (-4+0.25*math.Floor(t))/20) }
	clip := func(t float64) float64 { return math.Max(-25, math.Min(25, level(t)*math.Sin(2*math.Pi*40*t))) }
	power := func(t float64) float64 { // of the step, by many samples
		sum := 0.0
		for i := range 400 {
			v := math.Max(-25, math.Min(25, level(t)*math.Sin(2*math.Pi*(float64(i)+0.5)/400)))
			sum += v * v / 400 / 4
		}
		return sum
	}
	byStep := map[float64]float64{}
	amps := func(t float64) float64 {
		step := math.Floor(t)
		if _, known := byStep[step]; !known {
			byStep[step] = (20 + 1.5*power(t)) / 14.4
		}
		return byStep[step] - 0.5
	}
	wav := wavOf(rate, samples(rate, 24, func(t float64) float64 { return clip(t) / 40 }),
		samples(rate, 24, func(float64) float64 { return 14.4 / 20 }), samples(rate, 24, func(t float64) float64 { return amps(t) / 50 }))
	s := loaded(t, tiny(t, map[string]string{
		tinyRecord:  withRun(t, "capture = \"c01\"\ncapture_as = \"steps\"\nfreq_hz = 40\n", tinyScale),
		tinyCapture: wav,
	})).Sheets[0]
	r := s.Runs[0]
	c := r.Captured.Channels[0]
	onset := 25. * 25 / 2 / 4
	nearby(t, "power at 1 %", r.Channels[0].Power.X, 1.0475058652*onset, 0.001)
	nearby(t, "distortion", r.Channels[0].Distortion.X, 1, 1e-12)
	nearby(t, "supply volts", r.SupplyV.X, 14.4, 1e-4)
	nearby(t, "supply power", r.SupplyPower.X, 20+1.5*1.0475058652*onset, 0.002)
	if len(c.Levels) != 24 || c.Levels[3].Flat || !c.Levels[23].Flat {
		t.Errorf("there are %d levels, flat %t and %t", len(c.Levels), c.Levels[3].Flat, c.Levels[23].Flat)
	}
	nearby(t, "a level's power", c.Levels[3].PowerW, power(3), 1e-3)
	nearby(t, "the most", c.Most.X, power(23.5), 1e-3)
	if c.Onset.X < onset || c.Onset.X > 1.0475*onset {
		t.Errorf("clipping begins at %g W, the rails are touched at %g W", c.Onset.X, onset)
	}
	if c := s.Claims[0]; c.Verdict != "short" { // 90 W
		t.Errorf("the claim is %s: %s", c.Verdict, c.Why)
	}
	verified(t, s)
}

const burstMethod = `
[[method]]
id = "tones"
title = "a tone burst"
signal = "burst"
freq_hz = 500
thdn_pct = 1
burst_ms = 20
every_ms = 200
answers_unstated = true
wording = "Ten cycles at full level, then a tenth of it."
pool = { rel_pct = 1, dof = 8 }
`

// Bursts of ten cycles at 24 V rms, 2.4 V between, ten a second for two seconds, from
// 14.4 V that fall to 13.8 V within: power 144 W, and by energy
// (24²·0.02 + 2.4²·0.08)/0.1/4 W against (13.8·20·0.02 + 14.4·1·0.08)/0.1 W.
func TestBurstsFromACapture(t *testing.T) {
	const rate = 20000
	on := func(t float64) bool { return math.Mod(t+1e-9, 0.1) < 0.02 }
	pick := func(a, b float64) func(float64) float64 {
		return func(t float64) float64 {
			if on(t) {
				return a
			}
			return b
		}
	}
	const off = 0.9 // volts, 0.14 % of the power
	level, volts, amps := pick(24, 2.4), pick(13.8, 14.4), pick(20, 1)
	at := func(t float64) float64 { return t - 0.04 } // a rest before the first
	wav := wavOf(rate, samples(rate, 2.04, func(t float64) float64 {
		return (off + level(at(t)+1)*math.Sqrt2*math.Sin(2*math.Pi*500*at(t))) / 40
	}), samples(rate, 2.04, func(t float64) float64 { return volts(at(t)+1) / 20 }), samples(rate, 2.04, func(t float64) float64 { return (amps(at(t)+1) - 0.5) / 50 }))
	burst := `
[[claim]]
id = "burst"
power_w = 120
load_ohm = 4
channels = 1
supply_v = 14
thdn_pct = 1
signal = "burst"
`
	s := loaded(t, tiny(t, map[string]string{
		tinyRecord:  strings.Replace(withRun(t, "capture = \"c01\"\nthdn_pct = 1.00\n", burst+tinyScale), `method = "thd1"`, `method = "tones"`, 1),
		tinyCapture: wav, "content/methods.toml": otherMethod(t, burstMethod),
	})).Sheets[0]
	r := s.Runs[0]
	nearby(t, "power", r.Channels[0].Power.X, 144+off*off/4, 1e-3)
	if !slices.ContainsFunc(s.Findings, func(f sheet.Finding) bool {
		return f.ID == "capture-mean" && strings.Contains(f.Text, "0.14\u00a0% of the power")
	}) {
		t.Errorf("the mean is no finding: %v", s.Findings)
	}
	nearby(t, "supply volts within", r.SupplyV.X, 13.8, 1e-3)
	nearby(t, "supply power", r.SupplyPower.X, (13.8*20*0.02+14.4*0.08)/0.1, 1e-3)
	nearby(t, "efficiency", r.Efficiency.X, 100*((24*24+off*off)*0.02+(2.4*2.4+off*off)*0.08)/0.1/4/((13.8*20*0.02+14.4*0.08)/0.1), 2e-3)
	o := r.Captured.Channels[0].Out
	nearby(t, "repetition", o.EveryS, 0.1, 1e-3)
	nearby(t, "rest, dB", o.RestDB, 10*math.Log10((2.4*2.4+off*off)/(24*24+off*off)), 1e-2)
	nearby(t, "sag", r.Rec.Taken.SagV, 0.6, 0.02)
	if c := s.Claims[3]; c.Verdict != "met" {
		t.Errorf("the claim for bursts is %s: %s", c.Verdict, c.Why)
	}
	verified(t, s)
}

// Captures that give no number, each with the places in the record and in the file.
func TestBadCaptures(t *testing.T) {
	const named = "capture = \"c01\"\n"
	good := steadyWAV()
	silent := wavOf(8000, samples(8000, 1, func(float64) float64 { return 0 }), samples(8000, 1, func(float64) float64 { return 0.5 }), samples(8000, 1, func(float64) float64 { return 0.1 }))
	loud := wavOf(8000, samples(8000, 1, func(t float64) float64 { return 1.5 * math.Sin(2*math.Pi*1000*t) }), samples(8000, 1, func(float64) float64 { return 0.5 }), samples(8000, 1, func(float64) float64 { return 0.1 }))
	table := strings.Replace(tinyScale, "one.wav", "one.csv", 1)
	rows := "out,volts,amps\n" + strings.Repeat("0.5,0.7,0.2\n-0.5,0.7,0.2\n", 500)
	steps := named + "freq_hz = 1000\ncapture_as = \"steps\"\n"
	var b strings.Builder
	for _, bad := range []struct{ what, keys, more, name, file string }{
		{"no file", named, tinyScale, "", ""},
		{"another capital", named, tinyScale, "One.wav", good},
		{"an empty file", named, tinyScale, "one.wav", ""},
		{"no WAV file", named, tinyScale, "one.wav", "ID3 is no waveform, whatever its name says of it"},
		{"cut short within", named, tinyScale, "one.wav", good[:40001]},
		{"cut short behind the interval", named + "from_s = 0.5\nto_s = 1.5\n", tinyScale, "one.wav", good[:len(good)-100]},
		{"decimal commas", named, strings.Replace(table, "id =", "rate_hz = 1000\nseparator = \"semicolon\"\nid =", 1), "one.csv", "out;volts;amps\n" + strings.Repeat("0,5;0,7;0,2\n", 500)},
		{"one sample", named, tinyScale, "one.wav", good[:44+6]},
		{"a header that says one sample", named, tinyScale, "one.wav", wavOf(8000, []float64{0.1}, []float64{0.1}, []float64{0.1})},
		{"silence", named, tinyScale, "one.wav", silent},
		{"beyond the recorder's range", named, tinyScale, "one.wav", loud},
		{"a column that isn't there", named, strings.Replace(tinyScale, "column = 3", "column = 4", 1), "one.wav", good},
		{"a scale of 0", named, strings.Replace(tinyScale, "scale = 40", "scale = 0", 1), "one.wav", good},
		{"it begins behind the end", named + "from_s = 4.5\n", tinyScale, "one.wav", good},
		{"it ends behind the end", named + "from_s = 1\nto_s = 4.5\n", tinyScale, "one.wav", good},
		{"an interval that is too short", named + "from_s = 1\nto_s = 1.01\n", tinyScale, "one.wav", good},
		{"a tone below the band", named + "freq_hz = 5000\n", tinyScale, "one.wav", good},
		{"no levels", steps, tinyScale, "one.wav", good},
		{"a table without its rate", named, table, "one.csv", rows},
		{"no number", named + "from_s = 0\n", strings.Replace(table, "id =", "rate_hz = 1000\nid =", 1), "one.csv", rows + "NaN,0.7,0.2\n"},
		{"a cell too few", named, strings.Replace(table, "id =", "rate_hz = 1000\nid =", 1), "one.csv", rows + "0.1,0.7\n"},
	} {
		files := map[string]string{tinyRecord: withRun(t, bad.keys, bad.more)}
		if bad.name != "" {
			files["content/units/ottersprocket-20/"+bad.name] = bad.file
		}
		text, problems := problemsOf(t, tiny(t, files))
		if !problems.Errors() {
			t.Errorf("%s: nothing is found", bad.what)
		}
		b.WriteString("--- " + bad.what + "\n" + text + "\n")
	}
	golden(t, "captures.golden.txt", []byte(b.String()))
}

// A current that was recorded the wrong way round is told as that.
func TestCurrentTheWrongWayRound(t *testing.T) {
	turned := strings.NewReplacer("scale = 50", "scale = -50", "offset = 0.5", "offset = -0.5").Replace(tinyScale)
	s := capturedSite(t, "capture = \"c01\"\nfrom_s = 0.5\nto_s = 3.5\n", turned, steadyWAV())
	found := ""
	for _, f := range s.Sheets[0].Findings {
		if f.ID == "efficiency-above-one" {
			found = strings.ReplaceAll(f.Text+"; "+f.Cause, nbsp, " ")
		}
	}
	if !strings.Contains(found, "but the supply shows (−") || !strings.HasSuffix(found, "; the clamp or shunt the wrong way round, or a minus that its scale lacks") {
		t.Errorf("it says %q", found)
	}
}

// What was read is kept, and read again only when something changes that it follows from.
func TestCapturesAreRemembered(t *testing.T) {
	root := tiny(t, map[string]string{tinyRecord: withRun(t, "capture = \"c01\"\n", tinyScale), tinyCapture: steadyWAV()})
	power := func() string { return loaded(t, root).Sheets[0].Runs[0].Channels[0].Power.Text }
	entries := func() (names []string) {
		all, err := os.ReadDir(filepath.Join(root, capturesFolder))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range all {
			names = append(names, e.Name())
		}
		return names
	}
	first, kept := power(), entries()
	if len(kept) != 1 {
		t.Fatalf("kept are %v", kept)
	}
	// a better known scale reads nothing again
	replaceIn(t, root, tinyRecord, "scale_pct = 0.5", "scale_pct = 0.1")
	if again := power(); again == first || !slices.Equal(entries(), kept) {
		t.Errorf("%s after %s; kept are %v", again, first, entries())
	}
	// what is kept counts, for the same bytes: spoiled, it is read again
	name := filepath.Join(root, capturesFolder, kept[0])
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, bytes.Replace(data, []byte("steady"), []byte("steedy"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	before := power()
	replaceIn(t, root, tinyRecord, "scale = 40", "scale = 44")
	if again := power(); again == before || len(entries()) != 2 {
		t.Errorf("another scale gives %s after %s; kept are %v", again, before, entries())
	}
	built(t, root, "public", today)
	if n := len(entries()); n != 2 {
		t.Errorf("%d are kept of a capture that is still there", n)
	}
	put(t, root, tinyCapture, wavOf(8000, samples(8000, 2, func(t float64) float64 { return 0.5 * math.Sin(2*math.Pi*1000*t) }),
		samples(8000, 2, func(float64) float64 { return 0.7 }), samples(8000, 2, func(float64) float64 { return 0.2 })))
	if b := built(t, root, "public", today); b.Evaluated != 1 || len(entries()) != 1 {
		t.Errorf("another recording: %d evaluated, kept are %v", b.Evaluated, entries())
	}
}

// A held run's capture leaves no trace, and a capture with a visible run stays.
func TestCapturesOfHeldRuns(t *testing.T) {
	held := withRun(t, "capture = \"c01\"\nhold = true\n", tinyScale)
	root := tiny(t, map[string]string{tinyRecord: held, tinyCapture: steadyWAV()})
	s := loaded(t, root)
	if len(s.Content.Records[0].Captures) != 0 || len(s.captures) != 0 || len(s.Sheets[0].Captures) != 0 {
		t.Error("the capture of a held run is there")
	}
	if w := s.Whole()[0]; len(w.Captures) != 1 || w.Runs[0].Channels[0].Power == nil {
		t.Error("the tester doesn't see what is held")
	}
	root = tiny(t, map[string]string{tinyRecord: withRun(t, "capture = \"c01\"\n", "[[run]]\nid = \"r2\"\nmethod = \"thd1\"\nload = \"four\"\nhold = true\ncapture = \"c01\"\n"+strings.Replace(tinyScale, "recorder", "publish = \"whole\"\nrecorder", 1)), tinyCapture: steadyWAV()})
	if text, _ := problemsOf(t, root); !strings.Contains(text, `the capture "c01" is published whole, but run "r2" of it is held`) {
		t.Errorf("it says %q", text)
	}
}
