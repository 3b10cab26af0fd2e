package record

import (
	"strings"
	"testing"
)

// TestUnasked: an unfavourable verdict waits until the maker was asked and had
// time, or has answered.
func TestUnasked(t *testing.T) {
	const letter = "\n[[contact]]\ndate = 2026-10-20\nabout = \"the readings\"\n"
	for _, test := range []struct {
		name, added, day string
		wait             int
		want             string // what the message says; empty: nothing is missing
	}{
		{"nothing", "", "2026-12-01", 14, "the maker was not asked"},
		{"no time", letter, "2026-12-01", 14, "gave the maker no time"},
		{"a day less", letter + "answer_by = 2026-11-02\n", "2026-12-01", 14, "less than 14 days"},
		{"enough", letter + "answer_by = 2026-11-03\n", "2026-12-01", 14, ""},
		{"on the last day", letter + "answer_by = 2026-11-03\n", "2026-11-03", 14, "may answer until 2026-11-03"},
		{"on the day after", letter + "answer_by = 2026-11-03\n", "2026-11-04", 14, ""},
		{"no day asked for", letter + "answer_by = 2026-11-03\n", "", 14, ""},
		{"no waiting", letter + "answer_by = 2026-10-20\n", "2026-10-21", 0, ""},
		{"over the clock's change and a year's end", strings.Replace(letter, "10-20", "12-25", 1) + "answer_by = 2027-01-08\n", "2027-01-09", 14, ""},
		{"a second letter mends the first", letter + letter + "answer_by = 2026-11-03\n", "2026-12-01", 14, ""},
		{"answered", letter + "[reply]\ndate = 2026-10-21\nfrom = \"the maker\"\ntext = \"no\"\n", "2026-10-22", 14, ""},
		{"asked on the day of the first run", strings.Replace(letter, "10-20", "10-09", 1) + "answer_by = 2026-11-03\n", "2026-12-01", 14, ""},
		{"asked before anything was measured", strings.Replace(letter, "10-20", "10-08", 1) + "answer_by = 2026-11-03\n", "2026-12-01", 14, "the letter of 2026-10-08 is older than the first run, of 2026-10-09"},
		{"and again after", strings.Replace(letter, "10-20", "10-08", 1) + letter + "answer_by = 2026-11-03\n", "2026-12-01", 14, ""},
		{"answered before anything was measured", "[reply]\ndate = 2026-10-08\nfrom = \"the maker\"\ntext = \"no\"\n", "2026-10-22", 14, "the reply of 2026-10-08 is older than the first run, of 2026-10-09"},
		{"answered some day", letter + "[reply]\ndate = 2026-10-24\nfrom = \"the maker\"\ntext = \"no\"\n", "2026-10-22", 14, "gave the maker no time"},
		{"answered some day, and never asked", "[reply]\ndate = 2026-10-24\nfrom = \"the maker\"\ntext = \"no\"\n", "2026-10-22", 14, "the reply of 2026-10-24 has not come yet"},
		{"answered today, where it is tomorrow already", "[reply]\ndate = 2026-11-01\nfrom = \"the maker\"\ntext = \"no\"\n", "2026-10-31", 14, ""},
		{"answered some day, but the time is over", letter + "answer_by = 2026-11-03\n[reply]\ndate = 2026-12-24\nfrom = \"the maker\"\ntext = \"no\"\n", "2026-11-04", 14, ""},
		{"answered unasked", "[reply]\ndate = 2026-10-21\nfrom = \"the maker\"\ntext = \"no\"\n", "2026-10-22", 14, ""},
	} {
		r, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte(good(t, "record.toml") + test.added)}, "two-75")
		if len(problems) > 0 {
			t.Fatalf("%s: %v", test.name, problems)
		}
		got, hint, _ := r.Unasked(test.wait, test.day)
		switch {
		case test.want == "" && got != "":
			t.Errorf("%s: %s", test.name, got)
		case test.want != "" && !strings.Contains(got, test.want):
			t.Errorf("%s: got %q, want %q", test.name, got, test.want)
		case test.want != "" && hint == "":
			t.Errorf("%s: no hint", test.name)
		}
	}
}

// TestFollowsInACircle: of two units only one is the earlier.
func TestFollowsInACircle(t *testing.T) {
	decode := func(slug, follows string) *Record {
		text := strings.Replace(good(t, "record.toml"), "year = 2026", "year = 2026\nfollows = \""+follows+"\"", 1)
		r, problems := DecodeRecord(&File{Name: slug + "/record.toml", Text: []byte(text)}, slug)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return r
	}
	for _, test := range []struct {
		name   string
		of     []*Record
		circle bool
	}{
		{"two", []*Record{decode("one", "two"), decode("two", "one")}, true},
		{"three", []*Record{decode("one", "two"), decode("two", "three"), decode("three", "one")}, true},
	} {
		found := strings.Contains((&Content{Records: test.of}).Check().Error(), "in a circle")
		if found != test.circle {
			t.Errorf("%s: circle found: %t", test.name, found)
		}
	}
}
