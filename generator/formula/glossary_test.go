package formula

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"
)

// Words stand by the alphabet, each once, with an address that stays, a short meaning in whole
// sentences that doesn't begin with the word, and what it rests on.
func TestGlossary(t *testing.T) {
	address := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	seen, last := map[string]bool{}, ""
	for _, term := range Glossary() {
		if low := strings.ToLower(term.Word); low <= last {
			t.Errorf("%q stands behind %q", term.Word, last)
		} else {
			last = low
		}
		if !address.MatchString(term.ID) || seen[term.ID] {
			t.Errorf("%q: the id %q", term.Word, term.ID)
		}
		seen[term.ID] = true
		if n := utf8.RuneCountInString(term.Means); n < 30 || n > 210 || !strings.HasSuffix(term.Means, ".") || strings.Contains(term.Means, "  ") {
			t.Errorf("%q: its meaning has %d characters: %s", term.Word, n, term.Means)
		}
		if term.Source == "" || strings.HasSuffix(term.Source, ".") {
			t.Errorf("%q rests on %q", term.Word, term.Source)
		}
	}
}
