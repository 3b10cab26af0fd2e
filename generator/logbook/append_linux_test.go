package logbook

import (
	"os/signal"
	"strings"
	"syscall"
	"testing"
)

// TestFullDisk lets no file grow beyond a hundred bytes more than the record, as a full
// disk would: what could be written of a run is taken off again.
func TestFullDisk(t *testing.T) {
	text := recordText + runText7
	root, file := newSite(t, benchText, text)
	d := begin(t, root)
	var before syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &before); err != nil {
		t.Skip(err)
	}
	signal.Ignore(syscall.SIGXFSZ)
	defer signal.Reset(syscall.SIGXFSZ)
	short := syscall.Rlimit{Cur: uint64(len(text) + 100), Max: before.Max}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &short); err != nil {
		t.Skip(err)
	}
	r := d.Take(good, day)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &before); err != nil {
		t.Fatal(err)
	}
	if r.Err == nil || !strings.Contains(r.Err.Error(), "record.toml can't be written: file too large\nhint: is the disk full?") {
		t.Errorf("it answers %+v", r)
	}
	if now := contents(t, file); now != text {
		t.Errorf("it left %q", strings.TrimPrefix(now, text))
	}
	if said := must(t, d, good); !contains(said, "r08 written") || len(runsOf(t, contents(t, file))) != 2 {
		t.Errorf("with room again it says %q", said)
	}
}
