package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"
)

// result runs the program with a clock that goes on by a second at each look, and
// stands after the day of every run.
func result(args ...string) (status int, stdout, stderr string) {
	var out, err bytes.Buffer
	now := time.Date(2026, 12, 1, 3, 4, 5, 0, time.UTC)
	clock := func() time.Time { now = now.Add(time.Second); return now }
	status = run(strings.NewReader(""), &out, &err, args, clock, nil)
	return status, out.String(), err.String()
}

func tinySite(t *testing.T) fsDir {
	t.Helper()
	dir, err := filepath.Abs("../../generator/site/testdata/tiny")
	if err != nil {
		t.Fatal(err)
	}
	return fsDir(dir)
}

// A fsDir is a folder to be copied.
type fsDir string

func (d fsDir) copyTo(t *testing.T, dir string) {
	t.Helper()
	if err := os.CopyFS(dir, os.DirFS(string(d))); err != nil {
		t.Fatal(err)
	}
}

// The examples that help prints do work: each is run, in a folder that holds
// content with two units and a check unit, the site made of it, and a site called
// demo.
func TestExamplesOfHelpWork(t *testing.T) {
	tiny := tinySite(t)
	for _, c := range commands() {
		if len(c.examples) == 0 {
			t.Errorf("%s has no example", c.name)
		}
		_, help, _ := result("help", c.name)
		for _, example := range c.examples {
			if !strings.Contains(help, "\n  "+example+"\n") {
				t.Errorf("help %s doesn't print %q", c.name, example)
			}
			dir := t.TempDir()
			tiny.copyTo(t, dir)
			tiny.copyTo(t, filepath.Join(dir, "demo"))
			units := filepath.Join("content", "units")
			fsDir(filepath.Join(string(tiny), units, "ottersprocket-20")).copyTo(t, filepath.Join(dir, units, "ottersprocket-21"))
			addCheckUnit(t, filepath.Join(dir, "content", "bench.toml"))
			if err := os.WriteFile(filepath.Join(dir, "bench.csv"), []byte("out_v,thdn_pct\n20.1,1.0\n"), 0o644); err != nil {
				t.Fatal(err)
			}
			t.Chdir(dir)
			if status, _, err := result("build"); status != exitDone { // verify needs a built site
				t.Fatal(err)
			}
			words := strings.Fields(example)
			if words[0] != "wattsheet" || len(words) < 2 || words[1] != c.name {
				t.Fatalf("%q is no example of %s", example, c.name)
			}
			if c.name == "watch" { // it goes on until it is ended
				w := watching(t, words[2:]...)
				if w.address(t); w.end() != exitDone {
					t.Errorf("%s: said\n%s", example, w.said())
				}
				continue
			}
			if status, out, err := result(words[1:]...); status != exitDone || out == "" {
				t.Errorf("%s: status %d\n%s%s", example, status, out, err)
			}
		}
	}
}

// addCheckUnit gives a bench an amplifier of its own, measured on one day.
func addCheckUnit(t *testing.T, bench string) {
	t.Helper()
	text, err := os.ReadFile(bench)
	if err != nil {
		t.Fatal(err)
	}
	text = append(text, "\n[check_unit]\nname = \"the bench's own\"\nmethod = \"thd1\"\nload = \"four\"\n[[check_unit.day]]\ndate = 2026-10-09\nout_v = 12.1\n"...)
	if err := os.WriteFile(bench, text, 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestHelpTellsOfEveryCommandAndFlag(t *testing.T) {
	_, all, _ := result("help")
	for _, c := range commands() {
		if !strings.Contains(all, "\n  "+c.name+" ") || !strings.Contains(all, c.does+"\n") {
			t.Errorf("help doesn't tell of %s", c.name)
		}
		_, help, _ := result("help", c.name)
		for _, o := range c.flags {
			if !strings.Contains(help, "--"+o.name+" "+o.value+" ") || !strings.Contains(c.takes, "--"+o.name) {
				t.Errorf("help %s doesn't tell of --%s", c.name, o.name)
			}
		}
		for line := range strings.Lines(help + all) {
			if n := len([]rune(line)); n > 81 {
				t.Errorf("help %s has a line of %d characters: %s", c.name, n, line)
			}
		}
	}
}

// All that a build says, with the time of the given clock.
func TestBuildSaysWhatItDid(t *testing.T) {
	dir := t.TempDir()
	tinySite(t).copyTo(t, dir)
	t.Chdir(dir)
	if status, _, err := result("build"); status != exitDone {
		t.Fatal(err)
	}
	status, out, _ := result("build")
	lines := strings.Split(out, "\n")
	if status != exitDone || len(lines) != 6 || lines[4] != "took 1s" || lines[5] != "" ||
		lines[2] != "0 units evaluated, 1 known from before" || !strings.HasPrefix(lines[3], "public: 0 files written, ") {
		t.Errorf("status %d, said\n%s", status, out)
	}
}

func TestProgressIsOnlyForSlowWorkOnTerminals(t *testing.T) {
	slow := func() { time.Sleep(60 * time.Millisecond) }
	for _, row := range []struct {
		name     string
		lively   bool
		patience time.Duration
		talks    bool
	}{{"slow work on a terminal", true, 5 * time.Millisecond, true}, {"quick work", true, time.Minute, false}, {"a file", false, 0, false}} {
		var err bytes.Buffer
		u := newUI(nil, &err, time.Now, nil)
		u.lively, u.patience = row.lively, row.patience
		u.during("writing", slow)
		got := err.String()
		if !row.talks {
			if got != "" {
				t.Errorf("%s: said %q", row.name, got)
			}
			continue
		}
		if !strings.HasPrefix(got, "\rwriting … ") || strings.Contains(got, "\n") {
			t.Errorf("%s: said %q", row.name, got)
		}
		// The line is blanked over its whole width, and the next text begins there.
		parts := strings.Split(strings.Trim(got, "\r"), "\r")
		if last := parts[len(parts)-1]; strings.Trim(last, " ") != "" || len([]rune(last)) < len([]rune(parts[0])) || !strings.HasSuffix(got, "\r") {
			t.Errorf("%s: the line is left as %q", row.name, got)
		}
	}
}

func TestNothingMovesOutsideOfATerminal(t *testing.T) {
	f, err := os.CreateTemp(t.TempDir(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if u := newUI(f, f, time.Now, nil); u.lively {
		t.Error("a file is taken for a terminal")
	}
}

func TestWordsForTheTerminalAreHarmless(t *testing.T) {
	var out, err bytes.Buffer
	u := newUI(&out, &err, time.Now, nil)
	bad := "\x1b[31mred\r\n\x07\u202egnp.\u2066x\x9b\xff"
	u.say("%s and %d", bad, 7)
	u.note(bad, "%s", bad)
	u.failed(errors.New(bad))
	_, _, typed := result(bad)
	_, _, flagged := result("build", "--"+bad)
	_, _, named := result("build", "--root", bad)
	for _, text := range []string{out.String(), err.String(), typed, flagged, named} {
		if strings.ContainsAny(text, "\x1b\r\x07\u202e\u2066\u009b") || strings.Contains(text, "\xff") {
			t.Errorf("%q reaches the terminal", text)
		}
		if !strings.Contains(text, "red") {
			t.Errorf("%q has lost the text", text)
		}
	}
	if got := harmless("2\u00a0Ω ± 0.1"); got != "2 Ω ± 0.1" {
		t.Errorf("harmless text became %q", got)
	}
}

// Did-you-mean: what is near enough, and what isn't.
func TestNearest(t *testing.T) {
	known := []string{"check", "build", "help", "version"}
	for typed, want := range map[string]string{
		"biuld": "build", "bild": "build", "chekc": "check", "checks": "check", "hlep": "help", "verison": "version",
		"versoin": "version", "BUILD": "", "serve": "", "x": "", "": "", "publish": "",
	} {
		if got := nearest(typed, known); got != want {
			t.Errorf("nearest(%q) = %q, want %q", typed, got, want)
		}
	}
}

func TestVersion(t *testing.T) {
	at := " (" + runtime.Version() + ")"
	revised := " (revision 0123456789ab of 2026-03-04, changed since, " + runtime.Version() + ")"
	settings := []debug.BuildSetting{
		{Key: "vcs.revision", Value: "0123456789abcdef"}, {Key: "vcs.time", Value: "2026-03-04T05:06:07Z"}, {Key: "vcs.modified", Value: "true"},
	}
	for want, info := range map[string]*debug.BuildInfo{
		"wattsheet unknown" + at:      nil,
		"wattsheet (devel)" + at:      {Main: debug.Module{Version: "(devel)"}},
		"wattsheet v1.2.3" + revised:  {Main: debug.Module{Version: "v1.2.3"}, Settings: settings},
		"wattsheet unknown" + revised: {Settings: settings},
	} {
		if got := versionOf(info); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestDurationsForPeople(t *testing.T) {
	for d, want := range map[time.Duration]string{
		0: "0s", 1499 * time.Microsecond: "1ms", 999 * time.Millisecond: "999ms", 12340 * time.Millisecond: "12.3s", 125400 * time.Millisecond: "2m5s",
	} {
		if got := took(d); got != want {
			t.Errorf("took(%d) = %q, want %q", d, got, want)
		}
	}
}
