package site

import (
	"strings"
	"testing"
	"time"
)

// What was sealed can't be held any more, neither a part nor the whole unit; what
// wasn't, or isn't yet at the instant that is built for, can.
func TestASealedThingCantBeHeld(t *testing.T) {
	const hint = "\nhint: take the hold out; what is wrong with it is told by a [[correction]]"
	for _, row := range []struct{ name, old, with, says string }{
		{"the unit", "[unit]\n", "[unit]\nhold = true\n", "record.toml:2:8: the unit \"ottersprocket-20\" is held, but entry 1 of ledger.toml sealed it on " + sealDay1 + ", so it was published"},
		{"a run", "id = \"r1\"\n", "id = \"r1\"\nhold = true\n", "run \"r1\" is held, but entry 1 of ledger.toml sealed it on " + sealDay1 + ", so it was published"},
		{"a claim, until later", "id = \"bold\"\n", "id = \"bold\"\nhold = \"until 2099-01-01T00:00:00Z\"\n", "claim \"bold\" is held, but entry 1"},
		{"a claim, until the seal", "id = \"bold\"\n", "id = \"bold\"\nhold = \"until " + sealDay1 + "\"\n", ""},
		{"a new function", "[[run]]\n", "[[function]]\nname = \"lamp\"\nresult = \"works\"\nhold = true\n[[run]]\n", ""},
	} {
		root := sealedTiny(t)
		replaceIn(t, root, sealedUnit+"record.toml", row.old, row.with)
		_, problems := inspected(t, root)
		got := problems.Error()
		if row.says == "" {
			if problems.Errors() {
				t.Errorf("%s: it says %s", row.name, got)
			}
			continue
		}
		if !strings.Contains(got, row.says) || !strings.Contains(got, hint) || len(problems) != 1 {
			t.Errorf("%s: it says %s", row.name, got)
		}
	}
	root := sealedTiny(t)
	replaceIn(t, root, sealedUnit+"record.toml", "[unit]\n", "[unit]\nhold = true\n")
	before, err := time.Parse(time.RFC3339, sealDay1)
	if err != nil {
		t.Fatal(err)
	}
	if _, problems, err := Inspect(root, before.Add(-time.Second)); err != nil || problems.Errors() {
		t.Errorf("a second before the seal: %v %v", problems, err)
	}
}
