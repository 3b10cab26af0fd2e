package generator_test

import (
	"math"
	"strings"
	"testing"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

const capturedText = `
[[capture]]
id = "c"
file = "c.wav"
recorder = "thdn-pct"
clock_pct = 0.01
channel = [
  { column = 1, role = "out", of = "L", scale = 40, scale_pct = 0.5, scale_by = "box", offset = 0.2, offset_pm = 0.02 },
  { column = 2, role = "supply_v", scale = 20, scale_pct = 0.4, scale_by = "probe" },
  { column = 3, role = "supply_a", scale = 50, scale_pct = 1.5, offset = 0.5, offset_pm = 0.1 },
]
`

// capturedRun evaluates a run of the full run's bench from what a capture is said to have given.
func capturedRun(method string, t record.Taken, keys ...string) *sheet.Run {
	s := fullRun
	s.methods += "[[method]]\nid = 'tones'\ntitle = 'bursts'\nsignal = 'burst'\nburst_ms = 20\nfreq_hz = 500\nanswers_unstated = true\nwording = 'as drawn'\n"
	text := measuredWith("r", append([]string{"driven = ['L']", "load = 'a'", "capture = 'c'", "capture_as = '" + t.As + "'"}, keys...)...)
	s.text = text + capturedText
	if method != "thd1" {
		s.text = strings.Replace(text, "method = 'thd1'", "method = '"+method+"'", 1) + capturedText
	}
	c, rec := s.decode()
	rec.Runs[0].Taken = &t
	return sheet.Evaluate(c, rec).Runs[0]
}

// Every figure that comes from a capture against draws of what may stand behind it: the
// scale's gain and offset, the spread, the load, the clock, and the other way of reading.
func TestDrawsOfACapture(t *testing.T) {
	mean := func(x, u float64) record.Mean { return record.Mean{X: x, U: u, N: 30} }
	steady := capturedRun("thd1", record.Taken{As: "steady", RateHz: 48000, FreqHz: mean(1000.2, 0.01), SupplyV: mean(13.9, 0.02), SupplyA: mean(66.4, 0.3), SupplyW: mean(1180, 6),
		Outs: []record.TakenOut{{Channel: "L", RMS: mean(44, 0.05), Offset: 0.004, THDN: mean(0.01, 2e-4), THD: mean(0.009, 1e-4)}}}, "out_v = 43.9")
	steps := capturedRun("thd1", record.Taken{As: "steps", RateHz: 48000, Outs: []record.TakenOut{{Channel: "L", RMS: mean(44, 0.05), Interpolation: 0.1, THDN: mean(0.01, 0),
		OnsetV: mean(45, 0), OnsetOff: 0.2, MostV: mean(50, 0)}}})
	bursts := capturedRun("tones", record.Taken{As: "bursts", RateHz: 48000, SupplyV: mean(13.1, 0.03), RestV: 14.2, RoundW: mean(142, 2),
		Outs: []record.TakenOut{{Channel: "L", RMS: mean(40, 0.04), RoundV: mean(12, 0.02)}}})
	c := steady.Captured
	s, l := steady.Channels[0], steps.Channels[0]
	compare(t, experiment{of: []string{formula.CaptureScale}, outcomes: []outcome{
		outcomeOf("volts", s.Volts), outcomeOf("power", s.Power), outcomeOf("distortion", s.Distortion), outcomeOf("harmonics", c.Channels[0].THD), outcomeOf("frequency", c.Freq),
		outcomeOf("supply volts", steady.SupplyV), outcomeOf("supply current", steady.SupplyA), outcomeOf("supply power", steady.SupplyPower), outcomeOf("efficiency", steady.Efficiency),
		outcomeOf("typed less captured", c.Compared[0].Difference),
		outcomeOf("volts at the limit", l.Volts), outcomeOf("onset", steps.Captured.Channels[0].Onset), outcomeOf("most", steps.Captured.Channels[0].Most),
		outcomeOf("volts in bursts", bursts.Channels[0].Volts), outcomeOf("efficiency of bursts", bursts.Efficiency),
	}, trial: func(d draw, _ uint) []float64 {
		box, probe, shunt := 1+d.rect(0.005), 1+d.rect(0.004), 1+d.rect(0.015)
		// what is recorded has been made with the scale as stated; the true one is box times it
		truly := func(v, offsetC float64) float64 { return box*(v-0.2*offsetC) + offsetC*(0.2+d.rect(0.02)) }
		w := truthOf(d, 0, 0)
		watts := func(v float64) float64 { i := v / w.r; return i * i * (w.r + w.lead) }
		out := truly(44+d.normal(0.05), 0.004)
		offset := 0.5 + d.rect(0.1)
		vs, is := probe*(13.9+d.normal(0.02)), shunt*(66.4-0.5+d.normal(0.3))+offset
		ps := probe * (shunt*(1180+d.normal(6)-0.5*13.9) + offset*13.9)
		round := probe * (shunt*(142+d.normal(2)-0.5*14.2) + offset*14.2)
		p := watts(out) * w.pool
		return []float64{out, p, 1 + d.normal(0.02) + d.rect(0.05), 0.9 + d.normal(0.01) + d.rect(0.045), 1000.2 + d.normal(0.01) + d.rect(0.10002),
			vs, is, ps, 100 * p / ps, 43.9 + d.rect(0.008*43.9+0.03) - out,
			box*(44+d.normal(0.05)) + d.rect(0.1), watts(box*45 + d.rect(0.2)), watts(box * 50),
			box * (40 + d.normal(0.04)), 100 * watts(box*(12+d.normal(0.02))) / round}
	}})
	if !math.IsInf(s.Volts.DoF, 1) {
		t.Error("a spread of 0 degrees of freedom is taken as finite")
	}
}
