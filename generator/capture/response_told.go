package capture

import (
	"math"
	"slices"
)

// A Told is a figure that was told from a response, and how far off it may be, in the
// figure's unit.
type Told struct {
	X float64
	// U is the standard uncertainty by the scatter of the points, DoF its degrees of
	// freedom: half as many as points were looked at, as neighbours share their scatter
	// (own estimate).
	U, DoF float64
	N      int // points that the scatter was told from
	// Between and Pace are half-widths: what the way between the points leaves open, and
	// what the sweep's speed does to filters that take time to settle.
	Between, Pace float64
}

// Corner is the frequency in hertz above (high) or below a reference at which the magnitude
// has first fallen by drop decibels, as [Magnitude.Corners] finds it.
func (m Magnitude) Corner(reference, drop float64, high bool) (Told, error) {
	if p := m.holds(reference); p != nil {
		return Told{}, p
	}
	low, x := m.Corners(reference, drop)
	side := "above"
	if !high {
		x, side = low, "below"
	}
	if math.IsNaN(x) {
		return Told{}, atFrame(-1, "let the sweep go further, or state another drop_db or at_hz", "%s %g Hz the magnitude doesn't fall by %g dB within the sweep, %.4g to %.4g Hz",
			side, reference, drop, m[0].Freq, m[len(m)-1].Freq)
	}
	s, n := m.scatter(x)
	slope := math.Abs(m.steepness(x))
	perDB := x * math.Ln2 / slope // hertz
	return Told{X: x, U: math.Sqrt2 * s * perDB, DoF: float64(n) / 2, N: n,
		Between: (m.sagitta(x) + m.sagitta(reference)) * perDB, Pace: (m.pace(x) + m.pace(reference)) * perDB}, m.scattered(n)
}

// Steepness is how steep the magnitude falls or rises between two frequencies, in
// decibels an octave, without a sign: see [Magnitude.Slope]. That the curve isn't straight
// there is a part of its scatter.
func (m Magnitude) Steepness(from, to float64) (Told, error) {
	for _, f := range []float64{from, to} {
		if p := m.holds(f); p != nil {
			return Told{}, p
		}
	}
	slope := m.Slope(from, to)
	var octaves, db []float64
	for _, g := range m {
		if g.Freq >= from && g.Freq <= to {
			octaves, db = append(octaves, math.Log2(g.Freq/from)), append(db, g.DB)
		}
	}
	n := len(octaves)
	if n < 4 {
		return Told{}, atFrame(-1, "take more of them, or a wider stretch", "there are %d frequencies between %g and %g Hz; a slope needs 4", n, from, to)
	}
	x, y := meanOf(octaves), meanOf(db)
	var spread, off float64
	for i := range octaves {
		o := octaves[i] - x
		spread += o * o
		off += (db[i] - y - slope*o) * (db[i] - y - slope*o)
	}
	return Told{X: math.Abs(slope), U: math.Sqrt(off / float64(n-2) / spread), DoF: float64(n - 2), N: n,
		Pace: (m.pace(from) + m.pace(to)) / math.Log2(to/from)}, nil
}

// Top is the centre of a boost in hertz and its height in decibels above the magnitude at a
// reference, as [Magnitude.Boost] finds them.
func (m Magnitude) Top(reference float64) (centre, height Told, err error) {
	if p := m.holds(reference); p != nil {
		return Told{}, Told{}, p
	}
	f, db := m.Boost(reference)
	top := 0
	for i, g := range m {
		if g.DB > m[top].DB {
			top = i
		}
	}
	if top == 0 || top == len(m)-1 {
		return Told{}, Told{}, atFrame(-1, "let the sweep go beyond the boost on both sides", "the magnitude is highest at the sweep's end, %.4g Hz", m[top].Freq)
	}
	if !(db > 0) {
		return Told{}, Told{}, atFrame(-1, "state at_hz beside the boost", "the magnitude is nowhere higher than at %g Hz", reference)
	}
	s, n := m.scatter(f)
	bend := math.Abs(m.bend(f)) // dB an octave²
	var o []float64
	for _, g := range m {
		if g.DB > m[top].DB-0.5 || g.Freq == m[top-1].Freq || g.Freq == m[top+1].Freq {
			o = append(o, math.Log2(g.Freq/f))
		}
	}
	spread := 0.0
	for _, x := range o {
		spread += x * x
	}
	perOctave := f * math.Ln2
	step := math.Log2(m[top+1].Freq/m[top-1].Freq) / 2
	centre = Told{X: f, U: s / bend / math.Sqrt(spread) * perOctave, DoF: float64(n) / 2, N: n, Between: step / 4 * perOctave,
		Pace: m.pace(f) / math.Sqrt(bend*db) * perOctave}
	height = Told{X: db, U: math.Sqrt2 * s, DoF: float64(n) / 2, N: n, Between: m.sagitta(f) + m.sagitta(reference), Pace: m.pace(f) + m.pace(reference)}
	return centre, height, m.scattered(n)
}

// holds is the problem that a frequency is outside the curve.
func (m Magnitude) holds(freq float64) error {
	if math.IsNaN(m.At(freq)) {
		return atFrame(-1, "state a frequency that the sweep goes through", "%g Hz is outside the sweep, %.4g to %.4g Hz", freq, m[0].Freq, m[len(m)-1].Freq)
	}
	return nil
}

func (m Magnitude) scattered(n int) error {
	if n < 3 {
		return atFrame(-1, "sweep on to either side, or in smaller steps", "the sweep has too few frequencies about this one to tell how they scatter")
	}
	return nil
}

// about are the first and the last point within so many octaves of a frequency.
func (m Magnitude) about(freq, octaves float64) (first, last int) {
	first = slices.IndexFunc(m, func(g Gain) bool { return g.Freq >= freq*math.Exp2(-octaves) })
	last = len(m) - 1
	for last > first && m[last].Freq > freq*math.Exp2(octaves) {
		last--
	}
	return max(first, 0), last
}

// scatter is the standard deviation of the points within an octave of a frequency, in
// decibels, from how far each is off the cubic through its four neighbours; and how many
// these are.
func (m Magnitude) scatter(freq float64) (s float64, n int) {
	first, last := m.about(freq, 1)
	sum := 0.0
	for i := max(first, 2); i <= min(last, len(m)-3); i++ {
		off, weights := m[i].DB, 1.0
		for _, j := range []int{i - 2, i - 1, i + 1, i + 2} {
			w := 1.0
			for _, k := range []int{i - 2, i - 1, i + 1, i + 2} {
				if k != j {
					w *= math.Log(m[i].Freq/m[k].Freq) / math.Log(m[j].Freq/m[k].Freq)
				}
			}
			off, weights = off-w*m[j].DB, weights+w*w
		}
		sum, n = sum+off*off/weights, n+1
	}
	return math.Sqrt(sum / float64(max(n, 1))), n
}

// triple is the inner point of three about a frequency.
func (m Magnitude) triple(freq float64) int {
	i := slices.IndexFunc(m, func(g Gain) bool { return g.Freq >= freq })
	if i > 0 && freq/m[i-1].Freq < m[i].Freq/freq {
		i--
	}
	return max(1, min(len(m)-2, i))
}

// bend is the second derivative over the logarithm of the frequency, in decibels an octave
// squared: of the three points within a sixth of an octave and more.
func (m Magnitude) bend(freq float64) float64 {
	i := m.triple(freq)
	a, b := i-1, i+1
	for a > 0 && m[a].Freq > m[i].Freq*math.Exp2(-1./6) {
		a--
	}
	for b < len(m)-1 && m[b].Freq < m[i].Freq*math.Exp2(1./6) {
		b++
	}
	left, right := math.Log2(m[i].Freq/m[a].Freq), math.Log2(m[b].Freq/m[i].Freq)
	return 2 * ((m[b].DB-m[i].DB)/right - (m[i].DB-m[a].DB)/left) / (left + right)
}

// steepness is the slope about a frequency in decibels an octave.
func (m Magnitude) steepness(freq float64) float64 {
	i := m.triple(freq)
	return (m[i+1].DB - m[i-1].DB) / math.Log2(m[i+1].Freq/m[i-1].Freq)
}

// sagitta is how far the curve may be off the straight line between the two points about a
// frequency, in decibels.
func (m Magnitude) sagitta(freq float64) float64 {
	i := m.triple(freq)
	h := math.Log2(m[i+1].Freq/m[i-1].Freq) / 2
	return math.Abs(m.bend(freq)) * h * h / 8
}

// pace is how far the magnitude may be off because the sweep goes on while filters settle,
// in decibels. To the first order that is ω'/2·|H”/H|, with ω' how fast the sweep goes;
// |H”/H| is taken as twice N² + |C| over ω², N the steepest slope within an octave and C the
// bend, in nepers by the logarithm of the frequency: of a minimum-phase filter its phase
// turns as its slope does (own estimate).
func (m Magnitude) pace(freq float64) float64 {
	const neper = 20 / math.Ln10
	first, last := m.about(freq, 1)
	steepest := 0.0
	for i := max(1, first); i <= last; i++ {
		steepest = math.Max(steepest, math.Abs((m[i].DB-m[i-1].DB)/math.Log(m[i].Freq/m[i-1].Freq))/neper)
	}
	seconds := 0.0
	first, last = m.about(freq, 0.5)
	first, last = max(0, min(first, last-1)), min(len(m)-1, max(last, first+1))
	for i := first; i <= last; i++ {
		part := 1.0
		if i == first || i == last {
			part = 0.5
		}
		seconds += part * float64(m[i].Cycles) / m[i].Freq
	}
	rate := math.Log(m[last].Freq/m[first].Freq) / seconds
	bend := math.Abs(m.bend(freq)) / (math.Ln2 * math.Ln2) / neper
	return neper * rate / (4 * math.Pi * freq) * 2 * (steepest*steepest + bend)
}
