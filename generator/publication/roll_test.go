package publication

import (
	"crypto/sha256"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Rolls give back what was added, and the manifest of several is that of all their outputs, sorted by path as a whole.
func TestRolls(t *testing.T) {
	name := rapid.SampledFrom([]string{"a", "b", "a-b", "a.b", "units", "x0", "é"})
	rapid.Check(t, func(t *rapid.T) {
		want, rolls := map[string]string{}, []Roll{}
		for range rapid.IntRange(0, 6).Draw(t, "rolls") {
			folder := strings.Join(rapid.SliceOfN(name, 0, 3).Draw(t, "folder"), "/")
			var outputs []Output
			for range rapid.IntRange(1, 5).Draw(t, "files") {
				at := strings.TrimPrefix(folder+"/"+strings.Join(rapid.SliceOfN(name, 1, 3).Draw(t, "file"), "/")+".html", "/")
				if want[at] == "" {
					outputs = append(outputs, Output{Path: at})
					want[at] = fmt.Sprintf("%x  %s\n", sha256.Sum256([]byte(at)), at)
				}
			}
			r := RollFor(outputs)
			for _, o := range outputs {
				r.Add(o.Path, DigestOf([]byte(o.Path)))
			}
			var back []Output
			for at, sum := range r.Roll().All() {
				if sum != DigestOf([]byte(at)) || !r.Roll().Has(at) || r.Roll().Has(at+"x") {
					t.Fatalf("%s has %s", at, sum)
				}
				back = append(back, Output{Path: at})
			}
			if r.Roll().Count() != len(outputs) || !slices.EqualFunc(back, outputs, func(a, b Output) bool { return a.Path == b.Path }) {
				t.Fatalf("%v came back as %v", outputs, back)
			}
			rolls = append(rolls, r.Roll())
		}
		got, err := manifestOf(rolls)
		var lines string
		for _, at := range slices.Sorted(maps.Keys(want)) {
			lines += want[at]
		}
		if err != nil || got.text != lines || !slices.Equal(slices.Collect(got.Paths()), slices.Sorted(maps.Keys(want))) {
			t.Fatalf("%v\n%s\nwant\n%s", err, got.text, lines)
		}
		if back, err := parseManifest(lines); err != nil || !reflect.DeepEqual(back, got) && lines != "" {
			t.Fatalf("%v\n%v\nread from its text\n%v", err, got, back)
		}
		if len(rolls) > 0 && rolls[0].Count() > 0 {
			if _, err := manifestOf(append(rolls, rolls[0])); err == nil || !strings.Contains(err.Error(), "two outputs have the path") {
				t.Fatalf("a path twice: %v", err)
			}
		}
	})
	odd := RollFor(nil)
	odd.Add("units/a/../b", DigestOf(nil))
	if _, err := manifestOf([]Roll{odd.Roll()}); err == nil {
		t.Error("an odd path is none")
	}
	for _, spoiled := range []Roll{"", "x", "\n", "a/\nshort\n"} {
		for at := range spoiled.All() {
			t.Errorf("%q has %s", spoiled, at)
		}
	}
	for at, sum := range Roll("a/\n" + strings.Repeat("!", 60) + "\n").All() {
		if sum != Digest(strings.Repeat("0", digestDigits)) {
			t.Errorf("%s has the digest %s of nothing", at, sum)
		}
	}
}
