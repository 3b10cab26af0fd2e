package generator_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

var spoiledOn = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

// captures is the cache of what the sound content's captures gave, as a build keeps it: to read
// them was half of all the time. Whatever spoils what is read from a capture asks for
// another entry, which isn't there.
var captures = sync.OnceValues(func() (fs.FS, error) {
	root, err := os.MkdirTemp("", "spoiled")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(root)
	if err := write(root, whole); err != nil {
		return nil, err
	}
	if _, problems, err := site.Load(root, spoiledOn); err != nil || problems.Errors() {
		return nil, fmt.Errorf("%v%v", err, problems)
	}
	kept := fstest.MapFS{}
	err = fs.WalkDir(os.DirFS(root), ".wattsheet", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(root, name))
		kept[name] = &fstest.MapFile{Data: data, Mode: 0o644}
		return err
	})
	if len(kept) < 3 { // a run and two stated figures
		return nil, fmt.Errorf("only %d entries are kept", len(kept))
	}
	return kept, err
})

// write puts content into a folder.
func write(root string, content map[string]string) error {
	for name, text := range content {
		file := filepath.Join(root, "content", filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// placed writes content into a folder of its own.
func placed(t *testing.T, content map[string]string) (root string) {
	t.Helper()
	root = t.TempDir()
	kept, err := captures()
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(write(root, content), os.CopyFS(root, kept)); err != nil {
		t.Fatal(err)
	}
	return root
}

// loaded loads the content of a folder.
func loaded(t *testing.T, root string) (*site.Site, record.Problems) {
	t.Helper()
	s, problems, err := site.Inspect(root, spoiledOn)
	if err != nil {
		t.Fatal(err)
	}
	return s, problems
}

// follow goes the whole way with content: it stops with errors that have a place and
// a hint, or every page and file of the site holds only numbers.
func follow(t *testing.T, content map[string]string) (*site.Site, record.Problems) {
	t.Helper()
	return followed(t, placed(t, content))
}

func followed(t *testing.T, root string) (*site.Site, record.Problems) {
	t.Helper()
	s, problems := loaded(t, root)
	if problems.Errors() {
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.Summary == "" || p.Hint == "" || !strings.HasPrefix(p.File, "content/") {
				t.Errorf("an error without its place or a hint: %+v", p)
			}
		}
		return s, problems
	}
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		t.Fatalf("passes its checks, but gives no site: %v %v", err, problems)
	}
	for _, o := range outputs {
		if text := digested.ReplaceAllString(string(o.Bytes), ""); !strings.HasPrefix(o.Path, "assets/") {
			if at := noNumberIn(text); at != nil {
				t.Fatalf("%s has %q", o.Path, text[max(0, at[0]-90):min(len(text), at[1]+40)])
			}
		}
	}
	for _, f := range slices.Concat(s.Sheets[0].Findings, sheet.BenchFindings(s.Content)) {
		if file, line, column := f.Place.Position(); file == "" || line < 1 || column < 1 {
			t.Errorf("the finding %s has no place", f.ID)
		}
	}
	return s, nil
}

// spoiled returns the content with one text of one file replaced, from a place on.
func spoiled(file, old, by string) map[string]string {
	out := map[string]string{}
	for name, text := range whole {
		out[name] = text
	}
	if !strings.Contains(out[file], old) {
		panic(file + " has no " + old)
	}
	out[file] = strings.Replace(out[file], old, by, 1)
	return out
}

func TestWholeContentIsSound(t *testing.T) {
	s, problems := follow(t, whole)
	if len(problems) > 0 {
		t.Fatal(problems.Error())
	}
	if len(s.Sheets[0].Lines) != 1 || len(s.Sheets[0].Repeats) != 1 || len(s.Sheets[0].Claims) != 2 || sheet.CheckUnit(s.Content) == nil {
		t.Error("the content doesn't reach a load line, repeats, claims and the check unit")
	}
}

// keyed finds "key = 1.5" and the numbers of "key = [1, 2]".
var keyed = regexp.MustCompile(`(?m)\b([a-z][a-z0-9_]*) = (-?[0-9][0-9.]*\b|\[[0-9][0-9., ]*\])`)

// Every numeric key of every file with every kind of number that is none, or no
// measurement's: the way ends with an error that has its place, or with a site that
// holds only numbers.
func TestEverySpoiledNumber(t *testing.T) {
	values := []string{"nan", "inf", "-inf", "0", "-1", "1e300", "1e-300", "5e-324", "999_999", "1e12", "[]", "[1, inf]", "''"}
	if testing.Short() {
		values = []string{"nan", "0", "1e300", "5e-324", "1e12", "[]"}
	}
	keys := 0
	for _, file := range []string{"site.toml", "bench.toml", "methods.toml", "units/spoiled/record.toml"} {
		text := whole[file]
		for _, at := range keyed.FindAllStringSubmatchIndex(text, -1) {
			keys++
			key := text[at[2]:at[3]]
			line := 1 + strings.Count(text[:at[0]], "\n")
			t.Run(fmt.Sprintf("%s/%d/%s", file, line, key), func(t *testing.T) {
				t.Parallel()
				root := placed(t, whole)
				for _, value := range values {
					if err := write(root, map[string]string{file: text[:at[4]] + value + text[at[5]:]}); err != nil {
						t.Fatal(err)
					}
					_, problems := followed(t, root)
					if t.Failed() {
						t.Fatalf("with %s = %s", key, value)
					}
					if !problems.Errors() && strings.ContainsAny(value, "nf'[") {
						t.Fatalf("%s = %s passes", key, value)
					}
				}
			})
		}
	}
	if keys < 100 {
		t.Errorf("only %d numeric keys are found", keys)
	}
}

// spoil is a mistake of a record or bench, and what becomes of it: the text of the
// error, or the finding, that a tester sees.
type spoil struct {
	name, file, old, by string
	problem             string // part of the error's text; empty where the content passes
	finding             string // id of a finding; empty where there is an error
}

// What a tester types in haste. Each has one place, and is told there.
func TestBadInput(t *testing.T) {
	const rec, bench = "units/spoiled/record.toml", "bench.toml"
	for _, s := range []spoil{
		{"a reading that is no number", rec, "out_v = 19.51", "out_v = nan", "out_v is nan, which no instrument shows", ""},
		{"an infinite reading", rec, "power_w = 90", "power_w = inf", "power_w is inf, which no instrument shows", ""},
		{"negative volts", rec, "out_v = 19.51", "out_v = -19.51", "out_v is -19.51; it has to be at least 0", ""},
		{"a reading beyond everything", rec, "out_v = 19.51", "out_v = 1e300", "out_v is 1e300; it has to be at least 0 and at most 10000", ""},
		{"a load of 0 Ω", bench, "ohm = 4.01", "ohm = 0", "ohm is 0; it has to be at least 0.001", ""},
		{"a negative load", bench, "ohm = 4.01", "ohm = -4.01", "ohm is -4.01; it has to be at least 0.001", ""},
		{"a claim of 0 W", rec, "power_w = 75", "power_w = 0", "power_w is 0; it has to be at least 0.001", ""},
		{"an empty list of readings", rec, "out_v = 19.51", "out_v = []", "out_v is empty", ""},
		{"an empty list of channels", rec, `channels = ["L", "R"]`, "channels = []", "channels is empty", ""},
		{"two readings for one channel", rec, "out_v = 19.51", "out_v = [19.51, 19.5]", "out_v has 2 readings, but 1 channel is driven", ""},
		{"an exponent too many", rec, "out_v = 19.51", "out_v = 19.51e-30", "too small to be anything measured", ""},
		{"no current", rec, "supply_a = 10.1", "supply_a = 0", "", "efficiency-above-one"},
		{"a supply that shows nothing", rec, "supply_w = 145", "supply_w = 0", "", "efficiency-above-one"},
		{"no volts", rec, "out_v = 19.07", "out_v = 0", "", "power-far-off"},
		{"a decimal point lost", rec, "out_v = 19.05", "out_v = 1.905", "", "power-disagrees"},
		{"a load that was not measured by its name", rec, "load = \"a8\"", "load = \"a9\"", "there is no load \"a9\" in bench.toml", ""},
	} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			got, problems := follow(t, spoiled(s.file, s.old, s.by))
			line := 1 + strings.Count(whole[s.file][:strings.Index(whole[s.file], s.old)], "\n")
			if s.problem != "" {
				if !slices.ContainsFunc(problems, func(p record.Problem) bool {
					return strings.Contains(p.Summary, s.problem) && p.Line == line && p.File == "content/"+s.file
				}) {
					t.Errorf("%q is not told in line %d: %v", s.problem, line, problems)
				}
				return
			}
			if problems.Errors() || !slices.ContainsFunc(got.Sheets[0].Findings, func(f sheet.Finding) bool { return f.ID == s.finding }) {
				t.Errorf("no finding %s: %v, %v", s.finding, problems, got.Sheets)
			}
		})
	}
}

// Few runs, none that counts, or none at all: the claims say so in words.
func TestTooLittleToDecide(t *testing.T) {
	const rec = "units/spoiled/record.toml"
	runs := regexp.MustCompile(`(?s)\[\[run\]\]\n.*?(\n\[\[spec)`)
	one := "[[run]]\nid = \"r4\"\nmethod = \"thd1\"\ndriven = [\"L\"]\nload = \"a4\"\nout_v = 19.05\nthdn_pct = 1.0\nsupply_v = 14.4\n"
	for _, r := range []struct{ name, runs, verdict string }{
		{"one run", one, "met"},
		{"no run", "", "untested"},
		{"one run, invalid", one + "invalid = \"the lead fell off\"\n", "untested"},
		{"all runs invalid", strings.ReplaceAll(runs.FindString(whole[rec]), "driven =", "invalid = \"misread\"\ndriven ="), "untested"},
		{"one run, nothing but zeros", strings.NewReplacer("19.05", "0", "1.0\n", "0\n").Replace(one), "open"},
		{"one run, shut down before a reading", "[[run]]\nid = \"r4\"\nmethod = \"thd1\"\ndriven = [\"L\"]\nload = \"a4\"\nsupply_v = 14.4\noutcome = \"protected\"\nlasted_s = 0\n", "open"},
	} {
		t.Run(r.name, func(t *testing.T) {
			content := spoiled(rec, "maker", "maker")
			content[rec] = runs.ReplaceAllString(content[rec], strings.TrimSuffix(r.runs, "\n[[spec")+"$1")
			s, problems := follow(t, content)
			if problems.Errors() {
				t.Fatal(problems.Error())
			}
			c := s.Sheets[0].Claims[0]
			if string(c.Verdict) != r.verdict || r.verdict != "met" && c.Why == "" {
				t.Errorf("%s: %s; want %s", c.Verdict, c.Why, r.verdict)
			}
		})
	}
}
