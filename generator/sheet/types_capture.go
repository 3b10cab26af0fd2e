package sheet

import "wattsheet/generator/record"

// A Capture is a recorded waveform that runs or stated figures of the sheet were read from.
type Capture struct {
	Rec *record.Capture
	ID  string
	// Of the file; zero where none of its runs was read.
	Digest  string         // SHA-256 of its bytes, as hexadecimal digits
	RateHz  float64        // samples a second
	Frames  int64          // how many
	Seconds float64        // how long
	Columns []string       // their names in the file
	Runs    []*Run         // in the record's order
	Specs   []*record.Spec // likewise
}

// A Captured is what a run has from its capture, beside its figures.
type Captured struct {
	Rec   *record.Capture
	Taken *record.Taken
	// Where says which part of it was read: "capture c01, 2 s to 4 s".
	Where string
	// AsText says as what it was read: "a steady tone".
	AsText string
	Freq   *Figure // nil where the frequency isn't measured
	// OtherFreq is true where that is another than stated, and counts instead.
	OtherFreq bool
	Channels  []*CapturedChannel
	// Compared are typed readings of what the capture has too, in the order of the schema.
	Compared []Compared
}

// A CapturedChannel is what a capture gives of one driven channel, beside its figures.
type CapturedChannel struct {
	Name   string
	Column int              // counted from 1
	Out    *record.TakenOut // the numbers as read
	THD    *Figure          // harmonics alone; of a steady tone only
	Crest  float64          // peak by rms; of a steady tone only
	Onset  *Figure          // power at which clipping begins; nil where a rising level doesn't show it
	Most   *Figure          // the largest clipped power; nil likewise
	Levels []CapturedLevel  // of a rising level, in the order of time
	Bursts []CapturedBurst  // of bursts, in the order of time
	Round  *Figure          // mean power over whole repetitions of bursts
}

// A CapturedLevel is one level of a tone that rises.
type CapturedLevel struct {
	AtS             float64 // seconds after the capture's first sample
	PowerW          float64 // at the unit's terminals
	THDPct, THDNPct float64
	Flat            bool    // a side of the wave is flat
	SupplyV         float64 // 0 where not recorded, as the following
	SupplyW         float64
	EfficiencyPct   float64 // of the channel's power alone, where it is the only one driven
}

// A CapturedBurst is one burst.
type CapturedBurst struct {
	StartS, EndS  float64 // seconds after the capture's first sample
	PowerW        float64 // at the unit's terminals, in its whole periods
	SupplyV, SagV float64 // 0 where not recorded
}

// A Compared is a typed reading of something that a capture has too. The capture counts.
type Compared struct {
	Quantity   string  // as ReadQuantities: out_v, supply_w
	Channel    string  // empty for readings of the whole run
	Typed      *Figure // by the meter
	Captured   *Figure // from the capture
	Difference *Figure // the first less the second
	Disagrees  bool    // by more than the U of the difference
}
