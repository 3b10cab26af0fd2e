package capture

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"math"
	"strings"
	"testing"

	"wattsheet/generator/quantity"
)

// usual is what the command makes where nothing else is said, at a level.
func usual(kind string, level float64) Wanted {
	w := Wanted{Kind: kind, Freq: 1000, To: 20000, Level: level, From: level - 40, Step: 1, Rest: 20, Length: 1, Burst: 0.02, Every: 0.5, Fade: 0.005, Rate: 48000}
	switch kind {
	case "burst":
		w.Length, w.Fade = 5, 0.001
	case "sweep":
		w.Freq, w.Length = 20, 20
	}
	return w
}

// played makes a signal, writes it and reads it back.
func played(t *testing.T, w Wanted, c Coding) (*Signal, *WAV, []byte) {
	t.Helper()
	s, err := NewSignal(w)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := WriteWAV(&file, s, c); err != nil {
		t.Fatal(err)
	}
	raw := bytes.Clone(file.Bytes())
	back, err := ReadWAV(&file)
	if err != nil {
		t.Fatal(err)
	}
	if back.Format().Frames != s.Format().Frames || back.Format().Rate != float64(w.Rate) {
		t.Fatalf("%+v, want %+v", back.Format(), s.Format())
	}
	return s, back, raw
}

var codings = map[string]Coding{"16": {Bits: 16, Dither: true}, "24": {Bits: 24, Dither: true}, "float": {Bits: 32, Float: true}, "32": {Bits: 32}}

// A sine has the frequency and level that were asked for: amplitude 10^(level/20) of full
// scale, rms that over √2. Its noise is that of its coding: with triangular dither the
// variance is a quarter of a step's square (Lipshitz, Wannamaker and Vanderkooy 1992,
// from memory), spread evenly up to half the rate.
func TestSineIsWhatWasAskedFor(t *testing.T) {
	for name, c := range codings {
		w := usual("sine", -6.5)
		w.Freq, w.Length = 997, 3
		s, back, _ := played(t, w, c)
		one := s.Stretches[0]
		m, err := Between(back, s.Seconds(one.First), s.Seconds(one.Last))
		if err != nil {
			t.Fatal(err)
		}
		f, err := Steady(m, Wiring{Out: Channel{0, direct}, Load: quantity.Exact(4, "Ω")}, Tone{Low: 20, High: 20000})
		if err != nil {
			t.Fatal(err)
		}
		near1(t, name+", frequency", f.Freq.X, 997, 1e-7)
		near1(t, name+", rms", f.RMS.X, math.Pow(10, -6.5/20)/math.Sqrt2, 2e-6)
		if c.Dither {
			near1(t, name+", noise", f.Noise.X, math.Ldexp(1, -c.Bits)*math.Sqrt(19980.0/24000), 0.02)
		} else if f.Noise.X > 1e-8 {
			t.Errorf("%s: noise %g", name, f.Noise.X)
		}
		if f.THD.X > 1e-5*math.Pow(2, 16-float64(c.Bits)) && f.THD.X > 1e-8 {
			t.Errorf("%s: THD %g", name, f.THD.X)
		}
	}
}

// The noise that the text states is the figure that is usually printed for 16 bits:
// −93.3 dB below a full sine (98.1 dB of 16 bits, less 4.8 dB for the dither).
func TestNoiseOfDither(t *testing.T) {
	near1(t, "16 bits", Coding{Bits: 16}.noise(), -(98.09 - 10*math.Log10(3)), 1e-4)
	near1(t, "24 bits", Coding{Bits: 24}.noise(), -(98.09-10*math.Log10(3))-8*20*math.Log10(2), 1e-4)
}

// Each step is found as a level, with the power that its dBFS stand for.
func TestStepsAreLevels(t *testing.T) {
	s, back, _ := played(t, usual("steps", -1), codings["24"])
	curve, err := Levels(back, Wiring{Out: Channel{0, direct}, Load: quantity.Exact(4, "Ω")}, Tone{Freq: 1000, Low: 20, High: 20000}, true)
	if err != nil {
		t.Fatal(err)
	}
	if len(curve.Points) != 41 || len(s.Stretches) != 41 {
		t.Fatalf("%d levels found of %d", len(curve.Points), len(s.Stretches))
	}
	for i, p := range curve.Points {
		near1(t, "power", p.Power, math.Pow(10, (-41+float64(i))/10)/2/4, 1e-5)
		if p.Seconds < s.Seconds(s.Stretches[i].First) || p.Seconds > s.Seconds(s.Stretches[i].Last) {
			t.Errorf("level %d lies at %g s, its step from frame %d", i+1, p.Seconds, s.Stretches[i].First)
		}
	}
}

// Bursts are found where the text says, with their level, rest and repetition.
func TestBurstsAreBursts(t *testing.T) {
	s, back, _ := played(t, usual("burst", -3), codings["16"])
	m, err := Take(back, 0, math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	b, err := BurstsOf(m, Wiring{Out: Channel{0, direct}, Load: quantity.Exact(4, "Ω")}, 1000)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Each) != 10 {
		t.Fatalf("%d bursts", len(b.Each))
	}
	for i, one := range b.Each {
		near1(t, "power", one.Power, math.Pow(10, -0.3)/2/4, 1e-3)
		if want := s.Seconds(s.Stretches[2*i].First); math.Abs(one.Start-want) > 0.0015 || math.Abs(one.End-want-0.02) > 0.0015 {
			t.Errorf("burst %d from %g to %g s, said to begin at %g", i+1, one.Start, one.End, want)
		}
	}
	near1(t, "repetition", b.Repetition, 0.5, 1e-4)
	near1(t, "rest", b.Rest, -20, 0.02)
}

// A sweep has one level at all frequencies, and each at the instant that the text says.
func TestSweepIsEven(t *testing.T) {
	s, back, _ := played(t, usual("sweep", -12), codings["float"])
	one := s.Stretches[0]
	m, err := Take(back, s.Seconds(one.First), s.Seconds(one.Last))
	if err != nil {
		t.Fatal(err)
	}
	curve, err := Response(m, Channel{0, direct}, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := 20 * math.Log10(math.Pow(10, -12.0/20)/math.Sqrt2)
	for _, f := range []float64{22, 50, 100, 1000, 5000, 18000} {
		if got := curve.At(f); math.Abs(got-want) > 0.05 {
			t.Errorf("%g Hz: %g dB, want %g", f, got, want)
		}
	}
	// Halfway through it is at the geometric mean, 632.456 Hz (three decades up from 20 Hz).
	period := m.Samples(0)[10*48000-2400 : 10*48000+2400]
	fit, err := FitSine4(period[2100:2700], 48000, 632)
	if err != nil {
		t.Fatal(err)
	}
	near1(t, "frequency in the middle", fit.Freq, 632.456, 2e-4)
}

// Nothing clicks: from sample to sample no signal moves further than a sine of its highest
// level and frequency does, and it begins and ends in silence.
func TestNothingClicks(t *testing.T) {
	for _, kind := range Kinds {
		w := usual(kind, -1)
		s, err := NewSignal(w)
		if err != nil {
			t.Fatal(err)
		}
		m, err := Take(s, 0, math.Inf(1))
		if err != nil {
			t.Fatal(err)
		}
		x := m.Samples(0)
		most := math.Pow(10, -1.0/20) * (2 * math.Pi * max(s.Freq, s.To) / 48000)
		for i := 1; i < len(x); i++ {
			if math.Abs(x[i]-x[i-1]) > most+0.001 {
				t.Fatalf("%s: from %g to %g at frame %d", kind, x[i-1], x[i], i)
			}
		}
		for _, v := range append(x[:23000:23000], x[len(x)-23000:]...) {
			if v != 0 {
				t.Fatalf("%s begins or ends with %g", kind, v)
			}
		}
	}
}

// The sine's series agrees with the standard library's, and a file has the same bytes
// each time and on each machine.
func TestSignalIsTheSameAnywhere(t *testing.T) {
	for i := range uint64(100003) {
		phase := i * (math.MaxUint64 / 100003)
		if got, want := sineOf(phase), math.Sin(2*math.Pi*float64(int64(phase))/(1<<64)); math.Abs(got-want) > 1e-15 {
			t.Fatalf("sine of %d: %g, want %g", phase, got, want)
		}
	}
	for _, x := range []float64{1e-9, -3e-7, 1e-3, 0.2} {
		near1(t, "growth", growth(x), math.Exp(x), 3e-16)
	}
	w := usual("burst", -3)
	w.Length = 1
	for range 2 {
		_, _, raw := played(t, w, codings["16"])
		if got, want := hex.EncodeToString(sum(raw)), "952c6bbf18497f8b8e46a447c198249f86687b09200f05bcc5077470103dbc6c"; got != want {
			t.Errorf("a file of %d bytes with digest %s, want %s", len(raw), got, want)
		}
	}
}

func sum(b []byte) []byte { d := sha256.Sum256(b); return d[:] }

// What was read from a file is written as it was.
func TestWritingWhatWasRead(t *testing.T) {
	for name, c := range codings {
		w := usual("sine", -1)
		w.Length = 0.2
		_, back, raw := played(t, w, c)
		var again bytes.Buffer
		if err := WriteWAV(&again, back, Coding{Bits: c.Bits, Float: c.Float}); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(again.Bytes(), raw) {
			t.Errorf("%s: another file", name)
		}
	}
	two := NewMemory(96000, []float64{0.5, -2, 2}, []float64{0, 1, -1})
	var file bytes.Buffer
	if err := WriteWAV(&file, two, Coding{Bits: 24}); err != nil {
		t.Fatal(err)
	}
	back, err := ReadWAV(&file)
	if err != nil {
		t.Fatal(err)
	}
	m, err := Take(back, 0, math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	full := 1 - math.Ldexp(1, -23)
	if got := [2][3]float64{[3]float64(m.Samples(0)), [3]float64(m.Samples(1))}; got != [2][3]float64{{0.5, -1, full}, {0, full, -1}} {
		t.Error(got)
	}
}

// What can't be is told, with a hint.
func TestImpossibleSignals(t *testing.T) {
	for says, change := range map[string]func(*Wanted){
		`there is no signal "square"`:               func(w *Wanted) { w.Kind = "square" },
		"44 samples a second are outside":           func(w *Wanted) { w.Rate = 44 },
		"22000 Hz is outside 1 Hz to 21600 Hz":      func(w *Wanted) { w.Freq = 22000 },
		"0 Hz is outside":                           func(w *Wanted) { w.Freq = 0 },
		"a level of 0 dBFS is outside":              func(w *Wanted) { w.Level = 0 },
		"a level of NaN dBFS is outside":            func(w *Wanted) { w.Level = math.NaN() },
		"a fade of 0 ms is outside":                 func(w *Wanted) { w.Fade = 0 },
		"4000 s is outside":                         func(w *Wanted) { w.Length = 4000 },
		"goes nowhere":                              func(w *Wanted) { w.Kind, w.To = "sweep", w.Freq },
		"steps from -1 dBFS to -10 dBFS can't be":   func(w *Wanted) { w.Kind, w.From = "steps", -1 },
		"steps of 50 dB are outside":                func(w *Wanted) { w.Kind, w.Step = "steps", 50 },
		"longer than an hour":                       func(w *Wanted) { w.Kind, w.Step = "steps", 0.01 },
		"a burst of 1 ms has 1 periods":             func(w *Wanted) { w.Kind, w.Burst = "burst", 0.001 },
		"bursts of 20 ms every 30 ms leave no rest": func(w *Wanted) { w.Kind, w.Every = "burst", 0.03 },
		"1 s hold no burst every 2000 ms":           func(w *Wanted) { w.Kind, w.Every = "burst", 2 },
		"6 dB between bursts and rest are too few":  func(w *Wanted) { w.Kind, w.Rest = "burst", 6 },
	} {
		w := usual("sine", -10)
		w.Length = 1
		change(&w)
		_, err := NewSignal(w)
		var p *Problem
		if !errors.As(err, &p) || !strings.Contains(err.Error(), says) || p.Hint == "" {
			t.Errorf("%q, want %q", err, says)
		}
	}
	s, err := NewSignal(usual("sine", -10))
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteWAV(&bytes.Buffer{}, s, Coding{Bits: 8}); err == nil {
		t.Error("8 bits are no error")
	}
	if err := WriteWAV(&bytes.Buffer{}, NewMemory(48000), Coding{Bits: 16}); err == nil {
		t.Error("no channel is no error")
	}
}

// A table of samples reads back as it was written.
func TestWritingATable(t *testing.T) {
	x, y := made(48000, 0.01, cosine(1000, 3.3, 0)), made(48000, 0.01, cosine(50, 14, 1))
	var file bytes.Buffer
	if err := WriteCSV(&file, NewMemory(48000, x, y), 2.5, []string{"column 1", "column 3"}); err != nil {
		t.Fatal(err)
	}
	back, err := ReadCSV(&file, Table{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := Take(back, 0, math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	if got := m.Format(); got.Frames != 480 || math.Abs(got.Rate/48000-1) > 1e-9 || strings.Join(got.Names, "|") != "column 1|column 3" {
		t.Errorf("%+v", got)
	}
	for i := range x {
		if m.Samples(0)[i] != x[i] || m.Samples(1)[i] != y[i] {
			t.Fatalf("row %d: %g and %g", i, m.Samples(0)[i], m.Samples(1)[i])
		}
	}
}
