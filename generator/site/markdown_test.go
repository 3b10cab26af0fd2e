package site

import (
	"fmt"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// bench is a sheet with two runs, as notes may cite them.
func bench() *sheet.Sheet {
	figure := func(text string) *sheet.Figure { return &sheet.Figure{Text: text} }
	method, rec := &record.Method{}, &record.Run{}
	return &sheet.Sheet{Slug: "otter", Record: &record.Record{}, Runs: []*sheet.Run{
		{ID: "r1", Method: method, Rec: rec, Channels: []*sheet.Channel{
			{Name: "L", Power: figure("(50.1 ± 1.2) W"), OutV: figure("(20.0 ± 0.1) V")},
			{Name: "R", Power: figure("(49.8 ± 1.2) W"), Distortion: figure("(1.00 ± 0.04) %")},
		}, Total: figure("(99.9 ± 2.2) W"), Efficiency: figure("(71 ± 2) %"), Heat: figure("(41 ± 3) W")},
		{ID: "r2", Method: method, Rec: rec, Channels: []*sheet.Channel{{Name: "L+R", Power: figure("(190 ± 5) W")}}},
	}}
}

// notes renders notes of that sheet, and gives their problems, one a line.
func notes(t *testing.T, text string) (page, problems string) {
	t.Helper()
	file := &record.File{Name: "notes.md", Text: []byte(text)}
	out, found := renderMarkdown(file, manner{Root: "../../", Sheet: bench(), Level: 3, IDs: "notes-"})
	var lines []string
	for _, p := range found {
		kind := "error"
		if p.Severity == record.Warning {
			kind = "warning"
		}
		lines = append(lines, fmt.Sprintf("%s:%d:%d: %s: %s\nhint: %s", p.File, p.Line, p.Column, kind, p.Summary, p.Hint))
	}
	return string(out.Lead + out.Rest), strings.Join(lines, "\n")
}

func TestNotesCiteFigures(t *testing.T) {
	for cite, want := range map[string]string{
		"r1/power.L":    `<a class="value" href="#run-r1">(50.1 ± 1.2) W</a>`,
		"r1/out_v.L":    `<a class="value" href="#run-r1">(20.0 ± 0.1) V</a>`,
		"r1/thdn.R":     `<a class="value" href="#run-r1">(1.00 ± 0.04) %</a>`,
		"r1/total":      `<a class="value" href="#run-r1">(99.9 ± 2.2) W</a>`,
		"r1/efficiency": `<a class="value" href="#run-r1">(71 ± 2) %</a>`,
		"r1/heat":       `<a class="value" href="#run-r1">(41 ± 3) W</a>`,
		"r2/power":      `<a class="value" href="#run-r2">(190 ± 5) W</a>`,
		"r2/power.L+R":  `<a class="value" href="#run-r2">(190 ± 5) W</a>`,
	} {
		page, problems := notes(t, "It gave [](value:"+cite+") there.")
		if want = "<p>It gave " + want + " there.</p>\n"; page != want || problems != "" {
			t.Errorf("%s: got %q and %q, want %q", cite, page, problems, want)
		}
	}
}

func TestNotesWithMistakes(t *testing.T) {
	for _, c := range []struct{ notes, problems string }{
		{"Ümlaut, then [](value:r7/power).", "notes.md:1:14: error: there is no run \"r7\" in the record\nhint: did you mean r1?"},
		{"a\n\nb [](value:long-name/power)", "notes.md:3:3: error: there is no run \"long-name\" in the record\nhint: the record has r1 and r2"},
		{"[](value:r1/power)", "notes.md:1:1: error: run r1 has no \"power\"\nhint: it has several channels; write power.L or power.R"},
		{"[](value:r1/eficiency)", "notes.md:1:1: error: run r1 has no \"eficiency\"\nhint: did you mean efficiency?"},
		{"[](value:r2/noise)", "notes.md:1:1: error: run r2 has no \"noise\"\nhint: it has power.L+R"},
		{"[](value:r2)", "notes.md:1:1: error: run r2 has no \"\"\nhint: it has power.L+R"},
		{"> - [about 50](value:r1/total)", "notes.md:1:5: error: the text of a citation would be left out\nhint: leave the brackets empty: [](value:r1/total)"},
		{"[](value:r1/power L)", "notes.md:1:2: error: this is not a citation as it stands\nhint: write it without blanks: [](value:RUN/QUANTITY)"},
		{"See <b>this</b>.", "notes.md:1:5: warning: raw HTML is left out\nhint: write markdown; a bare < is written \\<\n" +
			"notes.md:1:12: warning: raw HTML is left out\nhint: write markdown; a bare < is written \\<"},
		{"a\n\n<div onclick=x>\ny\n</div>\n", "notes.md:3:1: warning: raw HTML is left out\nhint: write markdown; a bare < is written \\<"},
		{"a ![bench](bench.jpg)", "notes.md:1:3: error: a picture in the text can't be published\nhint: take it out; pictures in texts are not supported"},
		{"![x](data:image/png;base64,AA)", "notes.md:1:1: error: a picture in the text can't be published\nhint: take it out; pictures in texts are not supported"},
		{"[a](javascript:x)", "notes.md:1:1: warning: a link to javascript: is left out\nhint: links may start with https:, http: or mailto:, or name a page of this site"},
		{"[a](//elsewhere.example/)", "notes.md:1:1: warning: a link to //elsewhere.example/ is left out\nhint: links may start with https:, http: or mailto:, or name a page of this site"},
		{"a <!-- for me only --> b\n\n<!-- and this -->\n", ""},
		{"Code shows `[](value:x/y z)` as it is.", ""},
	} {
		if _, problems := notes(t, c.notes); problems != c.problems {
			t.Errorf("%q:\n got %s\nwant %s", c.notes, problems, c.problems)
		}
	}
}

// TestNotesAreHarmless feeds ways to smuggle a script through a link. The
// disguises are those that the URL Standard's parser undoes: leading blanks, tabs
// and newlines are stripped (url.spec.whatwg.org, 4.4), and character references
// are resolved by HTML.
func TestNotesAreHarmless(t *testing.T) {
	for _, address := range []string{
		"javascript:alert(1)", "JaVaScRiPt:alert(1)", "&#106;avascript:alert(1)", "&amp;#106;avascript:alert(1)", "javascript&colon;alert(1)",
		"java&Tab;script:alert(1)", "java&NewLine;script:alert(1)", "&#1;javascript:alert(1)", `\javascript:alert(1)`, "<java\tscript:alert(1)>",
		"vbscript:x", "data:text/html,x", "data:image/svg+xml,x", "file:///etc/hosts", "//elsewhere.example/x", `\\elsewhere.example`, "blob:x",
	} {
		for _, text := range []string{"[go](" + address + ")", "[go][1]\n\n[1]: " + address, "<" + strings.Trim(address, "<>") + ">"} {
			page, _ := notes(t, text)
			for _, a := range elements(t, page, "a") {
				to := strings.ToLower(attr(a, "href"))
				if scheme.MatchString(to) && !strings.HasPrefix(to, "http") && !strings.HasPrefix(to, "mailto:") || strings.HasPrefix(to, "//") {
					t.Errorf("%q became a link to %q", text, to)
				}
			}
			if strings.Contains(page, "href=\"\"") {
				t.Errorf("%q became a link to the page itself: %s", text, page)
			}
		}
	}
}

func TestNotesLinks(t *testing.T) {
	for given, want := range map[string]string{
		"https://a.example/?a=1&b=2": "https://a.example/?a=1&b=2",
		"mailto:bench@a.example":     "mailto:bench@a.example",
		"/methodology/#rule":         "../../methodology/index.html#rule",
		"/":                          "../../index.html",
		"../badger/":                 "../badger/index.html",
		"#run-r1":                    "#run-r1",
		"runs.csv":                   "runs.csv",
	} {
		page, problems := notes(t, "["+given+"]("+given+")")
		links := elements(t, page, "a")
		if len(links) != 1 || attr(links[0], "href") != want || problems != "" {
			t.Errorf("%s: got %s %s, want a link to %s", given, page, problems, want)
		}
	}
}

func TestNotesHeadings(t *testing.T) {
	page, _ := notes(t, "# Übersteuert bei 2 Ω\n\n### Deeper\n\n# Übersteuert bei 2 Ω\n\n## Zwei\n\n# !!\n")
	var got []string
	for _, name := range []string{"h3", "h4", "h5"} {
		for _, h := range elements(t, page, name) {
			got = append(got, name+"#"+attr(h, "id"))
		}
	}
	want := "h3#notes-übersteuert-bei-2-ω h3#notes-übersteuert-bei-2-ω-2 h3#notes-section h4#notes-deeper h4#notes-zwei"
	if strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}

func TestNotesTables(t *testing.T) {
	page, _ := notes(t, "| a | b |\n|---|--:|\n| 1 | 2 |\n")
	if strings.Contains(page, "style=") || strings.Contains(page, "align=") {
		t.Errorf("a style that the pages' policy forbids: %s", page)
	}
	if !strings.Contains(page, `<th class="right" scope="col">b</th>`) || !strings.Contains(page, `<td class="right">2</td>`) {
		t.Errorf("alignment isn't a class: %s", page)
	}
}

// elements parses a part of a page and gives its elements of a name.
func elements(t *testing.T, page, name string) []*html.Node {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var out []*html.Node
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode && n.Data == name {
			out = append(out, n)
		}
	}
	return out
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}
