package site

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A content folder that is a link is watched and read as what it leads to at that time, by its name below the root.
func TestContentThatIsALink(t *testing.T) {
	root, real := t.TempDir(), tiny(t, nil)
	link := filepath.Join(root, contentFolder)
	lead := func(to string) {
		os.Remove(link)
		if err := os.Symlink(filepath.Join(to, contentFolder), link); err != nil {
			t.Fatal(err)
		}
	}
	lead(real)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(d.Close)
	refreshed(t, d, today)
	if got := d.Folders(); !slices.Equal(got, []string{filepath.Join(d.Root(), contentFolder)}) {
		t.Errorf("watched is %q", got)
	}
	const page = "units/ottersprocket-20/index.html"
	shows := func(name string) {
		t.Helper()
		if !strings.Contains(openedAt(t, d, page), name) {
			t.Errorf("the page doesn't show %s", name)
		}
	}
	replaceIn(t, real, tinyRecord, "Ottersprocket", "Fieldfarelug")
	refreshed(t, d, today, tinyRecord)
	shows("Fieldfarelug")
	other := tiny(t, nil)
	replaceIn(t, other, tinyRecord, "Ottersprocket", "Garganeyrivet")
	lead(other)
	if got := refreshed(t, d, today); got.Problems.Errors() {
		t.Fatal(got.Problems)
	}
	shows("Garganeyrivet")
	if err := d.Apart(other); err == nil {
		t.Error("it may be published into the folder that holds the content")
	}
}
