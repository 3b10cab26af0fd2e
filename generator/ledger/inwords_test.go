package ledger

import "testing"

func TestInWords(t *testing.T) {
	for result, want := range map[string]string{
		"open (supply, load)":                    "open (the supply voltage, the load)",
		"open (outcome)":                         "open (a run was ended)",
		"open (close), p = 0.823 … 0.943":        "open (too close to call), p = 0.823 … 0.943",
		"untested (no-run)":                      "untested (no valid run)",
		"met":                                    "met",
		"gone":                                   "gone",
		"75.2 ± 1.1 W":                           "75.2 ± 1.1 W",
		"open (a reason of a program to come)":   "open (a reason of a program to come)",
		"open (moonlight)":                       "open (moonlight)",
		"incomparable (unlike), \"<b>\" (close)": "incomparable (runs under other conditions), \"<b>\" (close)",
	} {
		if got := InWords(result); got != want {
			t.Errorf("%s is said as %s, want %s", result, got, want)
		}
	}
}
