package capture

import (
	"math"
	"math/rand/v2"
	"testing"
)

// IEC 61672-1, table of A-weightings at the exact base-ten frequencies 1000·10^(k/10);
// to a tenth of a decibel, as it is printed.
func TestAWeightingAgainstTheTable(t *testing.T) {
	for f, want := range map[float64]float64{
		10: -70.4, 12.58925412: -63.4, 19.95262315: -50.5, 25.11886432: -44.7, 39.81071706: -34.6, 50.11872336: -30.2, 79.43282347: -22.5,
		100: -19.1, 158.4893192: -13.4, 199.5262315: -10.9, 316.227766: -6.6, 398.1071706: -4.8, 630.9573445: -1.9, 794.3282347: -0.8, 1000: 0,
		1258.925412: 0.6, 1584.893192: 1.0, 2511.886432: 1.3, 3162.27766: 1.2, 5011.872336: 0.5, 6309.573445: -0.1, 10000: -2.5, 12589.25412: -4.3, 19952.62315: -9.3,
	} {
		if got := AWeighting(f); math.Round(got*10)/10 != want {
			t.Errorf("%g Hz: %g dB, want %g", f, got, want)
		}
	}
}

// White noise has its variance's share of the band; A-weighted, the integral of the
// weights, by Simpson's rule here. Tones have the table's weight. The U covers.
func TestNoise(t *testing.T) {
	long(t)
	const rate, sigma = 48000.0, 1e-3
	square := func(f float64) float64 { return math.Pow(10, AWeighting(f)/10) }
	sum, steps := square(20)+square(20000), 200000
	for i := 1; i < steps; i++ {
		sum += float64(2+2*(i%2)) * square(20+19980*float64(i)/float64(steps))
	}
	weighted := sigma * math.Sqrt(sum*19980/float64(steps)/3/(rate/2))
	flat := sigma * math.Sqrt(19980/(rate/2))
	rng := rand.New(rand.NewPCG(2, 3))
	covered := 0
	for range 10 {
		x := make([]float64, 4*48000)
		for i := range x {
			x[i] = 0.01 + sigma*rng.NormFloat64()
		}
		n, err := NoiseOf(NewMemory(rate, x), "bench", Channel{0, direct}, 20, 20000)
		if err != nil {
			t.Fatal(err)
		}
		near1(t, "noise", n.RMS.X, flat, 0.01)
		near1(t, "A-weighted", n.AWeighted.X, weighted, 0.015)
		if b := n.AWeighted.Budget(); math.Abs(n.AWeighted.X-weighted) < b.U*studentOf(b.DoF) {
			covered++
		}
	}
	if covered < 8 {
		t.Errorf("U covers %d of 10", covered)
	}
	for _, f := range []float64{100, 1000, 10000} {
		n, err := NoiseOf(NewMemory(rate, made(rate, 2, cosine(1e-3*math.Sqrt2, f, 0))), "bench", Channel{0, direct}, 20, 20000)
		if err != nil {
			t.Fatal(err)
		}
		near1(t, "a tone", n.RMS.X, 1e-3, 1e-6)
		if db := 20 * math.Log10(n.AWeighted.X/1e-3); math.Abs(db-AWeighting(f)) > 0.05 {
			t.Errorf("a tone of %g Hz: %g dB", f, db)
		}
		// 1 W into 4 Ω is 2 V: 1 mV lies 66.0206 dB below; 400 W are 26.0206 dB more.
		if a, b := SignalToNoise(n.RMS, 1, 4), SignalToNoise(n.RMS, 400, 4); math.Abs(a.X-66.0206) > 1e-4 || math.Abs(b.X-92.0412) > 1e-4 {
			t.Errorf("signal to noise %g and %g dB", a.X, b.X)
		}
	}
	for name, x := range map[string][]float64{"silence": make([]float64, 96000), "one sample": {1}, "none": {}} {
		if _, err := NoiseOf(NewMemory(rate, x), "bench", Channel{0, direct}, 20, 20000); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
