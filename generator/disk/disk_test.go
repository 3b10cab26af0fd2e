package disk

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A plain file is read to its last byte, up to the limit; nothing else is opened.
func TestRead(t *testing.T) {
	dir := t.TempDir()
	for name, size := range map[string]int{"none": 0, "at": 100, "above": 101} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(strings.Repeat("x", size)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, err := range []error{
		os.Mkdir(filepath.Join(dir, "folder"), 0o755), syscall.Mkfifo(filepath.Join(dir, "pipe"), 0o644),
		os.Symlink("at", filepath.Join(dir, "link")), os.Symlink("/etc/hostname", filepath.Join(dir, "out")),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	for name, want := range map[string]error{
		"none": nil, "at": nil, "link": nil, "above": ErrTooLarge, "folder": ErrNotRegular, "pipe": ErrNotRegular, "nowhere": fs.ErrNotExist,
	} {
		data, err := Read(root, name, 100)
		if !errors.Is(err, want) || err == nil && len(data) != map[string]int{"at": 100, "link": 100}[name] {
			t.Errorf("%s: %d bytes, %v; want %v", name, len(data), err, want)
		}
	}
	if _, err := Read(root, "out", 100); err == nil {
		t.Error("a link out of the folder is followed")
	}
	room := make([]byte, 0, 1000)
	if data, err := ReadInto(room, root, "at", 100); err != nil || &data[0] != &room[:1][0] {
		t.Errorf("the room that was given isn't used (%v)", err)
	}
}

func TestValidText(t *testing.T) {
	for text, line := range map[string]int{"": 0, "Ω\n\ufffd\n": 0, "a\x00": 1, "a\n\nb\xff": 3, "\n\xed\xa0\x80": 2} {
		if got, ok := ValidText([]byte(text)); got != line || ok != (line == 0) {
			t.Errorf("%q: line %d, %t; want %d", text, got, ok, line)
		}
	}
}

// A message that names the file doesn't name it twice.
func TestCause(t *testing.T) {
	_, err := os.Open("/nowhere/at/all")
	if got := Cause(err); got != syscall.ENOENT || !NowhereNow(err) {
		t.Errorf("%v: %v", err, got)
	}
	err = os.Rename("/nowhere/at/all", "/nowhere/else")
	if got := Cause(err); got != syscall.ENOENT {
		t.Errorf("%v: %v", err, got)
	}
	if own := errors.New("own"); Cause(own) != own || NowhereNow(own) {
		t.Error("an error of our own isn't itself")
	}
	if _, err = os.Open("disk.go/below"); !NowhereNow(err) {
		t.Errorf("%v: a file has files below it", err)
	}
}
