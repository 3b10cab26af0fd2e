//go:build darwin || linux

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestStartLeftInTerminal: whoever ends the input before the last question gets no site made
// of answers that nobody gave; the null device is nobody, and gets the usual ones.
func TestStartLeftInTerminal(t *testing.T) {
	program := program(t)
	for _, typed := range []string{"\x04", "GB\x04\x04"} { // alone, and behind half an answer
		root := t.TempDir()
		s := openTerminal(t, root, program, "start", "site", "--title", "Ottertests", "--tester", "Otter")
		s.expect("Enter alone takes what stands in brackets.")
		s.expect("Currency of prices, three letters [EUR]: ")
		s.typed(typed)
		s.expect("the input ended before the last question; nothing was written")
		if err := s.end(); err == nil {
			t.Error("it says that all is well")
		}
		if _, err := os.Lstat(filepath.Join(root, "content")); !os.IsNotExist(err) {
			t.Errorf("something was written: %v", err)
		}
	}

	root := t.TempDir()
	null, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	cmd := exec.Command(program, "start", "site", "--title", "Ottertests", "--tester", "Otter")
	cmd.Dir, cmd.Stdin = root, null
	out, err := cmd.CombinedOutput()
	if err != nil || strings.Contains(string(out), "Enter alone") || !strings.Contains(string(out), "wrote content/site.toml") {
		t.Errorf("nobody at the keyboard: %v\n%s", err, out)
	}
}
