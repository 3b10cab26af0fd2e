package capture

import (
	"math"
	"slices"
	"testing"
)

// A tone with harmonics of stated levels: the drawing has them at their frequencies, as far
// below the fundamental as they are (off a bin's middle the window takes 0.83 dB at most;
// Harris 1978, table I, from memory), and the marks to 0.005 dB.
func TestSpectrumOfHarmonics(t *testing.T) {
	for _, freq := range []float64{1000, 997.3, 60.1} {
		x := made(48000, 2, func(at float64) float64 {
			w := 2 * math.Pi * freq * at
			return 20*math.Sin(w) + 0.2*math.Sin(2*w+1) + 0.02*math.Sin(3*w+2) + 3
		})
		m := NewMemory(48000, x)
		s, err := SpectrumOf(m, Channel{0, direct}, Tone{Freq: freq, Low: 20, High: 20000}, 300)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Freq) > 300 || len(s.Freq) < 150 || !slices.IsSorted(s.Freq) || s.Freq[0] < 20 || s.Freq[len(s.Freq)-1] > 20000 {
			t.Fatalf("%g Hz: %d points from %g to %g Hz", freq, len(s.Freq), s.Freq[0], s.Freq[len(s.Freq)-1])
		}
		for k, want := range []float64{-40, -60} {
			if math.Abs(s.Harmonics[k]-want) > 0.005 {
				t.Errorf("%g Hz: harmonic %d at %g dB, want %g", freq, k+2, s.Harmonics[k], want)
			}
		}
		if math.Abs(slices.Max(s.DB)) > 0.84 || s.Harmonics[3] > -120 {
			t.Errorf("%g Hz: highest at %g dB, the 5th at %g", freq, slices.Max(s.DB), s.Harmonics[3])
		}
		if top := s.Freq[slices.Index(s.DB, slices.Max(s.DB))]; math.Abs(top/freq-1) > 0.01 {
			t.Errorf("%g Hz: the highest point is at %g Hz", freq, top)
		}
	}
	if _, err := SpectrumOf(NewMemory(48000, make([]float64, 48000)), Channel{0, direct}, Tone{Freq: 1000, Low: 20, High: 20000}, 300); err == nil {
		t.Error("silence has a spectrum")
	}
	if _, err := SpectrumOf(NewMemory(48000, make([]float64, 100)), Channel{0, direct}, Tone{Freq: 1000, Low: 20, High: 20000}, 300); err == nil {
		t.Error("100 samples have a spectrum")
	}
}

// An outline has the extremes of each part, and no more than it may have.
func TestOutline(t *testing.T) {
	x := made(48000, 1, func(at float64) float64 { return math.Sin(2 * math.Pi * 997 * at) })
	x[12345] = 7
	at := Outline(x, 400)
	if len(at) > 400 || len(at) < 390 || !slices.IsSorted(at) || !slices.Contains(at, 12345) {
		t.Fatalf("%d of them", len(at))
	}
	for k := range 200 {
		from, to := k*len(x)/200, (k+1)*len(x)/200
		low, high := slices.Min(x[from:to]), slices.Max(x[from:to])
		inPart := slices.DeleteFunc(slices.Clone(at), func(i int) bool { return i < from || i >= to })
		if len(inPart) != 2 || min(x[inPart[0]], x[inPart[1]]) != low || max(x[inPart[0]], x[inPart[1]]) != high {
			t.Fatalf("part %d: %v", k, inPart)
		}
	}
	if at := Outline(x[:300], 400); len(at) != 300 || at[299] != 299 {
		t.Error("few samples are not all there")
	}
	if at := Outline(make([]float64, 1000), 400); len(at) != 200 {
		t.Errorf("%d of silence", len(at))
	}
}
