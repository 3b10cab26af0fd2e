package site

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/publication"
)

// draftedSite is a draft of several units, looked at.
func draftedSite(t *testing.T) (root string, d *Draft) {
	t.Helper()
	root = several(t)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(d.Close)
	refreshed(t, d, today)
	return root, d
}

func refreshed(t *testing.T, d *Draft, asOf time.Time, names ...string) Refreshed {
	t.Helper()
	got, err := d.Refresh(asOf, names)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func openedAt(t *testing.T, d *Draft, name string) string {
	t.Helper()
	o, err := d.Open(name)
	if err != nil || o.Path != name {
		t.Fatalf("%s: %q, %v", name, o.Path, err)
	}
	return string(o.Bytes)
}

// What a draft opens is what a build makes, after any edit; nothing else is there.
func TestDraftOpensWhatABuildMakes(t *testing.T) {
	root, d := draftedSite(t)
	asOf := today
	was := afresh(t, root, asOf)
	for _, e := range edits {
		if strings.Contains(e.what, "publish") || strings.Contains(e.what, "front page") {
			continue
		}
		before := tree(t, root)
		e.do(t, root)
		if e.what == "it opens" {
			asOf = asOf.AddDate(0, 1, 0)
		}
		var names []string
		for _, name := range unlike(before, tree(t, root)) {
			if strings.HasPrefix(name, "content/") || strings.HasPrefix(name, "themes/") {
				names = append(names, name)
			}
		}
		if names == nil {
			names = []string{}
		}
		refreshed(t, d, asOf, names...)
		want := afresh(t, root, asOf)
		for path, text := range want {
			if path != publication.ManifestName && openedAt(t, d, path) != text {
				t.Errorf("%s: %s isn't as a build makes it", e.what, path)
			}
		}
		for path := range was {
			if _, stays := want[path]; stays {
				continue
			}
			if _, err := d.Open(path); !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("%s: %s is still there: %v", e.what, path, err)
			}
		}
		was = want
	}
	for _, path := range []string{"", ".", "..", "../content/site.toml", "units", "units/", "units/../index.html", "content/site.toml", "/index.html", "units/badgercog-1/../../index.html", publication.ManifestName} {
		if o, err := d.Open(path); err == nil {
			t.Errorf("%q gives %d bytes", path, len(o.Bytes))
		}
	}
}

// One change evaluates what follows from it, and no more.
func TestRefreshEvaluatesWhatFollows(t *testing.T) {
	root := several(t)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if got := refreshed(t, d, today); got.Pending != 0 || got.Evaluated != 6 || got.Problems.Errors() {
		t.Fatalf("at first: %+v", got)
	}
	page, data := "units/fieldfarelug-1/index.html", "units/fieldfarelug-1/sheet.json"
	beforePage, beforeData := openedAt(t, d, page), openedAt(t, d, data)
	for _, row := range []struct {
		what, name string
		do         func(*testing.T, string)
		evaluated  int // by the refresh, and all that is left
		rest       int
	}{
		{"nothing", fieldfare + "notes.md", func(*testing.T, string) {}, 0, 0},
		{"a note", fieldfare + "notes.md", appended(fieldfare+"notes.md", "\nOne more word.\n"), 0, 0},
		{"a word of prose", "content/prose/about.md", appended("content/prose/about.md", "\nOne more word.\n"), 0, 0},
		{"a picture", dormouse + "top.png", func(t *testing.T, root string) { put(t, root, dormouse+"top.png", string(pngOf(t, 41, 31))) }, 0, 0},
		{"a stray file", dormouse + "odd.txt", func(t *testing.T, root string) { put(t, root, dormouse+"odd.txt", "odd") }, 0, 0},
		{"the earlier model", badger + "record.toml", replaced(badger+"record.toml", "[source]\n", "[settings]\nremarks = \"as it came\"\n\n[source]\n"), 1, 1},
		{"a theme", "content/site.toml", func(t *testing.T, root string) {
			replaceIn(t, root, "content/site.toml", "title = ", "theme = \"paper\"\ntitle = ")
			put(t, root, "themes/paper/style.css", "body {}")
		}, 0, 6},
		{"a style", "themes/paper/style.css", func(t *testing.T, root string) { put(t, root, "themes/paper/style.css", "body { margin: 0 }") }, 0, 0},
		{"a run", fieldfare + "record.toml", replaced(fieldfare+"record.toml", "out_v = 23.3", "out_v = 23.4"), 1, 1},
		{"the bench", "content/bench.toml", appended("content/bench.toml", "# end\n"), 0, 6},
	} {
		row.do(t, root)
		got := refreshed(t, d, today, row.name)
		if got.Evaluated != row.evaluated {
			t.Errorf("%s: %d units were evaluated at once, want %d", row.what, got.Evaluated, row.evaluated)
		}
		rest, err := d.Sweep(nil)
		if err != nil || rest.Pending != 0 || row.evaluated+rest.Evaluated != max(row.rest, row.evaluated) {
			t.Errorf("%s: %d units were evaluated afterwards, want %d; %v", row.what, rest.Evaluated, row.rest-row.evaluated, err)
		}
	}
	if openedAt(t, d, page) == beforePage || openedAt(t, d, data) == beforeData {
		t.Error("the page or its data are as before")
	}
}

// While something is wrong the last good page stays; mending it brings the new one.
func TestLastGoodPageStays(t *testing.T) {
	const page, other = "units/fieldfarelug-1/index.html", "units/badgercog-1/index.html"
	for _, row := range []struct {
		what, name, old, bad, good string
		others                     bool // the other unit's page is the last good one as well
	}{
		{"a unit", fieldfare + "record.toml", "out_v = 23.3", "out_v = \"23 V\"", "out_v = 23.4", false},
		{"the bench", "content/bench.toml", "[[load]]", "[[laod]]", "[[load]]\nname = \"new\"", true},
		{"the site", "content/site.toml", "title = ", "titel = ", "title = \"Mended\"\nnotice = \"now\"\ntagline = ", true},
	} {
		root, d := draftedSite(t)
		before := openedAt(t, d, page)
		text := tree(t, root)[row.name]
		put(t, root, row.name, strings.Replace(text, row.old, row.bad, 1))
		got := refreshed(t, d, today, row.name)
		if !got.Problems.Errors() {
			t.Fatalf("%s: no problem is told", row.what)
		}
		if openedAt(t, d, page) != before {
			t.Errorf("%s: the page isn't the last good one", row.what)
		}
		if row.others && !strings.Contains(openedAt(t, d, other), "Badgercog") {
			t.Errorf("%s: a page that wasn't open before can't be seen", row.what)
		}
		if front := openedAt(t, d, "index.html"); !strings.Contains(front, "fieldfarelug-1") {
			t.Errorf("%s: the list lacks the unit", row.what)
		}
		put(t, root, row.name, strings.Replace(text, row.old, row.good, 1))
		if row.what == "the site" {
			put(t, root, row.name, strings.Replace(text, `title = "Sprocket`, `title = "Mended Sprocket`, 1))
		}
		got = refreshed(t, d, today, row.name)
		rest, err := d.Sweep(nil)
		if err != nil || rest.Problems.Errors() {
			t.Errorf("%s: mended, but %v %v", row.what, rest.Problems, err)
		}
		if row.what != "the bench" && openedAt(t, d, page) == before {
			t.Errorf("%s: mended, but the page is the old one", row.what)
		}
	}
}

// A draft that begins with a mistake shows what is right, and nothing of what isn't.
func TestDraftThatBeginsWrong(t *testing.T) {
	root := several(t)
	replaceIn(t, root, fieldfare+"record.toml", "out_v = 23.3", "out_v = \"23 V\"")
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	refreshed(t, d, today)
	if _, err := d.Open("units/fieldfarelug-1/index.html"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a page that never was right is there: %v", err)
	}
	openedAt(t, d, "units/badgercog-1/index.html")
	if got, err := d.Sweep(nil); err != nil || !got.Problems.Errors() {
		t.Errorf("%+v, %v", got, err)
	}
	if b, err := d.Publish(filepath.Join(root, "public"), nil); err != nil || !b.Problems.Errors() {
		t.Errorf("it is published: %+v, %v", b, err)
	}
	if _, err := os.Stat(filepath.Join(root, "public")); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the folder is there")
	}
}

// The draft knows when something opens, and which folders to watch.
func TestDraftKnowsOpeningsAndFolders(t *testing.T) {
	root, d := draftedSite(t)
	if at, ok := d.Opens(); ok {
		t.Errorf("something opens at %v", at)
	}
	replaceIn(t, root, fieldfare+"record.toml", "[[run]]\n", "[[run]]\nhold = \"until 2026-12-05T18:00:00+01:00\"\n")
	put(t, root, fieldfare+"notes.md", "Nothing of it.\n") // the old ones cite the run
	refreshed(t, d, today, fieldfare+"record.toml")
	want := time.Date(2026, 12, 5, 17, 0, 0, 0, time.UTC)
	if at, ok := d.Opens(); !ok || !at.Equal(want) {
		t.Errorf("it opens at %v, %t", at, ok)
	}
	before := openedAt(t, d, "units/fieldfarelug-1/sheet.json")
	refreshed(t, d, want, []string{}...)
	if openedAt(t, d, "units/fieldfarelug-1/sheet.json") == before {
		t.Error("after its opening the run isn't there")
	}
	if at, ok := d.Opens(); ok {
		t.Errorf("something still opens at %v", at)
	}
	if got := d.Folders(); !slices.Equal(got, []string{filepath.Join(d.Root(), "content")}) {
		t.Errorf("the folders are %v", got)
	}
	replaceIn(t, root, "content/site.toml", "title = ", "theme = \"paper\"\ntitle = ")
	// The theme's folder is watched before it is there, and while site.toml has a mistake: that is how both are mended.
	watched := func(when string) {
		t.Helper()
		if got := d.Folders(); len(got) != 2 || got[1] != filepath.Join(d.Root(), "themes/paper") {
			t.Errorf("%s: the folders are %v", when, got)
		}
	}
	if r, err := d.Refresh(want, []string{"content/site.toml"}); err != nil || !strings.Contains(r.Problems.Error(), "themes/paper can't be read") {
		t.Errorf("without the folder: %v, %v", r.Problems, err)
	}
	watched("missing")
	put(t, root, "themes/paper/style.css", "body {}")
	refreshed(t, d, want, "themes/paper")
	watched("made")
	replaceIn(t, root, "content/site.toml", "title = ", "[[title = ")
	if r, err := d.Refresh(want, []string{"content/site.toml"}); err != nil || r.Problems == nil {
		t.Errorf("a mistake in site.toml: %v, %v", r.Problems, err)
	}
	watched("site.toml can't be read")
}
