package site

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"wattsheet/generator/publication"
)

// What is saved between the look at a unit's files and their being read is published, if at all, as of then, and isn't
// taken later for what the files looked at give: not for the unit, nor for one whose page shows it, nor for lists.
func TestContentThatChangesWhileASiteIsMade(t *testing.T) {
	record := "content/units/badgercog-1/record.toml" // which badgercog-2 follows
	for _, row := range []struct {
		what string
		edit func(t *testing.T, root string)
	}{
		{"a reading", replaced(record, "19.3", "17.3")},
		{"notes", func(t *testing.T, root string) {
			put(t, root, "content/units/badgercog-1/notes.md", "Said in between.\n")
		}},
		{"the unit that is followed", replaced("content/units/badgercog-2/record.toml", "follows", "# follows")},
	} {
		t.Run(row.what, func(t *testing.T) {
			root := several(t)
			before := contentOf(t, root)
			asBefore := func() {
				for name := range contentOf(t, root) {
					if _, was := before[name]; !was {
						if err := os.Remove(filepath.Join(root, name)); err != nil {
							t.Fatal(err)
						}
					}
				}
				for name, text := range before {
					if data, err := os.ReadFile(filepath.Join(root, name)); err != nil || string(data) != text {
						put(t, root, name, text)
					}
				}
			}
			builtSlowly(t, root, func() { row.edit(t, root) }, asBefore)
			for _, again := range []string{"the next build", "one more"} {
				builtIn(t, root, func() {})
				if odd := unlike(plainFiles(tree(t, filepath.Join(root, "public"))), plainFiles(afresh(t, root, today))); len(odd) > 0 {
					t.Errorf("%s: not as a clean build: %v", again, odd)
				}
			}
			if read := builtIn(t, root, func() {}); read != 0 {
				t.Errorf("with nothing changed %d units were read", read)
			}
		})
	}
}

// The same for a draft that is kept open: a page is that of the files as they were told of last, though they were other
// ones for a moment.
func TestDraftOfFilesThatChangeWhileTheyAreRead(t *testing.T) {
	root := several(t)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if _, err := d.Refresh(today, nil); err != nil {
		t.Fatal(err)
	}
	notes := "content/units/badgercog-1/notes.md"
	for _, text := range []string{"First notes.\n", "Second notes.\n"} {
		put(t, root, notes, text)
		content, err := d.content()
		if err != nil {
			t.Fatal(err)
		}
		d.look(content, today, []string{notes})
		put(t, root, notes, "Notes of a moment.\n")
		d.examine(content, []*unit{d.units["badgercog-1"]})
		content.Close()
		put(t, root, notes, text)
		if _, err := d.Refresh(today, []string{notes}); err != nil {
			t.Fatal(err)
		}
		page := "units/badgercog-1/index.html"
		if out, err := d.Open(page); err != nil || string(out.Bytes) != afresh(t, root, today)[page] {
			t.Errorf("%q: another page than a build makes, or %v", text, err)
		}
	}
}

// A savedFS has another text of a template from the second time on that it is read.
type savedFS struct {
	fs.FS
	name  string
	later []byte
	reads int
}

func (s *savedFS) ReadFile(name string) ([]byte, error) {
	if name == s.name {
		if s.reads++; s.reads > 1 {
			return s.later, nil
		}
	}
	return fs.ReadFile(s.FS, name)
}

// A template that is saved after its digest was taken is read again as a whole.
func TestTemplateSavedWhileItIsRead(t *testing.T) {
	with := stillOnly()
	name := "pages/unit.html"
	text, err := fs.ReadFile(with.Files, name)
	if err != nil {
		t.Fatal(err)
	}
	saved := &savedFS{FS: with.Files, name: name, later: append(text, "<!-- saved -->"...)}
	with.Files = saved
	d, err := openDraft(several(t), with, false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if _, err := d.Refresh(today, nil); err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(d.frame.inputs, Input{theLayout("unit"), "the theme's " + name, publication.DigestOf(saved.later)}) {
		t.Error("pages are made of one text, under the digest of another")
	}
}
