package site

import "testing"

func TestLateTextsStandWhereTheirMarksAre(t *testing.T) {
	l := newLate()
	defer l.clear()
	var marks []string
	for _, text := range []string{"one", "", "three\x00late 0\x00"} {
		*l.desk = append(*l.desk, text...)
		marks = append(marks, string(l.marked()))
	}
	for _, r := range []struct{ page, want string }{
		{"a" + marks[0] + "b" + marks[1] + "c" + marks[2], "aonebcthree\x00late 0\x00"},
		{marks[2] + marks[0] + marks[0], "three\x00late 0\x00oneone"},
		{"none", "none"},
		{"\x00late 7\x00 \x00", "\x00late 7\x00 \x00"},
	} {
		if got := string(l.filled([]byte(r.page))); got != r.want {
			t.Errorf("%q becomes %q, want %q", r.page, got, r.want)
		}
	}
	if got := string(escape(marks[0])); got == marks[0] {
		t.Errorf("a text may hold the mark %q", got)
	}
}
