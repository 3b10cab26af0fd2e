package site

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wattsheet/generator/publication"
)

// Where the promised addresses can't be written, what stood stands, and the error says how far it came.
func TestPromiseThatCannotBeWritten(t *testing.T) {
	root := several(t)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if _, err := d.Build(today, filepath.Join(root, "public")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(root, "content", publication.Hidden(addressesFile)), 0o755); err != nil {
		t.Fatal(err)
	}
	_, _, err = d.Promise()
	if err == nil || !strings.Contains(err.Error(), "content/addresses.toml can't be written: is a directory\nhint: the site is published") {
		t.Errorf("the error is %v", err)
	}
	if _, err := os.Stat(filepath.Join(root, "content", addressesFile)); !errors.Is(err, os.ErrNotExist) {
		t.Error("something was promised")
	}
}
