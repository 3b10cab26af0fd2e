// Package capture turns sampled waveforms into quantities: voltage, power,
// distortion, noise and efficiency from what a recorder kept.
//
// A [Source] gives samples as a stream: [ReadWAV] and [ReadCSV] read files,
// [Memory] holds samples that are there already. A [Channel] names one column of
// it and the [Scale] that makes its samples volts or amperes. [Steady], [Levels] and
// [NoiseOf] work on a stream of any length, or on what [Between] lets through;
// [BurstsOf], [Response] and [PerCycle] on a stretch that [Take] holds in memory.
//
// Averages are weighted. With w the 4-term Blackman–Harris window of a block and
// x its samples, the mean square is
//
//	Σ w²·x² / Σ w²
//
// which is what the spectrum of w·x adds up to (Parseval), so that voltage, power,
// distortion and noise have one definition. w² fades so smoothly that a block need
// not hold whole cycles.
package capture

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
)

// A Problem says what is wrong with a capture, and where. The places that do not
// apply are negative, for rows and columns 0.
type Problem struct {
	Summary, Hint string
	Offset        int64 // bytes before it in the file
	Frame         int64 // frames before it: a frame is one sample of each channel
	Row, Column   int   // of a table of samples, from 1
}

// Error gives the place and what is wrong; the hint is told apart.
func (p *Problem) Error() string {
	place := ""
	switch {
	case p.Row > 0 && p.Column > 0:
		place = fmt.Sprintf("row %d, column %d: ", p.Row, p.Column)
	case p.Row > 0:
		place = fmt.Sprintf("row %d: ", p.Row)
	case p.Offset >= 0:
		place = fmt.Sprintf("byte %d: ", p.Offset)
	case p.Frame >= 0:
		place = fmt.Sprintf("frame %d: ", p.Frame)
	}
	return place + p.Summary
}

// atFrame makes a problem at a frame; a negative one means the capture as a whole.
func atFrame(frame int64, hint, summary string, args ...any) *Problem {
	return &Problem{Summary: fmt.Sprintf(summary, args...), Hint: hint, Offset: -1, Frame: frame}
}

// atByte makes a problem at a byte of the file.
func atByte(offset int64, hint, summary string, args ...any) *Problem {
	return &Problem{Summary: fmt.Sprintf(summary, args...), Hint: hint, Offset: offset, Frame: -1}
}

// A Format says what a source's samples are.
type Format struct {
	Rate   float64  // samples a second of each channel
	Names  []string // of the channels, in their order
	Frames int64    // how many there are; -1 where that is not known before the end
	// Full is the largest magnitude that a sample can have, 0 where there is none:
	// what stays there was cut by the recorder.
	Full float64
	// Float says that samples may go beyond 1, though what recorded them was most likely
	// a converter of whole numbers, which cuts at 1 or its last step below.
	Float bool
	// Step is the difference of two neighbouring sample values, 0 where not known.
	Step float64
}

// A Source is a stream of samples.
type Source interface {
	Format() Format
	// Read fills the channels' slices, all of one length, from the front and
	// returns how many frames it read, less than asked for only with an error:
	// io.EOF at the end, or a *Problem. All samples are finite numbers.
	Read(into [][]float64) (int, error)
}

// Memory is a source of samples that are in memory: one slice a channel, all of
// one length.
type Memory struct {
	format   Format
	channels [][]float64
	at       int
	first    int64 // frames of the capture that it was taken from, before it
}

// startOf is how many frames of its capture lie before a source.
func startOf(s Source) int64 {
	switch s := s.(type) {
	case *between:
		return s.first
	case *Memory:
		return s.first
	}
	return 0
}

// NewMemory returns a source of the channels' samples at a rate in samples a
// second. Names are their numbers from 1.
func NewMemory(rate float64, channels ...[]float64) *Memory {
	m := &Memory{channels: channels, format: Format{Rate: rate, Names: numbered(len(channels))}}
	if len(channels) > 0 {
		m.format.Frames = int64(len(channels[0]))
	}
	return m
}

func numbered(n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = strconv.Itoa(i + 1)
	}
	return names
}

// Format tells rate, channels and length.
func (m *Memory) Format() Format { return m.format }

// Samples returns a channel's samples, which are not to be changed.
func (m *Memory) Samples(channel int) []float64 { return m.channels[channel] }

// Seconds is the length of what is held.
func (m *Memory) Seconds() float64 { return float64(m.format.Frames) / m.format.Rate }

// Read goes on from where the last Read ended.
func (m *Memory) Read(into [][]float64) (int, error) {
	n := 0
	for i := range into {
		n = copy(into[i], m.channels[i][m.at:])
	}
	m.at += n
	if len(into) > 0 && n < len(into[0]) {
		return n, io.EOF
	}
	return n, nil
}

// most is how many samples, over all channels, a stretch in memory may have: 128 MB.
const most = 16 << 20

// Take reads the stretch from one instant to another, in seconds after the first
// sample, into memory; a to of +Inf means the end. It is an error if the capture
// ends before, or if the stretch is longer than memory is set aside for.
func Take(s Source, from, to float64) (*Memory, error) {
	f := s.Format()
	if !(from >= 0) || !(to > from) {
		return nil, nothing(from, to)
	}
	first, room := int64(math.Round(from*f.Rate)), int64(most/max(1, len(f.Names)))
	want := int64(math.MaxInt64)
	if last := math.Round(to * f.Rate); last < math.MaxInt64/2 {
		want = int64(last) - first
	}
	if err := skip(s, first); err != nil {
		return nil, err
	}
	m, part := &Memory{channels: make([][]float64, len(f.Names))}, blockOf(len(f.Names), 1<<14)
	for got := int64(0); got < want; {
		n, err := s.Read(cut(part, 0, int(min(int64(len(part[0])), want-got))))
		for i := range part {
			m.channels[i] = append(m.channels[i], part[i][:n]...)
		}
		if got += int64(n); got > room {
			return nil, atFrame(first+got, "state a shorter interval", "the stretch is longer than the %d samples a channel that are held at once", room)
		}
		if errors.Is(err, io.EOF) {
			if got < want && !math.IsInf(to, 1) || got == 0 {
				return nil, atFrame(first+got, "state an interval that the capture holds", "the capture ends before the interval does, at %.6g s", float64(first+got)/f.Rate)
			}
			break
		} else if err != nil {
			return nil, err
		}
	}
	m.format, m.first = f, first
	m.format.Frames = int64(len(m.channels[0]))
	return m, nil
}

// skip reads n frames and forgets them.
func skip(s Source, n int64) error {
	part := blockOf(len(s.Format().Names), 1<<12)
	for n > 0 {
		got, err := s.Read(cut(part, 0, int(min(n, 1<<12))))
		n -= int64(got)
		if errors.Is(err, io.EOF) && n > 0 {
			return atFrame(-1, "state an interval that the capture holds", "the capture ends before the interval begins")
		} else if err != nil && n > 0 {
			return err
		}
	}
	return nil
}

func blockOf(channels, frames int) [][]float64 {
	b := make([][]float64, channels)
	for i := range b {
		b[i] = make([]float64, frames)
	}
	return b
}

func cut(block [][]float64, from, to int) [][]float64 {
	out := make([][]float64, len(block))
	for i := range block {
		out[i] = block[i][from:to]
	}
	return out
}

// Between goes on to an instant and returns a source that ends at another, both in
// seconds after the first sample: a stretch of any length, as a stream. A to of +Inf means
// the end. A capture that ends before is a *[Problem] when that is noticed.
func Between(s Source, from, to float64) (Source, error) {
	f := s.Format()
	if !(from >= 0) || !(to > from) {
		return nil, nothing(from, to)
	}
	first, last := math.Round(from*f.Rate), math.Round(to*f.Rate)
	if first > math.MaxInt64/2 || f.Frames >= 0 && (int64(first) >= f.Frames || !math.IsInf(to, 1) && last > float64(f.Frames)) {
		return nil, atFrame(f.Frames, "state an interval that the capture holds", "the capture ends before the interval does, at %.6g s", float64(f.Frames)/f.Rate)
	}
	if err := skip(s, int64(first)); err != nil {
		return nil, err
	}
	b := &between{Source: s, format: f, first: int64(first), left: -1}
	if last < math.MaxInt64/2 {
		b.left = int64(last - first)
		b.format.Frames = b.left
	} else if f.Frames >= 0 {
		b.format.Frames = f.Frames - int64(first)
	}
	return b, nil
}

func nothing(from, to float64) error {
	return atFrame(-1, "state where it begins and a later end, in seconds after the first sample", "the interval from %g s to %g s holds nothing", from, to)
}

type between struct {
	Source
	format Format
	first  int64
	left   int64 // frames to come, -1 for all
}

func (b *between) Format() Format { return b.format }

func (b *between) Read(into [][]float64) (int, error) {
	want := len(into[0])
	if b.left >= 0 && int64(want) > b.left {
		into = cut(into, 0, int(b.left))
	}
	n, err := 0, error(nil)
	if len(into[0]) > 0 {
		n, err = b.Source.Read(into)
	}
	if b.left >= 0 {
		if b.left -= int64(n); errors.Is(err, io.EOF) && b.left > 0 {
			return n, atFrame(b.first+b.format.Frames-b.left, "state an interval that the capture holds", "the capture ends before the interval does")
		}
		if err == nil && n < want {
			err = io.EOF
		}
	}
	return n, err
}
