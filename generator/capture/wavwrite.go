package capture

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"strconv"

	"wattsheet/generator/quantity"
)

// A Coding is how samples are written into a WAV file.
type Coding struct {
	Bits  int  // 16, 24 or 32 of each sample
	Float bool // 32-bit floats, not integers
	// Dither adds noise of triangular distribution, two steps wide, before a sample becomes
	// an integer: what is rounded away is then noise of even density and no distortion
	// (Lipshitz, Wannamaker and Vanderkooy 1992). It is the same noise in each file.
	Dither bool
}

// mostBytes is what a plain WAV file can say of its length.
const mostBytes = math.MaxUint32 - 100

// WriteWAV writes all of a source, whose length has to be known, as a WAV file: the
// inverse of [ReadWAV]. Samples beyond what integers hold stop at their ends. Where a
// file was read in the same coding and without dither, each sample is written as it was.
func WriteWAV(w io.Writer, s Source, c Coding) error {
	f := s.Format()
	channels, bytes := len(f.Names), c.Bits/8
	switch size := f.Frames * int64(channels*bytes); {
	case c.Bits != 16 && c.Bits != 24 && c.Bits != 32 || c.Float && c.Bits != 32:
		return atFrame(-1, "16, 24 and 32 are there", "samples of %d bits are not written", c.Bits)
	case channels < 1 || channels > mostChannels || f.Frames < 1 || f.Rate != math.Trunc(f.Rate):
		return atFrame(-1, "1 to 8 channels with whole samples a second can be", "%d channels of %d samples, %g a second, are no WAV file", channels, f.Frames, f.Rate)
	case size > mostBytes:
		return atFrame(-1, "make it shorter, or with fewer bits or samples a second", "%d bytes of samples are more than a WAV file holds", size)
	}
	if _, err := w.Write(headOf(f, c)); err != nil {
		return err
	}
	noise := make([]chance, channels)
	for i := range noise {
		noise[i] = chance(i) << 40
	}
	part, raw := blockOf(channels, 1<<12), make([]byte, 0, channels*bytes<<12)
	for left := f.Frames; left > 0; {
		n, err := s.Read(cut(part, 0, int(min(left, 1<<12))))
		left -= int64(n)
		raw = raw[:0]
		for i := range n {
			for k := range part {
				raw = c.append(raw, part[k][i], &noise[k])
			}
		}
		if _, failed := w.Write(raw); failed != nil {
			return failed
		}
		if errors.Is(err, io.EOF) && left > 0 {
			return atFrame(f.Frames-left, "the file is damaged; export it again", "the samples end before they should")
		} else if err != nil && left > 0 {
			return err
		}
	}
	if (f.Frames*int64(channels*bytes))%2 == 1 {
		_, err := w.Write([]byte{0})
		return err
	}
	return nil
}

// headOf is what stands before the samples. A file of floats says its number of frames
// too.
func headOf(f Format, c Coding) []byte {
	le := binary.LittleEndian
	channels, bytes := len(f.Names), c.Bits/8
	size := uint32(f.Frames * int64(channels*bytes))
	tag, more := uint16(tagInteger), []byte(nil)
	if c.Float {
		tag = tagFloat
		more = le.AppendUint32(le.AppendUint32([]byte("fact"), 4), uint32(f.Frames))
	}
	b := le.AppendUint16([]byte(nil), tag)
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(f.Rate))
	b = le.AppendUint32(b, uint32(f.Rate)*uint32(channels*bytes))
	b = le.AppendUint16(b, uint16(channels*bytes))
	b = le.AppendUint16(b, uint16(c.Bits))
	if c.Float {
		b = le.AppendUint16(b, 0)
	}
	head := append([]byte("RIFF\x00\x00\x00\x00WAVEfmt "), le.AppendUint32(nil, uint32(len(b)))...)
	head = append(append(head, b...), more...)
	head = le.AppendUint32(append(head, "data"...), size)
	le.PutUint32(head[4:], uint32(len(head)-8)+size+size&1)
	return head
}

// append writes one sample.
func (c Coding) append(b []byte, x float64, noise *chance) []byte {
	if c.Float {
		return binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
	}
	whole := float64(int64(1) << (c.Bits - 1))
	x *= whole
	if c.Dither {
		x += noise.triangular()
	}
	n := int32(math.Max(-whole, math.Min(whole-1, math.Floor(x+0.5))))
	for k := 0; k < c.Bits; k += 8 {
		b = append(b, byte(n>>k))
	}
	return b
}

// Coding is how the file's samples are written.
func (w *WAV) Coding() Coding { return Coding{Bits: 8 * w.coding.bytes, Float: w.coding.float} }

// WriteCSV writes samples as a table that [ReadCSV] reads: times in seconds that begin at an
// instant, and a column for each channel under its name. Samples are written so that they
// read back as they are.
func WriteCSV(w io.Writer, m *Memory, from float64, names []string) error {
	b := append([]byte(nil), "time / s"...)
	for _, name := range names {
		b = append(append(b, ','), name...)
	}
	b = append(b, "\r\n"...)
	for i := range int(m.format.Frames) {
		b = strconv.AppendFloat(b, quantity.Rounded(from+float64(i)/m.format.Rate), 'g', -1, 64)
		for _, x := range m.channels {
			b = strconv.AppendFloat(append(b, ','), x[i], 'g', -1, 64)
		}
		b = append(b, "\r\n"...)
		if len(b) > 1<<15 {
			if _, err := w.Write(b); err != nil {
				return err
			}
			b = b[:0]
		}
	}
	_, err := w.Write(b)
	return err
}
