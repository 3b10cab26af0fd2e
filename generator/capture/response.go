package capture

import "math"

// A Gain is the magnitude at one frequency.
type Gain struct {
	Freq   float64 // hertz, the geometric mean of the periods'
	DB     float64 // decibels: of the output to the drive, or to 1 V where there is no drive channel
	Cycles int     // periods that it is the mean of
}

// Magnitude is a curve over frequency, by rising frequency.
type Magnitude []Gain

// resolution is how many points an octave has.
const resolution = 24

// Response gives the magnitude over frequency from a sine whose frequency goes up or
// down, in steps or evenly in its logarithm, slowly beside what the unit's filters take
// to settle: a sweep that changes by a part r a second through a filter of quality Q at
// f is off by the order of Q²·r/f.
//
// Frequencies are told from the rises of the drive through zero, or of the output
// where no drive was recorded: then the level of the drive has to be the same
// throughout. The magnitude is the ratio of the mean squares over the same whole
// periods, which holds harmonics and noise too. Periods within 1/24 octave are joined,
// without those in which something else is heard than the sweep: see [heard].
// The scales' gains shift all of it by the same decibels: corners, slopes and boosts
// don't depend on them.
func Response(m *Memory, out Channel, drive *Channel) (Magnitude, error) {
	f := m.Format()
	channels := []Channel{out}
	if drive != nil {
		channels = append(channels, *drive)
	}
	guard, scaled := newGuard(f), blockOf(len(channels), int(f.Frames))
	for i, c := range channels {
		if err := c.check(f); err != nil {
			return nil, err
		}
		if p := guard.look(c.Index, m.channels[c.Index], 0); p != nil {
			return nil, p
		}
		c.Scale.apply(scaled[i], m.channels[c.Index])
		if len(scaled[i]) > 0 {
			withoutMean(scaled[i])
		}
	}
	from := scaled[len(scaled)-1]
	places := rises(from)
	if len(places) < 3 {
		return nil, atFrame(f.Frames, "state the interval of the sweep, and the channel that it is on", "there is no sweep here: %d rises through zero", len(places))
	}
	return joined(stretches(places, scaled, f.Rate))
}

func withoutMean(x []float64) {
	mean := meanOf(x)
	for i := range x {
		x[i] -= mean
	}
}

// At is the magnitude at a frequency in hertz, straight between neighbours over the
// logarithm of the frequency; NaN outside the curve.
func (m Magnitude) At(freq float64) float64 {
	for i := 1; i < len(m); i++ {
		if m[i-1].Freq <= freq && freq <= m[i].Freq {
			part := math.Log(freq/m[i-1].Freq) / math.Log(m[i].Freq/m[i-1].Freq)
			return m[i-1].DB + part*(m[i].DB-m[i-1].DB)
		}
	}
	return math.NaN()
}

// Corners are the frequencies to either side of a reference where the magnitude has
// first fallen by drop decibels (3 for the usual corner, 6 for a Linkwitz–Riley one)
// below that at the reference; NaN where the curve doesn't fall so far.
func (m Magnitude) Corners(reference, drop float64) (low, high float64) {
	low, high = math.NaN(), math.NaN()
	limit := m.At(reference) - drop
	cross := func(a, b Gain) float64 {
		return a.Freq * math.Pow(b.Freq/a.Freq, (limit-a.DB)/(b.DB-a.DB))
	}
	for i := 1; i < len(m); i++ {
		if a, b := m[i-1], m[i]; b.Freq > reference && a.DB >= limit && b.DB < limit {
			high = cross(a, b)
			break
		}
	}
	for i := len(m) - 1; i > 0; i-- {
		if a, b := m[i-1], m[i]; a.Freq < reference && b.DB >= limit && a.DB < limit {
			low = cross(a, b)
			break
		}
	}
	return low, high
}

// Slope is how the magnitude changes between two frequencies, in decibels an octave,
// along the straight line of least squares; NaN with fewer than two points there.
func (m Magnitude) Slope(from, to float64) float64 {
	var n, x, y, xx, xy float64
	for _, g := range m {
		if g.Freq >= from && g.Freq <= to {
			o := math.Log2(g.Freq / from)
			n, x, y, xx, xy = n+1, x+o, y+g.DB, xx+o*o, xy+o*g.DB
		}
	}
	if n < 2 {
		return math.NaN()
	}
	return (n*xy - x*y) / (n*xx - x*x)
}

// Boost is the frequency of the highest magnitude, and by how many decibels it is above
// that at the reference. The top lies on a parabola over the logarithm of the frequency,
// of least squares through the points within half a decibel of the highest (three at
// least).
func (m Magnitude) Boost(reference float64) (centre, height float64) {
	top := 0
	for i, g := range m {
		if g.DB > m[top].DB {
			top = i
		}
	}
	from, to := top, top
	for from > 0 && (m[from-1].DB > m[top].DB-0.5 || from == top) {
		from--
	}
	for to < len(m)-1 && (m[to+1].DB > m[top].DB-0.5 || to == top) {
		to++
	}
	centre, height = m[top].Freq, m[top].DB
	var n [5][6]float64
	for _, g := range m[from : to+1] {
		o := math.Log2(g.Freq / m[top].Freq)
		row := [3]float64{1, o, o * o}
		for j := range 3 {
			for k := range 3 {
				n[j][k] += row[j] * row[k]
			}
			n[j][5] += row[j] * g.DB
		}
	}
	if p, err := solve(&n, 3); err == nil && to-from >= 2 && p[2] < 0 {
		if o := -p[1] / (2 * p[2]); math.Abs(o) < 0.5 {
			centre, height = centre*math.Exp2(o), p[0]-p[1]*p[1]/(4*p[2])
		}
	}
	return centre, height - m.At(reference)
}
