package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"reflect"
	"slices"

	"wattsheet/generator/capture"
	"wattsheet/generator/record"
)

// traceVersion is raised when what is drawn or cut out of a capture changes.
const traceVersion = 1

// How much of a capture a drawing and an excerpt show.
const (
	mostDrawn     = 400 // points a wave
	mostLines     = 240 // points a spectrum
	periodsDrawn  = 3   // of a tone
	excerptS      = 1.0
	excerptFrames = 1 << 18 // samples of all columns together, about a megabyte
	spectrumS     = 0.5     // of a level that stays
)

// trace draws what was read, and cuts the excerpt out. Where nothing can be drawn the run
// has none: its figures stand without.
func (r *captureReading) trace() error {
	at, half := r.instant()
	t := &record.Trace{FromS: at - half[0], ToS: at + half[1]}
	around := math.Min(excerptS, excerptFrames/float64(max(1, len(r.columns())))/r.taken.RateHz)
	t.AroundFromS, t.AroundToS = math.Min(t.FromS, at-around/2), math.Max(t.ToS, at+around/2)
	frame := func(s float64) float64 {
		return math.Round(math.Max(r.from, math.Min(r.taken.ToS, s)) * r.taken.RateHz)
	}
	first, from, to, last := frame(t.AroundFromS), frame(t.FromS), frame(t.ToS), frame(t.AroundToS)
	if to-from < 2 || (last-first)*float64(len(r.taken.Columns)) > 64*excerptFrames {
		return nil
	}
	seconds := func(frame float64) float64 { return frame / r.taken.RateHz }
	t.AroundFromS, t.FromS, t.ToS, t.AroundToS = seconds(first), seconds(from), seconds(to), seconds(last)
	m, coding, err := r.stretch(t.AroundFromS, t.AroundToS)
	if err != nil {
		return err
	}
	r.waves(t, m, int(from-first), int(to-first))
	r.spectra(t, m, at)
	if err := r.excerpt(t, m, coding); err != nil {
		return err
	}
	if info, err := r.loader.root.Stat(r.name); err == nil {
		t.FileBytes = int(info.Size())
	}
	toPublished(reflect.ValueOf(t).Elem())
	r.taken.Trace = t
	return nil
}

// instant is the one that matters, and how far the drawing goes before and behind it: the
// middle of a steady tone, the level at the limit of distortion, the first burst.
func (r *captureReading) instant() (at float64, half [2]float64) {
	few := periodsDrawn / r.freq / 2
	first := &r.taken.Outs[0]
	switch {
	case len(first.Bursts) > 0:
		b := first.Bursts[0]
		length := b.EndS - b.StartS
		return b.StartS, [2]float64{length / 4, 1.75 * length}
	case len(first.Levels) > 0:
		at = first.Levels[len(first.Levels)-1].AtS
		for _, l := range first.Levels {
			if l.RMS >= first.RMS.X {
				at = l.AtS
				break
			}
		}
		return at, [2]float64{few, few}
	}
	return (r.from + r.taken.ToS) / 2, [2]float64{few, few}
}

// stretch takes a part of the capture into memory; with it goes how a WAV file holds its
// samples.
func (r *captureReading) stretch(from, to float64) (*capture.Memory, capture.Coding, error) {
	s, file, err := r.open()
	if err != nil {
		return nil, capture.Coding{}, err
	}
	defer file.Close()
	coding := capture.Coding{}
	if known, is := s.(ofLength); is {
		if w, is := known.Source.(*capture.WAV); is {
			coding = w.Coding()
		}
	}
	m, err := capture.Take(s, from, to)
	return m, coding, err
}

// waves draws the columns between two frames of the stretch.
func (r *captureReading) waves(t *record.Trace, m *capture.Memory, from, to int) {
	for _, ch := range r.columns() {
		x := m.Samples(int(ch.Column.Value) - 1)[from:to]
		w := record.Wave{Role: ch.Role, All: len(x) <= mostDrawn}
		for _, o := range r.outs {
			if o.column == ch {
				w.Channel = o.channel
			}
		}
		for _, i := range capture.Outline(x, mostDrawn) {
			w.AtS = append(w.AtS, t.FromS+float64(i)/r.taken.RateHz)
			w.Y = append(w.Y, ch.Scale.Value*x[i]+ch.Offset.Value)
		}
		t.Waves = append(t.Waves, w)
	}
}

// spectra are those of the driven channels, of a tone that stays for a while.
func (r *captureReading) spectra(t *record.Trace, m *capture.Memory, at float64) {
	if r.as == "bursts" {
		return
	}
	from, to := 0, int(m.Format().Frames)
	if r.as != "steady" {
		half := r.levelSeconds() / 2
		from = max(0, int((at-half-t.AroundFromS)*r.taken.RateHz))
		to = min(to, int((at+half-t.AroundFromS)*r.taken.RateHz))
	}
	freq := r.freq
	if r.taken.FreqHz.Given() {
		freq = r.taken.FreqHz.X
	}
	for _, o := range r.outs {
		part := capture.NewMemory(r.taken.RateHz, m.Samples(int(o.column.Column.Value) - 1)[from:max(from, to)])
		c := channel(o.column, "V")
		c.Index = 0
		s, err := capture.SpectrumOf(part, c, capture.Tone{Freq: freq, Low: r.taken.LowHz, High: r.taken.HighHz}, mostLines)
		if err != nil {
			continue // too short for one
		}
		t.Spectra = append(t.Spectra, record.Spectrum{Channel: o.channel, Fundamental: s.Fundamental, Seconds: s.Seconds, FreqHz: s.Freq, DB: s.DB, Harmonics: s.Harmonics})
	}
}

// levelSeconds is for how long a level surely stays: half the time to the nearest other,
// and of an even rise as little.
func (r *captureReading) levelSeconds() float64 {
	stays := 2 * spectrumS
	for levels, i := r.taken.Outs[0].Levels, 1; i < len(levels); i++ {
		stays = math.Min(stays, levels[i].AtS-levels[i-1].AtS)
	}
	return stays / 2
}

// excerpt notes what the excerpt's bytes are.
func (r *captureReading) excerpt(t *record.Trace, m *capture.Memory, coding capture.Coding) error {
	for _, ch := range r.columns() {
		t.Excerpt.Columns = append(t.Excerpt.Columns, int(ch.Column.Value))
	}
	slices.Sort(t.Excerpt.Columns)
	t.Excerpt.Columns = slices.Compact(t.Excerpt.Columns)
	file, err := excerptOf(t, m, coding)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(file)
	t.Excerpt.Digest, t.Excerpt.Bytes = hex.EncodeToString(sum[:]), len(file)
	return nil
}

// excerptOf writes an excerpt: of a WAV file in its own coding, of a table as a table.
func excerptOf(t *record.Trace, m *capture.Memory, coding capture.Coding) ([]byte, error) {
	var columns [][]float64
	var names []string
	for _, n := range t.Excerpt.Columns {
		columns, names = append(columns, m.Samples(n-1)), append(names, fmt.Sprintf("column %d", n))
	}
	part := capture.NewMemory(m.Format().Rate, columns...)
	var file bytes.Buffer
	var err error
	if coding.Bits > 0 {
		err = capture.WriteWAV(&file, part, coding)
	} else {
		err = capture.WriteCSV(&file, part, t.AroundFromS, names)
	}
	return file.Bytes(), err
}
