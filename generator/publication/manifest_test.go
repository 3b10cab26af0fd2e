package publication

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A manifest answers as a map of the same lines does, in whatever order they come, and however two are put together.
func TestManifest(t *testing.T) {
	names := []string{"a", "a-b", "a.b", "a/a", "a/b", "b/a/a", "b/a-a/c", "units/x/index.html", "units/x0/index.html", "é"}
	line := rapid.Custom(func(t *rapid.T) string {
		return lineOf(rapid.SampledFrom(names).Draw(t, "path"), DigestOf([]byte{rapid.Byte().Draw(t, "bytes") % 3}))
	})
	asMap := func(lines []string) map[string][]Digest {
		m := map[string][]Digest{}
		for _, line := range slices.Compact(slices.Sorted(slices.Values(lines))) { // by digest, as far as the path is one
			m[pathOf(line)] = append(m[pathOf(line)], Digest(line[:digestDigits]))
		}
		return m
	}
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOfN(line, 0, 20).Draw(t, "lines")
		half := rapid.IntRange(0, len(all)).Draw(t, "half")
		parts := [2]manifest{}
		for i, some := range [][]string{all[:half], all[half:]} {
			var err error
			text := strings.Join(some, "")
			if rapid.Bool().Draw(t, "marked") {
				text = markBegin + "{}\n" + text
			}
			if rapid.Bool().Draw(t, "torn off") {
				text = strings.TrimSuffix(text, "\n")
			}
			if parts[i], err = parseManifest(text); err != nil {
				t.Fatal(err)
			}
		}
		m, want := parts[0].Add(parts[1]), asMap(all)
		if got := maps.Collect(m.All()); !maps.EqualFunc(got, want, slices.Equal) {
			t.Fatalf("%v, want %v", got, want)
		}
		if got := slices.Collect(m.Paths()); !slices.Equal(got, slices.Sorted(maps.Keys(want))) {
			t.Fatalf("%v of %v", got, want)
		}
		for _, name := range append(names, "", "a/", "zz") {
			if got := m.digests(name); !slices.Equal(got, want[name]) || m.lists(name) != (want[name] != nil) {
				t.Fatalf("%q has %v, want %v", name, got, want[name])
			}
			below := maps.Clone(want)
			maps.DeleteFunc(below, func(at string, _ []Digest) bool { return !strings.HasPrefix(at, name) })
			if got := maps.Collect(m.below(name).All()); !maps.EqualFunc(got, below, slices.Equal) {
				t.Fatalf("below %q are %v, want %v", name, got, below)
			}
		}
		var stale []string
		has := asMap(all[half:])
		for _, at := range slices.Sorted(maps.Keys(asMap(all[:half]))) {
			if has[at] == nil {
				stale = append(stale, at)
			}
		}
		if got := slices.Collect(staleOf(parts[0], parts[1])); !slices.Equal(got, stale) {
			t.Fatalf("stale are %v, want %v", got, stale)
		}
		clash := ""
		for at := range want {
			for folder := range parents(at) {
				if want[folder] != nil {
					clash = fmt.Sprintf("%s is an output", folder)
				}
			}
		}
		paths := slices.Collect(m.Paths())
		if err := unclashing(len(paths), func(i int) string { return paths[i] }); (err != nil) != (clash != "") {
			t.Fatalf("%v: %v, want %q", paths, err, clash)
		}
	})
	for _, odd := range []string{"x", "\n", lineOf("a/../b", DigestOf(nil)), lineOf("", DigestOf(nil)), lineOf(".a", DigestOf(nil)),
		strings.ToUpper(lineOf("A", DigestOf(nil))), strings.Replace(lineOf("a", DigestOf(nil)), "  ", " ", 1), "e" + lineOf("a", DigestOf(nil)),
		lineOf("a", DigestOf(nil)) + markBegin + "{}\n"} {
		if _, err := parseManifest(odd); err == nil {
			t.Errorf("%q is read", odd)
		}
	}
}
