// Captures writes the captures of the demo: invented waveforms of an invented unit, by a
// fixed seed. The figures that a reader finds in them are those that stand here.
//
//	go run ./testdata/captures content/units/mirthgudgeon-nettlecog-1
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

// power is that of a sine of an amplitude, cut at the rails.
func power(a float64) float64 {
	c := math.Min(1, rails/a)
	phi := math.Asin(c)
	square := a * a * (2/math.Pi*(phi/2-math.Sin(2*phi)/4) + (1-2*phi/math.Pi)*c*c)
	return square / ohms
}

func main() {
	if len(os.Args) != 2 {
		log.Fatal("name the folder that the captures go to")
	}
	// 15 levels of 0.8 s, half a decibel apart
	steps := made(12, func(t float64) float64 { return rails * math.Pow(10, (-5.5+0.5*math.Floor(t/0.8))/20) })
	write("level-4-ohm.wav", wav(steps))
	write("steady-4-ohm.csv", table(made(2, func(float64) float64 { return 0.9 * rails })))
}

func write(name string, data []byte) {
	if err := os.WriteFile(filepath.Join(os.Args[1], name), data, 0o644); err != nil {
		log.Fatal(err)
	}
}

// wav is 16-bit samples behind the recorder's probes: full scale is 50 V, 20 V and 50 A.
func wav(frames []frame) []byte {
	var data []byte
	for _, f := range frames {
		for _, x := range []float64{f.out / 50, f.volts / 20, f.amps / 50} {
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(x*32768))))
		}
	}
	b := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(36+len(data)))
	b = append(b, "WAVEfmt \x10\x00\x00\x00\x01\x00\x03\x00"...)
	b = binary.LittleEndian.AppendUint32(b, rate)
	b = binary.LittleEndian.AppendUint32(b, rate*6)
	b = append(b, "\x06\x00\x10\x00data"...)
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
