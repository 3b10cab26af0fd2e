package capture

import (
	"errors"
	"math"
	"testing"

	"wattsheet/generator/quantity"
)

// FuzzFigures: whatever the samples are, each analysis gives numbers or says why not.
func FuzzFigures(f *testing.F) {
	f.Add([]byte{0, 50, 90, 127, 90, 50, 0, 206, 166, 128, 166, 206}, uint16(40), 1.0, 0.0)
	f.Add([]byte{0, 0, 127, 127, 128, 128}, uint16(300), 1e30, -1e30)
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9}, uint16(10), 1e-30, 3.0)
	f.Fuzz(func(t *testing.T, data []byte, repeats uint16, gain, offset float64) {
		n := len(data) * int(repeats%1000)
		if n > 20000 {
			return
		}
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(int8(data[i%len(data)])) / 128 * (1 + float64(i)/float64(n))
		}
		c := Channel{0, Scale{Name: "divider", Unit: "V", Gain: gain, GainRel: 0.01, Offset: offset, OffsetU: 0.1}}
		w := Wiring{Out: c, SupplyV: &c, SupplyA: &c, Load: quantity.Exact(4, "Ω")}
		tone := Tone{Freq: 50, Low: 20, High: 500}
		if s, err := Steady(NewMemory(1000, x), w, Tone{Low: 20, High: 500}); said(t, err) {
			finite(t, s.Freq, s.RMS, s.Mean, s.Peak, s.Crest, s.Fundamental, s.THD, s.THDOfTotal, s.THDN, s.THDNOfTotal, s.Noise, s.Power, s.SupplyPower, s.Efficiency)
		}
		for _, stepped := range []bool{false, true} {
			if curve, err := Levels(NewMemory(1000, x), w, tone, stepped); said(t, err) {
				for _, limit := range []float64{0.01, 0.1} {
					if p, err := curve.PowerAtTHDN(limit); said(t, err) {
						finite(t, p)
					}
				}
			}
		}
		if b, err := BurstsOf(NewMemory(1000, x), w, 50); said(t, err) {
			finite(t, b.Power, b.Efficiency, b.EfficiencyWithin)
		}
		if m, err := Response(NewMemory(1000, x), c, nil); said(t, err) {
			for _, g := range m {
				finite(t, quantity.Exact(g.DB, "dB"), quantity.Exact(g.Freq, "Hz"))
			}
			m.Boost(100)
			m.Corners(100, 3)
		}
		if noise, err := NoiseOf(NewMemory(1000, x), "bench", c, 20, 400); said(t, err) {
			finite(t, noise.RMS, noise.AWeighted, SignalToNoise(noise.RMS, 1, 4))
		}
		if p, err := PerCycle(NewMemory(1000, x), w); said(t, err) {
			for _, one := range p {
				finite(t, quantity.Exact(one.Power, "W"), quantity.Exact(one.Efficiency, "1"))
			}
		}
	})
}

// said reports whether there is a result; an error has to be a problem with a hint.
func said(t *testing.T, err error) bool {
	t.Helper()
	var p *Problem
	if err != nil && (!errors.As(err, &p) || p.Hint == "" || p.Summary == "") {
		t.Fatalf("%#v", err)
	}
	return err == nil
}

func finite(t *testing.T, values ...quantity.Value) {
	t.Helper()
	for i, v := range values {
		if u := v.Std(); math.IsNaN(v.X) || math.IsInf(v.X, 0) || math.IsNaN(u) || math.IsInf(u, 0) {
			t.Fatalf("figure %d: %g, u %g", i, v.X, u)
		}
	}
}

// A stretch of a stream gives what the same stretch in memory does.
func TestBetween(t *testing.T) {
	x := made(8000, 5, func(t float64) float64 { return math.Sin(2*math.Pi*200*t) * (1 + t) })
	s, err := Between(NewMemory(8000, x), 1, 3)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Steady(s, Wiring{Out: Channel{0, direct}}, Tone{Low: 50, High: 4000})
	if err != nil {
		t.Fatal(err)
	}
	m, err := Take(NewMemory(8000, x), 1, 3)
	if err != nil {
		t.Fatal(err)
	}
	want, err := Steady(m, Wiring{Out: Channel{0, direct}}, Tone{Low: 50, High: 4000})
	if err != nil || got.RMS.X != want.RMS.X || got.Blocks != want.Blocks {
		t.Errorf("%v, want %v, %v", got.RMS, want.RMS, err)
	}
	for _, c := range [][2]float64{{1, 1}, {4, 6}, {6, 7}, {5, math.Inf(1)}, {math.NaN(), 1}, {1e300, math.Inf(1)}} {
		if _, err := Between(NewMemory(8000, x), c[0], c[1]); err == nil {
			t.Errorf("from %g to %g is no error", c[0], c[1])
		}
	}
	late := NewMemory(8000, x)
	late.format.Frames = -1
	if s, err = Between(late, 4, 6); err != nil {
		t.Fatal(err)
	}
	if _, err = Steady(s, Wiring{Out: Channel{0, direct}}, Tone{Low: 50, High: 4000}); err == nil || err.Error() != "frame 40000: the capture ends before the interval does" {
		t.Errorf("a stream that ends early: %v", err)
	}
}

// Period by period the power is that of the whole.
func TestPerCycle(t *testing.T) {
	w := Wiring{Out: Channel{0, direct}, SupplyV: &Channel{1, direct}, SupplyA: &Channel{2, direct}, Load: quantity.Exact(4, "Ω")}
	level := func(v float64) []float64 { return made(48000, 0.5, func(float64) float64 { return v }) }
	p, err := PerCycle(NewMemory(48000, made(48000, 0.5, cosine(20, 61.7, 0)), level(14), level(5)), w)
	if err != nil {
		t.Fatal(err)
	}
	if len(p) < 28 || len(p) > 30 {
		t.Errorf("%d periods in half a second of 61.7 Hz", len(p))
	}
	for _, one := range p {
		near1(t, "power", one.Power, 50, 1e-5)
		near1(t, "efficiency", one.Efficiency, 50.0/70, 1e-5)
		near1(t, "length", one.Seconds, 1/61.7, 1e-5)
	}
	if _, err := PerCycle(NewMemory(48000, level(0), level(14), level(5)), w); err == nil {
		t.Error("silence has periods")
	}
}
