package site

import (
	"math"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/ledger"
	"wattsheet/generator/sheet"
)

// specOf is a stated figure that is read from a capture.
func specOf(id, unit, stated, keys string) string {
	return "[[spec]]\nid = \"" + id + "\"\nname = \"" + id + "\"\nunit = \"" + unit + "\"\nlimit = \"about\"\nstated = " + stated + "\ncapture = \"s01\"\ncapture_as = " + keys + "\n"
}

const sweptScale = `
[[capture]]
id = "s01"
file = "one.wav"
recorder = "meter"
clock_pct = 0.1
channel = [
  { column = 1, role = "out", scale = 40, scale_pct = 3 },
  { column = 2, role = "in", scale = 2, scale_pct = 3 },
]
`

// specsSite is the tiny site with stated figures from one capture.
func specsSite(t *testing.T, specs, wav string) *Site {
	t.Helper()
	return loaded(t, tiny(t, map[string]string{tinyRecord: tinyFile(t, tinyRecord) + specs + sweptScale, tinyCapture: wav}))
}

// lastSpecs are the stated figures of the tiny site's capture.
func lastSpecs(s *sheet.Sheet) map[string]*sheet.Spec {
	out := map[string]*sheet.Spec{}
	for _, sp := range s.Specs {
		if sp.Rec.Capture.ID == "s01" {
			out[sp.ID] = sp
		}
	}
	return out
}

// stepsOf is a sine that goes up in steps, through a filter whose gain is known, with its
// input beside it.
func stepsOf(rate int, from, to, octaves float64, gain func(f float64) float64) string {
	var out, in []float64
	for f := from; f < to; f *= math.Exp2(octaves) {
		x := samples(rate, math.Round(f/4+6)/f, func(t float64) float64 { return math.Sin(2 * math.Pi * f * t) })
		for _, v := range x {
			out, in = append(out, 0.9*gain(f)*v), append(in, 0.7*v)
		}
	}
	return wavOf(rate, out, in)
}

// A low-pass filter of 2nd order by Butterworth and a Linkwitz–Riley one, which is that twice,
// in closed form: 10·lg(1 + x⁴) dB once and twice. The reference at 20 Hz is below 0 dB by
// 10·lg(1 + 1/256); the corner is where another 3 dB, or 6 dB, are lost. Gains of scales
// cancel; the clock's ±0.1 % doesn't.
func TestFilterSpecsFromACapture(t *testing.T) {
	for name, times := range map[string]float64{"Butterworth": 1, "Linkwitz–Riley": 2} {
		loss := func(f float64) float64 { return times * 10 * math.Log10(1+math.Pow(f/80, 4)) }
		drop := []string{"", "3", "6"}[int(times)]
		s := specsSite(t, specOf("corner", "Hz", "80", "\"corner-high\"\nat_hz = 20\ntolerance = 2\ndrop_db = "+drop)+
			specOf("elsewhere", "Hz", "100", "\"corner-high\"\nat_hz = 20\ntolerance_pct = 5\nmeasured = 101\npm = 1\ndrop_db = "+drop)+
			specOf("slope", "dB/octave", "12", "\"slope\"\nlow_hz = 160\nhigh_hz = 640\ntolerance = 1"),
			stepsOf(8000, 10, 900, 1./12, func(f float64) float64 { return math.Pow(10, -loss(f)/20) })).Sheets[0]
		got := lastSpecs(s)
		want := 80 * math.Pow(math.Pow(10, (3*times+loss(20))/10/times)-1, 0.25)
		corner := got["corner"]
		nearby(t, name+": corner", corner.Measured.X, want, 0.002)
		if c := corner.Measured; math.Abs(c.X-want) > c.U || c.U > 0.01*want || c.U < 2*80*0.001/math.Sqrt(3) {
			t.Errorf("%s: the corner is %s, want %g", name, c.Text, want)
		}
		if corner.Verdict != "met" || got["elsewhere"].Verdict != "missed" {
			t.Errorf("%s: 80 Hz are %s, 100 Hz %s", name, corner.Verdict, got["elsewhere"].Verdict)
		}
		if o := got["elsewhere"].Captured.Other; o == nil || !o.Disagrees || !slices.ContainsFunc(s.Findings, func(f sheet.Finding) bool {
			return f.ID == "capture-disagrees" && strings.Contains(f.Text, "spec elsewhere: what was typed, (101.0 ± ")
		}) {
			t.Errorf("%s: 101 Hz typed are not told: %+v, %v", name, o, s.Findings)
		}
		mean := (loss(640) - loss(160)) / 2
		nearby(t, name+": slope", got["slope"].Measured.X, mean, 0.02)
		if word := map[float64]string{1: "met", 2: "missed"}[times]; string(got["slope"].Verdict) != word {
			t.Errorf("%s: 12 dB an octave are %s: %s", name, got["slope"].Verdict, got["slope"].Measured.Text)
		}
		if c := s.Captures; len(c) != 1 || len(c[0].Specs) != 3 || c[0].Digest == "" || len(corner.Captured.Taken.Curve) < 60 {
			t.Errorf("%s: the captures are %+v", name, c)
		}
		verified(t, s)
	}
}

// A low corner of first order, 1/√(1 + (f1/f)²), and a bell of 9 dB at 45 Hz with a quality of
// 1.5, both in closed form; the low corner's reference is 300 Hz.
func TestLowCornerAndBoostFromACapture(t *testing.T) {
	high := func(f float64) float64 { return 1 / math.Sqrt(1+225/f/f) }
	s := specsSite(t, specOf("low", "Hz", "15", "\"corner-low\"\nat_hz = 300\ndrop_db = 3.0103"), stepsOf(8000, 5, 700, 1./12, high)).Sheets[0]
	low := lastSpecs(s)["low"]
	nearby(t, "low corner", low.Measured.X, 15/math.Sqrt(1+2*225./90000), 0.002)
	verified(t, s)

	bell := func(f float64) float64 {
		a, q, w := math.Pow(10, 9./40), 1.5, f/45
		return math.Hypot(1-w*w, w*a/q) / math.Hypot(1-w*w, w/a/q) / 3
	}
	s = specsSite(t, specOf("centre", "Hz", "45", "\"boost-centre\"\nat_hz = 600\ntolerance = 2")+specOf("height", "dB", "9", "\"boost-height\"\nat_hz = 600\ntolerance = 0.5"),
		stepsOf(8000, 10, 900, 1./12, bell)).Sheets[0]
	got := lastSpecs(s)
	nearby(t, "centre", got["centre"].Measured.X, 45, 0.01)
	nearby(t, "height", got["height"].Measured.X, 9-20*math.Log10(3*bell(600)), 0.01)
	if got["centre"].Verdict != "met" || got["height"].Verdict != "met" {
		t.Errorf("centre %s, height %s", got["centre"].Measured.Text, got["height"].Measured.Text)
	}
	verified(t, s)
}

// Noise that is known: tones of 20 mV at 100 Hz and 10 mV at 1 kHz, which the table of
// IEC 61672-1 weighs by −19.1 dB and 0 dB (nominal weights to a tenth of a decibel, from
// memory). Against 1 W into 4 Ω, 2 V, and against 100 W, which is 20 dB more. The
// uncertainty is that of the scale, 3 %/√3, some 0.3 dB with k = 2.
func TestSignalToNoiseFromACapture(t *testing.T) {
	wav := wavOf(8000, samples(8000, 3, func(t float64) float64 {
		return math.Sqrt2 * (0.02*math.Sin(2*math.Pi*100*t) + 0.01*math.Sin(2*math.Pi*1000*t)) / 0.1
	}), samples(8000, 3, func(float64) float64 { return 0 }))
	keys := "\"signal-to-noise\"\nlow_hz = 20\nhigh_hz = 3999\nref_ohm = 4\n"
	specs := specOf("a1", "dB", "46", keys+"ref_w = 1\nweighting = \"a\"") + specOf("a100", "dB", "66", keys+"ref_w = 100\nweighting = \"a\"") + specOf("flat", "dB", "60", keys+"ref_w = 1\nweighting = \"none\"")
	s := loaded(t, tiny(t, map[string]string{tinyRecord: tinyFile(t, tinyRecord) + specs + strings.Replace(sweptScale, "scale = 40", "scale = 0.1", 1), tinyCapture: wav})).Sheets[0]
	got := lastSpecs(s)
	flat := 20 * math.Log10(2/math.Sqrt(0.02*0.02+0.01*0.01))
	weighted := 20 * math.Log10(2/math.Sqrt(math.Pow(0.02*math.Pow(10, -19.1/20), 2)+0.01*0.01))
	for id, want := range map[string]float64{"flat": flat, "a1": weighted, "a100": weighted + 20} {
		m := got[id].Measured
		if math.Abs(m.X-want) > 0.01 {
			t.Errorf("%s: %g dB, want %g", id, m.X, want)
		}
		if u := 20 / math.Ln10 * 0.03 / math.Sqrt(3); math.Abs(m.Std/u-1) > 0.02 {
			t.Errorf("%s: u is %g dB, want %g", id, m.Std, u)
		}
	}
	if got["flat"].Verdict != "missed" || got["a1"].Verdict != "met" {
		t.Errorf("flat %s, weighted %s", got["flat"].Verdict, got["a1"].Verdict)
	}
	verified(t, s)
}

// What a capture can't tell of a stated figure is an error with its place; a held figure's
// capture leaves no trace, and can't be published whole beside others.
func TestSpecsThatACaptureDoesNotTell(t *testing.T) {
	flat := stepsOf(8000, 20, 900, 1./6, func(float64) float64 { return 0.5 })
	silent := wavOf(8000, samples(8000, 2, func(float64) float64 { return 0 }), samples(8000, 2, func(float64) float64 { return 0 }))
	noise := "\"signal-to-noise\"\nlow_hz = 20\nhigh_hz = 3000\nref_ohm = 4\nref_w = 1\nweighting = \"a\""
	var b strings.Builder
	for _, bad := range []struct{ what, spec, wav string }{
		{"no corner", specOf("x", "Hz", "80", `"corner-high"`+"\nat_hz = 100"), flat},
		{"a reference outside", specOf("x", "Hz", "80", `"corner-low"`+"\nat_hz = 3000"), flat},
		{"a slope outside", specOf("x", "dB/octave", "12", `"slope"`+"\nlow_hz = 100\nhigh_hz = 2000"), flat},
		{"no boost", specOf("x", "Hz", "45", `"boost-centre"`+"\nat_hz = 100"), stepsOf(8000, 20, 900, 1./6, func(f float64) float64 { return f / 1000 })},
		{"silence", specOf("x", "Hz", "80", `"corner-high"`+"\nat_hz = 100"), silent},
		{"no noise at all", specOf("x", "dB", "80", noise), silent},
		{"a band that isn't recorded", specOf("x", "dB", "80", strings.Replace(noise, "3000", "30000", 1)), silent},
		{"it ends behind the end", specOf("x", "dB", "80", noise+"\nto_s = 7"), silent},
	} {
		text, problems := problemsOf(t, tiny(t, map[string]string{tinyRecord: tinyFile(t, tinyRecord) + bad.spec + sweptScale, tinyCapture: bad.wav}))
		if !problems.Errors() {
			t.Errorf("%s: nothing is found", bad.what)
		}
		b.WriteString("--- " + bad.what + "\n" + text + "\n")
	}
	golden(t, "capturespecs.golden.txt", []byte(b.String()))

	good := stepsOf(8000, 10, 900, 1./6, func(f float64) float64 { return 1 / math.Hypot(1, f/80) })
	one := specOf("x", "Hz", "80", `"corner-high"`+"\nat_hz = 12")
	s := loaded(t, tiny(t, map[string]string{tinyRecord: tinyFile(t, tinyRecord) + one + "hold = true\n" + sweptScale, tinyCapture: good}))
	if len(s.Content.Records[0].Captures) != 0 || len(s.captures) != 0 || len(s.Sheets[0].Captures) != 0 {
		t.Error("the capture of a held figure is there")
	}
	both := one + "hold = true\n" + strings.Replace(one, `"x"`, `"y"`, 1) + strings.Replace(sweptScale, "recorder", "publish = \"whole\"\nrecorder", 1)
	if text, _ := problemsOf(t, tiny(t, map[string]string{tinyRecord: tinyFile(t, tinyRecord) + both, tinyCapture: good})); !strings.Contains(text, `the capture "s01" is published whole, but spec "x" of it is held`) {
		t.Errorf("it says %q", text)
	}
}

// The derivation of a stated figure tells from which part of which file it comes, and what
// its uncertainty is made of.
func TestDerivationOfACapturedSpec(t *testing.T) {
	s := specsSite(t, specOf("x", "Hz", "80", "\"corner-high\"\nat_hz = 12\nmeasured = 81\npm = 2"),
		stepsOf(8000, 10, 900, 1./6, func(f float64) float64 { return 1 / math.Hypot(1, f/80) })).Sheets[0]
	var words []string
	for _, p := range s.DeriveSpec(lastSpecs(s)["x"]) {
		words = append(words, p.Head)
		for _, l := range p.Lines() {
			words = append(words, strings.Fields(l)...)
		}
	}
	text := strings.ReplaceAll(strings.Join(words, " "), "\u00a0", " ")
	for _, want := range []string{
		"Read from capture s01, 0 to ", "as its upper corner, 3 dB below the level at 12 Hz, at 8000 samples a second: one.wav", "SHA-256 of the file: ",
		"Column 1, output volts: 40 V a sample of 1", "Column 2, input volts: 2 V a sample of 1", "Response of 39 points, 10 Hz to 806.35 Hz", "Scatter of twelve points: u = ",
		"Between two points: half-width ", "Speed of the sweep: half-width ", "[capture-corner]", "sampling rate (meter)", "What was typed against the capture, which counts", "they agree",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("not said: %s\n%s", want, text)
		}
	}
}

// A seal holds what a stated figure was read from: the capture with its bytes, and how it was
// read.
func TestCapturedSpecsAreSealed(t *testing.T) {
	wav := stepsOf(8000, 10, 900, 1./6, func(f float64) float64 { return 1 / math.Hypot(1, f/80) })
	basis := func(keys, wav string) map[string]ledger.Basis {
		out := map[string]ledger.Basis{}
		for _, b := range ledger.StateOf(specsSite(t, specOf("x", "Hz", "80", "\"corner-high\"\n"+keys), wav).Sheets[0]).RestsOn {
			out[b.What] = b
		}
		return out
	}
	was := basis("at_hz = 12", wav)
	if was["capture s01"].Digest == "" || was["formula capture-corner"].What == "" {
		t.Fatalf("it rests on %v", was)
	}
	for _, c := range []struct{ what, keys, wav string }{{"spec x", "at_hz = 14", wav}, {"spec x", "at_hz = 12\ndrop_db = 4", wav}, {"spec x", "at_hz = 12\nfrom_s = 0.1", wav},
		{"capture s01", "at_hz = 12", stepsOf(8000, 10, 900, 1./6, func(f float64) float64 { return 1 / math.Hypot(1, f/81) })}} {
		if basis(c.keys, c.wav)[c.what] == was[c.what] {
			t.Errorf("%s: the same digest with %s", c.what, c.keys)
		}
	}
}
