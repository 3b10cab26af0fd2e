package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"wattsheet/generator/theme"
	"wattsheet/themes"
)

// stillOnly is the default theme of a program that was built without the chart
// script; withScript is one with a script.
func stillOnly() theme.Theme {
	return theme.Theme{Files: themes.Default(), Bundle: func() ([]byte, []byte, error) { return nil, nil, themes.ErrNoBundle }}
}

func withScript() theme.Theme {
	return theme.Theme{Files: themes.Default(), Bundle: func() ([]byte, []byte, error) { return []byte("script"), []byte("licences"), nil }}
}

func made(t *testing.T, s *Site, with theme.Theme) map[string]string {
	t.Helper()
	outputs, problems, err := s.outputs(with)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	if !slices.IsSortedFunc(outputs, func(a, b Output) int { return strings.Compare(a.Path, b.Path) }) {
		t.Error("the outputs are not sorted by path")
	}
	files := map[string]string{}
	for _, o := range outputs {
		files[o.Path] = string(o.Bytes)
	}
	return files
}

func TestSharedFilesCarryTheirDigest(t *testing.T) {
	files := made(t, loaded(t, tiny(t, nil)), withScript())
	name := regexp.MustCompile(`^assets/[a-z-]+\.([0-9a-f]{8})\.(css|js)$`)
	count := 0
	for path, text := range files {
		if !strings.HasPrefix(path, "assets/") || path == "assets/THIRD-PARTY.txt" {
			continue
		}
		count++
		m := name.FindStringSubmatch(path)
		sum := sha256.Sum256([]byte(text))
		if m == nil || m[1] != hex.EncodeToString(sum[:])[:8] {
			t.Errorf("%s has the digest %x", path, sum)
		}
	}
	// SHA-256 of "script", by sha256sum.
	if files["assets/echarts.21a0270b.js"] != "script" {
		t.Errorf("the chart script is not among %v", slices.Sorted(maps.Keys(files)))
	}
	if count < 2 || files["assets/THIRD-PARTY.txt"] != "licences" {
		t.Error("a style or the licences are missing")
	}
}

func TestAnotherStyleHasAnotherName(t *testing.T) {
	one := theme.Theme{Files: fstest.MapFS{"style.css": {Data: []byte("a{}")}, "script/page.js": {Data: []byte("1")}, "script/sub/no.js": {}, "pages/x.html": {}}, Bundle: stillOnly().Bundle}
	two := theme.Theme{Files: fstest.MapFS{"style.css": {Data: []byte("b{}")}, "script/page.js": {Data: []byte("1")}}, Bundle: stillOnly().Bundle}
	first, paths, _, err := one.Assets()
	if err != nil {
		t.Fatal(err)
	}
	_, others, _, err := two.Assets()
	if err != nil {
		t.Fatal(err)
	}
	if len(first) != 2 || paths["page.js"] == "" || paths["style.css"] == others["style.css"] || paths["page.js"] != others["page.js"] {
		t.Errorf("the paths are %v and %v", paths, others)
	}
}

// Without the chart script a site is made all the same, and what to run is said.
func TestSiteWithoutChartScript(t *testing.T) {
	s := loaded(t, tiny(t, nil))
	outputs, problems, err := s.outputs(stillOnly())
	if err != nil || len(outputs) == 0 {
		t.Fatalf("%d outputs, error %v", len(outputs), err)
	}
	want := "warning: the chart script was not made yet; pages keep their still charts\nhint: run go generate ./themes, then build again"
	if got := problems.Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for _, o := range outputs {
		if strings.Contains(o.Path, "echarts") || strings.Contains(o.Path, "THIRD-PARTY") ||
			strings.HasSuffix(o.Path, ".html") && bytes.Contains(o.Bytes, []byte("data-echarts")) {
			t.Errorf("%s has to do with the chart script", o.Path)
		}
	}
}

func TestEveryUnitHasItsFiles(t *testing.T) {
	files := made(t, loaded(t, tiny(t, nil)), withScript())
	for _, path := range []string{"index.html", "units/ottersprocket-20/index.html", "units/ottersprocket-20/sheet.json", "units/ottersprocket-20/runs.csv"} {
		if files[path] == "" {
			t.Errorf("there is no %s", path)
		}
	}
}

// many is the tiny site with a dozen units.
func many(t *testing.T) string {
	files := map[string]string{}
	for _, c := range "abcdefghijk" {
		files["content/units/unit-"+string(c)+"/record.toml"] = strings.Replace(tinyFile(t, tinyRecord), `model = "20"`, `model = "`+string(c)+`"`, 1)
	}
	return tiny(t, files)
}

// The same content gives the same bytes, wherever it lies and in whatever order
// the processors get to it.
func TestSameContentGivesTheSameBytes(t *testing.T) {
	first := made(t, loaded(t, many(t)), withScript())
	for range 5 {
		second := made(t, loaded(t, many(t)), withScript())
		if !maps.Equal(first, second) {
			t.Fatal("two builds differ")
		}
	}
	here, there := t.TempDir(), filepath.Join(t.TempDir(), "deeper", "down")
	for _, dir := range []string{here, there} {
		var outputs []Output
		for _, path := range slices.Sorted(maps.Keys(first)) {
			outputs = append(outputs, Output{Path: path, Bytes: []byte(first[path])})
		}
		if _, err := new(Site).Publish(dir, outputs); err != nil {
			t.Fatal(err)
		}
	}
	if !maps.Equal(tree(t, here), tree(t, there)) {
		t.Error("two folders differ")
	}
}

func TestNoPathOfTheMachineIsPublished(t *testing.T) {
	root := tiny(t, nil)
	for path, text := range made(t, loaded(t, root), withScript()) {
		if strings.Contains(text, root) {
			t.Errorf("%s names the folder that the content lies in", path)
		}
	}
}

func TestMistakesInNotesLeaveNoOutputs(t *testing.T) {
	s := loaded(t, tiny(t, map[string]string{"content/units/ottersprocket-20/notes.md": "It gave [](value:r9/power) then.\n"}))
	outputs, problems, err := s.outputs(stillOnly())
	if err != nil || outputs != nil || !problems.Errors() || !strings.Contains(problems.Error(), "content/units/ottersprocket-20/notes.md:1:") {
		t.Errorf("%d outputs, problems %v, error %v", len(outputs), problems, err)
	}
}
