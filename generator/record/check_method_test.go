package record

import (
	"strings"
	"testing"
)

// A title that says another distortion than its method is warned about; one that says the
// same, in whatever form, or speaks of something else isn't.
func TestTitlesAndDistortion(t *testing.T) {
	for title, warned := range map[string]bool{
		"at 1 % THD+N": false, "at 1% THD": false, "1,0 % distortion": false, "at 1.00 % of distortion": false, "for a minute": false,
		"at 90 % of the level": false, "from 1 % THD to 10 % THD": false,
		"at 0.1 % THD+N": true, "at 10\u00a0% THD+N": true, "1,5 % Distortion": true,
	} {
		text := strings.Replace(good(t, "methods.toml"), "at 1 % THD+N", title, 1)
		m, problems := DecodeMethods(&File{Name: "methods.toml", Text: []byte(text)})
		if problems.Errors() {
			t.Fatal(problems)
		}
		found := false
		for _, p := range (&Content{Methods: m}).Check() {
			if strings.Contains(p.Summary, "of distortion, but thdn_pct is 1") {
				found = p.Severity == Warning && p.Line == 3
			}
		}
		if found != warned {
			t.Errorf("%q: warned %t", title, found)
		}
	}
}
