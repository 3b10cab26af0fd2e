package record

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"unicode/utf8"
)

// printed gives what is printed for the first problem in line 2 of a record.
func printed(text string) string {
	_, problems := DecodeRecord(&File{Name: "r", Text: []byte(text)}, "x")
	for _, p := range problems {
		if p.Line == 2 {
			return p.String()
		}
	}
	return ""
}

func TestPrint(t *testing.T) {
	const long = "1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23"
	for _, c := range []struct{ text, want string }{
		{"[[claim]]\npower_w = \"74.3 W\"\nid = 'a'\nload_ohm = 4\nchannels = 1", `
r:2:11: power_w is "74.3 W", a text; a number is needed
    2 | power_w = "74.3 W"
      |           ^^^^^^^^
hint: the key carries its unit: power_w = 74.3
`},
		{"[unit]\nfuses_a\t=\t[" + long + ", \"x\"]", `
r:2:95: fuses_a is "x", a text; a number is needed
    2 | … 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, "x"]
      |                                                                    ^^^
hint: write one number, without quotes; fuses_a: the unit's own fuses, each; it is in amperes
`},
		{"[unit]\nfuses_a = [\"x\", " + long + "]", `
r:2:12: fuses_a is "x", a text; a number is needed
    2 | fuses_a = ["x", 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16,…
      |            ^^^
hint: write one number, without quotes; fuses_a: the unit's own fuses, each; it is in amperes
`},
		{"[unit]\nsize_mm = [\"左右\", 1, ] # e\u0301 \x7f", `
r:2:28: an invisible control character stands here
    2 | size_mm = ["左右", 1, ] # ` + "e\u0301" + ` ␡
      |                             ^
hint: delete it and type the text again
`},
	} {
		if got := "\n" + printed(c.text); got != c.want {
			t.Errorf("got:%swant:%s", got, c.want)
		}
	}
}

// TestPrintOtherProblems: a problem without a place, and a warning.
func TestPrintOtherProblems(t *testing.T) {
	var b strings.Builder
	if err := (Problem{Summary: "a\x1b[2Jb", Hint: "c\nd"}).Write(&b); err != nil || b.String() != "a␛[2Jb\nhint: c␊d\n" {
		t.Errorf("got %q, %v", b.String(), err)
	}
	if got := (Problem{Severity: Warning, File: "f", Line: 2, Column: 3, Summary: "s"}).String(); got != "f:2:3: warning: s\n" {
		t.Errorf("got %q", got)
	}
	if (Problems{{Severity: Warning}}).Errors() || !(Problems{{}}).Errors() {
		t.Error("Errors is wrong")
	}
}

// TestSort: by file, line, column and summary, in that order.
func TestSort(t *testing.T) {
	p := Problems{{File: "b"}, {File: "a", Line: 10}, {File: "a", Line: 9, Column: 2}, {File: "a", Line: 9, Column: 1, Summary: "z"}, {File: "a", Line: 9, Column: 1, Summary: "y"}}
	p.Sort()
	var got string
	for _, one := range p {
		got += fmt.Sprintf("%s%d%d%s ", one.File, one.Line, one.Column, one.Summary)
	}
	if got != "a91y a91z a92 a100 b00 " {
		t.Errorf("got %s", got)
	}
}

// TestLongLineOfMistakes: many mistakes on one very long line take memory in
// proportion, though each keeps the source around it, and each knows its column.
func TestLongLineOfMistakes(t *testing.T) {
	few, _ := mistakesOnOneLine(5_000)
	many, last := mistakesOnOneLine(20_000)
	if many > 6*few {
		t.Errorf("four times as many mistakes take %.1f times the memory", float64(many)/float64(few))
	}
	if want := len("fuses_a = [") + 5*(20_000-1) + 1; last.Column != want {
		t.Errorf("column %d, not %d", last.Column, want)
	}
	for line := range strings.Lines(last.String()) {
		if strings.Contains(line, " | ") && utf8.RuneCountInString(line) > columns {
			t.Errorf("%q is too long", line)
		}
	}
}

// mistakesOnOneLine gives how many bytes n mistakes take, and the last of them.
func mistakesOnOneLine(n int) (bytes uint64, last Problem) {
	text := []byte("[unit]\nfuses_a = [" + strings.Repeat("'é', ", n) + "]\n")
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, problems := DecodeRecord(&File{Name: "r", Text: text}, "x")
	runtime.ReadMemStats(&after)
	for _, p := range problems {
		if p.Line == 2 && p.Column > last.Column {
			last = p
		}
	}
	return after.TotalAlloc - before.TotalAlloc, last
}
