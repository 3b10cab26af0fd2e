// Captures writes the captures of the demo: invented waveforms of invented units, by a
// fixed seed. The figures that a reader finds in them are those that stand here.
//
//	go run ./testdata/captures content/units
package main

import (
	"encoding/binary"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
)

const (
	rate   = 2000 // samples a second
	freq   = 60.003
	rails  = 35.02 // V, where the output is cut
	ohms   = 4.012 // about the load at its temperature
	idle   = 6.2   // W
	beside = 1.28  // of the supply's power, for each watt that comes out
)

// A frame is what the three columns hold at one instant: V, V and A.
type frame struct{ out, volts, amps float64 }

// made is a unit driven to an amplitude, which changes with time.
func made(seconds float64, amplitude func(t float64) float64) []frame {
	rng := rand.New(rand.NewPCG(40, 1))
	frames := make([]frame, int(seconds*rate))
	for i := range frames {
		t := float64(i) / rate
		a, phase := amplitude(t), 2*math.Pi*freq*t
		y := a * math.Sin(phase)
		y = math.Max(-rails, math.Min(rails, y)) + 4e-4*a*math.Sin(3*phase) + 0.012*rng.NormFloat64()
		mean := (idle + beside*power(a)) / 14.41
		amps := mean*(1-0.38*math.Cos(2*phase)) + 0.02*rng.NormFloat64()
		frames[i] = frame{y, 14.463 - 0.0036*amps, amps}
	}
	return frames
}

// corner is where the filter of the swept unit has fallen by 3 dB, in Hz.
const corner = 52.2

// swept is a sine from 10 Hz to 300 Hz, slowly and evenly in its logarithm, before and
// behind a Butterworth filter of the second order. It is slow enough for the filter to be
// settled at each instant.
func swept(seconds float64) []frame {
	rng := rand.New(rand.NewPCG(40, 2))
	frames := make([]frame, int(seconds*rate))
	grows := math.Log(300.0/10) / seconds
	for i := range frames {
		t := float64(i) / rate
		f := 10 * math.Exp(grows*t)
		phase, x := 2*math.Pi*(f-10)/grows, f/corner
		lags := math.Atan2(math.Sqrt2*x, 1-x*x)
		in := 0.25 * math.Sin(phase)
		frames[i] = frame{out: 4 / math.Sqrt(1+x*x*x*x) * math.Sin(phase-lags), volts: in}
		frames[i].out += 0.001 * rng.NormFloat64()
	}
	return frames
}

// power is that of a sine of an amplitude, cut at the rails.
func power(a float64) float64 {
	c := math.Min(1, rails/a)
	phi := math.Asin(c)
	square := a * a * (2/math.Pi*(phi/2-math.Sin(2*phi)/4) + (1-2*phi/math.Pi)*c*c)
	return square / ohms
}

func main() {
	if len(os.Args) != 2 {
		log.Fatal("name the folder of the units")
	}
	// 15 levels of 0.8 s, half a decibel apart
	steps := made(12, func(t float64) float64 { return rails * math.Pow(10, (-5.5+0.5*math.Floor(t/0.8))/20) })
	write("mirthgudgeon-nettlecog-1/level-4-ohm.wav", wav(steps, 50, 20, 50))
	write("fernklaxon-wharfmitten-2/low-pass.wav", wav(swept(10), 10, 1))
	write("mirthgudgeon-nettlecog-1/steady-4-ohm.csv", table(made(2, func(float64) float64 { return 0.9 * rails })))
}

func write(name string, data []byte) {
	if err := os.WriteFile(filepath.Join(os.Args[1], name), data, 0o644); err != nil {
		log.Fatal(err)
	}
}

// wav is 16-bit samples behind the recorder's probes: full stands for a sample of 1 in
// each column, the first ones of a frame.
func wav(frames []frame, full ...float64) []byte {
	var data []byte
	for _, f := range frames {
		for i, x := range []float64{f.out, f.volts, f.amps}[:len(full)] {
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(x/full[i]*32768))))
		}
	}
	b := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(36+len(data)))
	b = append(b, "WAVEfmt \x10\x00\x00\x00\x01\x00"...)
	b = binary.LittleEndian.AppendUint16(b, uint16(len(full)))
	b = binary.LittleEndian.AppendUint32(b, rate)
	b = binary.LittleEndian.AppendUint32(b, uint32(rate*2*len(full)))
	b = append(b, byte(2*len(full)), 0)
	b = append(b, "\x10\x00data"...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(data)))
	return append(b, data...)
}

// table is a table of samples as a logger in a country of decimal commas writes it.
func table(frames []frame) []byte {
	var b strings.Builder
	b.WriteString("output V;supply V;supply A\n")
	for _, f := range frames {
		b.WriteString(strings.ReplaceAll(fmt.Sprintf("%.3f;%.4f;%.3f\n", f.out, f.volts, f.amps), ".", ","))
	}
	return []byte(b.String())
}
