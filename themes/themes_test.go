package themes

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"strings"
	"testing"
	"testing/fstest"
)

// TestDefaultIsComplete compares the embedded theme with the folder, for embed drops files such as _head.html silently.
func TestDefaultIsComplete(t *testing.T) {
	embedded := Default()
	found := 0
	err := fs.WalkDir(os.DirFS("default"), ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || strings.HasPrefix(entry.Name(), ".") {
			return err
		}
		found++
		if _, err := fs.Stat(embedded, path); err != nil {
			t.Errorf("default/%s is not embedded", path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if found == 0 {
		t.Error("default holds no file")
	}
}

func TestBundleNeedsBothFiles(t *testing.T) {
	file := &fstest.MapFile{Data: []byte("x")}
	for _, test := range []struct {
		name  string
		files fstest.MapFS
		want  error
	}{
		{"nothing made", fstest.MapFS{"dist/.gitkeep": file}, ErrNoBundle},
		{"no licences", fstest.MapFS{"dist/echarts.js": file}, ErrNoBundle},
		{"no script", fstest.MapFS{"dist/THIRD-PARTY.txt": file}, ErrNoBundle},
		{"both", fstest.MapFS{"dist/echarts.js": file, "dist/THIRD-PARTY.txt": file}, nil},
	} {
		script, licences, err := bundle(test.files)
		if !errors.Is(err, test.want) {
			t.Errorf("%s: error is %v, want %v", test.name, err, test.want)
		}
		if made := script != nil && licences != nil; made != (test.want == nil) {
			t.Errorf("%s: script %q, licences %q", test.name, script, licences)
		}
	}
}

// madeBundle returns the bundle; where it was not made the test is skipped, and fails on a machine that checks changes.
func madeBundle(t *testing.T) (script, licences []byte) {
	t.Helper()
	script, licences, err := Bundle()
	switch {
	case err == nil:
		return script, licences
	case !errors.Is(err, ErrNoBundle) || os.Getenv("CI") != "":
		t.Fatal(err)
	}
	t.Skip(err)
	return nil, nil
}

// TestBundleLicences looks for what the licences of the bundled packages ask to be kept: the Apache License, version
// 2.0, 4(a) and 4(d) its own text and the NOTICE; BSD-3-Clause its copyright line and disclaimer.
func TestBundleLicences(t *testing.T) {
	script, licences := madeBundle(t)
	firstLine, _, _ := strings.Cut(string(script), "\n")
	if !strings.HasPrefix(firstLine, "/*!") || !strings.Contains(firstLine, "THIRD-PARTY.txt") {
		t.Errorf("first line of the script does not name the licence file: %.200s", firstLine)
	}
	for _, name := range []string{"echarts", "zrender", "tslib"} {
		if !strings.Contains(firstLine, name+" ") {
			t.Errorf("first line of the script does not name %s: %.200s", name, firstLine)
		}
	}
	for _, want := range []string{
		"(Apache-2.0): LICENSE", "Apache License", "(Apache-2.0): NOTICE", "Apache ECharts\nCopyright",
		"licenses/LICENSE-d3", "Mike Bostock",
		"zrender 6.1.0 (BSD-3-Clause): LICENSE", "Baidu Inc.", "BSD 3-Clause License",
		"tslib 2.3.0 (0BSD): LICENSE", "Microsoft Corporation",
	} {
		if !bytes.Contains(licences, []byte(want)) {
			t.Errorf("THIRD-PARTY.txt does not hold %q", want)
		}
	}
}

// TestBundleIsSelfContained holds the script to what a page under script-src 'self' can run, with nothing to fetch.
func TestBundleIsSelfContained(t *testing.T) {
	script, _ := madeBundle(t)
	for _, unwanted := range []string{"eval(", "new Function(", "import(", "sourceMappingURL", "node_modules"} {
		if bytes.Contains(script, []byte(unwanted)) {
			t.Errorf("the script holds %q", unwanted)
		}
	}
}

// TestBundleDraws draws a chart with the script itself, each part with a mark of its own in testdata/draw.js.
func TestBundleDraws(t *testing.T) {
	script, _ := madeBundle(t)
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed")
	}
	command := exec.Command(node, "testdata/draw.js")
	command.Stdin = bytes.NewReader(script)
	var stderr bytes.Buffer
	command.Stderr = &stderr
	svg, err := command.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, &stderr)
	}
	for part, mark := range map[string]string{
		"bar series":     `fill="#010203"`,
		"scatter series": `fill="#040506"`,
		"line series":    `stroke="#070809"`,
		"custom series":  `stroke="#0a0b0c"`,
		"legend":         ">legend entry</text>",
		"mark line":      ">mark line label</text>",
		"tooltip":        "<!-- tooltip answered -->",
		"aria decals":    "<pattern",
		// Without the older layout that containLabel asks for, the labels stand 3 px further right, at 134.28.
		"contained labels": `text-anchor="end" style="font-size:12px;font-family:sans-serif;" xml:space="preserve" transform="translate(131.28 200)"`,
	} {
		if !bytes.Contains(svg, []byte(mark)) {
			t.Errorf("%s: %s is not in the drawing", part, mark)
		}
	}
}

// TestLockFile holds the npm project to exact versions, each with its hash, and to no registry's address.
func TestLockFile(t *testing.T) {
	text, err := os.ReadFile("package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, unwanted := range []string{`"resolved"`, "://"} {
		if bytes.Contains(text, []byte(unwanted)) {
			t.Errorf("package-lock.json holds %s", unwanted)
		}
	}
	var lock struct {
		Packages map[string]struct {
			Version      string
			Integrity    string
			Dependencies map[string]string
		}
	}
	if err := json.Unmarshal(text, &lock); err != nil {
		t.Fatal(err)
	}
	for name, version := range lock.Packages[""].Dependencies {
		if got := lock.Packages["node_modules/"+name].Version; got != version {
			t.Errorf("package.json asks for %s %s, not for exactly %s", name, version, got)
		}
	}
	for path, locked := range lock.Packages {
		if path != "" && !strings.HasPrefix(locked.Integrity, "sha512-") {
			t.Errorf("%s has no sha512 hash", path)
		}
	}
}
