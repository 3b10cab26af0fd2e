package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What all units share is kept once. Where that is lost or isn't what its name says nothing is known of the units, and all is
// made again; what they shared once isn't kept for long.
func TestWhatUnitsShareIsKeptOnce(t *testing.T) {
	root := several(t)
	commons := func() []string {
		t.Helper()
		names, err := filepath.Glob(filepath.Join(root, memoryFolder, commonBegin+"*"))
		if err != nil || len(names) != 1 {
			t.Fatalf("%d lists of what units share (%v): %q", len(names), err, names)
		}
		return names
	}
	n := built(t, root, "public", today).Evaluated
	first := commons()[0]
	if again := built(t, root, "public", today); n == 0 || again.Evaluated != 0 {
		t.Fatalf("%d units were evaluated, then %d", n, again.Evaluated)
	}
	entry, err := os.ReadFile(filepath.Join(root, memoryFolder, "badgercog-2"))
	if err != nil || strings.Contains(string(entry), "layout unit") {
		t.Errorf("what all units share stands with one of them (%v)", err)
	}
	spoiled, err := os.ReadFile(first)
	if err != nil {
		t.Fatal(err)
	}
	name := memoryFolder + "/" + filepath.Base(first)
	for what, spoil := range map[string]func() error{
		"gone": func() error { return os.Remove(first) },
		"torn": func() error { return os.WriteFile(first, spoiled[:len(spoiled)/2], 0o644) },
		"another list": func() error {
			_, rest, _ := strings.Cut(strings.Replace(string(spoiled), `"layout unit"`, `"layout tinu"`, 1), "\n")
			return os.WriteFile(first, labelled(name, []byte(rest)), 0o644)
		},
	} {
		if err := spoil(); err != nil {
			t.Fatal(err)
		}
		if err := os.RemoveAll(filepath.Join(root, "public")); err != nil {
			t.Fatal(err)
		}
		if again := built(t, root, "public", today); again.Evaluated != n {
			t.Errorf("%s: %d units were evaluated of %d", what, again.Evaluated, n)
		}
		if odd := unlike(tree(t, filepath.Join(root, "public")), afresh(t, root, today)); odd != nil {
			t.Errorf("%s: not as made anew: %v", what, odd)
		}
		commons()
	}
	put(t, root, "content/bench.toml", string(must(os.ReadFile(filepath.Join(root, "content/bench.toml"))))+"\n# as it was\n")
	built(t, root, "public", today)
	if now := commons()[0]; now == first {
		t.Error("another bench, and what units share is the same")
	}
}
