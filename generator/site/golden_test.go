package site

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/theme"
)

// today is the instant that the tests' sites are made for.
var today = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

var update = flag.Bool("update", false, "write golden files anew")

// golden compares bytes with a file of testdata. What differs is written beside
// it, with the ending .got.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		if err := os.WriteFile(path+".got", got, 0o644); err != nil {
			t.Fatal(err)
		}
		t.Errorf("%s differs: compare it with %s.got, and run go test -update ./generator/site if that is right", path, path)
		return
	}
	os.Remove(path + ".got")
}

// tiny is a copy of testdata/tiny in which some files have other texts; a text
// of "-" takes the file away.
func tiny(t *testing.T, files map[string]string) string {
	t.Helper()
	root := t.TempDir()
	if err := os.CopyFS(root, os.DirFS("testdata/tiny")); err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		if text != "-" {
			continue
		}
		if err := os.RemoveAll(filepath.Join(root, name)); err != nil {
			t.Fatal(err)
		}
	}
	for name, text := range files {
		if text != "-" {
			put(t, root, name, text)
		}
	}
	return root
}

// tinyFile is the text of a file of testdata/tiny.
func tinyFile(t *testing.T, name string) string {
	t.Helper()
	data, err := fs.ReadFile(os.DirFS("testdata/tiny"), name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// loaded loads a site that has no problems at all.
func loaded(t *testing.T, root string) *Site {
	t.Helper()
	s, problems, err := Load(root, today)
	if err != nil {
		t.Fatal(err)
	}
	if len(problems) > 0 {
		t.Fatalf("problems:\n%v", problems)
	}
	return s
}

const tinyRecord = "content/units/ottersprocket-20/record.toml"

// problemsOf loads a site and gives its problems as printed.
func problemsOf(t *testing.T, root string) (string, record.Problems) {
	t.Helper()
	_, problems, err := Load(root, today)
	if err != nil {
		t.Fatal(err)
	}
	return problems.Error(), problems
}

// pages renders a site with the default theme.
func (s *Site) pages(assets map[string]string) ([]Output, record.Problems) {
	return s.pagesOf(theme.Default(), assets)
}

// pagesOf renders a site with the templates of a theme.
func (s *Site) pagesOf(from theme.Theme, assets map[string]string) ([]Output, record.Problems) {
	outputs, problems, err := s.rendered(from, assets)
	if err != nil {
		panic(err)
	}
	return outputs, problems
}
