package sheet

import (
	"os"
	"regexp"
	"testing"

	"wattsheet/generator/verdict"
)

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
		if words, ok := ReasonInShort(code); !ok || words == "" {
			t.Errorf("%s has no words", code)
		}
	}
}
