package record

import (
	"strings"
	"testing"
)

// The parts of a problem, put together, are the line that String prints; the marked part is what stands over its marks.
func TestShownIsWhatIsPrinted(t *testing.T) {
	text := "a = 1\nload = \"4a\"\tb\u202e<b>\n"
	f := &File{Name: "content/x\u2066.toml", Text: []byte(text)}
	p := f.Problem(Warning, strings.Index(text, `"4a"`), 4, "no\x1bload", "did you mean \u202e?")
	s := p.Shown()
	if s.Before != "load = " || s.Marked != `"4a"` || !s.Warning || s.Line != 2 || s.Column != 8 {
		t.Errorf("got %+v", s)
	}
	printed := p.String()
	if whole := s.Before + s.Marked + s.After; !strings.Contains(printed, "| "+whole+"\n") {
		t.Errorf("%q is not in\n%s", whole, printed)
	}
	for _, part := range []string{s.File, s.Summary, s.Hint, s.After} {
		if strings.ContainsAny(part, "\x1b\u202e\u2066") {
			t.Errorf("%q isn't harmless", part)
		}
	}
	if whole := (Problem{Summary: "x", File: "y"}).Shown(); whole.Before+whole.Marked+whole.After != "" {
		t.Errorf("a whole file has a source line: %+v", whole)
	}
}

// A long line is cut between characters, on both sides of the problem.
func TestShownOfALongLine(t *testing.T) {
	for shift := range 4 {
		text := strings.Repeat("x", shift) + strings.Repeat("עé電", 400)
		f := &File{Name: "x", Text: []byte(text)}
		s := f.Problem(Error, strings.Index(text[len(text)/2:], "電")+len(text)/2, 3, "x", "").Shown()
		if whole := s.Before + s.Marked + s.After; s.Marked != "電" || !strings.HasPrefix(whole, "…") || !strings.HasSuffix(whole, "…") || strings.Contains(whole, "<") || !strings.Contains(text, strings.Trim(whole, "…")) {
			t.Errorf("shifted by %d: %q", shift, whole)
		}
	}
}

// A problem at the end of a line marks nothing, and one that goes beyond the line ends with it.
func TestShownAtTheEnds(t *testing.T) {
	f := &File{Name: "x", Text: []byte("abc\ndef")}
	if s := f.Problem(Error, 3, 1, "x", "").Shown(); s.Before != "abc" || s.Marked != "" || s.After != "" {
		t.Errorf("got %+v", s)
	}
	if s := f.Problem(Error, 1, 6, "x", "").Shown(); s.Before != "a" || s.Marked != "bc" || s.After != "" {
		t.Errorf("got %+v", s)
	}
}
