package capture

import (
	"fmt"
	"math"
	"strings"

	"wattsheet/generator/quantity"
)

// SignalCaution stands wherever a test signal is offered.
const SignalCaution = "Caution: a test tone can destroy speakers, and hurt hearing, within a second. Take speakers and headphones off, " +
	"put a load that bears the power in their place, turn all levels down before it is played, and go up slowly. " +
	"An amplifier's outputs may be above 50 V AC, a load bank burns. What the makers of unit and load say goes before this."

// A Label is what the text beside a test signal says of its file.
type Label struct {
	Name   string // of the file
	Digest string // its SHA-256, in hexadecimal digits
	Sides  string // of its channels, which have the signal, and whether others are silent
	Coding Coding
	// Full is the rms in volts of a sine at full scale, where it comes out of the player;
	// 0 where that isn't stated.
	Full float64
}

// Text says what a signal contains: exact levels and instants, for people. Numbers have no
// digit that they don't need.
func (s *Signal) Text(l Label) string {
	var b strings.Builder
	line := func(format string, args ...any) {
		fmt.Fprintf(&b, format+"\n", args...)
	}
	b.WriteString("Test signal " + l.Name + ": " + s.Title() + "\n\n" + SignalCaution + "\n\n")
	b.WriteString("sha256 " + l.Digest + "\n")
	line("%d samples a second, %s, %s; %s s in all", s.Rate, l.Coding.text(), l.Sides, number(s.Seconds(s.format.Frames)))
	line("0 dBFS is a sine whose peaks reach full scale.")
	if l.Full > 0 {
		line("Volts are rms, for a player that gives %s V rms at 0 dBFS.", number(l.Full))
	}
	if l.Coding.Dither {
		line("With dither, always the same: noise at %s dBFS (rms, up to half the samples a second).", number(math.Round(l.Coding.noise()*10)/10))
	}
	line("Seconds count from the first sample, and say where a level stands in full. It is reached within %s ms before and left within as much after.", number(1000*s.Fade))
	line("A capture has its own first sample: see there where the signal begins, and add it.")
	b.WriteString("\n")
	s.table(&b, l.Full)
	return b.String()
}

// Title is the signal in a few words.
func (s *Signal) Title() string {
	title := ""
	switch level := number(s.Level) + " dBFS"; s.Kind {
	case "sine":
		title = fmt.Sprintf("sine, %s Hz, %s, %s s", number(s.Freq), level, number(s.Length))
	case "steps":
		title = fmt.Sprintf("sine, %s Hz, in %d steps of %s dB from %s dBFS to %s dBFS, %s s each", number(s.Freq), len(s.Stretches), number(s.Step),
			number(s.From), number(s.Stretches[len(s.Stretches)-1].Level), number(s.Length))
	case "burst":
		title = fmt.Sprintf("%d bursts, %s Hz, %s, %s ms every %s ms, %s dB lower between them", len(s.Stretches)/2, number(s.Freq), level,
			number(1000*s.Burst), number(1000*s.Every), number(s.Rest))
	case "sweep":
		title = fmt.Sprintf("sine from %s Hz to %s Hz, evenly in octaves, %s, %s s", number(s.Freq), number(s.To), level, number(s.Length))
	}
	return title
}

// number writes a number with up to nine digits, whatever its size.
func number(x float64) string {
	return strings.Replace(quantity.Float(math.Round(x*1e6)/1e6), "-", "−", 1)
}

func (c Coding) text() string {
	switch {
	case c.Float:
		return "32-bit floats"
	case c.Dither:
		return fmt.Sprintf("%d-bit integers with dither", c.Bits)
	}
	return fmt.Sprintf("%d-bit integers", c.Bits)
}

// noise is that of a dithered sample in dBFS: its variance is a quarter of a step's square,
// a twelfth by rounding and two by the dither.
func (c Coding) noise() float64 {
	return 20 * math.Log10(math.Ldexp(1, -c.Bits)*math.Sqrt2)
}

// table lists the stretches with a tab between columns; of bursts the bursts only.
func (s *Signal) table(b *strings.Builder, full float64) {
	head := []string{"from / s", "to / s"}
	if s.Kind != "sweep" {
		head = append(head, "level / dBFS")
		if full > 0 {
			head = append(head, "U / V rms")
		}
	} else {
		head = []string{"at / s", "f / Hz"}
	}
	b.WriteString(strings.Join(head, "\t") + "\n")
	if s.Kind == "sweep" {
		s.sweepTable(b)
		return
	}
	for i := range s.Stretches {
		one := &s.Stretches[i]
		if one.Rest {
			continue
		}
		cells := []string{number(s.Seconds(one.First)), number(s.Seconds(one.Last)), number(one.Level)}
		if full > 0 {
			cells = append(cells, quantity.Significant(one.amplitude*full, 6))
		}
		b.WriteString(strings.Join(cells, "\t") + "\n")
	}
}

// sweepTable lists the instants of each third of an octave from the beginning, and the end.
func (s *Signal) sweepTable(b *strings.Builder) {
	one := &s.Stretches[0]
	octaves := math.Log2(one.To / one.From)
	at := func(part float64) {
		seconds := s.Seconds(one.First) + part*(s.Seconds(one.Last)-s.Seconds(one.First))
		fmt.Fprintf(b, "%s\t%s\n", quantity.Fixed(seconds, 4), quantity.Significant(one.From*math.Exp2(part*octaves), 6))
	}
	for k := 0.0; k/3 < math.Abs(octaves)*(1-1e-9); k++ {
		at(k / 3 / math.Abs(octaves))
	}
	at(1)
}
