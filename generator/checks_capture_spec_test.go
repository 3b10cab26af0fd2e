package generator_test

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"sync"
	"time"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

// one writes a column of 16-bit samples at 8,000 a second, as RIFF lays them out (from memory).
func one(x []float64) []byte {
	b := append([]byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00"), "\x40\x1f\x00\x00\x80\x3e\x00\x00\x02\x00\x10\x00data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(2*len(x)))
	for _, v := range x {
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(math.Round(v*32767))))
	}
	binary.LittleEndian.PutUint32(b[4:], uint32(len(b)-8))
	return b
}

// stepped is a sine in steps of a twelfth of an octave, through a gain.
func stepped(from, to float64, gain func(f float64) float64) (x []float64) {
	for f := from; f < to; f *= math.Exp2(1. / 12) {
		for i := range int(math.Round(f/4+6) / f * 8000) {
			x = append(x, gain(f)*math.Sin(2*math.Pi*f*float64(i)/8000))
		}
	}
	return x
}

// belled is the magnitude of a boost of 9 dB at 45 Hz with a quality of 1.5.
func belled(f float64) float64 {
	a, w := math.Pow(10, 9./40), f/45
	return math.Hypot(1-w*w, w*a/1.5) / math.Hypot(1-w*w, w/a/1.5)
}

const specRecord = `[unit]
maker = "Invented"
model = "Swept"
channels = ["M"]
[source]
how = "own"
from = "nobody"
[[spec]]
id = "corner"
name = "corner"
unit = "Hz"
limit = "about"
stated = 80
capture = "low"
capture_as = "corner-high"
at_hz = 10
[[spec]]
id = "slope"
name = "slope"
unit = "dB/octave"
limit = "about"
stated = 12
capture = "low"
capture_as = "slope"
low_hz = 160
high_hz = 640
[[spec]]
id = "centre"
name = "centre"
unit = "Hz"
limit = "about"
stated = 45
capture = "bell"
capture_as = "boost-centre"
at_hz = 800
[[spec]]
id = "height"
name = "height"
unit = "dB"
limit = "about"
stated = 9
capture = "bell"
capture_as = "boost-height"
at_hz = 800
[[spec]]
id = "snr"
name = "signal to noise ratio"
unit = "dB"
limit = "at-least"
stated = 70
capture = "hiss"
capture_as = "signal-to-noise"
low_hz = 20
high_hz = 3000
weighting = "a"
ref_w = 100
ref_ohm = 4
[[capture]]
id = "low"
file = "low.wav"
clock_pct = 0.01
channel = [{ column = 1, role = "out", scale = 30, scale_pct = 2 }]
[[capture]]
id = "bell"
file = "bell.wav"
clock_pct = 0.01
channel = [{ column = 1, role = "out", scale = 30, scale_pct = 2 }]
[[capture]]
id = "hiss"
file = "hiss.wav"
clock_pct = 0.01
channel = [{ column = 1, role = "out", scale = 0.02, scale_pct = 2 }]
`

// sweptSpecs are the stated figures that were read from made captures, by their ids.
var sweptSpecs = sync.OnceValue(func() map[string]*sheet.Spec {
	root, err := os.MkdirTemp("", "sweeps")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(root)
	var hiss []float64
	for i := range 24000 {
		t := float64(i) / 8000
		hiss = append(hiss, 0.5*math.Sin(2*math.Pi*1000*t)+0.5*math.Sin(2*math.Pi*100*t))
	}
	for name, data := range map[string][]byte{
		"site.toml": []byte(sceneSite), "bench.toml": []byte("[usual]\n"), "methods.toml": []byte(sceneMethods), "units/swept/record.toml": []byte(specRecord),
		"units/swept/low.wav":  one(stepped(5, 900, func(f float64) float64 { return 0.9 / math.Sqrt(1+math.Pow(f/80, 4)) })),
		"units/swept/bell.wav": one(stepped(10, 900, func(f float64) float64 { return 0.3 * belled(f) })), "units/swept/hiss.wav": one(hiss),
	} {
		file := filepath.Join(root, "content", name)
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			panic(err)
		}
		if err := os.WriteFile(file, data, 0o644); err != nil {
			panic(err)
		}
	}
	s, problems, err := site.Inspect(root, time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC))
	if err != nil || problems.Errors() {
		panic(problems.Error())
	}
	out := map[string]*sheet.Spec{}
	for _, sp := range s.Sheets[0].Specs {
		out[sp.ID] = sp
	}
	return out
})

// told is a stated figure that has to come by a formula.
func told(id, spec string) func() float64 {
	return func() float64 {
		f := sweptSpecs()[spec].Measured
		if f == nil || f.Formula != id {
			panic(spec + ": the figure doesn't come by " + id)
		}
		return f.X
	}
}

const (
	inSteps     = "the way between steps of a twelfth of an octave"
	weighted100 = 0.110917481526 // 10^(−19.1/20), at 100 Hz
)

var _ = register(
	check{formula.CaptureCorner, "a filter of 2nd order, 3 dB below its level at 10 Hz, Hz", computed, "closed form: 1/√(1 + (f/80)⁴)",
		80 * math.Pow(math.Pow(10, 0.3)*(1+math.Pow(10./80, 4))-1, 0.25), tolerance{rel: 0.002, why: inSteps}, told(formula.CaptureCorner, "corner")},
	check{formula.CaptureSlope, "the same from 160 to 640 Hz, dB an octave", computed, "closed form: half of 10·lg((1 + 8⁴)/(1 + 2⁴))", 5 * math.Log10((1+4096.)/17),
		tolerance{rel: 0.02, why: "a line of least squares isn't the chord of a bent curve"}, told(formula.CaptureSlope, "slope")},
	check{formula.CaptureCentre, "a boost at 45 Hz, Hz", computed, "closed form of the boost's magnitude", 45, tolerance{rel: 0.005, why: inSteps}, told(formula.CaptureCentre, "centre")},
	check{formula.CaptureHeight, "9 dB against the level at 800 Hz, dB", computed, "closed form of the boost's magnitude", 9 - 20*math.Log10(belled(800)), tolerance{abs: 0.03, why: inSteps},
		told(formula.CaptureHeight, "height")},
	check{formula.CaptureNoise, "two tones as a noise, A-weighted, against 100 W into 4 Ω, dB", remembered, "IEC 61672-1:2013, table of the weighting: −19.1 dB at 100 Hz, 0 dB at 1 kHz",
		20 * math.Log10(20/(0.01*math.Sqrt((1+weighted100*weighted100)/2))), tolerance{abs: 0.01, why: "the table's tenths of a decibel"}, told(formula.CaptureNoise, "snr")},
)
