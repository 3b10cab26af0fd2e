package capture

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
)

// The limits of what a recording may be.
const (
	mostChannels = 8
	highestRate  = 10_000_000 // samples a second
)

// format tags of a WAV file
const (
	tagInteger    = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE
)

// subtype is what follows the format tag in the sub-format of an extensible file.
var subtype = [14]byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71}

// A WAV reads a WAV file as a stream.
type WAV struct {
	r      io.Reader
	offset int64 // bytes read
	format Format
	coding coding
	left   int64 // frames not read yet
	raw    []byte
	found  *Problem // ends all further reading
}

// coding is how the file writes its samples.
type coding struct {
	channels, bytes int // channels, and bytes of one sample
	valid           int // bits that are used of it, from the highest on
	rate            float64
	float           bool
}

// ReadWAV reads a file's header and returns a source of its samples: 16, 24 or
// 32-bit integers or 32-bit floats, 1 to 8 channels, as RIFF, RF64 or BW64, plain or
// extensible (the layouts of RIFF, of EBU Tech 3306 for RF64 and of ITU-R BS.2088 for
// BW64, which is the same here; from memory).
//
// Integers are divided by 2^(bits−1), so that samples lie in −1 … 1; floats are
// as written. An error is a *[Problem] with the byte where it was noticed. What
// stands behind the samples is not read.
func ReadWAV(r io.Reader) (*WAV, error) {
	w := &WAV{r: r}
	var head [12]byte
	if err := w.fill(head[:], "the head of a WAV file"); err != nil {
		return nil, err
	}
	kind := string(head[:4])
	long := kind == "RF64" || kind == "BW64"
	if kind != "RIFF" && !long || string(head[8:]) != "WAVE" {
		return nil, atByte(0, "save the recording as WAV, or its samples as CSV", "this is no WAV file: it begins with %q", head[:4])
	}
	size, err := w.header(long)
	if err != nil {
		return nil, err
	}
	return w, w.start(size)
}

// header goes through the chunks up to the samples and returns how many bytes
// these are said to have.
func (w *WAV) header(long bool) (uint64, error) {
	var longSize uint64
	for {
		at := w.offset
		var head [8]byte
		if err := w.fill(head[:], "the chunks of a WAV file; it has no samples"); err != nil {
			return 0, err
		}
		name, size := string(head[:4]), uint64(binary.LittleEndian.Uint32(head[4:]))
		switch {
		case name == "data" && w.coding.bytes == 0:
			return 0, atByte(at, "the file is damaged; export it again", "the samples come before the description of their format")
		case name == "data" && size == math.MaxUint32 && long:
			return longSize, nil
		case name == "data" && size == math.MaxUint32:
			return 0, atByte(at+4, "the recorder did not finish the file; open it in the recorder and save it again", "the length of the samples is missing")
		case name == "data":
			return size, nil
		case name == "ds64" && long:
			var sizes [16]byte
			if size < uint64(len(sizes)) {
				return 0, atByte(at+4, "the file is damaged; export it again", "the table of lengths has %d bytes, too few", size)
			}
			if err := w.fill(sizes[:], "the table of lengths"); err != nil {
				return 0, err
			}
			longSize, size = binary.LittleEndian.Uint64(sizes[8:]), size-uint64(len(sizes))
		case name == "fmt ":
			read, err := w.describe(size)
			if err != nil {
				return 0, err
			}
			size -= read
		}
		if err := w.pass(size + uint64(head[4]&1)); err != nil {
			return 0, err
		}
	}
}

// describe reads the format chunk and returns how many bytes of it it took.
func (w *WAV) describe(size uint64) (uint64, error) {
	at := w.offset
	var b [40]byte
	n := min(size, uint64(len(b)))
	if n < 16 {
		return 0, atByte(at, "the file is damaged; export it again", "the description of the format has %d bytes, 16 are the least", size)
	}
	if err := w.fill(b[:n], "the description of the format"); err != nil {
		return 0, err
	}
	le := binary.LittleEndian
	tag, bits := le.Uint16(b[0:]), int(le.Uint16(b[14:]))
	valid := bits
	if tag == tagExtensible {
		if n < 40 || [14]byte(b[26:40]) != subtype {
			return 0, atByte(at+24, "export it as plain WAV with 16, 24 or 32 bits", "the extended format is none that is known")
		}
		tag = le.Uint16(b[24:])
		if v := int(le.Uint16(b[18:])); v > 0 && v < bits {
			valid = v
		}
	}
	c := coding{channels: int(le.Uint16(b[2:])), bytes: bits / 8, valid: valid, rate: float64(le.Uint32(b[4:])), float: tag == tagFloat}
	switch known := tag == tagInteger && (bits == 16 || bits == 24 || bits == 32) || tag == tagFloat && bits == 32; {
	case tag != tagInteger && tag != tagFloat:
		return 0, atByte(at, "export it uncompressed, with 16, 24 or 32 bits", "the samples are packed in a way that is not read (format %d)", tag)
	case !known:
		return 0, atByte(at+14, "export it with 16, 24 or 32 bits a sample", "samples of %d bits are not read", bits)
	case c.channels < 1 || c.channels > mostChannels:
		return 0, atByte(at+2, "export the channels that are needed, 8 at most", "the file has %d channels", c.channels)
	case c.rate < 1 || c.rate > highestRate:
		return 0, atByte(at+4, "1 to 10,000,000 are possible", "%g samples a second can't be", c.rate)
	case int(le.Uint16(b[12:])) != c.channels*c.bytes:
		return 0, atByte(at+12, "the file is damaged; export it again", "a frame of %d channels and %d bits is said to have %d bytes", c.channels, bits, le.Uint16(b[12:]))
	}
	w.coding = c
	return n, nil
}

// start makes the format known, with size bytes of samples to come.
func (w *WAV) start(size uint64) error {
	frame := uint64(w.coding.channels * w.coding.bytes)
	switch {
	case size == 0:
		return atByte(w.offset, "nothing was recorded, or the recorder did not finish the file", "the file has no samples")
	case size > math.MaxInt64 || size%frame != 0:
		return atByte(w.offset, "the file is damaged; export it again", "%d bytes of samples are not whole frames of %d bytes", size, frame)
	}
	w.left = int64(size / frame)
	w.format = Format{Rate: w.coding.rate, Names: numbered(w.coding.channels), Frames: w.left}
	if !w.coding.float {
		w.format.Step = math.Ldexp(1, 1-w.coding.valid)
		w.format.Full = 1 - w.format.Step
	}
	w.format.Float = w.coding.float
	return nil
}

// Whole tells whether a file of so many bytes has all the samples that its head announces.
// Reading alone notices only what lacks of the part that is read. It is to be asked before
// anything is read; the error is a *[Problem].
func (w *WAV) Whole(size int64) error {
	frame := int64(w.coding.channels * w.coding.bytes)
	if there := max(0, size-w.offset) / frame; there < w.format.Frames {
		return cutShort(io.EOF, size, "its samples: %d frames are missing", w.format.Frames-there)
	}
	return nil
}

// Format tells rate, channels and length.
func (w *WAV) Format() Format { return w.format }

// Read gives the next samples; see [Source].
func (w *WAV) Read(into [][]float64) (int, error) {
	done, frame := 0, w.coding.channels*w.coding.bytes
	if w.raw == nil {
		w.raw = make([]byte, max(1, 1<<15/frame)*frame)
	}
	for w.found == nil && done < len(into[0]) {
		if w.left == 0 {
			return done, io.EOF
		}
		n := int(min(int64(len(w.raw)/frame), int64(len(into[0])-done), w.left))
		got, err := io.ReadFull(w.r, w.raw[:n*frame])
		good := w.decode(into, done, got/frame)
		done, w.left, w.offset = done+good, w.left-int64(good), w.offset+int64(got)
		if err != nil && w.found == nil {
			w.found = cutShort(err, w.offset, "its samples: %d frames are missing", w.left)
		}
	}
	if w.found != nil {
		return done, w.found
	}
	return done, nil
}

// decode writes n frames of w.raw to the channels from position at on, and
// returns how many were good.
func (w *WAV) decode(into [][]float64, at, n int) int {
	c, le := w.coding, binary.LittleEndian
	for i := range n {
		for ch := range c.channels {
			place := (i*c.channels + ch) * c.bytes
			b := w.raw[place:]
			var x float64
			switch {
			case c.float:
				x = float64(math.Float32frombits(le.Uint32(b)))
				if math.IsNaN(x) || math.IsInf(x, 0) {
					w.found = atByte(w.offset+int64(place), "export the recording again", "channel %d has a sample that is no number (frame %d)", ch+1, w.format.Frames-w.left+int64(i))
					return i
				}
			case c.bytes == 2:
				x = float64(int16(le.Uint16(b))) / (1 << 15)
			case c.bytes == 3:
				x = float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
			default:
				x = float64(int32(le.Uint32(b))) / (1 << 31)
			}
			into[ch][at+i] = x
		}
	}
	return n
}

// fill reads exactly len(b) bytes.
func (w *WAV) fill(b []byte, what string) error {
	n, err := io.ReadFull(w.r, b)
	w.offset += int64(n)
	if err != nil {
		return cutShort(err, w.offset, "%s", what)
	}
	return nil
}

// pass leaves out n bytes.
func (w *WAV) pass(n uint64) error {
	got, err := io.CopyN(io.Discard, w.r, int64(min(n, math.MaxInt64)))
	w.offset += got
	if err != nil {
		return cutShort(err, w.offset, "a chunk")
	}
	return nil
}

// cutShort is the problem of a file that ends, or fails, at a byte.
func cutShort(err error, at int64, what string, args ...any) *Problem {
	p := atByte(at, "the file was cut short; copy or export it again", "the file ends within "+what, args...)
	if !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		p.Summary, p.Hint = "the file can't be read on: "+err.Error(), "copy the file to a disk that can be read"
	}
	return p
}
