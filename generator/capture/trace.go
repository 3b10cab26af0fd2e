package capture

import (
	"math"
)

// Outline chooses at most so many samples that draw a wave: all where they are few, else
// the lowest and the highest of each of half as many equal parts. They are given by their
// places, in order.
func Outline(x []float64, most int) []int {
	if len(x) <= most {
		at := make([]int, len(x))
		for i := range at {
			at[i] = i
		}
		return at
	}
	var at []int
	for k, parts := 0, most/2; k < parts; k++ {
		from, to := k*len(x)/parts, (k+1)*len(x)/parts
		low, high := from, from
		for i := from; i < to; i++ {
			if x[i] < x[low] {
				low = i
			}
			if x[i] > x[high] {
				high = i
			}
		}
		at = append(at, min(low, high))
		if low != high {
			at = append(at, max(low, high))
		}
	}
	return at
}

// A Spectrum is the spectrum of a tone as a drawing shows it: each point the highest line
// in its part of the frequencies, in decibels below or above the fundamental. A line
// shows a tone with its own rms, noise with that of 2 bins.
type Spectrum struct {
	Fundamental float64   // hertz
	Seconds     float64   // of the one block
	Freq, DB    []float64 // by rising frequency
	// Harmonics are those of the 2nd, 3rd … in the band, each at exactly its frequency;
	// −160 where there is nothing.
	Harmonics []float64
}

// The least share of the fundamental that is shown: 160 dB below it.
const faintest = 1e-16

// SpectrumOf takes one block of a stretch, as long as fits and whole periods as nearly as
// may be, and gives at most so many points between the band's ends, evenly spaced in the
// logarithm of the frequency.
func SpectrumOf(m *Memory, c Channel, t Tone, most int) (Spectrum, error) {
	f := m.Format()
	if err := c.check(f); err != nil {
		return Spectrum{}, err
	}
	if err := (Wiring{Out: c}).check(f, t); err != nil {
		return Spectrum{}, err
	}
	if t.Freq == 0 || float64(f.Frames)*t.Freq < leastPeriods*f.Rate {
		return Spectrum{}, atFrame(-1, "state the tone's frequency, and a longer interval", "%d samples are too few for a spectrum", f.Frames)
	}
	n := wholePeriods(int(f.Frames), t.Freq/f.Rate)
	s := newSpectrum(n, f.Rate)
	x := make([]float64, n)
	c.Scale.apply(x, m.Samples(c.Index)[:n])
	a := &analyser{spectrum: s, lowest: t.Low, highest: t.High, rest: make([]float64, n)}
	mean := a.mean(x)
	for i := range x {
		x[i] -= mean
	}
	s.transform(x)
	first := s.line(t.Freq)
	if !(first > 0) {
		return Spectrum{}, atFrame(-1, "state an interval with the tone, and its frequency", "no tone at %g Hz", t.Freq)
	}
	out := Spectrum{Fundamental: t.Freq, Seconds: float64(n) / f.Rate}
	db := func(square float64) float64 { return 10 * math.Log10(math.Max(square/first, faintest)) }
	for k := 2; float64(k)*t.Freq <= t.High*(1+1e-9) && float64(k)*t.Freq < f.Rate/2; k++ {
		out.Harmonics = append(out.Harmonics, db(s.line(float64(k)*t.Freq)))
	}
	out.draw(s, t, most, db)
	return out, nil
}

// draw takes the highest bin of each part of the band.
func (out *Spectrum) draw(s *spectrum, t Tone, most int, db func(float64) float64) {
	sum := 0.0
	for _, w := range s.w {
		sum += w
	}
	whole := float64(s.n) * s.sum / (sum * sum) // from a bin's share to the rms of a tone in its middle
	part, best := -1, 0
	put := func() {
		if part >= 0 {
			out.Freq, out.DB = append(out.Freq, float64(best)*s.width()), append(out.DB, db(s.Power[best]*whole))
		}
	}
	for k := max(1, int(math.Ceil(t.Low/s.width()))); k < len(s.Power) && float64(k)*s.width() <= t.High; k++ {
		now := int(float64(most) * math.Log(float64(k)*s.width()/t.Low) / math.Log(t.High/t.Low) * (1 - 1e-9))
		if now != part {
			put()
			part, best = now, k
		} else if s.Power[k] > s.Power[best] {
			best = k
		}
	}
	put()
}

// wholePeriods is the length of a block of at most n samples that is transformed quickly
// and is nearest to whole periods of a tone, of those that are nine tenths as long at
// least. A block has 2^17 samples at most.
func wholePeriods(n int, cycles float64) int {
	n = min(n, 1<<17)
	best, off := 0, math.Inf(1)
	for at := quick(max(64, n*9/10)); at <= n; at = quick(at + 2) {
		turns := float64(at) * cycles
		if d := math.Abs(turns - math.Round(turns)); d <= off {
			best, off = at, d
		}
	}
	if best == 0 {
		return n - n%2
	}
	return best
}
