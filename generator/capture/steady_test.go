package capture

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"wattsheet/generator/quantity"
)

// made samples a function of the time in seconds.
func made(rate, seconds float64, f func(t float64) float64) []float64 {
	x := make([]float64, int(math.Round(rate*seconds)))
	for i := range x {
		x[i] = f(float64(i) / rate)
	}
	return x
}

func cosine(amplitude, freq, phase float64) func(t float64) float64 {
	return func(t float64) float64 { return amplitude * math.Cos(2*math.Pi*freq*t+phase) }
}

func sumOf(fs ...func(t float64) float64) func(t float64) float64 {
	return func(t float64) float64 {
		sum := 0.0
		for _, f := range fs {
			sum += f(t)
		}
		return sum
	}
}

// long leaves out, with -short, what is arithmetic of seconds: the race detector takes ten
// times as long for it, and there is nothing that could race.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("seconds of arithmetic")
	}
}

var direct = Scale{Name: "divider", Unit: "V", Gain: 1}

func steadyOf(t *testing.T, rate float64, x []float64, tone Tone) Figures {
	t.Helper()
	f, err := Steady(NewMemory(rate, x), Wiring{Out: Channel{0, direct}}, tone)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func near1(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.12g, want %.12g (off by %.3g)", what, got, want, got/want-1)
	}
}

// A sine's rms is A/√2, its crest factor √2; with an offset C the rms is
// √(A²/2 + C²). At rates from 50 to 400,000 samples a second, at frequencies that fit
// into no block.
func TestSteadySineAtAnyRate(t *testing.T) {
	long(t)
	for _, c := range []struct{ rate, freq, seconds, low float64 }{
		{50, 3.1234567, 60, 1}, {1000, 49.987, 8, 10}, {44100, 997.0001, 1, 20}, {48000, 39.9711, 3, 20},
		{96000, 20.003, 3, 10}, {192000, 9999.9, 0.7, 20}, {400000, 1000.7, 0.7, 20}, {400000, 40.03, 1.2, 20},
	} {
		x := made(c.rate, c.seconds, sumOf(cosine(31.7, c.freq, 0.4), func(float64) float64 { return 0.35 }))
		f := steadyOf(t, c.rate, x, Tone{Low: c.low, High: c.rate / 2})
		near1(t, "frequency", f.Freq.X, c.freq, 1e-9)
		near1(t, "rms", f.RMS.X, math.Sqrt(31.7*31.7/2+0.35*0.35), 1e-8)
		near1(t, "fundamental", f.Fundamental.X, 31.7/math.Sqrt2, 1e-8)
		near1(t, "mean", f.Mean.X, 0.35, 1e-6)
		if f.THDN.X > 1e-8 || f.Clipped() {
			t.Errorf("%g Hz at %g: THD+N %g, clipped %v", c.freq, c.rate, f.THDN.X, f.Clipped())
		}
	}
}

// clippedLevels are c, THD_F, THD_R, P/P_onset and crest factor of a sine clipped
// at c of its peak, by the closed forms
//
//	θ = asin c    mean square = (2/π)(θ/2 − c·cosθ/2 + c²(π/2 − θ))
//	b1 = (2/π)(θ + c·cosθ)    THD_F = √(2·ms/b1² − 1)
//
// computed apart.
var clippedLevels = [][5]float64{
	{0.95, 0.01924014, 0.01923658, 1.07911112, 1.36138799},
	{0.9, 0.04219933, 0.04216180, 1.14601937, 1.32104928},
	{0.7, 0.13758794, 0.13630384, 1.37066622, 1.20795051},
	{0.3, 0.32959230, 0.31302825, 1.74299105, 1.07119224},
	{0.1, 0.43039702, 0.39533550, 1.91503221, 1.02194367},
}

func clip(f func(float64) float64, at float64) func(float64) float64 {
	return func(t float64) float64 { return math.Max(-at, math.Min(at, f(t))) }
}

// Frequencies that divide the rate alias onto their own harmonics only: what they
// have beyond the band's end is 1 part in 10⁵ of the distortion at 5,000 samples a
// period.
func TestClippedSinesAgainstClosedForms(t *testing.T) {
	long(t)
	for _, c := range clippedLevels {
		x := made(200000, 1, clip(cosine(20, 40, 0.3), 20*c[0]))
		f := steadyOf(t, 200000, x, Tone{Low: 20, High: 100000})
		near1(t, "THD", f.THD.X, c[1], 3e-5)
		near1(t, "THD of total", f.THDOfTotal.X, c[2], 3e-5)
		near1(t, "THD+N", f.THDN.X, c[1], 3e-5)
		near1(t, "THD+N of total", f.THDNOfTotal.X, c[2], 3e-5)
		near1(t, "power over onset", f.RMS.X*f.RMS.X/(20*20*c[0]*c[0]/2), c[3], 1e-6)
		near1(t, "crest factor", f.Crest.X, c[4], 1e-6)
		if !f.Clipped() {
			t.Errorf("clipped at %g: flat %g, %g", c[0], f.FlatTop, f.FlatBottom)
		}
	}
}

// THD_F of a square wave is √(π²/8 − 1), of a triangle √(π⁴/96 − 1), with all
// harmonics; up to the band's end the sums of 1/k² and 1/k⁴ over odd k, which are
// stated here anew. The waves are made of exactly these harmonics.
func TestSquareAndTriangle(t *testing.T) {
	for _, c := range []struct {
		name     string
		exponent float64
		all      float64
	}{{"square", 1, math.Sqrt(math.Pi*math.Pi/8 - 1)}, {"triangle", 2, math.Sqrt(math.Pow(math.Pi, 4)/96 - 1)}} {
		var parts []func(float64) float64
		sum := 0.0
		for k := 1.0; k*211.3 < 22000; k += 2 {
			sign := 1.0
			if c.exponent == 2 && math.Mod(k, 4) == 3 {
				sign = -1
			}
			parts = append(parts, cosine(sign*math.Pow(k, -c.exponent), k*211.3, -math.Pi/2))
			if k > 1 {
				sum += math.Pow(k, -2*c.exponent)
			}
		}
		f := steadyOf(t, 48000, made(48000, 1, sumOf(parts...)), Tone{Low: 20, High: 23000})
		near1(t, c.name, f.THD.X, math.Sqrt(sum), 1e-6)
		near1(t, c.name+", THD+N", f.THDN.X, math.Sqrt(sum), 1e-6)
		near1(t, c.name+", all harmonics", f.THD.X, c.all, 0.02)
		near1(t, c.name+", the third", f.Harmonics[1], math.Pow(3, -c.exponent)/math.Sqrt2, 1e-6)
	}
}

// 0.01 % of distortion, as a harmonic at no bin, as another tone, as noise of known
// power: 20·lg(0.1 dB) is a factor of 1.0116.
func TestDistortionOfOneInTenThousand(t *testing.T) {
	long(t)
	const tenthOfDecibel = 0.01158
	rng := rand.New(rand.NewPCG(1, 2))
	for _, freq := range []float64{40.013, 1000.37, 6001.3} {
		base := cosine(1, freq, 1)
		x := made(96000, 2, sumOf(base, cosine(1e-4, 3*freq, 0.2)))
		f := steadyOf(t, 96000, x, Tone{Low: 20, High: 20000})
		near1(t, "third harmonic, THD", f.THD.X, 1e-4, 1e-5)
		near1(t, "third harmonic, THD+N", f.THDN.X, 1e-4, 1e-5)

		f = steadyOf(t, 96000, made(96000, 2, sumOf(base, cosine(1e-4, 1.618*freq, 0))), Tone{Low: 20, High: 20000})
		near1(t, "two tones, THD+N", f.THDN.X, 1e-4, 1e-5)
		if f.THD.X > 1e-8 {
			t.Errorf("two tones: THD %g", f.THD.X)
		}

		// White noise of variance σ² has σ²·(High − Low)/(rate/2) in the band.
		x = made(96000, 4, base)
		sigma := 1e-4 / math.Sqrt2 * math.Sqrt(48000.0/19980)
		for i := range x {
			x[i] += sigma * rng.NormFloat64()
		}
		f = steadyOf(t, 96000, x, Tone{Low: 20, High: 20000})
		near1(t, "noise, THD+N", f.THDN.X, 1e-4, tenthOfDecibel/2)
		near1(t, "noise", f.Noise.X, 1e-4/math.Sqrt2, tenthOfDecibel/2)
	}
	// Beyond the band nothing counts: a tone at 30 kHz is not in a band up to 20 kHz.
	f := steadyOf(t, 192000, made(192000, 1, sumOf(cosine(1, 1000, 0), cosine(0.1, 30000, 0))), Tone{Low: 20, High: 20000})
	if f.THDN.X > 1e-6 {
		t.Errorf("a tone beyond the band counts: %g", f.THDN.X)
	}
}

// A sine of full scale in 16 bits has a signal to noise of 6.0206·16 + 1.7609 =
// 98.09 dB over the whole band (the effective number of bits' formula, IEEE 1057).
func TestSixteenBits(t *testing.T) {
	x := made(48000, 4, func(t float64) float64 {
		return math.Round(32767*math.Sin(2*math.Pi*997.31*t)) / 32768
	})
	f := steadyOf(t, 48000, x, Tone{Low: 4, High: 24000})
	if db := -20 * math.Log10(f.THDN.X); math.Abs(db-98.0905) > 0.1 {
		t.Errorf("%g dB, want 98.09", db)
	}
	near1(t, "rms", f.RMS.X, 32767.0/32768/math.Sqrt2, 1e-6)
}

// P = V²/R; supply power is the mean of the product, which differs from the product
// of the means where both ripple: (14 + 0.5·cos)·(40 + 10·cos) has the mean 560 + 2.5.
func TestPowers(t *testing.T) {
	const rate = 48000
	out := made(rate, 1, cosine(0.4, 60, 0))
	ripple := func(mean, by float64) []float64 {
		return made(rate, 1, sumOf(cosine(by, 120, 0.3), func(float64) float64 { return mean }))
	}
	w := Wiring{
		Out:     Channel{0, Scale{Name: "divider", Unit: "V", Gain: -100, GainRel: 0.003}},
		SupplyV: &Channel{1, Scale{Name: "supply divider", Unit: "V", Gain: 20, GainRel: 0.002}},
		SupplyA: &Channel{2, Scale{Name: "shunt", Unit: "A", Gain: 50, Offset: -10, GainRel: 0.005, OffsetU: 0.1}},
		Load:    quantity.New(4, "Ω", 0.02, quantity.Source{ID: "load", DoF: math.Inf(1)}),
	}
	f, err := Steady(NewMemory(rate, out, ripple(0.7, 0.025), ripple(1, 0.2)), w, Tone{Freq: 60, Low: 20, High: 20000})
	if err != nil {
		t.Fatal(err)
	}
	near1(t, "power", f.Power.X, 40*40/2.0/4, 1e-8)
	near1(t, "supply power", f.SupplyPower.X, 562.5, 1e-8)
	near1(t, "efficiency", f.Efficiency.X, 200/562.5, 1e-8)
	near1(t, "supply volts", f.SupplyV.X, 14, 1e-8)
	near1(t, "supply amperes", f.SupplyA.X, 40, 1e-8)
	// By hand (JCGM 100, 5.1.2), the spread being nil:
	// u(P)/P = √((2·0.003)² + (0.02/4)²)
	near1(t, "u of power", f.Power.Std(), 200*math.Hypot(0.006, 0.005), 1e-5)
	// the shunt's gain scales Is + 10 A: mean of v·(i + 10) = 562.5 + 140
	drawn := math.Sqrt(math.Pow(0.002*562.5, 2) + math.Pow(0.005*702.5, 2) + math.Pow(0.1*14, 2))
	near1(t, "u of supply power", f.SupplyPower.Std(), drawn, 1e-5)
	near1(t, "u of efficiency", f.Efficiency.Std()/f.Efficiency.X, math.Hypot(drawn/562.5, math.Hypot(0.006, 0.005)), 1e-5)
}

// The stated U covers the true value in 93 to 97 % of 1,000 captures of a sine with
// white noise whose scale is drawn anew each time. True are √(A²/2 + σ²) and the
// noise's part in the band.
func TestUncertaintyCoversTheTruth(t *testing.T) {
	long(t)
	const rate, amplitude, sigma, captures = 8000.0, 10.0, 0.3, 1000
	rng := rand.New(rand.NewPCG(11, 5))
	truth := map[string]float64{
		"rms":         math.Sqrt(amplitude*amplitude/2 + sigma*sigma),
		"fundamental": amplitude / math.Sqrt2,
		"frequency":   403.17,
		"noise":       sigma * math.Sqrt(2900.0/4000),
		"THD+N":       sigma * math.Sqrt(2900.0/4000) / (amplitude / math.Sqrt2),
		"power":       (amplitude*amplitude/2 + sigma*sigma) / 4,
	}
	within := map[string]int{}
	for range captures {
		gain := 1 + 0.0008*rng.NormFloat64()
		load := 4 * (1 + 0.0005*rng.NormFloat64())
		x := made(rate, 0.5, cosine(amplitude, 403.17, 6*rng.Float64()))
		for i := range x {
			x[i] = (x[i] + sigma*rng.NormFloat64()) / gain
		}
		f, err := Steady(NewMemory(rate, x), Wiring{Out: Channel{0, Scale{Name: "divider", Unit: "V", Gain: 1, GainRel: 0.0008}},
			Load: quantity.New(load, "Ω", load*0.0005, quantity.Source{ID: "load", DoF: math.Inf(1)})}, Tone{Low: 100, High: 3000})
		if err != nil {
			t.Fatal(err)
		}
		for name, v := range map[string]quantity.Value{"rms": f.RMS, "fundamental": f.Fundamental, "frequency": f.Freq, "noise": f.Noise, "THD+N": f.THDN, "power": f.Power} {
			b := v.Budget()
			if math.Abs(v.X-truth[name]) <= b.U*quantity.Coverage(quantity.Level, b.DoF) {
				within[name]++
			}
		}
	}
	for name := range truth {
		if n := within[name]; n < 930 || n > 970 {
			t.Errorf("%s: U covers the truth in %d of 1,000 captures", name, n)
		} else {
			t.Logf("%s: %d of 1,000", name, n)
		}
	}
}

// What can't be told is an error with its place, never a number.
func TestSteadyMistakes(t *testing.T) {
	const rate = 48000.0
	tone := Tone{Low: 20, High: 20000}
	good := made(rate, 1, cosine(0.5, 1000, 0))
	full := Format{Rate: rate, Names: []string{"1"}, Frames: int64(rate), Full: 32767.0 / 32768, Step: 1.0 / 32768}
	over := made(rate, 1, clip(cosine(1.2, 1000, 0), full.Full))
	ch := func(i int, gain float64) Wiring { return Wiring{Out: Channel{i, Scale{Unit: "V", Gain: gain}}} }
	floats := Format{Rate: rate, Names: []string{"1"}, Frames: int64(rate), Float: true}
	// Floats go beyond 1, and a sine that just touches it doesn't stay there.
	for _, size := range []float64{1, 30} {
		if _, err := Steady(&Memory{format: floats, channels: [][]float64{made(rate, 1, cosine(size, 1000, 0))}}, ch(0, 1), tone); err != nil {
			t.Errorf("floats up to %g: %v", size, err)
		}
	}
	noise := make([]float64, len(good))
	rng := rand.New(rand.NewPCG(3, 4))
	for i := range noise {
		noise[i] = rng.NormFloat64()
	}
	for _, c := range []struct {
		name, want string
		source     Source
		wiring     Wiring
		tone       Tone
	}{
		{"one sample", "frame 1: the capture is too short: 0.4 s are needed, it has 2.083e-05 s", NewMemory(rate, []float64{1}), ch(0, 1), tone},
		{"short", "frame 4800: the capture is too short: 0.4 s are needed, it has 0.1 s", NewMemory(rate, good[:4800]), ch(0, 1), tone},
		{"silence", "frame 0: there is no steady tone here: silence, noise or too weak a signal", NewMemory(rate, make([]float64, 48000)), ch(0, 1), tone},
		{"noise", "frame 0: there is no steady tone here: silence, noise or too weak a signal", NewMemory(rate, noise), ch(0, 1), tone},
		{"stopped", "frame 48000: there is no steady tone here: silence, noise or too weak a signal", NewMemory(rate, append(append([]float64{}, good...), make([]float64, 48000)...)), ch(0, 1), tone},
		{"weak", "frame 0: there is no steady tone here: silence, noise or too weak a signal", &Memory{format: full, channels: [][]float64{made(rate, 1, cosine(1e-4, 1000, 0))}}, ch(0, 1), tone},
		{"saturated", "frame 0: channel 1 is beyond the recorder's range: 3 samples in a row stand at its end", &Memory{format: full, channels: [][]float64{over}}, ch(0, 1), tone},
		{"saturated floats", "frame 0: channel 1 is beyond the recorder's range: 3 samples in a row stand at its end", &Memory{format: floats, channels: [][]float64{made(rate, 1, clip(cosine(1.2, 1000, 0), 1-1.0/(1<<23)))}}, ch(0, 1), tone},
		{"no channel", "the capture has no channel 3: its last is 1", NewMemory(rate, good), ch(2, 1), tone},
		{"no scale", "the scale of channel 1 is 0", NewMemory(rate, good), ch(0, 0), tone},
		{"band", "a band from 20 Hz to 30000 Hz can't be told at 48000 samples a second", NewMemory(rate, good), ch(0, 1), Tone{Low: 20, High: 30000}},
		{"too low", "a band from 0.0001 Hz needs blocks of 4e+04 s", NewMemory(rate, good), ch(0, 1), Tone{Low: 1e-4, High: 20000}},
		{"frequency", "24000 Hz can't be seen at 48000 samples a second", NewMemory(rate, good), ch(0, 1), Tone{Freq: 24000, Low: 20, High: 20000}},
		{"load", "a load of -4 Ω can't be", NewMemory(rate, good), Wiring{Out: Channel{0, direct}, Load: quantity.Exact(-4, "Ω")}, tone},
		{"half a supply", "the supply's power needs volts and amperes", NewMemory(rate, good), Wiring{Out: Channel{0, direct}, SupplyV: &Channel{0, direct}}, tone},
	} {
		_, err := Steady(c.source, c.wiring, c.tone)
		var p *Problem
		if !errors.As(err, &p) || p.Error() != c.want || p.Hint == "" {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
}

func studentOf(dof float64) float64 { return quantity.Coverage(quantity.Level, dof) }

// A supply recorded without its DC, as by a sound card, has a mean of 0 and gives no power,
// and not what rounding leaves of the ripple.
func TestSupplyWithoutDC(t *testing.T) {
	const rate = 48000.0
	ripple, amps := made(rate, 2, cosine(0.2, 100, 1)), made(rate, 2, func(float64) float64 { return 8 })
	w := Wiring{Out: Channel{0, direct}, SupplyV: &Channel{1, direct}, SupplyA: &Channel{2, direct}, Load: quantity.Exact(4, "Ω")}
	f, err := Steady(NewMemory(rate, made(rate, 2, cosine(1, 1000, 0)), ripple, amps), w, Tone{Low: 20, High: 20000})
	if err != nil {
		t.Fatal(err)
	}
	if f.SupplyV.X != 0 || f.SupplyPower.X != 0 || f.SupplyA.X < 7.999999 {
		t.Errorf("the supply has %g V, %g A, %g W", f.SupplyV.X, f.SupplyA.X, f.SupplyPower.X)
	}
}
