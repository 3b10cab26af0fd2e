package site

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"wattsheet/generator/disk"
	"wattsheet/generator/record"
)

func TestLoadReadsAndEvaluates(t *testing.T) {
	root := tiny(t, map[string]string{
		"content/units/adder-1/record.toml": tinyFile(t, tinyRecord),
		// What editors and file managers leave behind is not looked at.
		"content/units/adder-1/record.toml~":      "x",
		"content/units/adder-1/.record.toml.swp":  "x",
		"content/units/adder-1/#notes.md#":        "x",
		"content/units/adder-1/notes.md.bak":      "x",
		"content/units/.trash/record.toml":        "x",
		"content/units/adder-1~/record.toml":      "x",
		"content/.DS_Store":                       "x",
		"content/Thumbs.db":                       "x",
		"content/prose/about.md.orig":             "x",
		"content/units/ottersprocket-20/notes.md": "\ufeffA note.\r\n",
	})
	s := loaded(t, root)
	var slugs []string
	for i, one := range s.Sheets {
		slugs = append(slugs, one.Slug)
		if one.Record != s.Content.Records[i] || one.Content != s.Content {
			t.Errorf("sheet %s is of another record", one.Slug)
		}
	}
	if want := []string{"adder-1", "ottersprocket-20"}; !slices.Equal(slugs, want) {
		t.Errorf("the units are %v, want %v", slugs, want)
	}
	if names := slices.Sorted(maps.Keys(s.Notes)); !slices.Equal(names, []string{"ottersprocket-20"}) {
		t.Errorf("notes of %v", names)
	}
	if names := slices.Sorted(maps.Keys(s.Prose)); !slices.Equal(names, []string{"about", "methodology"}) {
		t.Errorf("prose %v", names)
	}
	note := s.Notes["ottersprocket-20"]
	if note.Name != "content/units/ottersprocket-20/notes.md" || !bytes.Equal(note.Text, []byte("\ufeffA note.\r\n")) {
		t.Errorf("the note is %+v", note)
	}
}

// Everything wrong with the files as such, each with the text that is printed.
func TestLoadPrintsWhatIsWrongWithFiles(t *testing.T) {
	for name, row := range map[string]struct {
		files map[string]string
		want  string
	}{
		"site missing": {map[string]string{"content/site.toml": "-"},
			"content/site.toml: this file is missing\nhint: it holds at least title and tester, who tests and publishes"},
		"bench missing": {map[string]string{"content/bench.toml": "-"},
			"content/bench.toml: this file is missing\nhint: it holds the instruments and loads that were used, and how good they are"},
		"methods missing": {map[string]string{"content/methods.toml": "-"},
			"content/methods.toml: this file is missing\nhint: it holds the methods by which runs are made"},
		"record missing": {map[string]string{tinyRecord: "-"},
			tinyRecord + ": this file is missing\nhint: every folder of units holds the record of one unit"},
		"no units": {map[string]string{"content/units": "-"},
			"content/units: warning: there is no unit yet\nhint: put a record into content/units/NAME/record.toml; NAME is its address: a-z, 0-9 and -"},
		"unknown in unit": {map[string]string{"content/units/ottersprocket-20/photo.heic": "x"},
			"content/units/ottersprocket-20/photo.heic: warning: nothing reads this\nhint: a unit's folder holds record.toml, notes.md, runs.csv, pictures, .jpg or .png, captures, .wav or .csv, and the video's description.txt, .srt and .vtt"},
		"picture not shown": {map[string]string{"content/units/ottersprocket-20/photo.jpg": "x"},
			"content/units/ottersprocket-20/photo.jpg: warning: no page shows this picture\nhint: add it to record.toml, in a table [[picture]] with file = \"photo.jpg\" and shows, or take it out of the folder"},
		"unknown in units": {map[string]string{"content/units/read.me": "x"},
			"content/units/read.me: warning: nothing reads this\nhint: the units folder holds a folder for each unit, with record.toml in it"},
		"unknown in prose": {map[string]string{"content/prose/about.html": "x"},
			"content/prose/about.html: warning: nothing reads this\nhint: the prose folder holds texts whose names end in .md"},
		"unknown in content": {map[string]string{"content/sight.toml": "x"},
			"content/sight.toml: warning: nothing reads this\nhint: the content folder holds site.toml, bench.toml, methods.toml, prose and units"},
		"prose name": {map[string]string{"content/prose/How To.md": "x"},
			"content/prose/How To.md: the file's name can't be an address\nhint: use a-z, 0-9 and - only, with a letter or digit at both ends, at most 80 of them"},
		"not UTF-8": {map[string]string{"content/prose/about.md": "# A\n\ncaf\xe9\n"},
			"content/prose/about.md: line 3 has bytes that are not UTF-8 text\nhint: save the file as UTF-8"},
		"folder for a file": {map[string]string{"content/site.toml": "-", "content/site.toml/x": "x"},
			"content/site.toml: this can't be read: it is not a plain file\nhint: it has to be a plain file or folder that you may read"},
		"too large": {map[string]string{"content/prose/about.md": strings.Repeat("x", disk.Limit+1)},
			"content/prose/about.md: this file is too large\nhint: a file of the content may have up to 8 MB"},
	} {
		t.Run(name, func(t *testing.T) {
			got, _ := problemsOf(t, tiny(t, row.files))
			if got != row.want {
				t.Errorf("got\n%s\nwant\n%s", got, row.want)
			}
		})
	}
}

func TestLoadTakesAFileOfTheLargestSize(t *testing.T) {
	s := loaded(t, tiny(t, map[string]string{"content/prose/about.md": strings.Repeat("x", disk.Limit)}))
	if n := len(s.Prose["about"].Text); n != disk.Limit {
		t.Errorf("%d bytes were read, want %d", n, disk.Limit)
	}
}

// The name of a unit's folder is its address.
func TestLoadRefusesFoldersThatAreNoAddress(t *testing.T) {
	for _, slug := range []string{"Otter", "otter_20", "otter 20", "-otter", "ötter", "otter\x1b[31m", strings.Repeat("o", 100)} {
		got, problems := problemsOf(t, tiny(t, map[string]string{"content/units/" + slug + "/record.toml": tinyFile(t, tinyRecord)}))
		if !problems.Errors() || strings.Contains(got, "\x1b") {
			t.Errorf("%q: problems are %q", slug, got)
		}
	}
}

func TestLoadStaysInContent(t *testing.T) {
	secret := t.TempDir()
	put(t, secret, "record.toml", "xyzzy")
	for _, name := range []string{"content/site.toml", "content/units/ottersprocket-20/notes.md", tinyRecord, "content/units/other", "content/units", "content/prose"} {
		root := tiny(t, map[string]string{name: "-"})
		to := secret
		if filepath.Ext(name) != "" {
			to = filepath.Join(secret, "record.toml")
		}
		up, err := filepath.Rel(filepath.Join(root, filepath.Dir(name)), to)
		if err != nil {
			t.Fatal(err)
		}
		symlink(t, up, root, name)
		got, problems := problemsOf(t, root)
		want := filepath.ToSlash(name) + ": this is a symbolic link that leads out of the content folder"
		if !problems.Errors() || !strings.Contains(got, want) || strings.Contains(got, "xyzzy") {
			t.Errorf("%s: problems are %q, want %q", name, got, want)
		}
	}
}

func TestLoadFollowsLinksWithinContent(t *testing.T) {
	root := tiny(t, map[string]string{"content/units/ottersprocket-20/notes.md": "-"})
	symlink(t, "../../prose/about.md", root, "content/units/ottersprocket-20/notes.md")
	s := loaded(t, root)
	if !bytes.Equal(s.Notes["ottersprocket-20"].Text, s.Prose["about"].Text) {
		t.Error("the note is not the file that it is a link to")
	}
}

// A pipe would keep its reader waiting.
func TestLoadDoesNotWaitForPipes(t *testing.T) {
	root := tiny(t, map[string]string{"content/bench.toml": "-"})
	if err := syscall.Mkfifo(filepath.Join(root, "content/bench.toml"), 0o644); err != nil {
		t.Skip(err)
	}
	done := make(chan string)
	go func() { got, _ := problemsOf(t, root); done <- got }()
	select {
	case got := <-done:
		if !strings.Contains(got, "content/bench.toml: this can't be read: it is not a plain file") {
			t.Errorf("problems are %q", got)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("it waits")
	}
}

func TestLoadWithoutContent(t *testing.T) {
	dir := t.TempDir()
	_, _, err := Load(dir, today)
	if err == nil || !strings.HasPrefix(err.Error(), "there is no folder "+filepath.ToSlash(dir)+"/content\nhint: ") {
		t.Errorf("the error is %v", err)
	}
	put(t, dir, "content", "a file")
	if _, _, err = Load(dir, today); err == nil || !strings.Contains(err.Error(), "content can't be read: not a directory\nhint: ") {
		t.Errorf("the error is %v", err)
	}
}

// All problems of all files come in one run, sorted, the same in every run; and
// nothing is evaluated.
func TestLoadFindsEverythingAtOnce(t *testing.T) {
	root := tiny(t, map[string]string{
		"content/site.toml":                "titel = \"x\"\ntester = 7\n",
		"content/methods.toml":             strings.Replace(tinyFile(t, "content/methods.toml"), "freq_hz = 1000", "freq_hz = \"1 kHz\"", 1),
		"content/units/zebra/notes.md":     "no record",
		"content/units/Aardvark/read.me":   "x",
		tinyRecord:                         strings.Replace(tinyFile(t, tinyRecord), `load = "four"`, `load = "for"`, 1),
		"content/units/badger/record.toml": "[unit\n",
		"content/prose/caf.md":             "\xff",
	})
	first, problems := problemsOf(t, root)
	for _, file := range []string{
		"content/site.toml:1:", "content/site.toml:2:", "content/methods.toml:4:", "content/units/zebra/record.toml: this file is missing",
		"content/units/Aardvark/read.me: warning", tinyRecord + ":", "content/units/badger/record.toml:1:", "content/prose/caf.md: line 1",
	} {
		if !strings.Contains(first, file) {
			t.Errorf("nothing about %s in\n%s", file, first)
		}
	}
	if !slices.IsSortedFunc(problems, func(a, b record.Problem) int { return strings.Compare(a.File, b.File) }) {
		t.Error("the problems are not sorted by file")
	}
	for range 20 {
		if again, _ := problemsOf(t, root); again != first {
			t.Fatalf("another run gives\n%s\nafter\n%s", again, first)
		}
	}
	if s, _, _ := Load(root, today); len(s.Sheets) > 0 {
		t.Error("records with problems were evaluated")
	}
}

func TestLoadNamesFilesFromTheRoot(t *testing.T) {
	root := tiny(t, map[string]string{"content/bench.toml": "-"})
	t.Chdir(root)
	if err := os.Mkdir("sub", 0o755); err != nil {
		t.Fatal(err)
	}
	t.Chdir("sub")
	for _, way := range []string{"..", "../", root, "../sub/.."} {
		if got, _ := problemsOf(t, way); !strings.HasPrefix(got, "content/bench.toml: ") {
			t.Errorf("%s: %s", way, got)
		}
	}
}
