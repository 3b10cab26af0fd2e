package sheet

import "testing"

// What stands in a gap is never a gap itself: a unit may be called anything.
func TestPhrasesFillTheirOwnGapsOnly(t *testing.T) {
	got := phrase("told", "more", "{less} and {more}", "less", "B {at}", "at", "4 Ω")
	if want := "{less} and {more} gives more than B {at} into 4 Ω: told apart at every corner of the conditions."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
