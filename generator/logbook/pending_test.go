package logbook

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// stopped leaves behind what a log that is killed while it appends does: what it was
// about to append, and a file that has some of it.
func stopped(t *testing.T, root, name, before, add string, n int) {
	t.Helper()
	at, err := os.OpenRoot(root)
	if err != nil {
		t.Fatal(err)
	}
	defer at.Close()
	if err := at.MkdirAll(lockFolder, 0o777); err != nil {
		t.Fatal(err)
	}
	intend(at, name, []byte(before), []byte(add))
	if err := at.WriteFile(name, []byte(before+add[:n]), 0o666); err != nil {
		t.Fatal(err)
	}
}

// nothingPending holds that what was noted is gone.
func nothingPending(t *testing.T, root string) {
	t.Helper()
	if left, _ := filepath.Glob(filepath.Join(root, lockFolder, "*.pending")); len(left) > 0 {
		t.Errorf("%v is left", left)
	}
}

// Wherever a killed log's write was cut, the next one finds the record as it was, or with
// the whole run.
func TestStoppedAppendIsCompleted(t *testing.T) {
	const record = "content/units/unit/record.toml"
	add := strings.Replace(runText7, "r07", "r08", 1)
	before := recordText + runText7
	for n := range len(add) + 1 {
		root, file := newSite(t, benchText, before)
		stopped(t, root, record, before, add, n)
		d := beginning(t, root, true)
		whole := len(strings.TrimSpace(add[:n])) > 0
		want := before + add[:n]
		if whole {
			want = before + add
		}
		if got := contents(t, file); got != want {
			t.Fatalf("cut at %d: %q", n, got[len(before):])
		}
		if got := d.book.Completed; got != (whole && n < len(add)) {
			t.Errorf("cut at %d: completed %t", n, got)
		}
		nothingPending(t, root)
		d.book.Close()
	}
}

// What was edited since, is of another time, or was noted in part only is left alone.
func TestStoppedAppendOfAnotherFile(t *testing.T) {
	const record = "content/units/unit/record.toml"
	add := strings.Replace(runText7, "r07", "r08", 1)
	before := recordText + runText7
	for name, spoil := range map[string]func(root, file string){
		"edited before": func(_, file string) { os.WriteFile(file, []byte("# x\n"+before+add[:1]), 0o666) },
		"edited behind": func(_, file string) { os.WriteFile(file, []byte(before+"\n# x\n"), 0o666) },
		"shorter":       func(_, file string) { os.WriteFile(file, []byte(recordText), 0o666) },
		"noted in part": func(root, _ string) {
			all, _ := filepath.Glob(filepath.Join(root, lockFolder, "*.pending"))
			os.Truncate(all[0], 180)
		},
		"noted nothing": func(root, _ string) {
			all, _ := filepath.Glob(filepath.Join(root, lockFolder, "*.pending"))
			os.Truncate(all[0], 0)
		},
	} {
		root, file := newSite(t, benchText, before)
		stopped(t, root, record, before, add, 1)
		spoil(root, file)
		was := contents(t, file)
		d := begin(t, root)
		if got := contents(t, file); got != was || d.book.Completed {
			t.Errorf("%s: %q", name, got)
		}
		nothingPending(t, root)
		d.book.Close()
	}
}

// The same holds of a day of the check unit, unless another log writes it just now.
func TestStoppedDayIsCompleted(t *testing.T) {
	const add = "\n[[check_unit.day]]\nout_v = 14.87\nsupply_v = 12.60\ndate = 2026-11-26\n"
	before := benchText + checkText
	for _, busy := range []bool{false, true} {
		root, _ := newSite(t, before, recordText)
		stopped(t, root, benchFile, before, add, 30)
		at, err := os.OpenRoot(root)
		if err != nil {
			t.Fatal(err)
		}
		if busy {
			held, err := takeLock(at, "bench.toml")
			if err != nil {
				t.Fatal(err)
			}
			if _, err := Open(root, "unit"); err == nil {
				t.Error("half a day is read")
			}
			held.free()
		}
		d := begin(t, root)
		if got := contents(t, filepath.Join(root, benchFile)); got != before+add || !d.book.Completed {
			t.Errorf("%q", got[len(before):])
		}
		nothingPending(t, root)
		at.Close()
	}
}

// A log leaves nothing noted, whether its run was written or not.
func TestNothingStaysPending(t *testing.T) {
	root, file := newSite(t, benchText, recordText+runText7)
	d := begin(t, root)
	must(t, d, good)
	nothingPending(t, root)
	if err := os.Chmod(file, 0o444); err != nil {
		t.Fatal(err)
	}
	if r := d.Take(good, day); r.Err == nil && os.Getuid() != 0 {
		t.Error("a record that can't be written is written")
	}
	nothingPending(t, root)
}
