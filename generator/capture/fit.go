package capture

import (
	"math"
)

// A Sine is a fitted sine
//
//	y(t) = A·cos(2πft) + B·sin(2πft) + C
//
// t counted from the first sample. In the unit of the samples.
type Sine struct {
	Freq     float64 // hertz
	A, B, C  float64
	Residual float64 // rms of samples minus fit
}

// Amplitude is √(A² + B²).
func (s Sine) Amplitude() float64 { return math.Hypot(s.A, s.B) }

// Phase is that of the cosine in radians: y = Amplitude·cos(2πft + Phase) + C.
func (s Sine) Phase() float64 { return math.Atan2(-s.B, s.A) }

// FitSine3 fits a sine of known frequency by least squares: the three-parameter fit
// of IEEE Std 1057-2017, annex A.1 (clause from memory). All samples weigh the same.
// It needs a period and 4 samples at least. Harmonics bias it where the samples are
// not whole periods.
func FitSine3(x []float64, rate, freq float64) (Sine, error) {
	if err := enough(x, rate, freq); err != nil {
		return Sine{}, err
	}
	p, err := fitTurning(x, nil, rate, freq, 0, 0, 3)
	return p.sine(x, rate, freq), err
}

// FitSine4 fits frequency too, starting at a frequency within a tenth of a turn over
// all samples: the four-parameter fit of IEEE Std 1057-2017, annex A.2 (clause from
// memory), by Gauss–Newton steps until the frequency moves by less than 1e-10 turns.
// It is an error where it doesn't settle.
func FitSine4(x []float64, rate, freq float64) (Sine, error) {
	n := float64(len(x))
	if err := enough(x, rate, freq); err != nil {
		return Sine{}, err
	}
	p, err := fitTurning(x, nil, rate, freq, 0, 0, 3)
	for range 50 {
		if err != nil {
			return Sine{}, err
		}
		if p, err = fitTurning(x, nil, rate, freq, p[1], p[2], 4); err != nil {
			return Sine{}, err
		}
		turns := -p[3] / (2 * math.Pi)
		if freq += turns * rate / n; !(freq > 0 && freq < rate/2) {
			break
		}
		if math.Abs(turns) < 1e-10 {
			p, err = fitTurning(x, nil, rate, freq, 0, 0, 3)
			return p.sine(x, rate, freq), err
		}
	}
	return Sine{}, atFrame(-1, "state the frequency more closely, or an interval with a steady sine", "no sine near %g Hz fits", freq)
}

func enough(x []float64, rate, freq float64) error {
	if !(freq > 0 && freq < rate/2) {
		return atFrame(-1, "a frequency lies between 0 and half the samples a second", "%g Hz can't be seen at %g samples a second", freq, rate)
	}
	if len(x) < 4 || float64(len(x))*freq/rate < 1 {
		return atFrame(-1, "state a longer interval", "%d samples are less than a period of %g Hz", len(x), freq)
	}
	return nil
}

// turning are the parameters of a fit about the middle of its samples:
//
//	y = p0 + (p1 + p3·τ)·cos θ + (p2 + p4·τ)·sin θ
//
// θ is the phase of the given frequency from the middle on, τ the time from the middle
// in lengths of all samples. With 4 parameters the turning term is p3·τ·(p1'·sin θ −
// p2'·cos θ) about given p1', p2': frequency only.
type turning [5]float64

// sine gives the sine from the first sample on.
func (p turning) sine(x []float64, rate, freq float64) Sine {
	sin, cos := math.Sincos(2 * math.Pi * freq / rate * float64(len(x)) / 2)
	s := Sine{Freq: freq, A: p[1]*cos - p[2]*sin, B: p[1]*sin + p[2]*cos, C: p[0]}
	sum := 0.0
	for i, v := range p.values(len(x), rate, freq, make([]float64, len(x))) {
		sum += (x[i] - v) * (x[i] - v)
	}
	s.Residual = math.Sqrt(sum / float64(len(x)))
	return s
}

// values fills into with the fit's own values.
func (p turning) values(n int, rate, freq float64, into []float64) []float64 {
	turns := rotation(n, rate, freq)
	for i := range into {
		cos, sin := turns.next(i)
		tau := (float64(i) - float64(n)/2) / float64(n)
		into[i] = p[0] + (p[1]+p[3]*tau)*cos + (p[2]+p[4]*tau)*sin
	}
	return into
}

// off is by how many hertz the frequency of n samples differs from the fit's, told
// from how its phase turns.
func (p turning) off(n int, rate float64) float64 {
	return (p[2]*p[3] - p[1]*p[4]) / (p[1]*p[1] + p[2]*p[2]) / (2 * math.Pi) * rate / float64(n)
}

// fitTurning solves the weighted least squares with 3, 4 or 5 parameters; weights of
// nil are equal ones.
func fitTurning(x, weights []float64, rate, freq, a, b float64, count int) (turning, error) {
	var m [5][6]float64 // normal equations, with the right side behind them
	var row [5]float64
	n, turns := len(x), rotation(len(x), rate, freq)
	for i, v := range x {
		cos, sin := turns.next(i)
		tau := (float64(i) - float64(n)/2) / float64(n)
		row = [5]float64{1, cos, sin, tau * cos, tau * sin}
		if count == 4 {
			row[3] = tau * (a*sin - b*cos)
		}
		g := 1.0
		if weights != nil {
			g = weights[i]
		}
		for j := range count {
			at := g * row[j]
			for k := j; k < count; k++ {
				m[j][k] += at * row[k]
			}
			m[j][5] += at * v
		}
	}
	for j := range count {
		for k := range j {
			m[j][k] = m[k][j]
		}
	}
	return solve(&m, count)
}

// solve eliminates with the largest pivot of each column.
func solve(m *[5][6]float64, n int) (turning, error) {
	var p turning
	for c := range n {
		best := c
		for r := c + 1; r < n; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[best][c]) {
				best = r
			}
		}
		m[c], m[best] = m[best], m[c]
		if math.Abs(m[c][c]) < 1e-300 {
			return p, atFrame(-1, "state an interval with a tone, some periods long", "the samples don't tell a sine")
		}
		for r := c + 1; r < n; r++ {
			f := m[r][c] / m[c][c]
			for k := c; k < 6; k++ {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	for c := n - 1; c >= 0; c-- {
		v := m[c][5]
		for k := c + 1; k < n; k++ {
			v -= m[c][k] * p[k]
		}
		p[c] = v / m[c][c]
	}
	return p, nil
}

// A rotor gives cosine and sine of successive samples, about the middle of n of them.
type rotor struct {
	step, middle     float64
	cos, sin         float64
	stepCos, stepSin float64
}

func rotation(n int, rate, freq float64) *rotor {
	r := &rotor{step: 2 * math.Pi * freq / rate, middle: float64(n) / 2}
	r.stepSin, r.stepCos = math.Sincos(r.step)
	return r
}

// next is to be called for 0, 1, 2 …: it turns on from the last, and starts anew from
// the exact phase now and then.
func (r *rotor) next(i int) (cos, sin float64) {
	if i%128 == 0 {
		r.sin, r.cos = math.Sincos(r.step * (float64(i) - r.middle))
	} else {
		r.cos, r.sin = r.cos*r.stepCos-r.sin*r.stepSin, r.sin*r.stepCos+r.cos*r.stepSin
	}
	return r.cos, r.sin
}
