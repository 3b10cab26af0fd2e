package site

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"wattsheet/generator/publication"
)

// several is the tiny site with five more units: one of them follows another, one has a
// picture, one is sealed.
func several(t *testing.T) string {
	t.Helper()
	root := addressed(t, nil, "https://bench.example/", "")
	for i, name := range []string{"badgercog-1", "badgercog-2", "dormouseclutch-1", "egretspindle-1", "fieldfarelug-1"} {
		text := strings.Replace(tinyFile(t, tinyRecord), "Ottersprocket", strings.ToUpper(name[:1])+name[1:], 1)
		text = strings.Replace(text, "20.00", fmt.Sprintf("%d.3", 19+i), 1)
		switch name {
		case "badgercog-2":
			text = strings.Replace(text, "[unit]\n", "[unit]\nfollows = \"badgercog-1\"\n", 1)
		case "dormouseclutch-1":
			text += "\n[[picture]]\nfile = \"top.png\"\nshows = \"the top\"\n"
			put(t, root, "content/units/"+name+"/top.png", string(pngOf(t, 40, 30)))
		}
		put(t, root, "content/units/"+name+"/record.toml", text)
		put(t, root, "content/units/"+name+"/notes.md", "Run r1 gave [](value:r1/power).\n")
	}
	if _, err := loaded(t, root).Seal("egretspindle-1", "2026-06-01T12:00:00Z", "first"); err != nil {
		t.Fatal(err)
	}
	return root
}

// pngOf is a picture of a size.
func pngOf(t *testing.T, width, height int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, width, height))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// built builds the site of a root into its folder out, without mistakes.
func built(t *testing.T, root, out string, asOf time.Time) Built {
	t.Helper()
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	b, err := d.Build(asOf, filepath.Join(root, out))
	if err != nil || b.Problems.Errors() {
		t.Fatal(err, b.Problems)
	}
	return b
}

// afresh is the site of a root as a first build makes it, elsewhere and with nothing
// remembered. Builds of the same content as of the same time are made once for all tests:
// that they give the same is TestBuildIsTheSameOnAnyNumberOfProcessors.
func afresh(t *testing.T, root string, asOf time.Time) map[string]string {
	t.Helper()
	files := contentOf(t, root)
	h := sha256.New()
	fmt.Fprintf(h, "%d\n", asOf.UnixNano())
	for _, name := range slices.Sorted(maps.Keys(files)) {
		fmt.Fprintf(h, "%q %q\n", name, files[name])
	}
	key := [sha256.Size]byte(h.Sum(nil))
	if made, has := madeAfresh.Load(key); has {
		return maps.Clone(made.(map[string]string))
	}
	made := firstBuild(t, files, asOf)
	madeAfresh.Store(key, made)
	return maps.Clone(made)
}

// madeAfresh has what [afresh] made, by the digest of all that it was made of.
var madeAfresh sync.Map

// contentOf is what stands below the content and the themes of a root.
func contentOf(t *testing.T, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, folder := range []string{"content", "themes"} {
		if _, err := os.Stat(filepath.Join(root, folder)); err != nil {
			continue
		}
		for name, text := range tree(t, filepath.Join(root, folder)) {
			files[folder+"/"+name] = text
		}
	}
	return files
}

// firstBuild is the site of such files, made in a folder of its own.
func firstBuild(t *testing.T, files map[string]string, asOf time.Time) map[string]string {
	t.Helper()
	other := t.TempDir()
	for name, text := range files {
		put(t, other, name, text)
	}
	built(t, other, "public", asOf)
	return tree(t, filepath.Join(other, "public"))
}

func unlike(a, b map[string]string) (paths []string) {
	for path := range a {
		if a[path] != b[path] {
			paths = append(paths, path)
		}
	}
	for path := range b {
		if _, has := a[path]; !has {
			paths = append(paths, path)
		}
	}
	slices.Sort(paths)
	return slices.Compact(paths)
}

// A build makes the files that the site as a whole has.
func TestBuildMakesTheWholeSite(t *testing.T) {
	root := several(t)
	b := built(t, root, "public", today)
	if b.Evaluated != b.Units || b.Units != 6 {
		t.Errorf("%d of %d units were evaluated", b.Evaluated, b.Units)
	}
	got := tree(t, filepath.Join(root, "public"))
	delete(got, publication.ManifestName)
	s, problems, err := Load(root, today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	if odd := unlike(got, made(t, s, stillOnly())); odd != nil {
		t.Errorf("not the same: %v", odd)
	}
	again := built(t, root, "public", today)
	if again.Evaluated != 0 || again.Summary.Written != 0 || again.Summary.Removed != 0 || again.Claims != b.Claims || again.Findings != b.Findings || again.Held != b.Held {
		t.Errorf("with nothing changed: %+v", again)
	}
}

// The number of processors doesn't show.
func TestBuildIsTheSameOnAnyNumberOfProcessors(t *testing.T) {
	root := several(t)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	files := contentOf(t, root)
	want := firstBuild(t, files, today)
	for _, n := range []int{2, 7} {
		runtime.GOMAXPROCS(n)
		if odd := unlike(want, firstBuild(t, files, today)); odd != nil {
			t.Errorf("with %d processors others: %v", n, odd)
		}
	}
}

// An edit is something that a tester does to the content, or others to what is published.
type edit struct {
	what string
	do   func(t *testing.T, root string)
	// evaluated is how many units it makes the next build evaluate; −1 where that depends.
	evaluated int
}

const (
	badger    = "content/units/badgercog-1/"
	dormouse  = "content/units/dormouseclutch-1/"
	fieldfare = "content/units/fieldfarelug-1/"
)

func appended(name, text string) func(*testing.T, string) {
	return func(t *testing.T, root string) {
		t.Helper()
		data, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		put(t, root, name, string(data)+text)
	}
}

func replaced(name, old, text string) func(*testing.T, string) {
	return func(t *testing.T, root string) { t.Helper(); replaceIn(t, root, name, old, text) }
}

func removed(name string) func(*testing.T, string) {
	return func(t *testing.T, root string) {
		t.Helper()
		if err := os.RemoveAll(filepath.Join(root, name)); err != nil {
			t.Fatal(err)
		}
	}
}

var edits = []edit{
	{"nothing", func(*testing.T, string) {}, 0},
	{"a note", appended(fieldfare+"notes.md", "\nOne more word.\n"), 1},
	{"a new key", replaced(fieldfare+"record.toml", "[source]\n", "[settings]\nremarks = \"as it came\"\n\n[source]\n"), 1},
	{"a run is invalid", replaced(fieldfare+"record.toml", "id = \"r1\"\n", "id = \"r1\"\ninvalid = \"a lead was off\"\n"), 1},
	{"subtitles with a number that is wrong", func(t *testing.T, root string) { put(t, root, fieldfare+"bench.srt", "It gave 108 W, of 90 W.\n") }, 1},
	{"a file that nothing reads", func(t *testing.T, root string) { put(t, root, fieldfare+"odd.txt", "odd") }, 1},
	{"the about page's title", replaced("content/prose/about.md", "# ", "# Once more: "), -1},
	{"a new page of prose", func(t *testing.T, root string) { put(t, root, "content/prose/thanks.md", "# Thanks\n\nTo nobody.\n") }, -1},
	{"a word of the methodology", appended("content/prose/methodology.md", "\nAnd so on.\n"), -1},
	{"the site's title", replaced("content/site.toml", "title = \"", "title = \"Now: "), 6},
	{"a page has moved", appended("content/site.toml", "\n[[moved]]\nfrom = \"/units/badger/\"\nto = \"/units/badgercog-1/\"\n"), 6},
	{"addresses that were published are promised", func(t *testing.T, root string) {
		put(t, root, "content/addresses.toml", string(promiseText([]string{"", "units/badger/", "units/fieldfarelug-1/"})))
	}, 0},
	{"a comment in bench.toml", appended("content/bench.toml", "\n# the end\n"), 6},
	{"a method's title", replaced("content/methods.toml", `title = "at 1 % THD+N"`, `title = "at one percent"`), 6},
	{"a theme of its own", func(t *testing.T, root string) {
		replaced("content/site.toml", "title = \"", "theme = \"paper\"\ntitle = \"")(t, root)
		put(t, root, "themes/paper/style.css", "body { color: black }\n")
	}, -1},
	{"a template of its own", func(t *testing.T, root string) {
		put(t, root, "themes/paper/pages/front.html", `{{define "main"}}<p>{{len .Units}} units{{end}}`)
	}, 0},
	{"a run has a capture", func(t *testing.T, root string) {
		put(t, root, dormouse+"one.wav", steadyWAV())
		appended(dormouse+"record.toml", "\n[[run]]\nid = \"r2\"\nmethod = \"thd1\"\nload = \"four\"\ncapture = \"c01\"\nfrom_s = 1\ninvalid = \"a try\"\n"+tinyScale)(t, root)
	}, 1},
	{"the capture is another", func(t *testing.T, root string) {
		wav := steadyWAV()
		put(t, root, dormouse+"one.wav", wav[:len(wav)-600]+strings.Repeat("\x00", 600))
	}, 1},
	{"a picture is another", func(t *testing.T, root string) { put(t, root, dormouse+"top.png", string(pngOf(t, 41, 31))) }, 1},
	{"a published page is deleted", removed("public/units/fieldfarelug-1/index.html"), 1},
	{"a published file is edited, its size the same", replaced("public/units/fieldfarelug-1/sheet.json", "Fieldfarelug", "Fieldfarelux"), 1},
	{"the front page is deleted", removed("public/index.html"), 0},
	{"what is remembered of a unit is spoiled", func(t *testing.T, root string) { put(t, root, memoryFolder+"/fieldfarelug-1", "nonsense") }, 1},
	{"nothing is remembered", removed(".wattsheet"), 6},
	{"the earlier model changes", replaced(badger+"record.toml", "[source]\n", "[settings]\nremarks = \"as it came\"\n\n[source]\n"), 2},
	{"a unit follows another", replaced(fieldfare+"record.toml", "[unit]\n", "[unit]\nfollows = \"dormouseclutch-1\"\n"), 2},
	{"a picture is held", replaced(dormouse+"record.toml", "[[picture]]\n", "[[picture]]\nhold = \"until 2026-12-05T18:00:00+01:00\"\n"), -1},
	{"a unit is held that another names", func(t *testing.T, root string) {
		put(t, root, "content/addresses.toml", string(promiseText([]string{""})))
		replaceIn(t, root, fieldfare+"record.toml", "follows = \"dormouseclutch-1\"\n", "hold = \"until 2026-12-05T18:00:00+01:00\"\n")
		appended(badger+"notes.md", "\nFieldfarelug-1 20 is next.\n")(t, root)
	}, -1},
	{"a unit is new", func(t *testing.T, root string) {
		if err := os.CopyFS(filepath.Join(root, "content/units/garganeyrivet-1"), os.DirFS(filepath.Join(root, badger))); err != nil {
			t.Fatal(err)
		}
	}, 1},
	{"it is gone again", removed("content/units/garganeyrivet-1"), 0},
	{"it opens", func(*testing.T, string) {}, -1},
	{"a sealed unit gets a run", func(t *testing.T, root string) {
		appended("content/units/egretspindle-1/record.toml", "\n[[run]]\nid = \"r2\"\ninvalid = \"a trial\"\nmethod = \"thd1\"\nload = \"four\"\nout_v = 20.9\nthdn_pct = 1.00\nsupply_v = 14.40\nat = 2026-06-04T10:00:00+02:00\n")(t, root)
		if err := os.Remove(filepath.Join(root, "content/units/egretspindle-1/notes.md")); err != nil {
			t.Fatal(err)
		}
	}, -1},
}

// After any edit a build that remembers gives the same files as one that doesn't.
func TestBuildAfterEditsIsACleanOne(t *testing.T) {
	root := several(t)
	asOf := today
	built(t, root, "public", asOf)
	for _, e := range edits {
		e.do(t, root)
		if e.what == "it opens" {
			asOf = asOf.AddDate(0, 1, 0)
		}
		b := built(t, root, "public", asOf)
		if e.evaluated >= 0 && b.Evaluated != e.evaluated {
			t.Errorf("%s: %d units were evaluated, want %d", e.what, b.Evaluated, e.evaluated)
		}
		if odd := unlike(tree(t, filepath.Join(root, "public")), afresh(t, root, asOf)); odd != nil {
			t.Errorf("%s: not as a clean build: %v", e.what, odd)
		}
	}
}

// The graph names every input that can change an output: whatever bytes of an input are
// changed, only outputs change that say so.
func TestGraphNamesWhatOutputsAreMadeFrom(t *testing.T) {
	root := several(t)
	built(t, root, "public", today)
	d, err := openDraft(root, stillOnly(), true)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if err := d.Look(today); err != nil {
		t.Fatal(err)
	}
	named := map[string][]string{} // the outputs by the input's name
	before := tree(t, filepath.Join(root, "public"))
	for path := range before {
		if path == publication.ManifestName {
			continue
		}
		r, err := d.Why(path)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		if len(r.Inputs) == 0 || len(r.Since) > 0 || r.Never {
			t.Errorf("%s: why says %+v", path, r)
		}
		for _, in := range r.Inputs {
			named[in.Name] = append(named[in.Name], path)
		}
	}
	for _, e := range edits {
		if strings.Contains(e.what, "publish") || strings.Contains(e.what, "remembered") || strings.Contains(e.what, "front") || e.what == "a unit is held that another names" || strings.Contains(e.what, "sealed") {
			continue // not of the content, or one that builds on another
		}
		other := several(t)
		e.do(t, other)
		touched := unlike(tree(t, filepath.Join(root, "content")), tree(t, filepath.Join(other, "content")))
		may := map[string]bool{}
		for _, name := range touched {
			for _, path := range named["content/"+name] {
				may[path] = true
			}
		}
		after := afresh(t, other, today)
		for _, path := range unlike(before, after) {
			_, was := before[path]
			_, is := after[path]
			if path == publication.ManifestName || !was || !is || may[path] || listed(path) {
				continue
			}
			if strings.Contains(e.what, "page of prose") || strings.Contains(e.what, "title") || strings.Contains(e.what, "follows") || strings.Contains(e.what, "of its own") {
				continue // it changes the navigation, or what follows what
			}
			t.Errorf("%s: %s changed, but isn't made from %v", e.what, path, touched)
		}
	}
}

// listed reports whether an output is a list of all units.
func listed(path string) bool {
	slug, _ := kindOfPath(path)
	return slug == ""
}

// Each output is of the kind that makes it.
func TestPathsTellTheirKind(t *testing.T) {
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	b, _ := s.binder(stillOnly(), nil)
	seen := map[kind]bool{}
	for _, unit := range s.Sheets {
		for _, k := range unitKinds {
			outputs, _, err := b.unitOutputs(k, unit)
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range outputs {
				seen[k] = true
				if slug, got := kindOfPath(o.Path); got != k || slug != unit.Slug {
					t.Errorf("%s is of the kind %q of %q, want %q", o.Path, got, slug, k)
				}
			}
		}
	}
	if len(seen) != len(unitKinds) {
		t.Errorf("the demo has outputs of the kinds %v only", slices.Collect(maps.Keys(seen)))
	}
}
