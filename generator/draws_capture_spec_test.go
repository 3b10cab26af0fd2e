package generator_test

import (
	"math"
	"strings"
	"testing"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// Stated figures that come from a capture against draws of what may stand behind them: the
// points' scatter, the way between them, the sweep's speed, the clock; of noise the scale and
// the spread.
func TestDrawsOfACapturedSpec(t *testing.T) {
	s := fullRun
	var text strings.Builder
	for _, one := range [][2]string{{"corner", "Hz"}, {"slope", "dB/octave"}, {"centre", "Hz"}, {"height", "dB"}, {"snr", "dB"}} {
		as := map[string]string{"corner": "corner-low", "centre": "boost-centre", "height": "boost-height", "snr": "signal-to-noise"}[one[0]]
		keys := "at_hz = 300\n"
		switch one[0] {
		case "slope":
			as, keys = "slope", "low_hz = 20\nhigh_hz = 40\n"
		case "snr":
			keys = "low_hz = 20\nhigh_hz = 20000\nweighting = 'none'\nref_w = 1\nref_ohm = 4\n"
		}
		text.WriteString("[[spec]]\nid = '" + one[0] + "'\nname = 'n'\nunit = '" + one[1] + "'\nlimit = 'about'\nstated = 40\ncapture = 'c'\ncapture_as = '" + as + "'\n" + keys)
	}
	s.text = text.String() + capturedText
	c, rec := s.decode()
	taken := record.TakenSpec{RateHz: 48000, Value: record.Mean{X: 40, U: 0.3, N: 12}, Between: 0.4, Pace: 0.2}
	for i := range rec.Specs {
		one := taken
		if rec.Specs[i].ID == "snr" {
			one = record.TakenSpec{RateHz: 48000, Value: record.Mean{X: 1e-3, U: 4e-6, N: 30}}
		}
		rec.Specs[i].Taken = &one
	}
	specs := sheet.Evaluate(c, rec).Specs
	var outcomes []outcome
	for _, sp := range specs {
		outcomes = append(outcomes, outcomeOf(sp.ID, sp.Measured))
	}
	if len(outcomes) != 5 || specs[0].Measured.Formula != formula.CaptureCorner {
		t.Fatal(outcomes)
	}
	compare(t, experiment{outcomes: outcomes, trial: func(d draw, _ uint) []float64 {
		of := func(clock float64) float64 { return 40*(1+d.rect(clock)) + d.normal(0.3) + d.rect(0.4) + d.rect(0.2) }
		volts := (1e-3 + d.normal(4e-6)) * (1 + d.rect(0.005))
		return []float64{of(1e-4), of(0), of(1e-4), of(0), 20 * math.Log10(2/volts)}
	}})
}
