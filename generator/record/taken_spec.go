package record

// A TakenSpec is what a capture gave of a stated figure: numbers, before anything is known
// of scales. All numbers are finite.
type TakenSpec struct {
	// Of the file, as in [Taken].
	Digest  string
	RateHz  float64
	Frames  int64
	Columns []string
	// FileBytes is how long the file is.
	FileBytes int
	// FromS and ToS are the interval that was read, in seconds after the first sample.
	FromS, ToS float64
	// Value is the corner or centre in hertz, the slope in decibels an octave without a
	// sign, the height in decibels, or the rms of the noise in volts. N counts the points
	// of the curve that its scatter was told from, or the blocks of the noise.
	Value Mean
	// Between and Pace are half-widths in its unit: what the way between the curve's points
	// leaves open, and what the sweep's speed does. 0 for noise.
	Between, Pace float64
	// Curve is the response, by rising frequency; none for noise.
	Curve []Gain
}

// A Gain is the magnitude of a response at one frequency.
type Gain struct {
	FreqHz float64
	DB     float64 // of the output to the input, or to 1 V where the input wasn't recorded
	Cycles int     // periods that it is the mean of
}
