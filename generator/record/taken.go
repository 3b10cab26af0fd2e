package record

import "math"

// A Taken is what a run's capture gave: numbers, before anything is known of scales and
// loads but their estimates. Whoever reads the capture's file fills it in; no key of a
// record does. All numbers are finite.
type Taken struct {
	// Of the file: the SHA-256 digest of its bytes as hexadecimal digits, its sampling
	// rate in hertz, how many frames it has, and its columns' names.
	Digest  string
	RateHz  float64
	Frames  int64
	Columns []string
	// FromS and ToS are the interval that was read, in seconds after the first sample.
	FromS, ToS float64
	// As says as what it was read: steady, steps, sweep or bursts.
	As string
	// LowHz and HighHz are the band of distortion and noise; 0 for bursts.
	LowHz, HighHz float64
	// FreqHz is the signal's frequency; the zero Mean where it isn't measured.
	FreqHz Mean
	// Outs are the driven channels that the capture has, in the run's order.
	Outs []TakenOut
	// Of the supply, in volts, amperes and watts, the mean of volts times amperes. Of a
	// level that rises they belong to the first channel's distortion limit, of bursts
	// to the whole periods within them.
	SupplyV, SupplyA, SupplyW Mean
	// RestV is the supply's mean between bursts, LowestV its lowest mean over a period
	// of the tone, SagV their difference; RecoveryS how long after a burst it is back
	// within a tenth of the sag, 0 where it isn't. RoundW is the supply's power over
	// whole repetitions, from burst to burst.
	RestV, LowestV, SagV, RecoveryS float64
	RoundW                          Mean
	// Trace is what a drawing shows; nil where nothing is drawn.
	Trace *Trace
}

// A Mean is a mean over time, and what the spread of its parts says of it. It is there
// where N isn't 0.
type Mean struct {
	X   float64
	U   float64 // standard uncertainty by the spread (type A)
	DoF float64 // degrees of freedom of U; 0 where there is no spread, or infinitely many
	N   int     // of so many blocks, or bursts
}

// Given reports whether it was measured.
func (m Mean) Given() bool { return m.N > 0 }

// Finite is the mean with what isn't finite as 0: no spread, or infinitely many degrees of
// freedom.
func (m Mean) Finite() Mean {
	if math.IsNaN(m.U) || math.IsInf(m.U, 0) {
		m.U = 0
	}
	if math.IsNaN(m.DoF) || math.IsInf(m.DoF, 0) {
		m.DoF = 0
	}
	return m
}

// A TakenOut is what a capture gave of one driven channel: volts across the load element.
type TakenOut struct {
	Channel string
	Column  int // counted from 1
	// RMS is what the run's power is made of: of a steady tone the true rms, of a level
	// that rises the rms at the method's distortion limit, of bursts that of the whole
	// periods within them. Offset is its sensitivity to an error of the scale's offset.
	RMS    Mean
	Offset float64
	// Interpolation is a half-width in volts: how far off the way between two levels
	// may be.
	Interpolation float64
	// THDN and THD are relative to the fundamental, as numbers.
	THDN, THD Mean

	// MeanV is the mean that the rms has in it: of a steady tone, within bursts, at the limit.
	MeanV float64
	// Of a steady tone.
	PeakV, NoiseV       float64
	Crest               float64
	Harmonics           []float64 // rms volts of the 2nd, 3rd …
	FlatTop, FlatBottom float64   // shares of the time near the peak, as multiples of a sine's
	Clipped             bool      // whether a side is flat

	// Of a level that rises.
	Levels   []Level
	OnsetV   Mean    // rms volts at which a side becomes flat
	OnsetOff float64 // as Interpolation, of OnsetV
	MostV    Mean    // largest rms volts of a level with a flat side

	// Of bursts.
	Bursts []Burst
	RoundV Mean // rms volts over whole repetitions
	// RestDB is the level between bursts against that in them, EveryS their repetition,
	// DroopPct how much less power the last has than the first; 0 where there are too few.
	RestDB, EveryS, DroopPct float64
}

// A Level is one level of a tone that rises.
type Level struct {
	AtS                       float64 // seconds after the first sample of the capture
	RMS, THD, THDN            float64 // volts, and numbers
	Flat                      bool    // a side of the wave is flat
	SupplyV, SupplyA, SupplyW float64 // 0 where not recorded
	Blocks                    int
}

// A Burst is one burst.
type Burst struct {
	StartS, EndS    float64 // seconds after the first sample of the capture
	Cycles          int
	RMS, RestRMS    float64
	SupplyV, SagV   float64 // mean in the whole periods, and how far it dips; 0 where not recorded
	SupplyW         float64
	OutV2S, SupplyJ float64 // volts² times seconds, and joules, from its start to the next one's; 0 for the last
}
