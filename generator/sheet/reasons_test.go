package sheet

import (
	"os"
	"regexp"
	"testing"

	"wattsheet/generator/verdict"
)

func TestResultInWords(t *testing.T) {
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
		if got := ResultInWords(result); got != want {
			t.Errorf("%s is said as %s, want %s", result, got, want)
		}
	}
}

// Each code that a claim may have as its reason has words.
func TestEachReasonHasWords(t *testing.T) {
	codes := []string{verdict.Close, verdict.Distortion, verdict.Supply, verdict.Load}
	text, err := os.ReadFile("match.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`\treason[A-Za-z]+ += "([a-z-]+)"`).FindAllStringSubmatch(string(text), -1) {
		codes = append(codes, m[1])
	}
	if len(codes) != 10 {
		t.Errorf("there are %d codes: %v", len(codes), codes)
	}
	for _, code := range codes {
		if reasonsShort[code] == "" {
			t.Errorf("%s has no words", code)
		}
	}
}
