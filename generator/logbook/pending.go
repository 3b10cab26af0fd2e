package logbook

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path"
	"strings"
)

// A write that crosses a page isn't one for the system: a process that is killed just
// then leaves the first part of it, and the record wouldn't read. So what is about to be
// appended stands in a file of its own meanwhile, and whoever opens the record next, under
// the same lock, appends what is missing.

func pendingName(name string) string {
	return path.Join(lockFolder, strings.ReplaceAll(name, "/", "_")+".pending")
}

// pendingHead is the first line of such a file: where the bytes belong, and what they and
// those before them are, so that a part of it, or one of another time, is nothing.
func pendingHead(expected, add []byte) []byte {
	return fmt.Appendf(nil, "%d %x %x\n", len(expected), sha256.Sum256(expected), sha256.Sum256(add))
}

// intend notes what is about to be appended. What can't be noted is appended all the same.
func intend(root *os.Root, name string, expected, add []byte) {
	if root.WriteFile(pendingName(name), append(pendingHead(expected, add), add...), 0o666) != nil {
		root.Remove(pendingName(name))
	}
}

// complete appends what is missing of an append that was stopped, and reports whether
// there was any. Where nothing but blanks had come of it, or the file was edited since, it
// stays as it is.
func complete(root *os.Root, name string) (completed bool, err error) {
	noted, err := root.ReadFile(pendingName(name))
	if err != nil {
		return false, nil
	}
	defer root.Remove(pendingName(name))
	_, add, _ := bytes.Cut(noted, []byte("\n"))
	text, err := root.ReadFile(name)
	if err != nil {
		return false, nil // whoever reads the file says so
	}
	var at int
	if _, err := fmt.Sscan(string(noted), &at); err != nil || at < 0 || at > len(text) || !bytes.HasPrefix(noted, pendingHead(text[:at], add)) {
		return false, nil
	}
	part := text[at:]
	if len(bytes.TrimSpace(part)) == 0 || len(part) >= len(add) || !bytes.HasPrefix(add, part) {
		return false, nil
	}
	return true, appendTo(root, name, text, add[len(part):])
}
