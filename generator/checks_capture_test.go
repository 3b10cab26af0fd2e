package generator_test

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"wattsheet/generator/capture"
	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

// A tape is what three columns of a capture hold over time: volts at the output, volts and
// amperes of the supply.
type tape struct {
	rate, seconds float64
	out, v, a     func(t float64) float64
}

// wav writes it as 16-bit samples, as RIFF lays them out (from memory): full scale is
// 40 V, 20 V and 50 A.
func (c tape) wav() []byte {
	n := int(c.rate * c.seconds)
	b := append([]byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x03\x00"), binary.LittleEndian.AppendUint32(nil, uint32(c.rate))...)
	b = binary.LittleEndian.AppendUint32(b, uint32(c.rate)*6)
	b = append(b, "\x06\x00\x10\x00data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(6*n))
	for i := range n {
		t := float64(i) / c.rate
		for _, x := range []float64{c.out(t) / 40, c.v(t) / 20, c.a(t) / 50} {
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(math.Round(x*32768))))
		}
	}
	binary.LittleEndian.PutUint32(b[4:], uint32(len(b)-8))
	return b
}

func always(x float64) func(float64) float64 { return func(float64) float64 { return x } }

// The tapes, whose figures follow in closed form. A tone of 20 V rms with 0.2 V of its
// third harmonic, from 14.4 V and 10 A that ripple together; a sine that is cut at 25 V,
// rising by 0.25 dB a second; ten bursts a second of ten cycles each.
var tapes = map[string]tape{
	"steady": {8000, 4,
		func(t float64) float64 {
			return math.Sqrt2 * (20*math.Sin(2*math.Pi*1000.1*t) + 0.2*math.Sin(2*math.Pi*3000.3*t))
		},
		func(t float64) float64 { return 14.4 - 0.3*math.Cos(2*math.Pi*2000.2*t) }, func(t float64) float64 { return 10 + 4*math.Cos(2*math.Pi*2000.2*t) }},
	"steps": {16000, 24,
		func(t float64) float64 {
			return math.Max(-25, math.Min(25, amplitude(math.Floor(t))*math.Sin(2*math.Pi*40*t)))
		}, always(14.4), always(9)},
	"bursts": {20000, 2.04,
		func(t float64) float64 { return loud(t, 24, 2.4) * math.Sqrt2 * math.Sin(2*math.Pi*500*(t-0.04)) },
		func(t float64) float64 { return loud(t, 13.8, 14.4) }, func(t float64) float64 { return loud(t, 20, 1) }},
}

// amplitude is that of a step, unclipped.
func amplitude(step float64) float64 { return 25 * math.Pow(10, (-4+0.25*step)/20) }

// loud is what goes on in bursts of 20 ms, one each 100 ms from 40 ms on, and between.
func loud(t, within, between float64) float64 {
	if math.Mod(t+0.96+1e-9, 0.1) < 0.02 {
		return within
	}
	return between
}

const tapedRecord = `[unit]
maker = "Invented"
model = "Taped"
channels = ["M"]
[source]
how = "own"
from = "nobody"
[[run]]
id = "r"
method = "METHOD"
load = "four"
capture = "c"
KEYS
[[capture]]
id = "c"
file = "c.wav"
clock_pct = 0.01
channel = [
  { column = 1, role = "out", scale = 40, scale_pct = 0.5, scale_by = "box" },
  { column = 2, role = "supply_v", scale = 20, scale_pct = 0.4, scale_by = "probe" },
  { column = 3, role = "supply_a", scale = 50, scale_pct = 1.5, offset_pm = 0.05 },
]
`

// taped are the runs that were read from the tapes, by their names.
var taped = sync.OnceValue(func() map[string]*sheet.Run {
	root, err := os.MkdirTemp("", "tapes")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(root)
	put := func(name string, data []byte) {
		file := filepath.Join(root, "content", name)
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			panic(err)
		}
		if err := os.WriteFile(file, data, 0o644); err != nil {
			panic(err)
		}
	}
	put("site.toml", []byte(sceneSite))
	put("bench.toml", []byte("instrument = [{ id = 'm', name = 'm', range = [{ reads = 'out_v', to = 100, reading_pct = 1 }] }]\nload = [{ id = 'four', nominal_ohm = 4, ohm = 4, ohm_pct = 0 }]\nusual = { out_v = 'm' }\n"))
	put("methods.toml", []byte(sceneMethods+"[[method]]\nid = 'tones'\ntitle = 'bursts'\nsignal = 'burst'\nburst_ms = 20\nfreq_hz = 500\nanswers_unstated = true\nwording = 'as a check'\n"))
	for name, keys := range map[string][2]string{"steady": {"thd1", "out_v = 20.1"}, "steps": {"thd1", "freq_hz = 40\ncapture_as = 'steps'"}, "bursts": {"tones", ""}} {
		put("units/"+name+"/record.toml", []byte(strings.NewReplacer("METHOD", keys[0], "KEYS", keys[1]).Replace(tapedRecord)))
		put("units/"+name+"/c.wav", tapes[name].wav())
	}
	s, problems, err := site.Inspect(root, time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC))
	if err != nil || problems.Errors() {
		panic(problems.Error())
	}
	out := map[string]*sheet.Run{}
	for _, one := range s.Sheets {
		out[one.Slug] = one.Runs[0]
	}
	return out
})

// by is a figure of a tape's run that has to come by a formula.
func by(id, tape string, of func(r *sheet.Run) *sheet.Figure) func() float64 {
	return func() float64 {
		f := of(taped()[tape])
		if f == nil || f.Formula != id {
			panic(tape + ": the figure doesn't come by " + id)
		}
		return f.X
	}
}

// cut is the mean square of a sine of amplitude 1 that is cut at c, in closed form.
func cut(c float64) float64 {
	phi := math.Asin(c)
	return 2/math.Pi*(phi/2-math.Sin(2*phi)/4) + (1-2*phi/math.Pi)*c*c
}

// flatAt is where 1.5 times a sine's share of the time lies within 1 % of the peak.
var flatAt = math.Cos(1.5*math.Acos(0.99)) / 0.99

const (
	byTape   = "closed form of the waveform that the capture was made of"
	roundIn  = (13.8*20*0.02 + 14.4*1*0.08) / 0.1    // W, of the supply over a repetition
	roundOut = (24*24*0.02 + 2.4*2.4*0.08) / 0.1 / 4 // W, of the output
	ripples  = 14.4*10 - 0.3*4/2
	noHarm   = "closed form: the ratio of the two tones that the capture was made of"
	tapeStep = "sixteen bits, and windows of finite length"
)

var (
	recorded   = tolerance{rel: 1e-5, why: tapeStep}
	recordedTo = tolerance{rel: 2e-4, why: tapeStep + ", at 1 % of full scale"}
	levelled   = tolerance{rel: 5e-4, why: "half of the 0.1 % that power at the limit may be off between levels"}
	edged      = tolerance{rel: 1e-3, why: "the ends of bursts are found to a quarter of a period"}
)

var _ = register(
	check{formula.CaptureVolts, "a tone of 20 V with 0.2 V of its third harmonic, V", computed, byTape + ": √(20² + 0.2²)", math.Sqrt(400.04), recorded,
		by(formula.CaptureVolts, "steady", func(r *sheet.Run) *sheet.Figure { return r.Channels[0].Volts })},
	check{formula.CaptureMean, "14.4 V with a ripple, V", computed, byTape, 14.4, recorded, by(formula.CaptureMean, "steady", func(r *sheet.Run) *sheet.Figure { return r.SupplyV })},
	check{formula.CaptureMean, "10 A with a ripple, A", computed, byTape, 10, recorded, by(formula.CaptureMean, "steady", func(r *sheet.Run) *sheet.Figure { return r.SupplyA })},
	check{formula.CaptureWatts, "volts and amperes that ripple against each other, W", computed, byTape + ": 14.4·10 − 0.3·4/2", ripples, recorded,
		by(formula.CaptureWatts, "steady", func(r *sheet.Run) *sheet.Figure { return r.SupplyPower })},
	check{formula.CaptureThdn, "0.2 V beside 20 V, %", computed, noHarm, 1, recordedTo, by(formula.CaptureThdn, "steady", func(r *sheet.Run) *sheet.Figure { return r.Channels[0].Distortion })},
	check{formula.CaptureThd, "0.2 V beside 20 V, %", computed, noHarm, 1, recordedTo, by(formula.CaptureThd, "steady", func(r *sheet.Run) *sheet.Figure { return r.Captured.Channels[0].THD })},
	check{formula.CaptureFreq, "1000.1 Hz", computed, byTape, 1000.1, recorded, by(formula.CaptureFreq, "steady", func(r *sheet.Run) *sheet.Figure { return r.Captured.Freq })},
	check{formula.CaptureCheck, "20.1 V typed beside 20.001 V, V", computed, "by hand: 20.1 − √400.04", 20.1 - math.Sqrt(400.04), tolerance{abs: 2e-4, why: tapeStep},
		by(formula.CaptureCheck, "steady", func(r *sheet.Run) *sheet.Figure { return r.Captured.Compared[0].Difference })},
	check{formula.CaptureScale, "0.5 % of 20.001 V, V", computed, "JCGM 100:2008, 4.3.7: half-width by √3, by hand", 0.005 * math.Sqrt(400.04) / math.Sqrt(3), recorded,
		func() float64 { return part(taped()["steady"].Channels[0].Volts, "scale box/gain") }},
	check{formula.CaptureScale, "an offset known to 0.05 A, in watts at 14.4 V", computed, "JCGM 100:2008, 4.3.7 and 5.1.2: 14.4·0.05/√3, by hand", 14.4 * 0.05 / math.Sqrt(3), recorded,
		func() float64 { return part(taped()["steady"].SupplyPower, "steady/scale c.3/offset") }},
	check{formula.CaptureSpread, "1, 2, 3 and 4, whose neighbours agree no better than chance", computed, "JCGM 100:2008, 4.2.3: √(5/3)/√4, by hand", math.Sqrt(5./3) / 2, closed,
		func() float64 { return capture.SpreadOf([]float64{1, 2, 3, 4}).U }},
	check{formula.CaptureLimit, "a clipped sine at 1 % of harmonics, V", computed, byTape + ": 1.0475058652 times the power that just touches the rails", 25 * math.Sqrt(1.0475058652/2), levelled,
		by(formula.CaptureLimit, "steps", func(r *sheet.Run) *sheet.Figure { return r.Channels[0].Volts })},
	check{formula.CaptureOnset, "a sine that is cut at 0.9877 of its peak, W", computed, byTape, 625 / flatAt / flatAt * cut(flatAt) / 4, tolerance{rel: 0.015, why: "what is flat sets in within one step of 0.25 dB, 6 % of the power"},
		by(formula.CaptureOnset, "steps", func(r *sheet.Run) *sheet.Figure { return r.Captured.Channels[0].Onset })},
	check{formula.CaptureMost, "the last step, W", computed, byTape, amplitude(23) * amplitude(23) * cut(25/amplitude(23)) / 4, recordedTo,
		by(formula.CaptureMost, "steps", func(r *sheet.Run) *sheet.Figure { return r.Captured.Channels[0].Most })},
	check{formula.CaptureBursts, "bursts of 24 V, V", computed, byTape, 24, edged, by(formula.CaptureBursts, "bursts", func(r *sheet.Run) *sheet.Figure { return r.Channels[0].Volts })},
	check{formula.CaptureMean, "the supply within bursts, V", computed, byTape, 13.8, edged, by(formula.CaptureMean, "bursts", func(r *sheet.Run) *sheet.Figure { return r.SupplyV })},
	check{formula.CaptureWatts, "the supply over repetitions, W", computed, byTape, roundIn, edged, by(formula.CaptureWatts, "bursts", func(r *sheet.Run) *sheet.Figure { return r.SupplyPower })},
	check{formula.CaptureRound, "by energy, %", computed, byTape, 100 * roundOut / roundIn, edged, by(formula.CaptureRound, "bursts", func(r *sheet.Run) *sheet.Figure { return r.Efficiency })},
)
