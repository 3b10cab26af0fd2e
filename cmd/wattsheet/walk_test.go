package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// A spoken command is one of the README's session: what is typed to run it, what it
// then shows, and in that what is typed at it.
type spoken struct {
	args  []string
	shows string
	typed string
}

// session takes the README's session apart. What stands behind a question or a prompt
// is what somebody typed there.
func session(t *testing.T) []spoken {
	t.Helper()
	shown := readmeBlocks(t, "session")
	if len(shown) != 1 {
		t.Fatalf("the README shows %d sessions", len(shown))
	}
	var asks []string
	for _, q := range append(siteQuestions(&siteAnswers{}), unitQuestions(&unitAnswers{})...) {
		asks = append(asks, regexp.QuoteMeta(q.asks)+`(?: \[[^]]*\])?`)
	}
	asked := regexp.MustCompile(`^(?:` + strings.Join(asks, "|") + `): (.*)$`)
	var out []spoken
	for line := range strings.Lines(shown[0]) {
		if command, ok := strings.CutPrefix(line, "$ wattsheet "); ok {
			out = append(out, spoken{args: strings.Fields(command)})
			continue
		}
		s := &out[len(out)-1]
		s.shows += line
		line = strings.TrimSuffix(line, "\n")
		if strings.HasSuffix(line, ":") {
			line += " " // Enter alone
		}
		for _, prompt := range []*regexp.Regexp{asked, typedIn} {
			if m := prompt.FindStringSubmatch(line); m != nil {
				s.typed += m[1] + "\n"
			}
		}
	}
	return out
}

// shows reports whether an output is what the README shows of it, in which lines of …
// stand for any. Blanks at the end of a line don't count.
func shows(got, want string) bool {
	parts := strings.Split("\n"+want, "\n…\n")
	got = "\n" + strings.ReplaceAll(got, " \n", "\n")
	for i, part := range parts {
		at := strings.Index(got, part)
		if at < 0 || i == 0 && at > 0 {
			return false
		}
		got = got[at+len(part):]
	}
	return strings.HasSuffix(want, "\n…\n") || strings.TrimSuffix(got, "\n") == ""
}

// TestFromNothingToAPage does what the README shows, in an empty folder: start, plan, log,
// check, build. The meter on DC is caught before it is written, what the record had is
// the beginning of what it has, and the page says the verdicts.
//
// 26.42 V and 26.47 V across 4 Ω with 0.01 Ω of leads are 174.9 W and 175.6 W at the
// terminals, 20.4 V across 2 Ω are 209 W (V²/R·(1 + Rlead/R), by hand): of claims of 150 W
// and 250 W one is met and one short.
func TestFromNothingToAPage(t *testing.T) {
	all := session(t)
	root := t.TempDir()
	t.Chdir(root)
	file := filepath.Join(root, "content", "units", "mossfettle-jar-150", "record.toml")
	now := time.Date(2026, 11, 26, 14, 5, 10, 0, time.UTC)
	clock := func() time.Time { now = now.Add(7 * time.Second); return now }
	var did []string
	for _, s := range all {
		before, _ := os.ReadFile(file)
		var out bytes.Buffer
		status := run(strings.NewReader(s.typed), &out, &out, s.args, clock, nil)
		if status != exitDone || !shows(out.String(), s.shows) {
			t.Errorf("wattsheet %s: status %d; it shows\n%s\nthe README shows\n%s", strings.Join(s.args, " "), status, out.String(), s.shows)
		}
		after, _ := os.ReadFile(file)
		if !bytes.HasPrefix(after, before) {
			t.Errorf("wattsheet %s changed bytes of the record", s.args[0])
		}
		did = append(did, s.args[0])
	}
	if got := strings.Join(did, " "); got != "start start plan log check build" {
		t.Errorf("the README's commands are %s", got)
	}
	record, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]int{"[[run]]\nid": 5, "= 0.43": 0, "\noutcome = \"protected\"": 1, "\ninvalid = \"the clamp was not closed\"": 1, "\nout_v = 26.42": 1} {
		if got := bytes.Count(record, []byte(text)); got != want {
			t.Errorf("the record has %q %d times, not %d", text, got, want)
		}
	}
	// The first line of each file leads editors to a schema that was published.
	for _, name := range []string{"content/site.toml", "content/bench.toml", "content/methods.toml", "content/units/mossfettle-jar-150/record.toml"} {
		text, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		line, _, _ := strings.Cut(string(text), "\n")
		schema, named := strings.CutPrefix(line, "#:schema ")
		at := filepath.Join(root, filepath.Dir(name), schema)
		if _, err := os.Stat(at); !named || err != nil || filepath.Base(at) != strings.TrimSuffix(filepath.Base(name), ".toml")+".schema.json" {
			t.Errorf("%s begins with %q: %v", name, line, err)
		}
	}
	page, err := os.ReadFile(filepath.Join(root, "public", "units", "mossfettle-jar-150", "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	said := words(t, page)
	for _, want := range []string{"One of two claims met, one short.", "Mossfettle Jar 150", "of 150 W claimed", "of 250 W claimed", "The clamp was not closed", "the unit shut down (protection)"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
}
