package kit

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The whole texts of one unit, as they were read and found right.
func TestTexts(t *testing.T) {
	made, problems := texts(newBench(t).subject(unit, usually()...))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, name := range []string{"description.txt", "pinned-comment.txt", "titles.txt", "results.vtt"} {
		got := string(made.named(t, name).Bytes)
		golden := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, _ := os.ReadFile(golden)
		if got != string(want) {
			os.WriteFile(golden+".got", []byte(got), 0o644)
			t.Errorf("%s is another:\n%s", name, got)
		}
	}
}

// A name from right to left turns nothing beside it in titles, chapters and descriptions.
func TestTextsIsolateNames(t *testing.T) {
	b := newBench(t)
	of := b.subject(unit, usually()...)
	of.Sheet.Name = "לוטרה 20"
	made, problems := texts(of)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, name := range []string{"description.txt", "titles.txt"} {
		for line := range strings.Lines(string(made.named(t, name).Bytes)) {
			if strings.Contains(line, "לוטרה") && !strings.Contains(line, "\u2068לוטרה 20\u2069") {
				t.Errorf("%s: %q", name, line)
			}
		}
	}
}

var chapterLine = regexp.MustCompile(`(?m)^((?:\d+:)?\d?\d:\d\d) (.+)$`)

// What platforms take, of each unit of the demo: a description of at most 5,000 bytes with
// neither < nor >; a title of at most 100 UTF-16 units; the first chapter at 0:00, at least
// three, each of 10 s or more, ascending (a large platform's help pages on descriptions and
// chapters, as of 2026).
func TestLimits(t *testing.T) {
	b := newBench(t)
	for slug, edits := range everyUnit(b) {
		of := b.subject(slug, edits...)
		made, problems := texts(of)
		if problems.Errors() {
			t.Errorf("%s: %v", slug, problems)
			continue
		}
		for _, f := range made.Files {
			switch {
			case strings.HasPrefix(f.Name, "description"):
				describes(t, slug+": "+f.Name, f.Bytes, of)
			case f.Name == "titles.txt":
				for title := range strings.Lines(string(f.Bytes)) {
					if n := len(utf16.Encode([]rune(strings.TrimSuffix(title, "\n")))); n > 100 || n == 0 {
						t.Errorf("%s: a title of %d", slug, n)
					}
				}
			}
		}
	}
}

// describes holds a description against the rules.
func describes(t *testing.T, name string, text []byte, of Subject) {
	t.Helper()
	if len(text) > 5000 || !utf8.Valid(text) || strings.ContainsAny(string(text), "<>") {
		t.Errorf("%s isn't taken: %d bytes", name, len(text))
	}
	if !strings.HasPrefix(string(text), of.Sheet.Name+": "+of.Sheet.Headline) || !strings.Contains(string(text), of.Sheet.Disclosure) {
		t.Errorf("%s lacks the verdict at its head, or the disclosure", name)
	}
	last, n := -10, 0
	for _, m := range chapterLine.FindAllStringSubmatch(string(text), -1) {
		at, ok := record.ParseClock(m[1])
		if !ok || at-last < 10 || n == 0 && at != 0 {
			t.Errorf("%s: a chapter at %s after %d s", name, m[1], last)
		}
		last, n = at, n+1
	}
	if n > 0 && n < 3 {
		t.Errorf("%s: %d chapters", name, n)
	}
}

// everyUnit are the units of the demo that are published, one with marks.
func everyUnit(b *bench) map[string][]string {
	folders, _ := filepath.Glob(filepath.Join(content, "units", "*"))
	all := map[string][]string{}
	for _, f := range folders {
		all[filepath.Base(f)] = nil
	}
	if len(all) < 5 {
		b.Fatal("the demo has hardly a unit")
	}
	all[unit] = usually()
	return all
}

// A channel's name from right to left would turn the figure behind it: 6.3 ± 116.9.
func TestCaptionsIsolateChannels(t *testing.T) {
	made, problems := texts(newBench(t).subject(unit, append(usually(), `channels = ["A", "B"]`, `channels = ["ימין", "שמאל"]`)...))
	text := string(made.named(t, "results.vtt").Bytes)
	if problems.Errors() || !strings.Contains(text, ": \u2068ימין\u2069 (") || !strings.Contains(text, ", \u2068שמאל\u2069 (") {
		t.Errorf("%v\n%s", problems, text)
	}
}

// Each rule has a record that breaks it, told with its place, and one that just doesn't.
func TestRules(t *testing.T) {
	b := newBench(t)
	name := "model = \"Loftanvil 350\"\n"
	long := strings.Repeat("Loftanvil ", 7)
	for what, c := range map[string]struct {
		edits []string
		want  string // empty: no problem
	}{
		"10 s apart":       {marked("8-ohm", "0:10", "r01", "0:20", "r05", "8:30"), ""},
		"9 s apart":        {marked("8-ohm", "0:10", "r01", "0:19", "r05", "8:30"), "the chapter at 0:19 begins 9 s after the one at 0:10, and platforms show chapters of 10 s or more only"},
		"9 s after 0:00":   {marked("8-ohm", "0:09", "r01", "0:50", "r05", "8:30"), "the chapter at 0:09 begins 9 s after the one at 0:00"},
		"at 0:00":          {marked("8-ohm", "0:00", "r01", "0:50", "r05", "8:30"), ""},
		"one second":       {marked("8-ohm", "1:00", "r01", "1:00", "r05", "8:30"), ""},
		"repeats":          {marked("8-ohm", "1:00", "r01", "2:00", "r02", "2:05"), ""},
		"9 s to the end":   {marked("8-ohm", "1:00", "r01", "2:00", "r05", "8:31"), "the chapter at 8:31 ends with the video after 9 s"},
		"two chapters":     {marked("8-ohm", "1:00"), ""},
		"a picture":        {append(marked("8-ohm", "1:00", "r01", "2:00"), "[[picture]]\n", "[[picture]]\nvideo = \"2:03\"\n"), ""},
		"none":             {nil, ""},
		"a bracket":        {[]string{name, "model = \"Loftanvil <350>\"\n"}, ""},            // TestBracketsInNames
		"90 in the name":   {[]string{name, "model = \"" + (long + long)[:78] + "\"\n"}, ""}, // with the maker and a blank
		"too long a name":  {[]string{name, "model = \"" + strings.Repeat("ΩΩ", 50) + "\"\n"}, "the unit's name has 112 characters as platforms count them, and a video's title takes 100"},
		"too long for one": {[]string{"[[claim]]\nid = \"8-ohm\"\n", claims(160) + "[[claim]]\nid = \"8-ohm\"\n"}, "the description has "},
	} {
		_, problems := texts(b.subject(unit, c.edits...))
		switch {
		case c.want == "" && problems.Errors():
			t.Errorf("%s: %v", what, problems)
		case c.want != "" && !strings.Contains(problems.Error(), c.want):
			t.Errorf("%s: %v\nwant %s", what, problems, c.want)
		}
		for _, p := range problems {
			if p.Severity == record.Error && (p.File == "" || p.Line == 0 || p.Hint == "") {
				t.Errorf("%s: no place or no hint: %v", what, p)
			}
		}
	}
}

// A name with what platforms refuse makes a kit all the same: other brackets stand there, and
// each text says so once. What isn't for platforms keeps the name.
func TestBracketsInNames(t *testing.T) {
	of := newBench(t).subject(unit, append(usually(), "model = \"Loftanvil 350\"\n", "model = \"Loft <350>\"\n")...)
	made, problems := texts(of)
	if problems.Errors() {
		t.Fatal(problems)
	}
	for _, name := range []string{"description.txt", "titles.txt", "pinned-comment.txt"} {
		text := string(made.named(t, name).Bytes)
		if strings.ContainsAny(text, "<>") || name != "pinned-comment.txt" && !strings.Contains(text, "Loft ‹350›") {
			t.Errorf("%s:\n%s", name, text)
		}
	}
	for _, in := range []string{"a description", "a title"} {
		want := "warning: platforms take neither < nor > in " + in + ", so ‹ stands there for <"
		if n := strings.Count(problems.Error(), want); n != 1 {
			t.Errorf("%q is told %d times:\n%v", want, n, problems)
		}
	}
}

func claims(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString("[[claim]]\nid = \"more-" + strconv.Itoa(i) + "\"\nquantity = \"power\"\npower_w = " + strconv.Itoa(300+i) + "\nload_ohm = 16\nchannels = 2\nthdn_pct = 1\n\n")
	}
	return b.String()
}

// Chapters can be left out, and then break no rule.
func TestWithoutChapters(t *testing.T) {
	of := newBench(t).subject(unit, marked("8-ohm", "0:03")...)
	of.Plain = true
	made, problems := texts(of)
	if problems.Errors() || strings.Contains(string(made.named(t, "description.txt").Bytes), "0:00") {
		t.Errorf("%v\n%s", problems, made.named(t, "description.txt").Bytes)
	}
}

// A unit's own template has its parts in place; what is wrong with one is told with its line.
func TestTemplate(t *testing.T) {
	of := newBench(t).subject(unit, usually()...)
	for text, want := range map[string]string{
		"Hello.\r\n\n{verdict}\n{disclosure}\nBye.":  "",
		"{disclosure}\n{verdicts}\n":                 "description.txt:2:1: there is no part {verdicts} of a description",
		"{disclosure}\nSee {address}.\n":             "description.txt:2:1: a part of a description stands on a line of its own, and {address} doesn't",
		"{verdict}\n":                                "description.txt: this leaves out who supplied the unit",
		"{disclosure}\n\nless than <1 % of all\n":    `description.txt:3:1: "<" stands in a description`,
		"{disclosure}\n" + strings.Repeat("Ω", 2500): "description.txt: the description has ",
	} {
		of.Template = &record.File{Name: "description.txt", Text: []byte(text)}
		made, problems := texts(of)
		if want != "" {
			if !strings.Contains(problems.Error(), want) {
				t.Errorf("%q: %v\nwant %s", text, problems, want)
			}
			continue
		}
		got := string(made.named(t, "description.txt").Bytes)
		if problems.Errors() || got != "Hello.\n\n"+of.Sheet.Name+": "+of.Sheet.Headline+"\n"+of.Sheet.Disclosure+"\nBye.\n" {
			t.Errorf("%v\n%s", problems, got)
		}
	}
}

// A file of captions as WebVTT 1.0 (W3C) has it: the signature and a blank line, cues with
// hours, minutes, seconds and three digits, in order and one after the other, no arrow or
// tag in a text.
func TestCaptionsAreWebVTT(t *testing.T) {
	made, _ := texts(newBench(t).subject(unit, append(usually(), "model = \"Loftanvil 350\"\n", "model = \"Loft<anvil> --> & 350\"\n")...))
	text := string(made.named(t, "results.vtt").Bytes)
	rest, is := strings.CutPrefix(text, "WEBVTT\n\n")
	if !is {
		t.Fatalf("no signature:\n%s", text)
	}
	timing := regexp.MustCompile(`^(\d\d:[0-5]\d:[0-5]\d\.\d{3}) --> (\d\d:[0-5]\d:[0-5]\d\.\d{3})$`)
	last, cues := "", 0
	for block := range strings.SplitSeq(strings.TrimSpace(rest), "\n\n") {
		head, body, _ := strings.Cut(block, "\n")
		if strings.Contains(body, "-->") || strings.ContainsAny(body, "<>") || body == "" {
			t.Errorf("a cue's text can't be that: %q", block)
		}
		if head == "NOTE" {
			continue
		}
		m := timing.FindStringSubmatch(head)
		if m == nil || m[1] < last || m[2] <= m[1] { // of one length, so that text sorts as time
			t.Errorf("a cue's time can't be that: %q", head)
			continue
		}
		last, cues = m[2], cues+1
	}
	if cues != 6 {
		t.Errorf("%d cues", cues)
	}
}

// With several videos each has its own description and captions, of its own marks.
func TestSeveralVideos(t *testing.T) {
	edits := marked("8-ohm", "bench 0:45", "r01", "bench 1:20", "r05", "second 3:05")
	edits[1] = strings.Replace(edits[1], "[settings]", "[[video]]\nid = \"second\"\ntitle = \"A second look\"\n\n[settings]", 1)
	of := newBench(t).subject(unit, edits...)
	made, problems := texts(of)
	// The second has too few chapters for a platform to show, and so none.
	if problems.Errors() || !strings.Contains(problems.Error(), "the video has 2 chapters, and platforms show none of fewer than 3") {
		t.Error(problems)
	}
	if strings.Contains(string(made.named(t, "description-second.txt").Bytes), "0:00") || !strings.Contains(string(made.named(t, "description-bench.txt").Bytes), "\n1:20 ") {
		t.Error("the chapters are in the wrong description")
	}
	first := string(made.named(t, "results-bench.vtt").Bytes)
	second := string(made.named(t, "results-second.vtt").Bytes)
	if strings.Contains(first, "00:03:05") || !strings.Contains(first, "00:01:20") || !strings.Contains(second, "00:03:05") || strings.Contains(second, "00:01:20") {
		t.Errorf("marks are in the wrong video:\n%s\n%s", first, second)
	}
}

// A title that counts says how many are met and how many short, and nothing where none is
// decided; a unit without claims isn't asked about them.
func TestTitlesCountFairly(t *testing.T) {
	for _, c := range []struct{ words, counts string }{
		{"", ""}, {"open", ""}, {"open untested incomparable", ""},
		{"met", "1 of 1 claim met"}, {"met met", "2 of 2 claims met"},
		{"met open", "1 of 2 claims met, 1 not decided"}, {"met short open", "1 of 3 claims met, 1 short"},
		{"short", "1 of 1 claim falls short"}, {"open short", "1 of 2 claims falls short"}, {"short short open", "2 of 3 claims fall short"},
	} {
		of := newBench(t).subject(unit, usually()...)
		of.Sheet.Claims = nil
		for word := range strings.FieldsSeq(c.words) {
			of.Sheet.Claims = append(of.Sheet.Claims, &sheet.Claim{Verdict: verdict.Word(word), Rec: &record.Claim{}})
		}
		made, _ := texts(of)
		titles := string(made.named(t, "titles.txt").Bytes)
		if has := strings.Contains(titles, "claim met") || strings.Contains(titles, "claims met") || strings.Contains(titles, " short"); has != (c.counts != "") {
			t.Errorf("%q: it counts though nothing is decided, or doesn't:\n%s", c.words, titles)
		}
		if c.counts != "" && !strings.Contains(titles, ": "+c.counts+"\n") {
			t.Errorf("%q: no title says %q:\n%s", c.words, c.counts, titles)
		}
		if asks := strings.Contains(titles, "do what it claims?"); asks != (c.words != "") {
			t.Errorf("%q: a title asks about claims: %v", c.words, asks)
		}
	}
}

// A run of many channels is told by its weakest and by all of them: a caption can be read.
func TestCaptionsOfManyChannels(t *testing.T) {
	for n, want := range map[int]string{
		4:  "c1 (26.3 ± 0.5) W, c2 (25.3 ± 0.5) W, c3 (27.3 ± 0.5) W, c4 (28.3 ± 0.5) W",
		5:  "c2 (25.3 ± 0.5) W, the weakest of 5 channels, (133 ± 2) W in all",
		40: "c2 (25.3 ± 0.5) W, the weakest of 40 channels, (133 ± 2) W in all",
	} {
		r := &sheet.Run{Valid: true, Completed: true, Nominal: 4, Total: &sheet.Figure{Text: "(133 ± 2) W"}}
		for i := range n {
			x := 25.3 + float64(i)
			if i < 2 {
				x = 26.3 - float64(i)
			}
			r.Channels = append(r.Channels, &sheet.Channel{Name: "c" + strconv.Itoa(i+1), Power: &sheet.Figure{X: x, Text: "(" + strconv.FormatFloat(x, 'f', 1, 64) + " ± 0.5) W"}})
		}
		if got := runSays(r); got != "4"+nbsp+"Ω: "+want {
			t.Errorf("%d channels: %q", n, got)
		}
	}
}
