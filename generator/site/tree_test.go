package site

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// tree is all files below a folder, by path; a symbolic link's text is where it
// leads.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		if e.Type()&fs.ModeSymlink != 0 {
			to, err := os.Readlink(path)
			files[filepath.ToSlash(name)] = "-> " + to
			return err
		}
		data, err := os.ReadFile(path)
		files[filepath.ToSlash(name)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func put(t *testing.T, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func symlink(t *testing.T, to, dir, name string) {
	t.Helper()
	if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
		t.Fatal(err)
	}
}
