package site

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What was sealed and published can't be taken back by a build: not with its unit's
// folder, not by an older copy of it, not by another chain. A further entry can come.
func TestASealedVersionIsntTakenBack(t *testing.T) {
	const page = "public/units/ottersprocket-20/ledger.toml"
	for _, row := range []struct {
		name  string
		spoil func(root string)
		says  string
	}{
		{"nothing", func(string) {}, ""},
		{"a further entry", func(root string) {
			replaceIn(t, root, sealedUnit+"record.toml", "[[run]]\n", "[[function]]\nname = \"lamp\"\nresult = \"works\"\n[[run]]\n")
			if s, err := loaded(t, root).Seal("ottersprocket-20", sealDay2, ""); err != nil || s.Number != 2 {
				t.Fatal(s, err)
			}
		}, ""},
		{"the unit renamed and never sealed", func(root string) {
			unseal(t, root)
			if err := os.Rename(filepath.Join(root, sealedUnit), filepath.Join(root, "content/units/other")); err != nil {
				t.Fatal(err)
			}
		}, "would be taken back: it has sealed results of ottersprocket-20, which the content doesn't have or holds"},
		{"the ledger gone", func(root string) { unseal(t, root) }, "would be taken back: it has sealed results"},
		{"another chain", func(root string) {
			unseal(t, root)
			if _, err := loaded(t, root).Seal("ottersprocket-20", sealDay2, "another"); err != nil {
				t.Fatal(err)
			}
		}, "would be taken back: its entries are 1, and the content's doesn't begin with the same"},
		{"the published one edited by hand", func(root string) {
			unseal(t, root)
			replaceIn(t, root, page, "figures", "fikures")
		}, ""},
		{"the published one taken away", func(root string) {
			unseal(t, root)
			if err := os.Remove(filepath.Join(root, page)); err != nil {
				t.Fatal(err)
			}
		}, ""},
	} {
		root := sealedTiny(t)
		publishTiny(t, root, "")
		row.spoil(root)
		before := tree(t, filepath.Join(root, "public"))
		publishTiny(t, root, row.says)
		if row.says != "" && !maps.Equal(before, tree(t, filepath.Join(root, "public"))) {
			t.Errorf("%s: something was written", row.name)
		}
	}
}

// unseal takes away what was sealed, as if it never had been.
func unseal(t *testing.T, root string) {
	t.Helper()
	if err := os.Remove(filepath.Join(root, tinyLedger)); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(root, sealedUnit+"sealed")); err != nil {
		t.Fatal(err)
	}
}

// publishTiny builds the site of a root into its folder public; it has to fail with
// a text, or to succeed where that is empty.
func publishTiny(t *testing.T, root, says string) {
	t.Helper()
	s := loaded(t, root)
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		t.Fatal(problems, err)
	}
	_, err = s.Publish(filepath.Join(root, "public"), outputs)
	if (err == nil) != (says == "") || err != nil && !strings.Contains(err.Error(), says) {
		t.Errorf("publishing says %v, want %q", err, says)
	}
}
