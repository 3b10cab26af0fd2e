package sheet

import (
	"testing"

	"wattsheet/generator/verdict"
)

func TestHeadlines(t *testing.T) {
	met, short, open := verdict.Met, verdict.Short, verdict.Open
	for want, words := range map[string][]verdict.Word{
		"No claims recorded.":                               nil,
		"Its one claim is short.":                           {short},
		"Both claims met.":                                  {met, met},
		"All three claims met.":                             {met, met, met},
		"One of two claims met, one short.":                 {short, met},
		"Two of four claims met, one short, one undecided.": {met, short, met, open},
	} {
		var claims []*Claim
		for _, w := range words {
			claims = append(claims, &Claim{Verdict: w, Reason: verdict.Distortion})
		}
		if got := headline(claims); got != want {
			t.Errorf("%v: %q, want %q", words, got, want)
		}
	}
}

// A load that a record may have, 0.001 Ω at the least, is never written as none.
func TestOhms(t *testing.T) {
	for ohm, want := range map[float64]string{0.001: "0.001", 0.05: "0.05", 0.25: "0.25", 2.0 / 3: "0.67", 4: "4", 16: "16", 1000: "1000"} {
		if got := Ohms(ohm); got != want+nbsp+"Ω" {
			t.Errorf("%g: %s", ohm, got)
		}
	}
}
