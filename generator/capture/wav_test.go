package capture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// wave puts a WAV file together, chunk by chunk, for tests.
type wave struct {
	riff               string
	tag, channels      uint16
	rate               uint32
	bits               uint16
	extensible, before bool // an extended format; a chunk of odd length before it
	data               []byte
	size               uint32 // of the data chunk, 0: as long as it is
	long               uint64 // of the ds64 chunk
}

func (w wave) bytes() []byte {
	var b bytes.Buffer
	put := func(v ...any) {
		for _, x := range v {
			if err := binary.Write(&b, binary.LittleEndian, x); err != nil {
				panic(err)
			}
		}
	}
	if w.riff == "" {
		w.riff = "RIFF"
	}
	b.WriteString(w.riff)
	put(uint32(math.MaxUint32))
	b.WriteString("WAVE")
	if w.long > 0 {
		b.WriteString("ds64")
		put(uint32(28), w.long+72, w.long, uint64(0), uint32(0))
	}
	if w.before {
		b.WriteString("LIST")
		put(uint32(3))
		b.WriteString("abc\x00")
	}
	b.WriteString("fmt ")
	frame := w.channels * w.bits / 8
	head := []any{w.tag, w.channels, w.rate, w.rate * uint32(frame), frame, w.bits}
	if w.extensible {
		put(uint32(40))
		head[0] = uint16(0xFFFE)
		put(head...)
		put(uint16(22), w.bits, uint32(0), w.tag)
		// the last 14 bytes of the audio media subtypes' identifiers, 0000-0010-8000-00AA00389B71 (from memory)
		b.Write([]byte{0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71})
	} else {
		put(uint32(16))
		put(head...)
	}
	b.WriteString("data")
	if w.size == 0 {
		w.size = uint32(len(w.data))
	}
	put(w.size)
	b.Write(w.data)
	return b.Bytes()
}

func all(t *testing.T, s Source) ([][]float64, error) {
	t.Helper()
	into, n := blockOf(len(s.Format().Names), 1<<12), 0
	for n < 1<<12 {
		got, err := s.Read(cut(into, n, min(n+3, 1<<12)))
		n += got
		if err != nil {
			return cut(into, 0, n), err
		}
	}
	t.Fatal("the source does not end")
	return nil, nil
}

// Values by hand from the bytes: two's complement, little-endian, over 2^(bits−1);
// IEEE 754 for floats.
func TestWAVLayouts(t *testing.T) {
	for name, c := range map[string]struct {
		w    wave
		want []float64
	}{
		"16 bits":            {wave{tag: 1, bits: 16, data: []byte{0, 0, 1, 0, 0xFF, 0xFF, 0, 0x80, 0xFF, 0x7F, 0, 0x40}}, []float64{0, 1.0 / 32768, -1.0 / 32768, -1, 32767.0 / 32768, 0.5}},
		"24 bits":            {wave{tag: 1, bits: 24, data: []byte{0, 0, 0x80, 1, 0, 0, 0xFF, 0xFF, 0x7F, 0, 0, 0xC0}}, []float64{-1, 1.0 / 8388608, 8388607.0 / 8388608, -0.5}},
		"32 bits":            {wave{tag: 1, bits: 32, data: []byte{0, 0, 0, 0x80, 0, 0, 0, 0x20}}, []float64{-1, 0.25}},
		"float":              {wave{tag: 3, bits: 32, data: []byte{0, 0, 0x80, 0x3F, 0, 0, 0x20, 0xC0}}, []float64{1, -2.5}},
		"extended":           {wave{tag: 1, bits: 24, extensible: true, before: true, data: []byte{0, 0, 0x80, 0, 0, 0x40}}, []float64{-1, 0.5}},
		"extended float":     {wave{tag: 3, bits: 32, extensible: true, data: []byte{0, 0, 0x80, 0x3F}}, []float64{1}},
		"long":               {wave{riff: "RF64", long: 4, size: math.MaxUint32, tag: 1, bits: 16, data: []byte{0, 0x40, 0, 0xC0}}, []float64{0.5, -0.5}},
		"its successor":      {wave{riff: "BW64", long: 4, size: math.MaxUint32, tag: 1, bits: 16, data: []byte{0, 0x40, 0, 0xC0}}, []float64{0.5, -0.5}},
		"long, short length": {wave{riff: "RF64", long: 4, tag: 1, bits: 16, data: []byte{0, 0x40, 0, 0xC0}}, []float64{0.5, -0.5}},
	} {
		t.Run(name, func(t *testing.T) {
			c.w.channels, c.w.rate = 1, 48000
			for _, channels := range []int{1, 2} {
				if len(c.want)%channels != 0 {
					continue
				}
				c.w.channels = uint16(channels)
				s, err := ReadWAV(bytes.NewReader(c.w.bytes()))
				if err != nil {
					t.Fatal(err)
				}
				if f := s.Format(); f.Rate != 48000 || f.Frames != int64(len(c.want)/channels) || len(f.Names) != channels {
					t.Errorf("format %+v", f)
				}
				got, err := all(t, s)
				if err != io.EOF {
					t.Fatal(err)
				}
				for i, want := range c.want {
					if x := got[i%channels][i/channels]; x != want {
						t.Errorf("%d channels: sample %d is %v, want %v", channels, i, x, want)
					}
				}
			}
		})
	}
}

func TestWAVEightChannelsAndRates(t *testing.T) {
	for _, rate := range []uint32{50, 8000, 192000, 400000} {
		data := make([]byte, 0, 32)
		for i := range 16 {
			data = binary.LittleEndian.AppendUint16(data, uint16(i*1000))
		}
		s, err := ReadWAV(bytes.NewReader(wave{tag: 1, bits: 16, channels: 8, rate: rate, data: data}.bytes()))
		if err != nil {
			t.Fatal(err)
		}
		got, _ := all(t, s)
		if s.Format().Rate != float64(rate) || got[7][1] != 15000.0/32768 || got[0][1] != 8000.0/32768 {
			t.Errorf("%d samples a second: %v of %+v", rate, got, s.Format())
		}
	}
}

// The mistakes' whole texts, with the byte.
func TestWAVMistakes(t *testing.T) {
	good := wave{tag: 1, bits: 16, channels: 2, rate: 48000, data: make([]byte, 40)}
	edit := func(f func(w *wave)) []byte { w := good; f(&w); return w.bytes() }
	nan := binary.LittleEndian.AppendUint32(make([]byte, 4), math.Float32bits(float32(math.NaN())))
	inf := binary.LittleEndian.AppendUint32(make([]byte, 4), math.Float32bits(float32(math.Inf(-1))))
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"empty", "byte 0: the file ends within the head of a WAV file", nil},
		{"another", `byte 0: this is no WAV file: it begins with "%PDF"`, []byte("%PDF-1.7 and more")},
		{"head only", "byte 12: the file ends within the chunks of a WAV file; it has no samples", good.bytes()[:12]},
		{"format cut", "byte 30: the file ends within the description of the format", good.bytes()[:30]},
		{"samples cut", "byte 61: the file ends within its samples: 6 frames are missing", good.bytes()[:61]},
		{"no samples", "byte 44: the file has no samples", good.bytes()[:44]},
		{"8 bits", "byte 34: samples of 8 bits are not read", edit(func(w *wave) { w.bits = 8 })},
		{"double", "byte 34: samples of 64 bits are not read", edit(func(w *wave) { w.tag, w.bits = 3, 64 })},
		{"packed", "byte 20: the samples are packed in a way that is not read (format 2)", edit(func(w *wave) { w.tag = 2 })},
		{"channels", "byte 22: the file has 9 channels", edit(func(w *wave) { w.channels = 9 })},
		{"no rate", "byte 24: 0 samples a second can't be", edit(func(w *wave) { w.rate = 0 })},
		{"odd", "byte 44: 39 bytes of samples are not whole frames of 4 bytes", edit(func(w *wave) { w.data = w.data[:39] })},
		{"unfinished", "byte 40: the length of the samples is missing", edit(func(w *wave) { w.size = math.MaxUint32 })},
		{"NaN", "byte 48: channel 2 has a sample that is no number (frame 0)", edit(func(w *wave) { w.tag, w.bits, w.data = 3, 32, nan })},
		{"Inf", "byte 48: channel 1 has a sample that is no number (frame 1)", edit(func(w *wave) { w.tag, w.bits, w.channels, w.data = 3, 32, 1, inf })},
	} {
		if c.name == "no samples" {
			c.data = append(c.data[:40:40], 0, 0, 0, 0)
		}
		s, err := ReadWAV(bytes.NewReader(c.data))
		if err == nil {
			_, err = all(t, s)
		}
		var p *Problem
		if !errors.As(err, &p) || p.Error() != c.want || p.Hint == "" {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
}

// What Python's wave module writes, an implementation that shares nothing with this
// one, is read as it was meant.
func TestWAVAgainstPython(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatal(err)
	}
	if err != nil || testing.Short() {
		t.Skip("another program is needed")
	}
	const program = `
import wave, sys, io
for width in (2, 3, 4):
    b = io.BytesIO()
    w = wave.open(b, 'wb'); w.setnchannels(3); w.setsampwidth(width); w.setframerate(44100)
    top = 1 << (8*width-1)
    w.writeframes(b''.join(((k*7919*top//16001) % (2*top) - top).to_bytes(width, 'little', signed=True) for k in range(30)))
    w.close()
    d = b.getvalue(); sys.stdout.buffer.write(len(d).to_bytes(4, 'little') + d)
`
	out, err := exec.Command(python, "-c", program).Output()
	if err != nil {
		t.Fatalf("python3: %v", err)
	}
	for bits := 16; bits <= 32; bits += 8 {
		n := binary.LittleEndian.Uint32(out)
		s, err := ReadWAV(bytes.NewReader(out[4 : 4+n]))
		if err != nil {
			t.Fatal(err)
		}
		out = out[4+n:]
		got, _ := all(t, s)
		top := int64(1) << (bits - 1)
		for k := range 30 {
			want := float64(int64(k)*7919*top/16001%(2*top)-top) / float64(top)
			if got[k%3][k/3] != want {
				t.Errorf("%d bits: sample %d is %v, want %v", bits, k, got[k%3][k/3], want)
			}
		}
	}
}

func FuzzWAV(f *testing.F) {
	f.Add(wave{tag: 1, bits: 16, channels: 2, rate: 48000, data: make([]byte, 40)}.bytes())
	f.Add(wave{tag: 3, bits: 32, channels: 1, rate: 50, extensible: true, before: true, data: make([]byte, 40)}.bytes())
	f.Add(wave{riff: "RF64", long: 12, size: math.MaxUint32, tag: 1, bits: 24, channels: 4, rate: 400000, data: make([]byte, 12)}.bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ReadWAV(bytes.NewReader(data))
		if err == nil {
			sound(t, s, int64(len(data)))
		} else {
			placed(t, err, int64(len(data)))
		}
	})
}

// sound reads a source to its end: finite samples, no more than the bytes can hold,
// and an end that is one or says where.
func sound(t *testing.T, s Source, bytes int64) {
	t.Helper()
	f := s.Format()
	if len(f.Names) < 1 || len(f.Names) > 8 || !(f.Rate > 0) || math.IsInf(f.Rate, 0) {
		t.Fatalf("format %+v", f)
	}
	into, frames := blockOf(len(f.Names), 100), int64(0)
	for {
		n, err := s.Read(into)
		for _, ch := range into {
			for _, x := range ch[:n] {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatal("a sample is no number")
				}
			}
		}
		if frames += int64(n); frames > bytes {
			t.Fatal("more frames than bytes")
		}
		if err == io.EOF {
			return
		} else if err != nil {
			placed(t, err, bytes)
			return
		}
	}
}

func placed(t *testing.T, err error, bytes int64) {
	t.Helper()
	var p *Problem
	if !errors.As(err, &p) || p.Summary == "" || p.Hint == "" || p.Offset > bytes || strings.ContainsAny(p.Error(), "\n\r\x1b") {
		t.Fatalf("%#v", err)
	}
}
