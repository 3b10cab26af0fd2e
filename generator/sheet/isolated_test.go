package sheet

import (
	"testing"

	"golang.org/x/text/unicode/bidi"
)

// Letters that a library of the Unicode standard has from right to left are known, and no
// letter from left to right is taken for one.
func TestIsolated(t *testing.T) {
	for r := rune(' '); r <= 0x1ffff; r++ {
		p, _ := bidi.LookupString(string(r))
		switch class := p.Class(); {
		case (class == bidi.R || class == bidi.AL) && !fromRight(r):
			t.Errorf("%U isn't known to be written from right to left", r)
		case class == bidi.L && fromRight(r):
			t.Errorf("%U is taken for a letter from right to left", r)
		}
	}
	for name, want := range map[string]string{"": "", "Ösel 20": "Ösel 20", "לוטרה 20": "\u2068לוטרה 20\u2069", "Otter قضاعة": "\u2068Otter قضاعة\u2069"} {
		if got := Isolated(name); got != want {
			t.Errorf("%q is written %q", name, got)
		}
	}
}
