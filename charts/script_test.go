package charts

import (
	"encoding/json"
	"testing"
)

// A text in a script element is what encoding/json writes of it.
func TestScriptTexts(t *testing.T) {
	for _, text := range []string{
		"", "plain", `"quoted" \ <b> & 'so'`, "\x00\t\n\x1f\x7f", "Ω ± − “q” \u2027\u2028\u2029\u2030", "\xff", "\xe2\x80", "\U0001f50a",
	} {
		for c := range rune(256) {
			text := text + string(c) + text
			want, err := json.Marshal(text)
			if err != nil {
				t.Fatal(err)
			}
			if got := new(script).text(text).bytes; string(got) != string(want) {
				t.Errorf("%q is written %s, want %s", text, got, want)
			}
		}
	}
}
