package generator_test

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/site"
)

// TestSheetsRecomputed builds the demo and lets a Python program, written apart
// from this one on the standard library alone, recompute its figures from the
// readings. Sources are named there: JCGM 100:2008, JCGM 101:2008, JCGM 106:2012.
func TestSheetsRecomputed(t *testing.T) {
	python := interpreter(t)
	public := t.TempDir()
	publish(t, "..", public)
	for _, args := range [][]string{
		{"../testdata/outside/recompute.py", "../content"},
		{"../testdata/outside/compare.py", public, "../content"},
	} {
		out, err := exec.Command(python, append([]string{"-B"}, args...)...).CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v\n%s", args[0], err, differing(string(out)))
		}
	}
}

// A variant is the demo with readings or claims changed, so that the decision
// takes another way than any claim of the demo does.
var variants = []struct {
	name    string
	slug    string
	changes []string // old, new, old, new ...
	rule    string   // another acceptance than the demo's; empty for that
}{
	{"runs on both sides of the claim's voltage", "dunnocrake-gorsehoop-2", []string{
		"supply_v = 14.40\nsupply_a = 20.49", "supply_v = 13.60\nsupply_a = 20.49",
		"supply_v = 14.41\nsupply_a = 20.66", "supply_v = 14.55\nsupply_a = 20.66",
		"supply_v = 14.38\nsupply_a = 20.48", "supply_v = 15.31\nsupply_a = 20.48",
		"power_w = 85\n", "power_w = 87.243\n",
	}, ""},
	{"cold and hot air, beyond the clamp's range", "dunnocrake-gorsehoop-2", []string{
		"ambient_c = 22.7", "ambient_c = 11.5", "ambient_c = 22.9", "ambient_c = 34.25", "ambient_c = 23.1", "ambient_c = 17.9",
	}, ""},
	{"two channels, short", "dunnocrake-gorsehoop-2", []string{"power_w = 85\n", "power_w = 94\n"}, ""},
	{"two channels, open", "dunnocrake-gorsehoop-2", []string{"power_w = 85\n", "power_w = 89\n"}, ""},
	{"two channels, open, simple acceptance", "dunnocrake-gorsehoop-2", []string{"power_w = 85\n", "power_w = 89\n"}, "simple"},
	{"two channels, a band of U", "dunnocrake-gorsehoop-2", []string{"power_w = 85\n", "power_w = 86\n"}, "guarded-by-U"},
	{"a supply that sagged, open", "wickerpylon-sumpferret-1", []string{"power_w = 1350\n", "power_w = 1250\n"}, ""},
}

// unseal takes what was sealed out of a copy of the content, with the corrections,
// which stand last in their records: a variant is another site.
func unseal(t *testing.T, content string) {
	t.Helper()
	ledgers, err := filepath.Glob(filepath.Join(content, "units", "*", "ledger.toml"))
	if err != nil || len(ledgers) == 0 {
		t.Fatal("nothing is sealed", err)
	}
	// The addresses of sealed versions can't be kept then.
	if err := os.Remove(filepath.Join(content, "addresses.toml")); err != nil {
		t.Fatal(err)
	}
	for _, ledger := range ledgers {
		unit := filepath.Dir(ledger)
		name := filepath.Join(unit, "record.toml")
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		kept, _, _ := strings.Cut(string(text), "\n[[correction]]")
		if err := errors.Join(os.WriteFile(name, []byte(kept), 0o644), os.Remove(ledger), os.RemoveAll(filepath.Join(unit, "sealed"))); err != nil {
			t.Fatal(err)
		}
	}
}

// TestVariantsRecomputed compares what the demo's figures would be after each
// variant's changes: those of the changed unit, or of all where the rule is another. What
// other units have is the demo's, which TestSheetsRecomputed compares.
func TestVariantsRecomputed(t *testing.T) {
	python := interpreter(t)
	for _, v := range variants {
		t.Run(v.name, func(t *testing.T) {
			t.Parallel()
			root, public := t.TempDir(), t.TempDir()
			content := filepath.Join(root, "content")
			if err := os.CopyFS(content, os.DirFS("../content")); err != nil {
				t.Fatal(err)
			}
			unseal(t, content)
			change(t, filepath.Join(content, "units", v.slug, "record.toml"), v.changes)
			if v.rule != "" {
				change(t, filepath.Join(content, "site.toml"), []string{`acceptance = "guarded"`, `acceptance = "` + v.rule + `"`})
			}
			args := []string{"-B", "../testdata/outside/compare.py", public, content}
			if v.rule == "" {
				args = append(args, v.slug)
			}
			publishSheets(t, root, public, args[4:])
			out, err := exec.Command(python, args...).CombinedOutput()
			if err != nil {
				t.Errorf("%v\n%s", err, differing(string(out)))
			}
		})
	}
}

// change replaces texts of a file, each of which must be there once.
func change(t *testing.T, name string, changes []string) {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for i := 0; i < len(changes); i += 2 {
		if n := strings.Count(text, changes[i]); n != 1 {
			t.Fatalf("%s has %q %d times", name, changes[i], n)
		}
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestCompareCanFail changes one digit of one published figure and expects the
// comparison to notice that and nothing else.
func TestCompareCanFail(t *testing.T) {
	python := interpreter(t)
	public, slug := t.TempDir(), "wickerpylon-sumpferret-1"
	publishSheets(t, "..", public, []string{slug})
	name := filepath.Join(public, "units", slug, "sheet.json")
	change(t, name, []string{`"limit_w": 1350,`, `"limit_w": 1351,`})
	out, err := exec.Command(python, "-B", "../testdata/outside/compare.py", public, "../content", slug).CombinedOutput()
	if err == nil || !strings.Contains(string(out), ", 1 differ") {
		t.Errorf("a changed limit was not the one difference: %v\n%s", err, differing(string(out)))
	}
}

// interpreter finds python3. It may be missing on a tester's machine, but not
// where changes are checked.
func interpreter(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("another program: left out in short runs")
	}
	path, err := exec.LookPath("python3")
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatal("python3 is needed to recompute the demo's figures")
	}
	if err != nil {
		t.Skip("no python3 here to recompute the demo's figures")
	}
	return path
}

// publish builds the site of the content folder below root.
func publish(t *testing.T, root, public string) {
	t.Helper()
	s, problems, err := site.Load(root, time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC))
	if err != nil || problems.Errors() {
		t.Fatalf("load: %v %v", err, problems)
	}
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		t.Fatalf("outputs: %v %v", err, problems)
	}
	if _, err := s.Publish(public, outputs); err != nil {
		t.Fatal(err)
	}
}

// publishSheets writes the sheets of these units of the content folder below root, or of all
// where none is named, and nothing else of the site.
func publishSheets(t *testing.T, root, public string, slugs []string) {
	t.Helper()
	if len(slugs) == 0 {
		folders, err := os.ReadDir(filepath.Join(root, "content", "units"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range folders {
			slugs = append(slugs, f.Name())
		}
	}
	d, err := site.InspectDraft(root)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if err := d.Look(time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	for _, slug := range slugs {
		out, err := d.Open("units/" + slug + "/sheet.json")
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(public, filepath.FromSlash(out.Path))
		if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), os.WriteFile(name, out.Bytes, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
}

// differing leaves out the lines of what agrees.
func differing(out string) string {
	var kept []string
	for line := range strings.Lines(out) {
		if !strings.HasPrefix(line, "agrees") && !strings.HasPrefix(line, "  ") {
			kept = append(kept, line)
		}
	}
	return strings.Join(kept, "")
}
