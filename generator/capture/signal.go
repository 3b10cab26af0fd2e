package capture

import (
	"io"
	"math"
	"slices"

	"wattsheet/generator/quantity"
)

// A Wanted is what a test signal is to be. Levels are in decibels below or at full scale:
// 0 dBFS is a sine whose peaks just reach it, so that its rms is full scale divided by √2
// (AES17; edition and clause from memory).
type Wanted struct {
	Kind   string  // one of Kinds
	Freq   float64 // hertz; where a sweep begins
	To     float64 // where a sweep ends
	Level  float64 // the highest that it has, in dBFS
	From   float64 // of steps: where they begin, in dBFS
	Step   float64 // of steps: how much each is above the last, in decibels
	Rest   float64 // of bursts: how far below Level it is between them, in decibels
	Length float64 // seconds; of steps: of each
	Burst  float64 // seconds of each burst
	Every  float64 // seconds from one burst's start to the next
	Fade   float64 // seconds from one level to another
	Rate   int     // samples a second
}

// Kinds are the kinds of test signals.
var Kinds = []string{"sine", "steps", "burst", "sweep"}

// A Stretch is a part of a signal that stays at its level.
type Stretch struct {
	First, Last int64   // frames; Last is the first one behind it
	Level       float64 // dBFS
	From, To    float64 // hertz; the logarithm goes evenly from one to the other
	Rest        bool    // between bursts
	amplitude   float64 // as a part of full scale, to 12 digits
}

// A Signal is a test signal: stretches of one sine, whose level goes from each to the next
// along half a period of a cosine. The sine itself goes on without a break, so that
// nothing clicks. It is a [Source] of one channel. Its samples come by additions,
// multiplications and comparisons of float64 alone, each rounded by itself, and are the
// same on any machine.
type Signal struct {
	Wanted
	Stretches []Stretch
	format    Format
	at        int64 // the next frame
	current   int   // the stretch that it is in, or before
	phase     uint64
	step      float64 // of the phase, in 2^−64 turns
	ratio     float64 // of the next step to this one
}

// The silence before and behind a signal, in seconds: players and converters cut the
// first and the last of what they play (common practice, no source).
const silence = 0.5

// The limits of a signal.
const (
	highestLevel = -0.01 // dBFS: at 0 dither would go beyond what a sample can be
	lowestLevel  = -120  // dBFS
	mostSeconds  = 3600
	mostSteps    = 1000
	usableRate   = 0.45 // of the rate, beyond which converters' filters begin
)

// NewSignal makes a test signal, or says by a *[Problem] what can't be.
func NewSignal(w Wanted) (*Signal, error) {
	if err := w.possible(); err != nil {
		return nil, err
	}
	s := &Signal{Wanted: w}
	switch w.Kind {
	case "sine", "sweep":
		s.add(w.Length, Stretch{Level: w.Level, From: w.Freq, To: w.To})
	case "steps":
		n := int(math.Floor((w.Level-w.From)/w.Step+1e-9)) + 1
		if n > mostSteps {
			return nil, unwanted("begin higher up, or take larger steps", "%d steps are more than %d", n, mostSteps)
		}
		for i := range n {
			s.add(w.Length, Stretch{Level: w.From + float64(float64(i)*w.Step), From: w.Freq, To: w.Freq})
		}
	case "burst":
		for i := range int(math.Floor(w.Length/w.Every + 1e-9)) {
			s.addAt(s.frames(silence+w.Fade)+s.frames(float64(i)*w.Every), w.Burst, Stretch{Level: w.Level, From: w.Freq, To: w.Freq})
			s.add(w.Every-w.Burst-2*w.Fade, Stretch{Level: w.Level - w.Rest, From: w.Freq, To: w.Freq, Rest: true})
		}
	}
	end := s.Stretches[len(s.Stretches)-1].Last
	s.format = Format{Rate: float64(w.Rate), Names: numbered(1), Frames: end + s.frames(w.Fade+silence), Full: 1}
	s.enter(s.Stretches[0].From)
	return s, nil
}

func unwanted(hint, summary string, args ...any) error { return atFrame(-1, hint, summary, args...) }

// possible says what of a wish can't be.
func (w *Wanted) possible() error {
	if !slices.Contains(Kinds, w.Kind) {
		return unwanted("sine, steps, burst and sweep are there", "there is no signal %q", w.Kind)
	}
	if w.Rate < 8000 || w.Rate > 768000 {
		return unwanted("48000 suits most", "%d samples a second are outside 8,000 to 768,000", w.Rate)
	}
	if w.Kind != "sweep" {
		w.To = w.Freq
	}
	for _, f := range []float64{w.Freq, w.To} {
		if !(f >= 1 && f <= usableRate*float64(w.Rate)) {
			return unwanted("choose a frequency within them, or more samples a second", "%g Hz is outside 1 Hz to %g Hz, 0.45 of the samples a second", f, usableRate*float64(w.Rate))
		}
	}
	if !(w.Level >= lowestLevel && w.Level <= highestLevel) {
		return unwanted("full scale is 0 dBFS; begin low, such as at -40, and go on from there", "a level of %g dBFS is outside %d to %g dBFS", w.Level, lowestLevel, highestLevel)
	}
	if !(w.Fade >= 0.001 && w.Fade <= 1) {
		return unwanted("5 ms suit most; the shorter it is, the more it clicks", "a fade of %g ms is outside 1 to 1000 ms", 1000*w.Fade)
	}
	if !(w.Length >= 0.01 && w.Length <= mostSeconds) {
		return unwanted("state how many seconds", "%g s is outside 0.01 s to an hour", w.Length)
	}
	switch w.Kind {
	case "sweep":
		if w.Freq == w.To {
			return unwanted("state two frequencies, or take a sine", "a sweep from %g Hz to %g Hz goes nowhere", w.Freq, w.To)
		}
	case "steps":
		return w.possibleSteps()
	case "burst":
		return w.possibleBursts()
	}
	return nil
}

func (w *Wanted) possibleSteps() error {
	switch {
	case !(w.From >= lowestLevel && w.From < w.Level):
		return unwanted("steps go up: begin below the level that they end at", "steps from %g dBFS to %g dBFS can't be", w.From, w.Level)
	case !(w.Step >= 0.01 && w.Step <= w.Level-w.From):
		return unwanted("1 dB suits a search for clipping", "steps of %g dB are outside 0.01 dB to all of the %g dB", w.Step, w.Level-w.From)
	case w.Length*(w.Level-w.From)/w.Step > mostSeconds:
		return unwanted("hold each level for less, or take larger steps", "the steps last longer than an hour")
	}
	return nil
}

func (w *Wanted) possibleBursts() error {
	switch {
	case !(w.Burst*w.Freq >= 2):
		return unwanted("a burst holds 2 periods at least; 20 periods are usual", "a burst of %g ms has %.3g periods of %g Hz", 1000*w.Burst, w.Burst*w.Freq, w.Freq)
	case !(w.Every-w.Burst-2*w.Fade >= w.Burst):
		return unwanted("let the rest be as long as the burst at least", "bursts of %g ms every %g ms leave no rest, fades of %g ms counted", 1000*w.Burst, 1000*w.Every, 1000*w.Fade)
	case !(w.Every <= w.Length):
		return unwanted("let the signal last longer", "%g s hold no burst every %g ms", w.Length, 1000*w.Every)
	case !(w.Rest >= 10 && w.Level-w.Rest >= 2*lowestLevel):
		return unwanted("20 dB are usual", "%g dB between bursts and rest are too few to tell them apart, or too many to be played", w.Rest)
	}
	return nil
}

func (s *Signal) frames(seconds float64) int64 {
	return int64(math.Floor(float64(seconds*float64(s.Rate)) + 0.5))
}

// add puts a stretch behind the last, a fade away from it.
func (s *Signal) add(seconds float64, one Stretch) {
	first := s.frames(silence) + s.frames(s.Fade)
	if n := len(s.Stretches); n > 0 {
		first = s.Stretches[n-1].Last + s.frames(s.Fade)
	}
	s.addAt(first, seconds, one)
}

func (s *Signal) addAt(first int64, seconds float64, one Stretch) {
	one.First, one.Last = first, first+s.frames(seconds)
	one.amplitude = quantity.Rounded(math.Pow(10, one.Level/20))
	s.Stretches = append(s.Stretches, one)
}

// Seconds is the instant of a frame.
func (s *Signal) Seconds(frame int64) float64 { return float64(frame) / float64(s.Rate) }

// Format tells rate and length.
func (s *Signal) Format() Format { return s.format }

// Read gives the next samples; see [Source].
func (s *Signal) Read(into [][]float64) (int, error) {
	for i := range into[0] {
		if s.at == s.format.Frames {
			return i, io.EOF
		}
		into[0][i] = s.next()
	}
	return len(into[0]), nil
}

// next is the next sample.
func (s *Signal) next() float64 {
	for s.current < len(s.Stretches) && s.at >= s.Stretches[s.current].Last {
		s.current++
		s.ratio = 1
	}
	level := s.level()
	x := 0.0
	if level > 0 {
		x = float64(level * sineOf(s.phase))
	}
	s.phase += uint64(s.step)
	if s.current < len(s.Stretches) {
		if one := &s.Stretches[s.current]; s.at == one.First && one.From != one.To {
			s.ratio = growth(quantity.Rounded(math.Log(one.To/one.From)) / float64(one.Last-one.First))
		}
	}
	s.step = float64(s.step * s.ratio)
	s.at++
	return x
}

func (s *Signal) enter(freq float64) {
	s.step, s.ratio = freq/float64(s.Rate)*(1<<64), 1
}

// level is the amplitude at the next frame: that of a stretch, or on the way from one to
// the next along sin² of a quarter of a turn.
func (s *Signal) level() float64 {
	before, after, from := 0.0, 0.0, int64(0)
	if i := s.current; i < len(s.Stretches) {
		one := &s.Stretches[i]
		if s.at >= one.First {
			return one.amplitude
		}
		after, from = one.amplitude, one.First-s.frames(s.Fade)
	}
	if i := s.current; i > 0 {
		before, from = s.Stretches[i-1].amplitude, s.Stretches[i-1].Last
	}
	gone, all := s.at-from, s.frames(s.Fade)
	switch {
	case gone < 0:
		return before
	case gone >= all:
		return after
	}
	way := sineOf(uint64(gone) * (1 << 62 / uint64(all)))
	way = float64(way * way)
	return before + float64((after-before)*way)
}

// Decibels is a level in dBFS of a sine whose rms stands beside that of one at full scale.
func Decibels(rms, full float64) float64 { return 20 * math.Log10(rms/full) }

// Sides are the words for the channels that have the signal, each with what to say of it.
var Sides = map[string]string{
	"mono": "one channel", "both": "the same in two channels",
	"left": "in the first of two channels, the second silent", "right": "in the second of two channels, the first silent",
}

// On gives the signal on the channels that a word of [Sides] names.
func (s *Signal) On(sides string) Source {
	if sides == "mono" {
		return s
	}
	return &sided{s, sides}
}

type sided struct {
	*Signal
	sides string
}

func (s *sided) Format() Format {
	f := s.format
	f.Names = numbered(2)
	return f
}

func (s *sided) Read(into [][]float64) (int, error) {
	n, err := s.Signal.Read(into[:1])
	copy(into[1][:n], into[0][:n])
	switch s.sides {
	case "left":
		clear(into[1][:n])
	case "right":
		clear(into[0][:n])
	}
	return n, err
}
