package site

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// Numbers in subtitles and descriptions that disagree with the record are told with their
// line, whichever way a site is loaded; those that agree, and times, are not. None of the
// files is published.
func TestSpokenNumbers(t *testing.T) {
	const folder, cue = "content/units/ottersprocket-20/", "1\n00:00:20,300 --> 00:00:22,600\n"
	root := addressed(t, nil, "https://bench.example/", "")
	for name, text := range map[string]string{
		"right.srt":       cue + "It gave 90 W.\n",
		"wrong.srt":       cue + "It gave 108 W.\n",
		"words.srt":       cue + "It gave 108 watts there.\n",
		"tags.vtt":        "WEBVTT\n\n00:00:20.300 --> 00:00:22.600\n<v Tester>It gave <b>108 W</b>.\n",
		"description.txt": "{verdict}\nIt gave 108 W.\n{disclosure}\n",
		"WINDOWS.SRT":     strings.ReplaceAll(cue+"It gave 108 W.\n", "\n", "\r\n"),
		"else.srt":        cue + "It is 300 mm from 12 V.\n",
		"time.srt":        cue + "At 20 s and 20,300 it was.\n",
	} {
		put(t, root, folder+name, text)
	}
	want := []string{
		"WINDOWS.SRT:3:9: 108 W", "description.txt:2:9: 108 W", "tags.vtt:4:22: 108 W", "words.srt:3:9: 108 watts", "wrong.srt:3:9: 108 W",
	}
	same := func(way string, problems record.Problems) {
		t.Helper()
		var got []string
		for _, p := range problems {
			if number, _, is := strings.Cut(p.Summary, " is typed"); is && p.Severity == record.Warning {
				place, _, _ := strings.Cut(p.String(), " warning:")
				got = append(got, strings.TrimPrefix(place, folder)+" "+number)
			}
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", way, got, want)
		}
	}
	checked, err := Check(root, today)
	if err != nil {
		t.Fatal(err)
	}
	same("check", checked.Problems)
	s := loaded(t, root)
	_, problems, err := s.Outputs()
	if err != nil {
		t.Fatal(err)
	}
	same("outputs", problems)
	if d := s.Description("ottersprocket-20"); d == nil || d.Name != folder+DescriptionFile {
		t.Errorf("the template is %v", d)
	}
	same("build", built(t, root, "public", today).Problems)
	for _, ending := range []string{"*.srt", "*.SRT", "*.vtt", "*.txt"} {
		if found, _ := filepath.Glob(filepath.Join(root, "public/units/*", ending)); found != nil {
			t.Errorf("published: %v", found)
		}
	}
}
