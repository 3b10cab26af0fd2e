package capture

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A biquad filters samples: y = b0·x + b1·x' + b2·x” − a1·y' − a2·y”.
type biquad struct{ b0, b1, b2, a1, a2 float64 }

func (q biquad) filter(x []float64) []float64 {
	y := make([]float64, len(x))
	var x1, x2, y1, y2 float64
	for i, v := range x {
		y[i] = q.b0*v + q.b1*x1 + q.b2*x2 - q.a1*y1 - q.a2*y2
		x2, x1, y2, y1 = x1, v, y1, y[i]
	}
	return y
}

// gain is the filter's own, in decibels, at f of a rate: |H| on the unit circle.
func (q biquad) gain(f, rate float64) float64 {
	w := 2 * math.Pi * f / rate
	size := func(a, b, c float64) float64 {
		return math.Hypot(a+b*math.Cos(w)+c*math.Cos(2*w), b*math.Sin(w)+c*math.Sin(2*w))
	}
	return 20 * math.Log10(size(q.b0, q.b1, q.b2)/size(1, q.a1, q.a2))
}

// lowPass is the bilinear second-order Butterworth at 80 Hz for 48,000 samples a second,
// with the corner put where it belongs (coefficients computed apart, with a general
// library's figures: −0.01693100 dB at 20 Hz, −3.01029996 at 80, −43.90124853 at 1 kHz).
var lowPass = biquad{2.72138079882582e-05, 5.44276159765164e-05, 2.72138079882582e-05, -1.98519065789626, 0.985299513128215}

// sweep goes from one frequency to another evenly in the logarithm.
func sweep(rate, seconds, from, to float64) []float64 {
	k := math.Log(to / from)
	return made(rate, seconds, func(t float64) float64 {
		return 0.5 * math.Sin(2*math.Pi*from*seconds/k*(math.Exp(t/seconds*k)-1))
	})
}

// Filters of known closed form: 2nd-order Butterworth, and Linkwitz–Riley of 4th order,
// which is that twice: 3.0103 and 6.0206 dB at the corner; between two and four times
// the corner 11.79 and 23.59 dB (10·lg(1 + x⁴), 20·lg(1 + x⁴)).
func TestResponseOfFilters(t *testing.T) {
	const rate = 48000.0
	drive := sweep(rate, 20, 8, 2000)
	once := lowPass.filter(drive)
	for name, c := range map[string]struct {
		out         []float64
		drop, slope float64
		times       float64
	}{"Butterworth": {once, 3.0103, 24.099331 - 12.304489, 1}, "Linkwitz–Riley": {lowPass.filter(once), 6.0206, 48.198662 - 24.608978, 2}} {
		m, err := Response(NewMemory(rate, c.out, drive), Channel{0, direct}, &Channel{1, direct})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range []float64{20, 40, 80, 160, 320} {
			if got, want := m.At(f), c.times*lowPass.gain(f, rate); math.Abs(got-want) > 0.05 {
				t.Errorf("%s at %g Hz: %g dB, want %g", name, f, got, want)
			}
		}
		low, high := m.Corners(20, c.drop)
		if !math.IsNaN(low) || math.Abs(high/80-1) > 0.005 {
			t.Errorf("%s: corners %g and %g Hz", name, low, high)
		}
		// The points of the line have the curve's bend, so the mean slope of a line of least
		// squares is compared with the fall between its ends to 2 %.
		near1(t, name+", slope", -m.Slope(160, 320), c.slope, 0.02)
	}
}

// Without a drive channel, by steps of a third of an octave, and at high frequencies: 0 dB
// of an output of 1 V is an rms of 1 V.
func TestResponseBySteps(t *testing.T) {
	const rate = 96000.0
	var x []float64
	for f := 25.0; f < 21000; f *= math.Cbrt(2) {
		x = append(x, made(rate, math.Max(0.2, 10/f), func(t float64) float64 { return math.Sqrt2 * math.Sin(2*math.Pi*f*t) })...)
	}
	m, err := Response(NewMemory(rate, x), Channel{0, direct}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for f := 25.0; f < 21000; f *= math.Cbrt(2) {
		if got := m.At(f); math.Abs(got) > 0.03 {
			t.Errorf("%g Hz: %g dB", f, got)
		}
	}
}

// A peaking filter of the bilinear kind with 12 dB at 45 Hz: centre and height; and
// a band between two corners.
func TestBoostAndBand(t *testing.T) {
	const rate = 48000.0
	w := 2 * math.Pi * 45 / rate
	a, alpha := math.Pow(10, 12.0/40), math.Sin(w)/(2*1.2)
	peak := biquad{(1 + alpha*a) / (1 + alpha/a), -2 * math.Cos(w) / (1 + alpha/a), (1 - alpha*a) / (1 + alpha/a), -2 * math.Cos(w) / (1 + alpha/a), (1 - alpha/a) / (1 + alpha/a)}
	if got := peak.gain(45, rate); math.Abs(got-12) > 1e-6 {
		t.Fatalf("the filter has %g dB", got)
	}
	drive := sweep(rate, 30, 10, 1000)
	m, err := Response(NewMemory(rate, peak.filter(drive), drive), Channel{0, direct}, &Channel{1, direct})
	if err != nil {
		t.Fatal(err)
	}
	centre, height := m.Boost(900)
	if math.Abs(centre/45-1) > 0.01 || math.Abs(height-12+peak.gain(900, rate)) > 0.05 {
		t.Errorf("boost of %g dB at %g Hz", height, centre)
	}
	// Its own corners: where the filter itself is 3.0103 dB below its top, by bisection.
	edge := func(inside, outside float64) float64 {
		for range 60 {
			if middle := math.Sqrt(inside * outside); peak.gain(middle, rate) > 12-3.0103 {
				inside = middle
			} else {
				outside = middle
			}
		}
		return inside
	}
	low, high := m.Corners(45, 3.0103)
	near1(t, "lower corner", low, edge(45, 10), 0.01)
	near1(t, "upper corner", high, edge(45, 1000), 0.01)
}

func TestResponseMistakes(t *testing.T) {
	tone := made(48000, 1, cosine(1, 1000, 0))
	for name, x := range map[string][]float64{"silence": make([]float64, 48000), "one sample": {1}, "none": {}, "one frequency": tone} {
		if m, err := Response(NewMemory(48000, x), Channel{0, direct}, nil); err == nil {
			t.Errorf("%s: %v", name, m)
		}
	}
	if _, err := Response(NewMemory(48000, tone), Channel{0, direct}, &Channel{4, direct}); err == nil {
		t.Error("a channel that isn't there is no error")
	}
}

// A sweep that a filter brings below the recorder's noise, its hum and what is left of its
// offset, without a drive channel: the corner of a 4th-order Linkwitz–Riley low-pass, 6.0206 dB
// down at 80 Hz by definition, with hum right in its passband.
func TestResponseBelowHum(t *testing.T) {
	const rate = 8000.0
	low := butterworth(80, rate)
	corner := 80 * math.Pow(2*(1+math.Pow(30./80, 4))-1, 0.25) // 30 Hz is below 0 dB too
	for name, of := range map[string]func(i int) float64{
		"hum":    func(i int) float64 { return 1e-3 * math.Sin(2*math.Pi*50*float64(i)/rate) },
		"offset": func(i int) float64 { return 3e-4 },
		"drift":  func(i int) float64 { return 1e-3 * float64(i) / rate / 40 },
		"none":   func(i int) float64 { return 0 },
	} {
		rnd := rand.New(rand.NewPCG(3, 9))
		out := low.filter(low.filter(sweep(rate, 40, 20, 2000)))
		for i := range out {
			out[i] += of(i) + 1e-4*rnd.NormFloat64()
		}
		m, err := Response(NewMemory(rate, out), Channel{0, direct}, nil)
		if err != nil {
			t.Fatal(err)
		}
		got, err := m.Corner(30, 20*math.Log10(2), true)
		if err != nil || got.off(corner) > 2.5 || math.Abs(got.X/corner-1) > 0.002 || got.U > 0.5 {
			t.Errorf("%s: %+v, want %.3f Hz, %v", name, got, corner, err)
		}
		// At 2 kHz the sweep is 32 dB below the noise, which is no sweep.
		if first, last := m[0], m[len(m)-1]; first.Freq < 19 || last.Freq > 2000 {
			t.Errorf("%s: points of noise: %+v, %+v", name, first, last)
		}
		for _, g := range m {
			if g.Freq < 250 && math.Abs(g.DB+20*math.Log10(math.Sqrt2*2*(1+math.Pow(g.Freq/80, 4)))) > 1 {
				t.Errorf("%s: %.4g Hz: %.2f dB", name, g.Freq, g.DB)
			}
		}
	}
}

// Steps that begin anew, wherever the wave before stood: what lies between two steps is no
// point, and the corner of a 2nd-order Butterworth low-pass is 3.0103 dB down at 80 Hz.
func TestResponseByStepsThatBeginAnew(t *testing.T) {
	const rate = 8000.0
	low := butterworth(80, rate)
	var drive []float64
	var steps int
	for f := 10.0; f < 1000; f *= math.Exp2(1. / 5) {
		drive = append(drive, made(rate, math.Max(1, 20/f)+0.0137, func(t float64) float64 { return math.Sin(2 * math.Pi * f * t) })...)
		steps++
	}
	m := swept(t, rate, drive, low.filter(drive))
	if len(m) != steps {
		t.Errorf("%d points of %d steps", len(m), steps)
	}
	corner := 80 * math.Pow(2*(1+math.Pow(20./80, 4))-1, 0.25)
	got, err := m.Corner(20, 10*math.Log10(2), true)
	if err != nil || got.off(corner) > 2.5 || math.Abs(got.X/corner-1) > 0.01 || got.U > 0.8 {
		t.Errorf("%+v, want %.3f Hz, %v", got, corner, err)
	}
}
