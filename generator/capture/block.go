package capture

import (
	"math"
)

// A reading is what one block of a steady tone gives, in the channel's unit. Mean
// squares are weighted as the package says.
type reading struct {
	freq         float64
	middle       float64 // seconds from the first sample to the block's middle
	drift        float64 // by how much of itself the amplitude changes over the block
	mean, square float64 // mean, mean square
	fundamental  float64 // mean square of the fundamental
	residual     float64 // mean square in the band, less mean and fundamental
	harmonics    float64 // mean square of the harmonics in the band
	noise        float64 // mean square in the band apart from harmonics
	blur         float64 // relative standard uncertainty of √residual by that noise
	high, low    float64 // largest and smallest sample
	top, bottom  float64 // shares of the time near them
	supplyV      float64 // means over the block
	supplyA      float64
	supplyPower  float64
}

// near is how far below its peak a sample counts as at the top: 1 % of the peak.
const near = 0.01

// sineShare is the part of the time that a sine is within 1 % of its peak on one
// side: arccos(0.99)/π.
var sineShare = math.Acos(1-near) / math.Pi

// An analyser reads blocks of one length.
type analyser struct {
	*spectrum
	lowest, highest float64 // the band, in hertz
	rest            []float64
	lines           []float64 // rms of each harmonic of the last block, from the 2nd
}

// tone fits fundamental and mean with the block's weights, letting amplitude and
// frequency drift evenly, until the frequency fits within 1e-4 turns of the block.
// Other components of the signal, 8 bins away, bias it by 1 part in 10^9.
func (a *analyser) tone(x []float64, freq float64) (turning, float64, error) {
	for range 20 {
		p, err := fitTurning(x, a.g, a.rate, freq, 0, 0, 5)
		if err != nil {
			return p, freq, err
		}
		d := p.off(a.n, a.rate)
		if math.IsNaN(d) || !(freq+d > 0 && freq+d < a.rate/2) {
			break
		}
		if math.Abs(d) < 1e-4*a.width() {
			return p, freq + d, nil
		}
		freq += math.Max(-a.width(), math.Min(a.width(), d))
	}
	return turning{}, freq, atFrame(-1, "state an interval with a steady tone, and its frequency", "no steady tone near %.4g Hz", freq)
}

// strongest is the frequency of the strongest line of a block between two
// frequencies, to a fraction of a bin, by a parabola through logarithms; 0 where there
// is none.
func (a *analyser) strongest(x []float64, low, high float64) float64 {
	mean := a.mean(x)
	for i, v := range x {
		a.rest[i] = v - mean
	}
	a.transform(a.rest)
	best := 0
	for k := max(1, int(math.Ceil(low/a.width()))); k < len(a.Power)-1 && float64(k)*a.width() <= high; k++ {
		if a.Power[k] > a.Power[best] || best == 0 {
			best = k
		}
	}
	if best == 0 || a.Power[best] <= 0 || a.Power[best-1] <= 0 || a.Power[best+1] <= 0 {
		return float64(best) * a.width()
	}
	l, m, r := math.Log(a.Power[best-1]), math.Log(a.Power[best]), math.Log(a.Power[best+1])
	d := 0.0
	if bend := l - 2*m + r; bend < 0 {
		d = math.Max(-0.5, math.Min(0.5, (l-r)/2/bend))
	}
	return (float64(best) + d) * a.width()
}

// mean is the block's weighted mean.
func (a *analyser) mean(x []float64) float64 {
	sum, size := 0.0, 0.0
	for i, v := range x {
		v *= a.g[i]
		sum, size = sum+v, size+math.Abs(v)
	}
	return cancelled(sum, size) / a.sum
}

// product is the weighted mean of x·y.
func (a *analyser) product(x, y []float64) float64 {
	sum, size := 0.0, 0.0
	for i, v := range x {
		v *= a.g[i] * y[i]
		sum, size = sum+v, size+math.Abs(v)
	}
	return cancelled(sum, size) / a.sum
}

// cancelled is a sum, or 0 where it is only what rounding left of terms of that size in
// all, as of the supply on a recorder that passes no DC.
func cancelled(sum, size float64) float64 {
	if math.Abs(sum) <= 1e-12*size {
		return 0
	}
	return sum
}

// read gives the block's figures for a tone near freq.
func (a *analyser) read(x []float64, freq float64) (reading, error) {
	p, freq, err := a.tone(x, freq)
	if err != nil {
		return reading{}, err
	}
	r := reading{freq: freq, mean: a.mean(x), square: a.product(x, x), fundamental: (p[1]*p[1] + p[2]*p[2]) / 2}
	r.drift = (p[1]*p[3] + p[2]*p[4]) / (2 * r.fundamental)
	p.values(a.n, a.rate, freq-p.off(a.n, a.rate), a.rest)
	for i, v := range x {
		a.rest[i] = v - a.rest[i]
	}
	a.transform(a.rest)
	r.residual = a.band(a.lowest, a.highest)
	a.split(&r, freq)
	r.blur = a.blur(r)
	r.tops(x)
	return r, nil
}

// split parts the residual into harmonics and noise. A harmonic at the band's end
// counts. The noise is what lies apart from them, spread over the whole band.
func (a *analyser) split(r *reading, freq float64) {
	a.lines = a.lines[:0]
	inLobes, covered := 0.0, 0.0
	for k := 2; float64(k)*freq <= a.highest*(1+1e-9) && float64(k)*freq < a.rate/2; k++ {
		f := float64(k) * freq
		power := 0.0
		if f >= a.lowest {
			power = a.line(f)
			from, to := math.Max(a.lowest, f-lobe*a.width()), math.Min(a.highest, f+lobe*a.width())
			inLobes, covered = inLobes+a.band(from, to), covered+to-from
		}
		a.lines = append(a.lines, math.Sqrt(power))
		r.harmonics += power
	}
	if from, to := math.Max(a.lowest, freq-lobe*a.width()), math.Min(a.highest, freq+lobe*a.width()); to > from {
		r.residual += a.taken(from, to)
		inLobes, covered = inLobes+a.band(from, to), covered+to-from
	}
	if width := a.highest - a.lowest; width > covered {
		r.noise = math.Max(0, a.band(a.lowest, a.highest)-inLobes) * width / (width - covered)
	}
}

// blur is what noise of even density does to the root of the residual r² = h² + n² in one
// block: n² scatters by n²·√(rate·Σg²/(Σg)²/B) over the band B, and h² by twice the
// root of h² times the part of n² that lies within a line, half of two bins.
func (a *analyser) blur(r reading) float64 {
	if r.residual == 0 {
		return 0
	}
	width := a.highest - a.lowest
	own := r.noise * r.noise * a.rate * a.spread / width
	cross := 4 * r.harmonics * r.noise * a.width() / width
	return math.Sqrt(own+cross) / r.residual / 2
}

// taken is what the fit of the fundamental took of the noise, whose lobe lies between
// two frequencies: as many bins' worth as the fit takes of white noise, at the density
// of the neighbouring pieces of the band. Where these differ beyond chance one holds a
// tone, and the quieter counts.
func (a *analyser) taken(from, to float64) float64 {
	low, high := math.Max(a.lowest, from-2*lobe*a.width()), math.Min(a.highest, to+2*lobe*a.width())
	var sum, count float64
	least := math.Inf(1)
	for _, side := range [...][2]float64{{low, from}, {to, high}} {
		if width := side[1] - side[0]; width > lobe*a.width() {
			density := a.band(side[0], side[1]) / width
			sum, count, least = sum+density, count+1, math.Min(least, density)
		}
	}
	if count == 0 {
		return 0
	}
	density := sum / count
	if density > 4*least {
		density = least
	}
	return density * a.fitted * a.width()
}

// tops finds the extremes, and how much of the time lies near them.
func (r *reading) tops(x []float64) {
	r.low, r.high = extremes(x)
	up, down := r.high-near*(r.high-r.mean), r.low+near*(r.mean-r.low)
	for _, v := range x {
		if v >= up {
			r.top++
		}
		if v <= down {
			r.bottom++
		}
	}
	r.top, r.bottom = r.top/float64(len(x)), r.bottom/float64(len(x))
}

func extremes(x []float64) (low, high float64) {
	low, high = x[0], x[0]
	for _, v := range x {
		if v > high {
			high = v
		} else if v < low {
			low = v
		}
	}
	return low, high
}
