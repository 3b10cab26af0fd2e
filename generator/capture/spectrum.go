package capture

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// blackmanHarris are the coefficients of the 4-term window whose side lobes lie
// 92 dB below its main lobe (Harris 1978, table I, minimum 4-term Blackman–Harris;
// from memory):
//
//	w(i) = a0 − a1·cos(2πi/n) + a2·cos(4πi/n) − a3·cos(6πi/n)
//
// It is periodic: n, not n − 1. Its main lobe reaches 4 bins to either side.
var blackmanHarris = [4]float64{0.35875, 0.48829, 0.14128, 0.01168}

// lobe is half the width of the window's main lobe, in bins.
const lobe = 4

// A spectrum transforms blocks of n samples.
type spectrum struct {
	n      int
	rate   float64
	w, g   []float64 // the window and its square
	spread float64   // Σg²/(Σg)²
	sum    float64   // of g
	// fitted is how many bins' worth of white noise a weighted fit of a tone takes, with
	// amplitude and frequency that drift: with τ the time from the middle,
	// (n/Σg)·(Σg²/Σg + Σg²τ²/Σgτ²).
	fitted float64
	fft    *fourier.FFT
	work   []float64
	coeffs []complex128
	// Power of each bin from 0 to half the rate: its part of the mean square
	// Σ g·x²/Σ g, which is the sum of all of them (Parseval).
	Power []float64
}

func newSpectrum(n int, rate float64) *spectrum {
	s := &spectrum{n: n, rate: rate, w: make([]float64, n), g: make([]float64, n), fft: fourier.NewFFT(n),
		work: make([]float64, n), coeffs: make([]complex128, n/2+1), Power: make([]float64, n/2+1)}
	a := blackmanHarris
	var squares, times, squaredTimes float64
	for i := range n {
		x := 2 * math.Pi * float64(i) / float64(n)
		s.w[i] = a[0] - a[1]*math.Cos(x) + a[2]*math.Cos(2*x) - a[3]*math.Cos(3*x)
		s.g[i] = s.w[i] * s.w[i]
		s.sum += s.g[i]
		tau := float64(i) - float64(n)/2
		squares, times, squaredTimes = squares+s.g[i]*s.g[i], times+s.g[i]*tau*tau, squaredTimes+s.g[i]*s.g[i]*tau*tau
	}
	s.spread = squares / (s.sum * s.sum)
	s.fitted = float64(n) / s.sum * (squares/s.sum + squaredTimes/times)
	return s
}

// width is that of a bin, in hertz.
func (s *spectrum) width() float64 { return s.rate / float64(s.n) }

// transform fills Power for a block of n samples.
func (s *spectrum) transform(x []float64) {
	for i, v := range x {
		s.work[i] = s.w[i] * v
	}
	s.fft.Coefficients(s.coeffs, s.work)
	scale := 1 / (float64(s.n) * s.sum)
	for k, c := range s.coeffs {
		s.Power[k] = 2 * scale * (real(c)*real(c) + imag(c)*imag(c))
	}
	s.Power[0] /= 2
	if s.n%2 == 0 {
		s.Power[s.n/2] /= 2
	}
}

// band is the mean square between two frequencies in hertz: bins count by the part
// of them that lies within.
func (s *spectrum) band(low, high float64) float64 {
	sum, from, to := 0.0, low/s.width(), high/s.width()
	for k := max(0, int(from)); k < len(s.Power) && float64(k)-0.5 < to; k++ {
		sum += s.Power[k] * share(k, from, to)
	}
	return sum
}

// share is the part of bin k, which reaches half a bin to either side, between two
// places counted in bins.
func share(k int, from, to float64) float64 {
	return math.Max(0, math.Min(float64(k)+0.5, to)-math.Max(float64(k)-0.5, from))
}

// line is the mean square of a tone at exactly the frequency f in hertz, from the bin
// next to it: a tone of amplitude A off the bin by δ gives |X| = A/2·|W(δ)|. The
// noise within two bins counts with it.
func (s *spectrum) line(f float64) float64 {
	place := f / s.width()
	k := int(math.Round(place))
	if k < 0 || k >= len(s.coeffs) {
		return 0
	}
	amplitude := 2 * cmplx.Abs(s.coeffs[k]) / cmplx.Abs(s.kernel(place-float64(k)))
	return amplitude * amplitude / 2
}

// kernel is the window's transform at δ bins.
func (s *spectrum) kernel(d float64) complex128 {
	sum := complex(0, 0)
	for m, a := range blackmanHarris {
		sign := 1 - 2*float64(m&1)
		if m == 0 {
			sum += complex(a, 0) * s.dirichlet(d)
			continue
		}
		sum += complex(sign*a/2, 0) * (s.dirichlet(d-float64(m)) + s.dirichlet(d+float64(m)))
	}
	return sum
}

// dirichlet is Σ exp(−2πi·d·j/n) over j from 0 to n − 1.
func (s *spectrum) dirichlet(d float64) complex128 {
	n := float64(s.n)
	if math.Abs(d) < 1e-9 {
		return complex(n, 0)
	}
	return cmplx.Rect(math.Sin(math.Pi*d)/math.Sin(math.Pi*d/n), -math.Pi*d*(n-1)/n)
}

// quick is the next number from n on that has no prime factor above 5: blocks of
// such a length are transformed quickly.
func quick(n int) int {
	for ; ; n++ {
		rest := n
		for _, p := range [...]int{2, 3, 5} {
			for rest%p == 0 {
				rest /= p
			}
		}
		if rest == 1 && n%2 == 0 {
			return n
		}
	}
}
