package capture

import (
	"math"
	"math/rand/v2"
	"testing"

	"wattsheet/generator/quantity"
)

// Bursts of 20 periods of a tone of 1,003 Hz, 20 dB above the level between, twice a
// second; each has 0.5 % less power than the one before. The supply of 14 V sags
// by 1.5 V with a time constant of 2 ms and comes back with one of 30 ms: it is within
// a tenth of the sag 30·ln 10 ms = 69.1 ms after the end. Closed forms throughout.
func TestBursts(t *testing.T) {
	const rate, freq, amplitude, periods = 48000.0, 1003.0, 40.0, 20
	const length = periods / freq
	rng := rand.New(rand.NewPCG(1, 9))
	where := func(t float64) (k int, since float64) { // seconds since the start of burst k
		k = int(math.Floor((t - 0.2) / 0.5))
		return k, t - 0.2 - 0.5*float64(k)
	}
	out := made(rate, 4.1, func(t float64) float64 {
		k, since := where(t)
		a := amplitude / 10
		if k >= 0 && since < length {
			a = amplitude * math.Sqrt(1-0.005*float64(k))
		}
		return a*math.Sin(2*math.Pi*freq*since) + 1e-3*rng.NormFloat64()
	})
	volts := made(rate, 4.1, func(t float64) float64 {
		k, since := where(t)
		switch {
		case k < 0:
			return 14
		case since < length:
			return 14 - 1.5*(1-math.Exp(-since/0.002))
		}
		return 14 - 1.5*math.Exp(-(since-length)/0.03)
	})
	amperes := made(rate, 4.1, func(t float64) float64 {
		if k, since := where(t); k >= 0 && since < length {
			return 20
		}
		return 2
	})
	w := Wiring{Out: Channel{0, Scale{Name: "divider", Unit: "V", Gain: 1, GainRel: 0.002}},
		SupplyV: &Channel{1, Scale{Name: "supply divider", Unit: "V", Gain: 1, GainRel: 0.001}}, SupplyA: &Channel{2, Scale{Name: "shunt", Unit: "A", Gain: 1, GainRel: 0.003}},
		Load: quantity.Exact(4, "Ω")}
	b, err := BurstsOf(NewMemory(rate, out, volts, amperes), w, freq)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Each) != 8 {
		t.Fatalf("%d bursts, want 8", len(b.Each))
	}
	first := amplitude * amplitude / 2 / 4
	for k, one := range b.Each {
		near1(t, "power", one.Power, first*(1-0.005*float64(k)), 2e-4)
		if one.Cycles != 19 && one.Cycles != 18 {
			t.Errorf("%d whole periods of 20", one.Cycles)
		}
		if d := one.Start - 0.2 - 0.5*float64(k); math.Abs(d) > 0.25/freq {
			t.Errorf("burst %d begins %g s late", k, d)
		}
		if d := one.End - one.Start - length; math.Abs(d) > 0.5/freq {
			t.Errorf("burst %d is %g s longer", k, d)
		}
		near1(t, "rest volts", one.RestV, 14, 1e-4)
		near1(t, "sag", one.Sag, 1.5, 0.02) // a mean over a period, which holds 1 ms of the recovery
		if math.Abs(one.Recovery-0.0691) > 0.002 {
			t.Errorf("recovery %g s", one.Recovery)
		}
	}
	near1(t, "mean power", b.Power.X, first*(1-0.005*3.5), 2e-4)
	near1(t, "repetition", b.Repetition, 0.5, 1e-3)
	near1(t, "rest", b.Rest, -20+10*math.Log10(1/(1-0.005*3.5)), 0.002)
	near1(t, "droop", b.Droop, 0.005*7/(1-0.005*3.5), 0.01)
	mean := b.Each[0].MeanV
	near1(t, "efficiency within", b.EfficiencyWithin.X, b.Power.X/(20*(14-1.5+1.5*0.002/length)), 0.01)
	if mean > 12.9 || mean < 12.5 {
		t.Errorf("mean volts in a burst %g", mean)
	}
	// From start to start: output 0.5 s at a hundredth and a burst; 2 A at 14 V less what
	// the sag costs, 20 A in the burst.
	given := 20*(14*length-1.5*(length-0.002)) + 2*(14*(0.5-length)-1.5*0.03)
	got := first * (1 - 0.005*3) * length / given
	rest := first / 100 * (0.5 - length) / given
	near1(t, "efficiency", b.Efficiency.X, got+rest, 0.01)
	// The scale's 2·0.2 %, and of eight powers on a line s/√8 = 0.433 % times what their
	// autocorrelation of 0.625 adds, √(1.625/0.375).
	near1(t, "relative u of the power", b.Power.Std()/b.Power.X, math.Hypot(0.004, 0.00433/(1-0.005*3.5)*math.Sqrt(1.625/0.375)), 0.01)
}

func TestBurstMistakes(t *testing.T) {
	w := Wiring{Out: Channel{0, direct}, Load: quantity.Exact(4, "Ω")}
	steady := made(48000, 1, cosine(1, 1000, 0))
	one := append(append(make([]float64, 20000), steady[:60]...), make([]float64, 20000)...)
	for name, c := range map[string]struct {
		x    []float64
		freq float64
		want string
	}{
		"silence":      {make([]float64, 48000), 1000, "frame 0: there is only silence here"},
		"one sample":   {[]float64{1}, 1000, "frame 1: 1 samples are too short for bursts of 1000 Hz"},
		"no pause":     {steady, 1000, "frame 0: no burst stands out: the power is never below 1 of its highest"},
		"cut":          {append(make([]float64, 20000), steady...), 1000, "frame 0: no burst is whole within the interval"},
		"too short":    {one, 1000, "frame 19996: this burst has no whole period of the tone within"},
		"no frequency": {steady, 0, "the power of bursts needs a frequency and a load"},
	} {
		if _, err := BurstsOf(NewMemory(48000, c.x), w, c.freq); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v\nwant %s", name, err, c.want)
		}
	}
}

// The mean square over each period of a sine is A²/2, whatever the samples a period.
func TestCycles(t *testing.T) {
	for _, per := range []float64{9.61, 47.3, 481.7} {
		x := made(1, 60*per, cosine(3, 1/per, 1))
		cycles := Cycles(x)
		if len(cycles) < 58 {
			t.Fatalf("%d periods", len(cycles))
		}
		sum, time := 0.0, 0.0
		for _, c := range cycles {
			near1(t, "length", c.Length, per, 0.3/per/per+1e-6)
			sum, time = sum+c.Square*c.Length, time+c.Length
		}
		near1(t, "mean square", sum/time, 4.5, 2/(per*per)/10)
	}
	if Cycles(make([]float64, 100)) != nil {
		t.Error("silence has periods")
	}
}

// A tone whose frequency is stated wrongly: the periods in the bursts are its own, of 4 as of
// 20, so that the power of a sine of 30 V is 112.5 W into 4 Ω.
func TestBurstsOfAnotherFrequency(t *testing.T) {
	const rate = 48000.0
	w := Wiring{Out: Channel{0, direct}, Load: quantity.Exact(4, "Ω")}
	for _, periods := range []float64{6, 20} {
		for _, stated := range []float64{980, 990, 1000, 1010, 1020} {
			x := made(rate, 3, func(t float64) float64 {
				if since := math.Mod(t, 0.5) - 0.1; since >= 0 && since < periods/1000 {
					return 30 * math.Sin(2*math.Pi*1000*since)
				}
				return 0
			})
			b, err := BurstsOf(NewMemory(rate, x), w, stated)
			if err != nil {
				t.Fatal(err)
			}
			near1(t, "power", b.Power.X, 112.5, 5e-4)
		}
	}
}

// The mean within bursts is told: 2 V beside 30 V of a sine.
func TestBurstsWithAMean(t *testing.T) {
	x := made(48000, 2, func(t float64) float64 {
		if since := math.Mod(t, 0.5) - 0.1; since >= 0 && since < 0.02 {
			return 2 + 30*math.Sin(2*math.Pi*1000*since)
		}
		return 2
	})
	b, err := BurstsOf(NewMemory(48000, x), Wiring{Out: Channel{0, direct}, Load: quantity.Exact(4, "Ω")}, 1000)
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range b.Each {
		near1(t, "mean", one.Mean, 2, 0.01)
		near1(t, "power", one.Power, (450+4)/4.0, 5e-4)
	}
}
