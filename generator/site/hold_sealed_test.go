package site

import (
	"bytes"
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

// A retest that is held changes what was sealed on the day it opens, and the build of that day
// would fail: it is told before, until a [[correction]] with the same hold tells of it, which is
// as if it had never been written until then. A result that doesn't change is not told of.
func TestAHeldRetestNeedsItsCorrection(t *testing.T) {
	const opens = "2027-01-05T18:00:00+01:00"
	at, err := time.Parse(time.RFC3339, opens)
	if err != nil {
		t.Fatal(err)
	}
	retest := func(hold string) string {
		return "\n[[run]]\nid = \"r9\"\nmethod = \"thd1\"\nload = \"four\"\nout_v = 20.40\nthdn_pct = 1.0\nsupply_v = 14.4\nat = 2026-06-05T10:00:00Z\n" + hold
	}
	hold := "hold = \"until " + opens + "\"\n"
	told := strings.Replace(strings.Replace(tinyCorrection, "\"mistake\"", "\"retest\"", 1), ", \"run r1\"]", "]\n"+hold, 1)
	add := func(text string) string {
		root := sealedTiny(t)
		replaceIn(t, root, sealedUnit+"record.toml", "\n[[run]]", text+"\n[[run]]")
		return root
	}
	const says = "warning: when run \"r9\" opens, at " + opens + ", claim modest, claim bold will not be as entry 1 sealed it, and no [[correction]] tells of it then"
	for _, row := range []struct {
		name, text, says string
		then             bool // a build at the opening passes
	}{
		{"without a correction", retest(hold), says, false},
		{"with one", retest(hold) + told, "", true},
		{"with one for a part", retest(hold) + strings.Replace(told, ", \"claim bold\"", "", 1), "opens, at " + opens + ", claim bold will not be as entry 1 sealed it", false},
		{"with one that opens later", retest(hold) + strings.Replace(told, "18:00:00", "18:00:01", 1), says, false},
		{"with one that covers nothing", retest(hold) + told + strings.Replace(told, "\"claim modest\", \"claim bold\"", "\"claim low-load\"", 1), "warning: when run \"r9\" opens, at " + opens + ", nothing of \"claim low-load\" is another", false},
		{"which opens by hand", retest("hold = true\n"), "", true},
		{"which counts for nothing", strings.Replace(retest(hold), "out_v", "invalid = \"a lead off\"\nout_v", 1), "", true},
	} {
		root := add(row.text)
		checked, err := Check(root, today)
		problems := checked.Problems
		if got := problems.Error(); err != nil || problems.Errors() || row.says == "" && len(problems) > 0 || !strings.Contains(got, row.says) || strings.Count(got, "will not be") > 1 {
			t.Errorf("%s: it says %s", row.name, got)
		}
		if _, problems, err := Inspect(root, at); err != nil || problems.Errors() == row.then {
			t.Errorf("%s: at the opening: %v %v", row.name, err, problems)
		}
		if _, problems, err := Inspect(root, at.Add(-time.Second)); err != nil || problems.Errors() {
			t.Errorf("%s: a second before: %v %v", row.name, err, problems)
		}
	}

	without, with := sealedTiny(t), add(retest(hold)+told)
	a, _ := loaded(t, without).pages(nil)
	b, problems := loaded(t, with).pages(nil)
	if len(problems) > 0 || len(a) != len(b) || len(a) < 10 {
		t.Fatalf("%d and %d outputs, %v", len(a), len(b), problems)
	}
	for i := range a {
		if !bytes.Equal(a[i].Bytes, b[i].Bytes) || a[i].Path != b[i].Path {
			t.Errorf("%s tells of what is held", b[i].Path)
		}
	}
}

// A correction that was sealed can't be held any more: it is missed word for word.
func TestASealedCorrectionCantBeHeld(t *testing.T) {
	root := sealedTiny(t)
	corrected(t, root)
	if _, err := loaded(t, root).Seal("ottersprocket-20", "2026-06-05T10:00:00Z", "second"); err != nil {
		t.Fatal(err)
	}
	replaceIn(t, root, sealedUnit+"record.toml", "kind = \"mistake\"\n", "kind = \"mistake\"\nhold = true\n")
	if _, problems := inspected(t, root); !strings.Contains(problems.Error(), "was sealed by entry 2 and isn't here") {
		t.Errorf("it says %v", problems)
	}
}
