package sheet

import (
	"strings"
	"testing"
)

// A comma before three digits may be a decimal one or stand between thousands: what agrees
// either way is no mistake, and what disagrees is told as it was typed.
func TestTypedCommas(t *testing.T) {
	s := evaluateUnit(t, testSite, testUnit, strings.Replace(claim75, "power_w = 75", "power_w = 1250", 1)+run("a"))
	k := s.Knows()
	for text, want := range map[string]string{
		"It claims 1,250 W.":      "",
		"It claims 1,200 W.":      "1,200 W",
		"It claims 1,25 kW.":      "",
		"It claims 1,250 kW.":     "", // decimal
		"It claims 1,1 kW.":       "1,1 kW",
		"It claims **1,1** kW.":   "1,1 kW",
		"It claims 1.250,5 W.":    "", // neither
		"It has 1,2 and 1300 W":   "1300 W",
		"Into 4,0 Ω, 4,00 Ohm":    "",
		"Into 4,4 ohms":           "4,4 ohms",
		"From 14,39 V on":         "",
		"From 13,5 Volts and 13V": "13,5 Volts, 13 V",
	} {
		var got []string
		for _, one := range k.Typed([]byte(text)) {
			got = append(got, one.Text)
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%q: found %q, want %q", text, got, want)
		}
	}
}

// A heat of (161 ± 26) W doesn't speak for a power that was typed wrongly beside it: only for
// what lies nearer to it than to any other figure.
func TestTypedBesideAWideFigure(t *testing.T) {
	k := &Knower{known: knowns{{"W", 161, 26, "heat", ""}, {"W", 159, 4.5, "r01", ""}, {"W", 194.3, 6.2, "r03", ""}}}
	for text, want := range map[string]string{
		"gave 161 W": "", "gave 162.5 W": "", "gave 168 W": "", "gave 186 W": "r03", "gave 150 W": "r01", "gave 179.1 W": "r03", "gave 176 W": "",
	} {
		var got []string
		for _, one := range k.Typed([]byte(text)) {
			got = append(got, one.Says)
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%q: found %q, want %q", text, got, want)
		}
	}
}
