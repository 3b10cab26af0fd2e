package capture

import (
	"maps"
	"math"
	"slices"
)

// pace is how many samples, of whole periods, a magnitude is told from at least.
const pace = 64

// A stretch is some whole periods: where it begins and how long it is in samples, how many
// periods, the octaves of its frequency above 1 Hz, and the mean squares.
type stretch struct {
	start, length       float64
	periods             int
	octaves, out, drive float64
}

// stretches joins periods to stretches of 64 samples at least, and leaves out what no
// sweep does: a period that differs by half from the one before is a pause or a jump, and
// what is no tone of that frequency is noise. The mean over its whole periods is no part
// of a mean square.
func stretches(places []float64, channels [][]float64, rate float64) []stretch {
	areas, lines := make([]integral, len(channels)), make([]integral, len(channels))
	for i, x := range channels {
		areas[i], lines[i] = squares(x), integralOf(x)
	}
	varying := func(channel int, from, to float64) float64 {
		mean := lines[channel].mean(from, to)
		return areas[channel].mean(from, to) - mean*mean
	}
	told := channels[len(channels)-1] // the frequency is told from it
	var all []stretch
	start := 1 // in the first period filters are only setting in
	for i := 2; i < len(places); i++ {
		length, before := places[i]-places[i-1], places[i-1]-places[i-2]
		if length > 1.5*before || before > 1.5*length {
			start = i
			continue
		}
		if places[i]-places[start] < pace {
			continue
		}
		s := stretch{start: places[start], length: places[i] - places[start], periods: i - start, drive: 1}
		s.octaves = math.Log2(float64(s.periods) * rate / s.length)
		s.out = varying(0, places[start], places[i])
		if len(channels) > 1 {
			s.drive = varying(1, places[start], places[i])
		}
		if of := varying(len(channels)-1, places[start], places[i]); s.out > 0 && of > 0 && s.tone(told) > mostly*of {
			all = append(all, s)
		}
		start = i
	}
	return all
}

// mostly is the part of a mean square that a tone has to have: of a square wave's the
// fundamental has 0.81, and its noise brings a level up by 2 dB then.
const mostly = 0.6

// tone is the mean square of the sine with the stretch's frequency in it, of its Fourier
// component over whole periods.
func (s stretch) tone(x []float64) float64 {
	from, to := int(math.Ceil(s.start)), int(math.Ceil(s.start+s.length))
	turn := 2 * math.Pi * float64(s.periods) / s.length
	var re, im float64
	for i, v := range x[from:min(to, len(x))] {
		sin, cos := math.Sincos(turn * (float64(from+i) - s.start))
		re, im = re+v*cos, im+v*sin
	}
	return 2 * (re*re + im*im) / (s.length * s.length)
}

// joined makes points of the stretches that lie within 1/24 octave.
func joined(all []stretch) (Magnitude, error) {
	bins := map[int][]stretch{}
	for _, s := range all {
		place := int(math.Floor(s.octaves*resolution + 0.5))
		bins[place] = append(bins[place], s)
	}
	for place, bin := range bins {
		bins[place] = heard(bin)
	}
	var m Magnitude
	for _, place := range slices.Sorted(maps.Keys(bins)) {
		if passing(bins, place) {
			continue
		}
		m = append(m, gainOf(bins[place]))
	}
	if len(m) < 2 {
		return nil, atFrame(-1, "a sweep goes through several frequencies", "the capture has %d frequencies", len(m))
	}
	return m, nil
}

// gainOf is the mean of a bin's decibels, by time.
func gainOf(bin []stretch) Gain {
	var periods int
	var weight, octaves, db float64
	for _, s := range bin {
		periods += s.periods
		weight, octaves, db = weight+s.length, octaves+s.length*s.octaves, db+s.length*s.level()
	}
	return Gain{math.Exp2(octaves / weight), db / weight, periods}
}

// level is the magnitude in decibels.
func (s stretch) level() float64 { return 10 * math.Log10(s.out/s.drive) }

const (
	apart    = 4   // periods of a pause that parts one visit to a frequency from the next
	quieter  = 3.0 // decibels below the loudest visit, from which one isn't the sweep's
	inHaste  = 8   // as many times a neighbour sounds longer than what is only passed
	fewAtAll = 2   // stretches that may be passed
)

// heard are the stretches of a bin, in order of time, in which the sweep is heard. Where a
// filter has brought the sweep below the hum or a slow drift of the recorder, these give a
// frequency, at which the sweep was louder at another time: of all visits to the frequency
// the loudest count, by their medians.
func heard(bin []stretch) []stretch {
	var visits [][]stretch
	for i, s := range bin {
		if i == 0 || s.start-(bin[i-1].start+bin[i-1].length) > apart*s.length/float64(s.periods) {
			visits = append(visits, nil)
		}
		visits[len(visits)-1] = append(visits[len(visits)-1], s)
	}
	if len(visits) == 1 {
		return bin
	}
	loudest := math.Inf(-1)
	medians := make([]float64, len(visits))
	for i, visit := range visits {
		levels := make([]float64, len(visit))
		for j, s := range visit {
			levels[j] = s.level()
		}
		slices.Sort(levels)
		medians[i] = levels[len(levels)/2]
		loudest = math.Max(loudest, medians[i])
	}
	var of []stretch
	for i, visit := range visits {
		if medians[i] > loudest-quieter {
			of = append(of, visit...)
		}
	}
	return of
}

// passing tells that a bin holds only what lies between two steps: a stretch that has
// something of both, beside frequencies within half an octave that sound much longer. An
// even sweep is equally long at all of them.
func passing(bins map[int][]stretch, place int) bool {
	if len(bins[place]) > fewAtAll {
		return false
	}
	longest := 0.0
	for near := place - resolution/2; near <= place+resolution/2; near++ {
		longest = math.Max(longest, lasting(bins[near]))
	}
	return longest > inHaste*lasting(bins[place])
}

// lasting is how many samples a bin's stretches have.
func lasting(bin []stretch) (samples float64) {
	for _, s := range bin {
		samples += s.length
	}
	return samples
}
