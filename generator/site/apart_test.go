package site

import (
	"maps"
	"path/filepath"
	"strings"
	"testing"
)

func TestPublishStaysApartFromContent(t *testing.T) {
	root := t.TempDir()
	put(t, root, "site/content/site.toml", "")
	put(t, root, "site/.wattsheet/cache/units/a", "")
	put(t, root, "site/themes/own/style.css", "")
	oldSite := []Output{{Path: "index.html", Bytes: []byte("old")}}
	content := filepath.Join(root, "site", "content")
	symlink(t, content, root, "shortcut")
	s := &Site{}
	var err error
	if s.folder, err = resolved(content); err != nil {
		t.Fatal(err)
	}
	for _, dir := range []string{
		root, filepath.Join(root, "site"), content, filepath.Join(content, "public"), filepath.Join(content, "a/b/c"),
		filepath.Join(root, "site/.wattsheet"), filepath.Join(root, "site/.wattsheet/cache/units"), filepath.Join(root, "site/themes/own"),
		filepath.Join(root, "shortcut"), filepath.Join(root, "shortcut", "public"), string(filepath.Separator),
	} {
		before := tree(t, root)
		if _, err := s.Publish(dir, oldSite); err == nil || !strings.Contains(err.Error(), "the site can't be written to") {
			t.Errorf("%s: the error is %v", dir, err)
		}
		if !maps.Equal(before, tree(t, root)) {
			t.Errorf("%s: something was written", dir)
		}
	}
	if _, err := s.Publish(filepath.Join(root, "site", "content-public"), oldSite); err != nil {
		t.Error(err)
	}
}

// What isn't there yet is the site's own as well: built there once, it would be refused from then on.
func TestPublishLeavesRoomForWhatIsTheSites(t *testing.T) {
	root := t.TempDir()
	put(t, root, "content/site.toml", "")
	s := &Site{}
	var err error
	if s.folder, err = resolved(filepath.Join(root, "content")); err != nil {
		t.Fatal(err)
	}
	oldSite := []Output{{Path: "index.html", Bytes: []byte("old")}}
	for _, dir := range []string{"themes", "themes/own", ".wattsheet/public"} {
		if _, err := s.Publish(filepath.Join(root, dir), oldSite); err == nil || !strings.Contains(err.Error(), "of the site itself") {
			t.Errorf("%s: the error is %v", dir, err)
		}
	}
	if _, err := s.Publish(filepath.Join(root, "themes-public"), oldSite); err != nil {
		t.Error(err)
	}
}
