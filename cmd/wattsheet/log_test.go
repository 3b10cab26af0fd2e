package main

import (
	"bytes"
	"io"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"wattsheet/generator/record"
)

// benchSite copies the demo's bench and methods beside a record, and gives the root and
// the record's file.
func benchSite(t *testing.T, text string) (root, file string) {
	t.Helper()
	root = t.TempDir()
	file = filepath.Join(root, "content", "units", "first", "record.toml")
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"site.toml", "bench.toml", "methods.toml"} {
		demo, err := os.ReadFile(filepath.Join("..", "..", "content", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(root, "content", name), demo, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return root, file
}

// readmeBlocks are the README's blocks of a language.
func readmeBlocks(t *testing.T, language string) []string {
	t.Helper()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, b := range blocks(string(readme)) {
		if b.language == language {
			out = append(out, b.text)
		}
	}
	return out
}

// typedIn finds what stands behind a prompt of the log.
var typedIn = regexp.MustCompile(`(?m)^(?:r[0-9]+ \([^)]*\)|check unit \([^)]*\)|write it all the same\? y or n \[n\]): (.*)$`)

// An overheard output can be read while it is written.
type overheard struct {
	mutex sync.Mutex
	text  bytes.Buffer
}

func (w *overheard) Write(b []byte) (int, error) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return w.text.Write(b)
}

func (w *overheard) String() string {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return w.text.String()
}

// TestLogKilled kills a log again and again, at any moment: each run that it told of is
// in the record, whole, and so is all that stood there before. What the system had written
// of a line in part is whole once a log has been opened again.
func TestLogKilled(t *testing.T) {
	program := program(t)
	root, file := benchSite(t, readmeBlocks(t, "toml")[0])
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	told, random := 0, rand.New(rand.NewSource(1))
	written := regexp.MustCompile(`(?m)^(?:.*: .*\n)?(r[0-9]+) written$`)
	for round := range 12 {
		cmd := exec.Command(program, "log", "first", "--root", root)
		in, err := cmd.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		var errors bytes.Buffer
		out := &overheard{}
		cmd.Stdout, cmd.Stderr = out, &errors
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		go func() { // until the pipe breaks
			for _, err := io.WriteString(in, "skip\n"); err == nil; {
				_, err = io.WriteString(in, "19.05 1.00 14.30\n")
			}
		}()
		// at some moment of some run, however slow the machine is
		for at, tries := random.Intn(5), 0; strings.Count(out.String(), " written\n") < at && tries < 2000; tries++ {
			time.Sleep(5 * time.Millisecond)
		}
		time.Sleep(time.Duration(random.Intn(40000)) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		cmd.Wait()
		if again, err := exec.Command(program, "log", "first", "--root", root).CombinedOutput(); err != nil {
			t.Fatalf("round %d: the next log says %v: %s", round, err, again)
		}
		after, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(after, before) {
			t.Fatalf("round %d: what stood in the record was changed", round)
		}
		rec, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: after}, "first")
		if problems.Errors() {
			t.Fatalf("round %d: the record doesn't decode: %v", round, problems)
		}
		inRecord := map[string]bool{}
		for _, r := range rec.Runs {
			inRecord[r.ID] = r.OutV.Given() && r.SupplyV.Given() && len(r.Load.Items) == 1
		}
		ids := written.FindAllStringSubmatch(out.String(), -1)
		for _, m := range ids {
			if !inRecord[m[1]] {
				t.Errorf("round %d: %s was told of, and isn't in the record", round, m[1])
			}
		}
		told += len(ids)
		if len(rec.Runs)-1 < told || len(rec.Runs)-1 > told+round+1 {
			t.Errorf("round %d: %d runs were told of, the record has %d new ones", round, told, len(rec.Runs)-1)
		}
		if errors.Len() > 0 {
			t.Errorf("round %d: %s", round, errors.String())
		}
		before = after
	}
	if told < 5 {
		t.Errorf("only %d runs were told of before the kills", told)
	}
	if got := bytes.Count(before, []byte("[[run]]")); got < told {
		t.Errorf("%d runs were told of, the record has %d", told, got)
	}
}

// TestLogLineWithoutEnd: what comes without a line end may be cut short, 14.3 of 14.31,
// and isn't taken; a very long line is refused, and the next one taken.
func TestLogLineWithoutEnd(t *testing.T) {
	root, file := benchSite(t, readmeBlocks(t, "toml")[0])
	var out, errors bytes.Buffer
	now := time.Date(2026, 11, 26, 14, 5, 10, 0, time.UTC)
	input := "skip\n" + strings.Repeat("19 ", 200000) + "\n19.05 1.0 14.31\r\n19.05 1.0 14.3"
	status := run(strings.NewReader(input), &out, &errors, []string{"log", "first", "--root", root}, func() time.Time { return now }, nil)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(text, []byte("[[run]]")); status != exitDone || n != 2 || !strings.Contains(errors.String(), "the last line has no line end, so it may be cut short; it was not taken") {
		t.Errorf("status %d, %d runs, %s", status, n, errors.String())
	}
	if !strings.Contains(errors.String(), "the line has more than 1000 characters") || out.Len() > 10000 {
		t.Errorf("a long line is answered by %d characters and %s", out.Len(), errors.String())
	}
}
