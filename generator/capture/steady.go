package capture

import (
	"errors"
	"io"
	"math"

	"wattsheet/generator/quantity"
)

// A Wiring says which channels hold what. SupplyV and SupplyA are nil where they
// were not recorded; both have to be there for the supply's power.
type Wiring struct {
	// Capture names this capture, Recorder what recorded it. The spreads of two captures
	// are different errors; the sampling rates of one recorder are one.
	Capture, Recorder string
	Out               Channel
	SupplyV, SupplyA  *Channel
	// Load at the output in ohms, with its uncertainty; the zero Value where no power
	// is asked for.
	Load quantity.Value
	// ClockRel is the relative standard uncertainty of the recorder's sampling rate.
	ClockRel float64
}

// A Tone says what steady tone is looked at.
type Tone struct {
	// Freq of the fundamental in hertz, to a bin of its block; 0 finds the strongest
	// tone in the band.
	Freq float64
	// Low and High are the band in hertz of distortion and noise; High is at most half
	// the sampling rate.
	Low, High float64
}

// Figures are what a steady tone gives. Ratios are numbers, not percent.
type Figures struct {
	Freq  quantity.Value // hertz
	RMS   quantity.Value // true rms, mean included
	Mean  quantity.Value
	Peak  quantity.Value // largest sample to either side of zero; between samples it may be more
	Crest quantity.Value // Peak/RMS

	Fundamental quantity.Value // rms of the fundamental
	// THD is √(Σ harmonics²) of the harmonics from the 2nd to the band's end, divided by
	// the fundamental; THDOfTotal by √(fundamental² + Σ harmonics²) (IEC 60268-3,
	// 14.12; clause from memory). Each harmonic holds the noise of two bins about it.
	THD, THDOfTotal quantity.Value
	// THDN is the rms of all that is in the band apart from mean and fundamental, noise
	// and hum too, divided by the fundamental; THDNOfTotal by √(fundamental² + that²).
	THDN, THDNOfTotal quantity.Value
	// Noise is the rms in the band of what is neither fundamental nor harmonic.
	Noise quantity.Value
	// Harmonics are the rms of the 2nd, 3rd … in the band, means over time of their squares.
	Harmonics []float64

	// Power is RMS²/Load; the zero Value without a load.
	Power quantity.Value
	// SupplyPower is the mean of volts times amperes, Efficiency Power/SupplyPower; the
	// zero Value where they were not recorded.
	SupplyV, SupplyA, SupplyPower, Efficiency quantity.Value

	// FlatTop and FlatBottom are the shares of the time within 1 % of the peak on
	// that side, as multiples of a sine's share. Noise beyond 1 % of the peak hides
	// what is flat.
	FlatTop, FlatBottom float64
	Blocks              int     // that the figures are means of
	Seconds             float64 // that the blocks span
}

// flat is the multiple of a sine's share from which a top counts as clipped: a sine
// clipped at 0.988 of its peak, some 0.3 % THD.
const flat = 1.5

// Clipped tells whether a side of the wave is flat.
func (f Figures) Clipped() bool { return f.FlatTop >= flat || f.FlatBottom >= flat }

// How long a block has to be: the window's lobes of neighbouring harmonics, and the
// band's lower end, have to stand apart.
const (
	leastPeriods = 16
	lowPeriods   = 4
	aimedBlocks  = 32
	longestBlock = 1 << 18 // where shorter would do
	mostBlock    = 1 << 21 // samples, some 150 MB
)

// Steady reads a source to its end and gives the figures of the tone in it. It holds a
// block in memory, however long the capture is. Blocks overlap by half; each figure
// comes from the mean over all of them, with the spread of the blocks ([Spread]) and
// the scales' errors.
//
// It is an error where the tone is missing or the capture too short, where the
// recorder was driven beyond its range, or a channel isn't there.
func Steady(s Source, w Wiring, t Tone) (Figures, error) {
	f := s.Format()
	if err := w.check(f, t); err != nil {
		return Figures{}, err
	}
	st := &steady{source: s, format: f, wiring: w, tone: t, guard: newGuard(f)}
	if err := st.run(); err != nil {
		return Figures{}, err
	}
	return st.figures(), nil
}

func (w Wiring) check(f Format, t Tone) error {
	for _, c := range w.channels() {
		if err := c.check(f); err != nil {
			return err
		}
	}
	switch {
	case !(t.Low > 0 && t.High > t.Low && t.High <= f.Rate/2*(1+1e-12)):
		return atFrame(-1, "the band begins above 0 and ends at half the samples a second at most",
			"a band from %g Hz to %g Hz can't be told at %g samples a second", t.Low, t.High, f.Rate)
	case t.Freq < 0 || math.IsNaN(t.Freq) || t.Freq >= f.Rate/2:
		return atFrame(-1, "a frequency lies between 0 and half the samples a second", "%g Hz can't be seen at %g samples a second", t.Freq, f.Rate)
	case (w.Load.X != 0 || w.Load.Unit != "") && !(w.Load.X > 0 && !math.IsInf(w.Load.X, 1)):
		return atFrame(-1, "state the load's resistance in ohms", "a load of %g Ω can't be", w.Load.X)
	case !(w.ClockRel >= 0 && w.ClockRel < 1):
		return atFrame(-1, "state it as a relative standard uncertainty, 0 or more", "the sampling rate has no possible uncertainty")
	case (w.SupplyV == nil) != (w.SupplyA == nil):
		return atFrame(-1, "name the channels of both, or neither", "the supply's power needs volts and amperes")
	}
	return nil
}

// channels are those that are named, the output first.
func (w Wiring) channels() []Channel {
	c := []Channel{w.Out}
	if w.SupplyV != nil && w.SupplyA != nil {
		c = append(c, *w.SupplyV, *w.SupplyA)
	}
	return c
}

// steady goes through a source block by block.
type steady struct {
	source Source
	format Format
	wiring Wiring
	tone   Tone
	guard  *guard
	*analyser
	gaps      bool // blocks without the tone are left out
	freq      float64
	readings  []reading
	harmonics []float64 // sums of squares
	frames    int64
}

// run reads all blocks.
func (st *steady) run() error {
	if err := st.measureOut(st.tone.Freq); err != nil {
		return err
	}
	raw := blockOf(len(st.format.Names), st.n)
	n, err := st.more(raw, 0)
	if st.tone.Freq == 0 && n == st.n && err == nil {
		raw, n, err = st.find(raw)
	}
	scaled := blockOf(len(st.wiring.channels()), st.n)
	for ; n == st.n; n, err = st.slide(raw) {
		if err := st.block(raw, scaled); err != nil && !st.gaps {
			return err
		}
		if err != nil {
			break
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	if len(st.readings) == 0 && st.frames >= int64(st.n) {
		return st.silent()
	}
	if len(st.readings) < 3 {
		return atFrame(startOf(st.source)+st.frames, "take a longer interval, record longer, or begin the band higher up", "the capture is too short: %.4g s are needed, it has %.4g s",
			2*float64(st.n)/st.format.Rate, float64(st.frames)/st.format.Rate)
	}
	return nil
}

// find looks for the tone in the first block, and makes the block longer where the
// tone is so low that it needs more.
func (st *steady) find(raw [][]float64) ([][]float64, int, error) {
	x := make([]float64, st.n)
	st.wiring.Out.Scale.apply(x, raw[st.wiring.Out.Index])
	n := st.n
	if st.freq = st.strongest(x, st.tone.Low, st.tone.High); st.freq == 0 {
		return raw, 0, st.silent()
	}
	if err := st.measureOut(st.freq); err != nil || st.n == n {
		return raw, n, err
	}
	longer := blockOf(len(raw), st.n)
	for i := range raw {
		copy(longer[i], raw[i])
	}
	got, err := st.more(longer, n)
	return longer, got, err
}

// measureOut settles the length of a block, for a tone of 0 by the band's lower end.
func (st *steady) measureOut(freq float64) error {
	if freq == 0 {
		freq = st.tone.Low * leastPeriods / lowPeriods
	}
	seconds := math.Max(leastPeriods/freq, lowPeriods/st.tone.Low)
	if st.format.Frames > 0 {
		all := float64(st.format.Frames) / st.format.Rate
		longest := longestBlock / st.format.Rate
		seconds = math.Max(seconds, math.Min(longest, 2*all/(aimedBlocks+1)))
	}
	frames := seconds * st.format.Rate
	if frames > mostBlock {
		return atFrame(-1, "begin the band higher up, or record fewer samples a second", "a band from %g Hz needs blocks of %.4g s", st.tone.Low, seconds)
	}
	st.analyser = newAnalyser(quick(max(64, int(math.Ceil(frames)))), st.format.Rate, st.tone)
	return nil
}

func newAnalyser(n int, rate float64, t Tone) *analyser {
	return &analyser{spectrum: newSpectrum(n, rate), lowest: t.Low, highest: t.High, rest: make([]float64, n)}
}

// slide goes on by half a block and returns how many frames the block then has.
func (st *steady) slide(raw [][]float64) (int, error) {
	half := st.n / 2
	for _, ch := range raw {
		copy(ch, ch[st.n-half:])
	}
	return st.more(raw, half)
}

// more fills a block from a frame on.
func (st *steady) more(raw [][]float64, from int) (int, error) {
	n, err := st.source.Read(cut(raw, from, st.n))
	for _, c := range st.wiring.channels() {
		if p := st.guard.look(c.Index, raw[c.Index][from:from+n], startOf(st.source)+st.frames); p != nil {
			return 0, p
		}
	}
	st.frames += int64(n)
	return from + n, err
}

// block adds one block's figures.
func (st *steady) block(raw, scaled [][]float64) error {
	for i, c := range st.wiring.channels() {
		c.Scale.apply(scaled[i], raw[c.Index])
	}
	out := scaled[0]
	if len(st.readings) == 0 && st.tone.Freq != 0 {
		st.freq = st.tone.Freq
	}
	if low, high := extremes(out); low == high {
		return st.silent()
	}
	r, err := st.read(out, st.freq)
	if err != nil {
		return st.placed(err)
	}
	weak := st.format.Step * math.Abs(st.wiring.Out.Scale.Gain)
	if ac := r.square - r.mean*r.mean; !(r.fundamental > 0.3*ac) || r.fundamental < 32*weak*weak {
		return st.silent()
	}
	if len(scaled) == 3 {
		r.supplyV, r.supplyA, r.supplyPower = st.mean(scaled[1]), st.mean(scaled[2]), st.product(scaled[1], scaled[2])
	}
	if !st.gaps {
		st.freq = r.freq
	}
	r.middle = (float64(st.frames) - float64(st.n)/2) / st.format.Rate
	st.readings = append(st.readings, r)
	for i, rms := range st.lines {
		if i == len(st.harmonics) {
			st.harmonics = append(st.harmonics, 0)
		}
		st.harmonics[i] += rms * rms
	}
	return nil
}

// placed puts a problem at the block's first frame.
func (st *steady) placed(err error) error {
	var p *Problem
	if errors.As(err, &p) && p.Frame < 0 {
		p.Frame = startOf(st.source) + max(0, st.frames-int64(st.n))
	}
	return err
}

func (st *steady) silent() error {
	return st.placed(atFrame(-1, "state an interval in which the tone sounds, and the channel that it is on", "there is no steady tone here: silence, noise or too weak a signal"))
}

// A guard looks for samples that the recorder cut.
type guard struct {
	full  float64
	float bool
	runs  map[int]int     // successive samples at full scale, by channel
	last  map[int]float64 // of a channel's samples, of floats
}

func newGuard(f Format) *guard {
	return &guard{f.Full, f.Float, map[int]int{}, map[int]float64{}}
}

// converter is the largest magnitude of a converter of 16 bits, as a float: samples of
// floats that are alike and lie between it and 1 were cut.
const converter = 1 - 1.0/(1<<15)

// stuck is how many samples in a row at full scale are no chance.
const stuck = 3

func (g *guard) look(channel int, x []float64, first int64) *Problem {
	if g.full == 0 && !g.float {
		return nil
	}
	run, last := g.runs[channel], g.last[channel]
	for i, v := range x {
		run++
		if size := math.Abs(v); g.float && (size < converter || size > 1) || !g.float && size < g.full {
			run = 0
		} else if g.float && v != last {
			run = 1
		}
		last = v
		if run == stuck {
			return atFrame(first+int64(i)-stuck+1, "record again with a smaller input", "channel %d is beyond the recorder's range: %d samples in a row stand at its end", channel+1, stuck)
		}
	}
	g.runs[channel], g.last[channel] = run, last
	return nil
}
