package logbook

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A record that somebody changes between the question and the yes is not written over;
// else the bytes that stand are the beginning of those that come of it.
func TestRowsAreAppended(t *testing.T) {
	root, _ := newSite(t, benchText, recordText)
	name := filepath.Join(root, "content", "units", "unit", "record.toml")
	book, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	runs := runsOf(t, recordText+runText7)
	rows, err := book.Propose(runs)
	if err != nil {
		t.Fatal(err)
	}
	if now, _ := os.ReadFile(name); string(now) != recordText {
		t.Error("a proposal is written")
	}
	if _, err := Open(root, "unit"); err == nil {
		t.Error("two have the record open")
	}
	changed := recordText + "# seen by somebody else\n"
	if err := os.WriteFile(name, []byte(changed), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := rows.Write(); err == nil || !strings.Contains(err.Error(), "changed meanwhile; nothing was written") {
		t.Errorf("it is written over: %v", err)
	}
	if now, _ := os.ReadFile(name); string(now) != changed {
		t.Errorf("it holds %q", now)
	}
	if rows, err = book.Propose(runs); err != nil {
		t.Fatal(err)
	}
	if err := rows.Write(); err != nil {
		t.Fatal(err)
	}
	now, _ := os.ReadFile(name)
	if behind, ok := strings.CutPrefix(string(now), changed); !ok || !strings.HasPrefix(behind, "\n[[run]]\nid = \"r07\"\n") {
		t.Errorf("behind what stood there is %q", behind)
	}
}
