//go:build darwin || linux

package main

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
)

// A terminal is a program at a pseudo-terminal of 80 columns.
type terminal struct {
	t      *testing.T
	cmd    *exec.Cmd
	file   *os.File
	mutex  sync.Mutex
	screen bytes.Buffer
	seen   int // up to where expect has looked
	ended  chan error
}

func openTerminal(t *testing.T, dir, program string, args ...string) *terminal {
	t.Helper()
	cmd := exec.Command(program, args...)
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "NO_COLOR=1", "TERM=xterm")
	file, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	s := &terminal{t: t, cmd: cmd, file: file, ended: make(chan error, 1)}
	t.Cleanup(func() { cmd.Process.Kill(); file.Close() })
	go func() {
		b := make([]byte, 4096)
		for {
			n, err := file.Read(b)
			s.mutex.Lock()
			s.screen.Write(b[:n])
			s.mutex.Unlock()
			if err != nil { // the other end is closed
				s.ended <- cmd.Wait()
				return
			}
		}
	}()
	return s
}

func (s *terminal) text() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.screen.String()
}

func (s *terminal) typed(keys string) {
	s.t.Helper()
	if _, err := s.file.WriteString(keys); err != nil {
		s.t.Fatal(err)
	}
}

// expect waits until a text comes behind what was expected before.
func (s *terminal) expect(text string) {
	s.t.Helper()
	for range 500 {
		if all := s.text(); strings.Contains(all[s.seen:], text) {
			s.seen += strings.Index(all[s.seen:], text) + len(text)
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	s.t.Fatalf("%q doesn't come; the terminal shows\n%s", text, s.text())
}

// end waits until the program has ended.
func (s *terminal) end() error {
	select {
	case err := <-s.ended:
		return err
	case <-time.After(10 * time.Second):
		s.t.Fatalf("the program doesn't end; the terminal shows\n%s", s.text())
		return nil
	}
}

// TestLogInTerminal logs by keyboard at a pseudo-terminal: prompts, a misread meter, the
// end of the input; then another log, which is broken off in the middle of a line; and
// a second log beside it, which is refused.
func TestLogInTerminal(t *testing.T) {
	program := program(t)
	root, file := benchSite(t, readmeBlocks(t, "toml")[0])
	runs := func() int {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return bytes.Count(text, []byte("[[run]]"))
	}

	s := openTerminal(t, root, program, "log", "first")
	s.expect("check unit (out_v, supply_v; or skip): ")
	s.typed("skip\r")
	s.expect("r02 (out_v, thdn_pct, supply_v): ")
	s.typed("0.41 1.0 14.3\r")
	s.expect("is the meter on DC")
	s.expect("write it all the same? y or n [n]: ")
	s.typed("\r")
	s.expect("not written")
	s.typed("19.0\x7f2 1.0 14.3V\r") // with a typing mistake taken back
	s.expect("r02 written")
	s.expect("r03 (out_v, thdn_pct, supply_v): ")
	s.typed("\x04") // Ctrl-D
	s.expect("1 run written")
	if err := s.end(); err != nil || runs() != 2 {
		t.Errorf("after the end of the input: %v, %d runs", err, runs())
	}
	for _, line := range strings.Split(strings.ReplaceAll(s.text(), "\r\n", "\n"), "\n") {
		if n := len([]rune(line)); n > 80 {
			t.Errorf("a line has %d characters: %s", n, line)
		}
		if strings.ContainsAny(strings.ReplaceAll(line, "\b \b", ""), "\x1b\r\b") {
			t.Errorf("a line moves the cursor or has a colour: %q", line)
		}
	}

	s = openTerminal(t, root, program, "log", "first")
	s.expect("or skip): ")
	s.typed("skip\r")
	s.expect("r03 (")
	s.typed("19.05 1.0 14.3\r")
	s.expect("r03 written")
	s.expect("r04 (")
	out, err := exec.Command(program, "log", "first", "--root", root, "--readings", "19 1 14.3").CombinedOutput()
	if err == nil || !strings.Contains(string(out), "first is being logged already, in process ") {
		t.Errorf("a second log: %v\n%s", err, out)
	}
	s.typed("19.05 1.0 1\x03") // Ctrl-C
	if err := s.end(); err == nil || runs() != 3 {
		t.Errorf("broken off in a line: %v, %d runs", err, runs())
	}
	if out, err := exec.Command(program, "log", "first", "--root", root, "--readings", "19.05 1 14.3").CombinedOutput(); err != nil || runs() != 4 {
		t.Errorf("after that: %v\n%s", err, out)
	}
}
