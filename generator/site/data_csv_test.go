package site

import (
	"bytes"
	"encoding/csv"
	"testing"
)

// A cell is what encoding/csv writes for it.
func TestAppendCell(t *testing.T) {
	for _, text := range []string{
		"", "plain", "with blanks", " before", "\u00a0no-break", "a,b", `say "four"`, "two\nlines", "two\r\nlines", "\r", `\.`, `\`, `\x`,
		"4 Ω ± 1 %", "\u2028", "\t", "'=1", "\xff", "end ", "a;b",
	} {
		var want bytes.Buffer
		w := csv.NewWriter(&want)
		w.UseCRLF = true
		if err := w.Write([]string{"x", text, "y"}); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		if got := string(append(appendCell([]byte("x,"), text), ",y\r\n"...)); got != want.String() {
			t.Errorf("%q: the row is %q, not %q", text, got, want.String())
		}
	}
}
