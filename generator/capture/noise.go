package capture

import (
	"errors"
	"io"
	"math"

	"wattsheet/generator/quantity"
)

// The corner frequencies of the A-weighting in hertz (IEC 61672-1:2013, annex E;
// figures from memory).
const (
	pole1 = 20.598997
	pole2 = 107.65265
	pole3 = 737.86223
	pole4 = 12194.217
)

// AWeighting is the weight at a frequency f in hertz, in decibels:
//
//	20·lg( f4²·f⁴ / ((f² + f1²)·√(f² + f2²)·√(f² + f3²)·(f² + f4²)) ) − the same at 1 kHz
//
// (IEC 61672-1:2013, annex E, equation E.6; number of the equation from memory.) It is
// 0 dB at 1 kHz and −Inf at 0.
func AWeighting(f float64) float64 { return 20 * math.Log10(weight(f)/weight(1000)) }

func weight(f float64) float64 {
	q := f * f
	return pole4 * pole4 * q * q / ((q + pole1*pole1) * math.Sqrt(q+pole2*pole2) * math.Sqrt(q+pole3*pole3) * (q + pole4*pole4))
}

// Noise is what an output gives without a signal, as rms in the channel's unit.
type Noise struct {
	RMS       quantity.Value // in the band
	AWeighted quantity.Value // the same, each frequency with its weight
	Blocks    int
}

// NoiseOf reads a source to its end and gives the noise of a channel between two
// frequencies in hertz. The capture is named as in [Wiring]. The weights are applied to the spectrum, bin by bin, at the bins'
// own frequencies; a bin that the band cuts counts by its part within.
func NoiseOf(s Source, capture string, c Channel, low, high float64) (Noise, error) {
	f := s.Format()
	w := Wiring{Out: c}
	if err := w.check(f, Tone{Low: low, High: high}); err != nil {
		return Noise{}, err
	}
	frames := math.Ceil(lowPeriods / low * f.Rate)
	if frames > mostBlock {
		return Noise{}, atFrame(-1, "begin the band higher up", "a band from %g Hz needs blocks of %.0f samples", low, frames)
	}
	n := quick(max(64, int(frames)))
	st := &steady{source: s, format: f, wiring: w, guard: newGuard(f), analyser: newAnalyser(n, f.Rate, Tone{Low: low, High: high})}
	raw, x := blockOf(len(f.Names), n), make([]float64, n)
	var flat, weighted []float64 // mean squares of the blocks
	got, err := st.more(raw, 0)
	for ; got == n; got, err = st.slide(raw) {
		c.Scale.apply(x, raw[c.Index])
		a, b := st.hiss(x)
		flat, weighted = append(flat, a), append(weighted, b)
		if err != nil {
			break
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return Noise{}, err
	}
	if len(flat) < 3 {
		return Noise{}, atFrame(st.frames, "take a longer interval, record longer, or begin the band higher up", "the capture is too short: %.4g s are needed, it has %.4g s",
			2*float64(n)/f.Rate, float64(st.frames)/f.Rate)
	}
	if meanOf(flat) == 0 {
		return Noise{}, atFrame(0, "look at the recorder's input and range", "channel %d has the same value throughout: that is no noise", c.Index+1)
	}
	return Noise{noisy(flat, c.Scale, capture, "noise"), noisy(weighted, c.Scale, capture, "A-weighted noise"), len(flat)}, nil
}

// hiss is a block's mean square in the band, as it is and A-weighted.
func (a *analyser) hiss(x []float64) (flat, weighted float64) {
	mean := a.mean(x)
	for i, v := range x {
		a.rest[i] = v - mean
	}
	a.transform(a.rest)
	from, to, unit := a.lowest/a.width(), a.highest/a.width(), weight(1000)
	for k, p := range a.Power {
		if part := p * share(k, from, to); part > 0 {
			w := weight(float64(k)*a.width()) / unit
			flat, weighted = flat+part, weighted+part*w*w
		}
	}
	return flat, weighted
}

func meanOf(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// noisy is the root of a mean of mean squares with its spread: u(√m) = u(m)/(2√m).
func noisy(squares []float64, s Scale, capture, id string) quantity.Value {
	m := meanOf(squares)
	spread := SpreadOf(squares)
	spread.U /= 2 * math.Sqrt(m)
	return spread.onto(s.propagate(math.Sqrt(m), s.Unit, 1, 0), capture, id)
}

// SignalToNoise is how far a noise lies below the voltage that gives a power into a
// load, in decibels: 20·lg(√(P·R)/Vn). Watts are 1, or the rated power, and are said with
// the figure: the two differ by 10·lg of the rated power. The load is taken as exact.
func SignalToNoise(noise quantity.Value, watts, ohms float64) quantity.Value {
	slope := -20 / math.Ln10 / noise.X
	return quantity.Combine(20*math.Log10(math.Sqrt(watts*ohms)/noise.X), "dB", quantity.Term{Value: noise, Sensitivity: slope})
}
