package datafile

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
		if got := string(append(AppendCell([]byte("x,"), text), ",y\r\n"...)); got != want.String() {
			t.Errorf("%q: the row is %q, not %q", text, got, want.String())
		}
	}
}

// No text can be a formula in a spreadsheet; numbers stay numbers (the list of
// signs is common practice, no source).
func TestCellsAreNoFormulas(t *testing.T) {
	for text, want := range map[string]string{
		"":             "",
		"four":         "four",
		"L+R":          "L+R",
		"=1+1":         "'=1+1",
		"+SUM(A1)":     "'+SUM(A1)",
		"-2+3+cmd|'x'": "'-2+3+cmd|'x'",
		"@A1":          "'@A1",
		"\t=1":         "'\t=1",
		"＝1+1":         "'＝1+1",
		"-1.5":         "-1.5",
		"+12":          "+12",
		"-1e3":         "-1e3",
		"-0x10":        "'-0x10",
		"+Inf":         "'+Inf",
		"-":            "'-",
		"1=1":          "1=1",
	} {
		if got := CellText(text); got != want {
			t.Errorf("CellText(%q) = %q, want %q", text, got, want)
		}
	}
}
