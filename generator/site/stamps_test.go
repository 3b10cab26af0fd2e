package site

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"wattsheet/generator/publication"
)

// builtIn is [Draft.Build], packed, with something that happens when the units are made and nothing is in its place yet; it
// gives of how many units files were read or written.
func builtIn(t *testing.T, root string, meanwhile func()) int {
	t.Helper()
	return builtSlowly(t, root, func() {}, meanwhile)
}

// builtSlowly is builtIn with something that happens when the units were looked at and nothing is made yet.
func builtSlowly(t *testing.T, root string, looked, meanwhile func()) (known int) {
	t.Helper()
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	content, err := d.content()
	if err != nil {
		t.Fatal(err)
	}
	defer content.Close()
	d.look(content, today, nil)
	out, err := openPublisher(d.folder, filepath.Join(root, "public"))
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	out.Compress = true
	if err := out.Begin(); err != nil {
		t.Fatal(err)
	}
	b := &builder{draft: d, content: content, out: out, there: d.openStamps(out.Name), wrong: !d.frame.right}
	looked()
	for group := range slices.Values(d.groups()) {
		b.group(group)
	}
	known = len(b.there.now) - len(b.there.same)
	meanwhile()
	b.lists()
	if _, err := b.end(); err != nil {
		t.Fatal(err)
	}
	return known
}

// What somebody does to published files while a build runs isn't taken for what the build made: the next one puts it
// right. So it is with files that are kept, that are written, and that are packed. What nobody touched isn't read again.
func TestFilesThatChangeWhileASiteIsMade(t *testing.T) {
	root := several(t)
	at := filepath.Join(root, "public/units/badgercog-1")
	touch := func() {
		for _, name := range []string{"sheet.json", "index.html", ".index.html.new", "sheet.json.gz"} {
			f, err := os.OpenFile(filepath.Join(at, name), os.O_WRONLY|os.O_APPEND, 0)
			if err != nil {
				continue // it isn't there at this time
			}
			if _, err := f.WriteString("spoiled"); err != nil {
				t.Fatal(err)
			}
			f.Close()
		}
	}
	builtIn(t, root, func() { time.Sleep(20 * time.Millisecond); touch() }) // the clock of a disk may be coarse
	for _, what := range []string{"at first", "nothing to do", "an edit"} {
		if what == "an edit" {
			put(t, root, "content/units/badgercog-1/notes.md", "Other notes.\n")
		}
		if what != "at first" {
			builtIn(t, root, touch)
		}
		builtIn(t, root, func() {})
		got := tree(t, filepath.Join(root, "public"))
		if odd := unlike(plainFiles(got), plainFiles(afresh(t, root, today))); len(odd) > 0 {
			t.Errorf("%s: not as a clean build: %v", what, odd)
		}
		if read := builtIn(t, root, func() {}); read != 0 {
			t.Errorf("%s: with nothing changed %d units were read", what, read)
		}
	}
}

// plainFiles leaves out what is packed, and the manifest.
func plainFiles(files map[string]string) map[string]string {
	out := map[string]string{}
	for name, text := range files {
		if ext := filepath.Ext(name); ext != ".gz" && ext != ".br" && name != publication.ManifestName {
			out[name] = text
		}
	}
	return out
}
