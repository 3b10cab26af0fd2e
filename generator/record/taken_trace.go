package record

// A Trace is what a drawing shows of the part of a capture that a run was read from: the
// waves around the instant that matters, and the spectrum there.
type Trace struct {
	// FromS and ToS are the stretch that the waves cover, and AroundFromS and AroundToS
	// the longer one that an excerpt for download has: seconds after the first sample.
	FromS, ToS             float64
	AroundFromS, AroundToS float64
	Waves                  []Wave // of the driven channels in the run's order, then of the supply
	Spectra                []Spectrum
	Excerpt                Excerpt
	FileBytes              int // how long the capture's file is
}

// An Excerpt is a file that has the samples of that longer stretch: the columns that the run
// was read from, as they were recorded.
type Excerpt struct {
	Digest  string // SHA-256 of its bytes, as hexadecimal digits
	Bytes   int
	Columns []int // of the capture, counted from 1
}

// A Wave is a column of a capture around an instant, as few points: all samples, or the lowest
// and the highest of equal parts.
type Wave struct {
	Role    string // out, supply_v or supply_a
	Channel string // of out
	All     bool   // whether all samples are there
	AtS     []float64
	Y       []float64 // volts or amperes
}

// A Spectrum is that of a driven channel: the highest line in each part of the band.
type Spectrum struct {
	Channel     string
	Fundamental float64 // hertz
	Seconds     float64 // of the stretch that it is of
	FreqHz, DB  []float64
	Harmonics   []float64 // decibels below the fundamental, of the 2nd, 3rd …
}
