package generator_test

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
)

// noNumber finds what a page or a file prints for what is no number, or far beyond
// any amplifier.
var noNumber = regexp.MustCompile(`\bNaN\b|[+-]?\bInf(inity)?\b|\b[0-9]+(\.[0-9]+)?e\+?[1-9][0-9][0-9]\b`)

// digested is a digest in an address, which may look like a number.
var digested = regexp.MustCompile(`\?[0-9a-f]{8}"`)

// noNumberIn is what noNumber finds. Whole sites have nothing that comes near it, and
// the expression takes longer to say so than the site took to make.
func noNumberIn(text string) []int {
	if !nearNoNumber(text) {
		return nil
	}
	return noNumber.FindStringIndex(text)
}

// nearNoNumber tells whether a text has a part that each match of noNumber has: NaN;
// Inf or Infinity with no letter or digit behind it; a digit, e, and three digits.
func nearNoNumber(text string) bool {
	if strings.Contains(text, "NaN") {
		return true
	}
	for rest := text; ; {
		_, after, has := strings.Cut(rest, "Inf")
		if !has {
			break
		}
		if ends(after) || strings.HasPrefix(after, "inity") && ends(after[len("inity"):]) {
			return true
		}
		rest = after
	}
	for rest := text; ; {
		before, after, has := strings.Cut(rest, "e")
		if !has {
			return false
		}
		if n := len(before); n > 0 && isDigit(before[n-1]) {
			if to := strings.TrimPrefix(after, "+"); len(to) > 2 && isDigit(to[0]) && isDigit(to[1]) && isDigit(to[2]) {
				return true
			}
		}
		rest = after
	}
}

// ends tells whether a word has ended before such a text, as \b has it.
func ends(text string) bool {
	return text == "" || !isDigit(text[0]) && text[0] != '_' && (text[0]|0x20 < 'a' || text[0]|0x20 > 'z')
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// The search for what is no number finds it, and lets addresses and words pass.
func TestNoNumberIsFound(t *testing.T) {
	for _, bad := range []string{"(NaN ± 1) W", `{"u":NaN}`, "+Inf W", "−Inf", "1.5e+300 W", "2e300", "Infinity", "Information, Inf"} {
		if noNumberIn(bad) == nil {
			t.Errorf("%q passes", bad)
		}
	}
	for _, good := range []string{"Information", "nano", "1e-05", "2.5e12", "the 100", "∞", "Info"} {
		if noNumberIn(good) != nil {
			t.Errorf("%q is taken for no number", good)
		}
	}
}

// What is passed over without the expression, the expression passes over too.
func TestNoNumberIsNear(t *testing.T) {
	pieces := []string{"NaN", "Inf", "inity", "e", "+", "-", "1", "0", "305", ".", " ", "_", "x", "E", "−", "\xff", "\n", "∞"}
	random := rand.New(rand.NewPCG(15, 9))
	found := 0
	for range 200_000 {
		var b strings.Builder
		for range 1 + random.IntN(7) {
			b.WriteString(pieces[random.IntN(len(pieces))])
		}
		if noNumber.MatchString(b.String()) {
			if found++; !nearNoNumber(b.String()) {
				t.Fatalf("%q is passed over", b.String())
			}
		}
	}
	if found < 10_000 {
		t.Errorf("only %d of the texts have what is no number", found)
	}
}
