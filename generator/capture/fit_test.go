package capture

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"
)

// The three-parameter fit against a general library's least squares (QR); the
// four-parameter fit against the sine that the samples were made of, and its scatter
// against the least that is possible: the Cramér–Rao bounds
//
//	u(A) = σ·√(2/N)    u(f) = √6·σ·rate/(π·A·N^1.5)
//
// (a textbook's, for many periods; from memory).
func TestSineFits(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	x := made(1000, 0.357, sumOf(cosine(3, 47.3, 1), func(t float64) float64 { return 0.2 + t }))
	a := mat.NewDense(len(x), 3, nil)
	for i := range x {
		sin, cos := math.Sincos(2 * math.Pi * 47.3 * float64(i) / 1000)
		a.SetRow(i, []float64{cos, sin, 1})
	}
	var want mat.VecDense
	if err := want.SolveVec(a, mat.NewVecDense(len(x), x)); err != nil {
		t.Fatal(err)
	}
	s, err := FitSine3(x, 1000, 47.3)
	if err != nil {
		t.Fatal(err)
	}
	near1(t, "A", s.A, want.AtVec(0), 1e-10)
	near1(t, "B", s.B, want.AtVec(1), 1e-10)
	near1(t, "C", s.C, want.AtVec(2), 1e-10)

	const n, sigma, amplitude = 2000, 0.1, 2.0
	var sumA, sumF float64
	for range 300 {
		phase := 6 * rng.Float64()
		x := made(10000, 0.2, sumOf(cosine(amplitude, 613.7, phase), func(float64) float64 { return -0.5 + sigma*rng.NormFloat64() }))
		s, err := FitSine4(x, 10000, 613.1)
		if err != nil {
			t.Fatal(err)
		}
		sumA += (s.Amplitude() - amplitude) * (s.Amplitude() - amplitude) / 300
		sumF += (s.Freq - 613.7) * (s.Freq - 613.7) / 300
		if d := math.Remainder(s.Phase()-phase, 2*math.Pi); math.Abs(d) > 0.05 {
			t.Fatalf("phase off by %g", d)
		}
		if math.Abs(s.Residual-sigma) > 0.01 || math.Abs(s.C+0.5) > 0.02 {
			t.Fatalf("residual %g, mean %g", s.Residual, s.C)
		}
	}
	// 300 draws tell a standard deviation within 1/√600 = 4 %: three times that.
	near1(t, "u of the amplitude", math.Sqrt(sumA), sigma*math.Sqrt(2.0/n), 0.12)
	near1(t, "u of the frequency", math.Sqrt(sumF), math.Sqrt(6)*sigma*10000/(math.Pi*amplitude*math.Pow(n, 1.5)), 0.12)

	exact := made(44100, 0.05, sumOf(cosine(1, 1000.123, 2), func(float64) float64 { return 3 }))
	if s, err = FitSine4(exact, 44100, 998); err != nil {
		t.Fatal(err)
	}
	near1(t, "frequency", s.Freq, 1000.123, 1e-10)
	near1(t, "amplitude", s.Amplitude(), 1, 1e-9)
	for name, bad := range map[string]func() (Sine, error){
		"no sine":   func() (Sine, error) { return FitSine4(make([]float64, 1000), 1000, 50) },
		"too few":   func() (Sine, error) { return FitSine3(exact[:3], 44100, 1000) },
		"no period": func() (Sine, error) { return FitSine3(exact[:30], 44100, 1000) },
		"too high":  func() (Sine, error) { return FitSine3(exact, 44100, 23000) },
	} {
		if _, err := bad(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// The window's equivalent noise bandwidth n·Σw²/(Σw)² is 2.0043529382 bins, its
// coherent gain 0.35875, what a line loses half way between bins 0.8255722309 dB (from
// the coefficients in closed form, computed apart). What line finds is the tone's mean square, wherever it
// lies; the bins add up to the weighted mean square, by the library's transform too.
func TestSpectrum(t *testing.T) {
	s := newSpectrum(1024, 1024)
	sum := 0.0
	for _, w := range s.w {
		sum += w
	}
	near1(t, "coherent gain", sum/1024, 0.35875, 1e-12)
	near1(t, "noise bandwidth", 1024*s.sum/(sum*sum), 2.0043529382, 1e-10)
	loss := -20 * math.Log10(cmplx.Abs(s.kernel(0.5))/cmplx.Abs(s.kernel(0)))
	near1(t, "loss between bins", loss, 0.8255722309, 1e-5) // of an endless block; 1,024 samples differ by 1e-6
	for _, f := range []float64{100, 100.25, 100.5, 211.1, 400.9} {
		x := made(1024, 1, cosine(3, f, 0.7))
		s.transform(x)
		near1(t, "a line", s.line(f), 4.5, 1e-4) // side lobes of its mirror image, −92 dB
		near1(t, "all bins", s.band(0, 600), s.sumOfSquares(x), 1e-12)
		near1(t, "its lobe", s.band(f-5, f+5), 4.5, 1e-7)
	}
	x := make([]float64, 1024)
	for i := range x {
		x[i] = s.w[i] * float64(i%17)
	}
	plain := make([]float64, 1024)
	for i := range plain {
		plain[i] = float64(i % 17)
	}
	s.transform(plain)
	c := fourier.NewCmplxFFT(1024)
	in := make([]complex128, 1024)
	for i, v := range x {
		in[i] = complex(v, 0)
	}
	got := c.Coefficients(nil, in)
	near1(t, "bin 60", s.Power[60], 2*math.Pow(cmplx.Abs(got[60]), 2)/(1024*s.sum), 1e-9)
}

func (s *spectrum) sumOfSquares(x []float64) float64 {
	sum := 0.0
	for i, v := range x {
		sum += s.g[i] * v * v / s.sum
	}
	return sum
}

// White values have the textbook's u = s/√n; an autoregressive sequence with r = 0.8
// scatters as its mean does: σ/√n·√((1 + r)/(1 − r)) = 3·σ/√n.
func TestSpread(t *testing.T) {
	// JCGM 100, 4.4.3, table 1: 20 temperatures, u of their mean 0.333 °C.
	temperatures := []float64{96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
		100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72}
	rng := rand.New(rand.NewPCG(5, 6))
	rng.Shuffle(len(temperatures), func(i, j int) {
		temperatures[i], temperatures[j] = temperatures[j], temperatures[i]
	})
	if s := SpreadOf(temperatures); s.DoF == 19 {
		near1(t, "u", s.U, 0.333, 0.001)
	} else {
		t.Errorf("the shuffled table: %+v", s)
	}
	if s := SpreadOf([]float64{1}); !math.IsNaN(s.U) {
		t.Errorf("one value: %+v", s)
	}
	covered := 0
	for range 1000 {
		v, mean := rng.NormFloat64()/0.6, 0.0
		values := make([]float64, 400)
		for i := range values {
			values[i] = v
			mean += v / 400
			v = 0.8*v + rng.NormFloat64()
		}
		s := SpreadOf(values)
		if math.Abs(mean) <= s.U*studentOf(s.DoF) {
			covered++
		}
	}
	if covered < 920 || covered > 980 {
		t.Errorf("correlated values: U covers in %d of 1,000", covered)
	}
}

// Where everything fits into the block, a plain transform without a window gives each
// line by itself: a general library's, of ten harmonics and a hum of random sizes.
func TestAgainstThePlainTransform(t *testing.T) {
	const n, rate, tone = 9600, 9600.0, 100
	rng := rand.New(rand.NewPCG(6, 6))
	x := make([]float64, n)
	for k := 1; k <= 11; k++ {
		freq, size := float64(k*tone), math.Pow(10, -3*rng.Float64())
		switch k {
		case 1:
			size = 3
		case 11:
			freq = 50
		}
		phase := 6 * rng.Float64()
		for i := range x {
			x[i] += size * math.Cos(2*math.Pi*freq*float64(i)/rate+phase)
		}
	}
	c := fourier.NewFFT(n).Coefficients(nil, x)
	power := func(k int) float64 { return cmplx.Abs(c[k]) * cmplx.Abs(c[k]) }
	var harmonics, all float64
	for k := 20; k <= 4000; k++ {
		if k%tone == 0 && k > tone {
			harmonics += power(k)
		}
		if k != tone {
			all += power(k)
		}
	}
	f := steadyOf(t, rate, x, Tone{Low: 20, High: 4000})
	near1(t, "THD", f.THD.X, math.Sqrt(harmonics/power(tone)), 1e-6)
	near1(t, "THD+N", f.THDN.X, math.Sqrt(all/power(tone)), 1e-6)
	near1(t, "the fifth", f.Harmonics[3], math.Sqrt(2*power(500))/n, 1e-5)
}
