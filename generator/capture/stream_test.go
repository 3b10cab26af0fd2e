package capture

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"runtime"
	"testing"

	"wattsheet/generator/quantity"
)

// recording is a WAV file of 4 channels at 192,000 samples a second that is made while
// it is read: a sine of 50.5 Hz that repeats after two seconds, and a supply.
type recording struct {
	head  io.Reader
	cycle []byte
	at    int
	left  int64
	peak  uint64 // the largest heap that was seen
	calls int
}

func record(seconds int) *recording {
	const rate, frame = 192000, 12
	w := wave{riff: "RF64", long: uint64(seconds) * rate * frame, size: math.MaxUint32, tag: 1, bits: 24, channels: 4, rate: rate, extensible: true}
	r := &recording{head: bytes.NewReader(w.bytes()), left: int64(w.long)}
	for i := range 2 * rate {
		t := float64(i) / rate
		for _, v := range [...]float64{0.5 * math.Cos(2*math.Pi*50.5*t), 0.7, 0.4 + 0.1*math.Cos(2*math.Pi*101*t), 0} {
			r.cycle = append(r.cycle, binary.LittleEndian.AppendUint32(nil, uint32(int32(math.Round(v*(1<<23)))))[:3]...)
		}
	}
	return r
}

func (r *recording) Read(b []byte) (int, error) {
	if n, err := r.head.Read(b); err == nil {
		return n, nil
	}
	if r.calls++; r.calls%50 == 0 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		r.peak = max(r.peak, m.HeapAlloc)
	}
	if r.left == 0 {
		return 0, io.EOF
	}
	n := copy(b[:min(int64(len(b)), r.left)], r.cycle[r.at:])
	r.at, r.left = (r.at+n)%len(r.cycle), r.left-int64(n)
	return n, nil
}

func (r *recording) steady(t testing.TB) Figures {
	s, err := ReadWAV(bufio.NewReaderSize(r, 1<<16))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Steady(s, Wiring{Out: Channel{0, direct}, SupplyV: &Channel{1, direct}, SupplyA: &Channel{2, direct}, Load: quantity.Exact(4, "Ω")},
		Tone{Low: 20, High: 20000})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Memory doesn't grow with the length: a stream is read block by block, far below the
// 200 MB that ten minutes may take. BenchmarkTenMinutes has these.
func TestStreamTakesLittleMemory(t *testing.T) {
	long(t)
	r := record(6)
	f := r.steady(t)
	near1(t, "power", f.Power.X, 0.125/4, 1e-6)
	near1(t, "supply power", f.SupplyPower.X, 0.28, 1e-6)
	if r.peak > 150<<20 || r.peak == 0 {
		t.Errorf("the heap had %d MB", r.peak>>20)
	}
	if f.Seconds < 5 {
		t.Errorf("%g s of 6 were read", f.Seconds)
	}
}

// Ten minutes of 4 channels at 192,000 samples a second, and how long it takes beside
// decoding the samples alone.
func BenchmarkTenMinutes(b *testing.B) {
	for b.Loop() {
		r := record(600)
		f := r.steady(b)
		b.ReportMetric(float64(r.peak)/(1<<20), "MB")
		b.ReportMetric(f.Seconds, "s-read")
	}
}

func BenchmarkTenMinutesDecoded(b *testing.B) {
	for b.Loop() {
		s, err := ReadWAV(bufio.NewReaderSize(record(600), 1<<16))
		if err != nil {
			b.Fatal(err)
		}
		into := blockOf(4, 1<<14)
		for err == nil {
			_, err = s.Read(into)
		}
	}
}
