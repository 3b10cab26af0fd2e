package sheet

import (
	"strings"
	"testing"
)

// What stands in a gap is never a gap itself: a unit may be called anything.
func TestPhrasesFillTheirOwnGapsOnly(t *testing.T) {
	got := phrase("told", "more", "{less} and {more}", "less", "B {at}", "at", "4 Ω")
	if want := "{less} and {more} gives more than B {at} into 4 Ω: told apart at every corner of the conditions."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := phrase("twin", "name", "slug", "slug", "name"), "slug (name)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// A phrase has no brace but those of its gaps.
func TestPhrasesAreWhole(t *testing.T) {
	for id, text := range apartPhrases {
		if open, shut := strings.Count(text, "{"), strings.Count(text, "}"); open != shut {
			t.Errorf("%s: %d gaps begin and %d end", id, open, shut)
		}
	}
}
