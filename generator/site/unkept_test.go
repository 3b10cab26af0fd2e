package site

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Where nothing can be kept that is told, and what to do; the site is the same. Where all can be kept nothing is left behind.
func TestWhatCannotBeKeptIsTold(t *testing.T) {
	root := several(t)
	built(t, root, "public", time.Time{})
	want := tree(t, filepath.Join(root, "public"))
	unkept := func() error {
		t.Helper()
		d, err := OpenDraft(root)
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		return d.Unkept()
	}
	before := tree(t, filepath.Join(root, ".wattsheet"))
	if err := unkept(); err != nil {
		t.Errorf("told without reason: %v", err)
	}
	if other := unlike(tree(t, filepath.Join(root, ".wattsheet")), before); len(other) > 0 {
		t.Errorf("left behind: %q", other)
	}
	for _, at := range []string{memoryFolder, cacheFolder, capturesFolder, stampsFolder, rowsFolder, ".wattsheet/cache", ".wattsheet"} {
		if err := os.RemoveAll(filepath.Join(root, at)); err != nil {
			t.Fatal(err)
		}
		put(t, root, at, "in the way\n")
		err := unkept()
		if err == nil || !strings.Contains(err.Error(), "nothing can be kept in "+filepath.ToSlash(filepath.Join(root, at))) || !strings.Contains(err.Error(), ": it is no folder; ") ||
			!strings.Contains(err.Error(), "\nhint: allow "+filepath.ToSlash(filepath.Join(root, at))+" to be written to") {
			t.Errorf("with a file at %s: %v", at, err)
		}
		built(t, root, "public", time.Time{})
		if other := unlike(tree(t, filepath.Join(root, "public")), want); len(other) > 0 {
			t.Errorf("with a file at %s there are others: %q", at, other)
		}
		if err := os.Remove(filepath.Join(root, at)); err != nil {
			t.Fatal(err)
		}
	}
	if err := unkept(); err != nil { // it can be made
		t.Errorf("told without reason: %v", err)
	}
	d, err := InspectDraft(root)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	put(t, root, ".wattsheet", "in the way\n")
	if err := d.Unkept(); err != nil {
		t.Errorf("who only looks is told: %v", err)
	}
}

// A folder that may only be read is told, and never the site's own folder as one to delete.
func TestFolderThatMayOnlyBeRead(t *testing.T) {
	for _, at := range []string{cacheFolder, "."} {
		root := t.TempDir()
		put(t, root, "content/site.toml", "")
		put(t, root, filepath.Join(at, "x"), "")
		folder := filepath.Join(root, at)
		if err := os.Chmod(folder, 0o555); err != nil {
			t.Fatal(err)
		}
		defer os.Chmod(folder, 0o755)
		if os.WriteFile(filepath.Join(folder, "y"), nil, 0o644) == nil {
			t.Skip("this user may write anywhere")
		}
		d, err := OpenDraft(root)
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		err = d.Unkept()
		if !errors.Is(err, fs.ErrPermission) || strings.Contains(err.Error(), "delete") != (at != ".") {
			t.Errorf("of %s: %v", at, err)
		}
	}
}
