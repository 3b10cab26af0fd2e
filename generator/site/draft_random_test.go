package site

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

var (
	draftSteps = flag.Int("draft.steps", 12, "how many random edits the draft's test makes")
	draftSeed  = flag.Uint64("draft.seed", 1, "where its random edits begin")
)

// An editing makes random edits of a site's content, and of what stands around it.
type editing struct {
	t     *testing.T
	rand  *rand.Rand
	root  string
	asOf  time.Time
	n     int
	wrong bool // the content has an error
}

func (e *editing) pick(from ...string) string { return from[e.rand.IntN(len(from))] }

// units are the folders of units that there are, as paths from the root.
func (e *editing) units() (names []string) {
	entries, err := os.ReadDir(filepath.Join(e.root, "content/units"))
	if err != nil {
		e.t.Fatal(err)
	}
	for _, one := range entries {
		if info, err := os.Stat(filepath.Join(e.root, "content/units", one.Name())); err == nil && info.IsDir() {
			names = append(names, "content/units/"+one.Name())
		}
	}
	return names
}

func (e *editing) read(name string) string {
	data, err := os.ReadFile(filepath.Join(e.root, name))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		e.t.Fatal(err)
	}
	return string(data)
}

func (e *editing) put(name, text string) { put(e.t, e.root, name, text) }

// flip puts a text behind another in a file, or takes it away again.
func (e *editing) flip(name, behind, text string) string {
	was := e.read(name)
	if strings.Contains(was, text) {
		e.put(name, strings.Replace(was, text, "", 1))
		return "take " + fmt.Sprintf("%q from %s", text, name)
	}
	if !strings.Contains(was, behind) {
		return "nothing in " + name
	}
	e.put(name, strings.Replace(was, behind, behind+text, 1))
	return fmt.Sprintf("put %q into %s", text, name)
}

// wasSealed tells of the unit that was sealed: it can't go away.
func wasSealed(unit string) bool { return strings.HasSuffix(unit, "/egretspindle-1") }

// step makes one edit and says which.
func (e *editing) step() string {
	e.n++
	units := e.units()
	unit, other := e.pick(units...), e.pick(units...)
	record := unit + "/record.toml"
	slug := strings.TrimPrefix(other, "content/units/")
	until := fmt.Sprintf("hold = \"until %s-05T18:00:00+01:00\"\n", e.pick("2026-11", "2026-12", "2027-01", "2027-02"))
	switch e.rand.IntN(34) {
	case 0:
		e.put(unit+"/notes.md", fmt.Sprintf("%s\nWord %d.\n", e.read(unit+"/notes.md"), e.n))
		return "a word in the notes of " + unit
	case 1:
		return e.flip(unit+"/notes.md", "", "\n\nIt is like Fieldfarelug-1 20 and [that](../"+slug+"/).\n")
	case 2:
		return e.flip(record, "[unit]\n", until)
	case 3:
		return e.flip(record, "[[run]]\n", until)
	case 4:
		return e.flip(record, "[unit]\n", "follows = \""+slug+"\"\n")
	case 5:
		return e.flip(record, "[source]\n", "remarks = \"as it came, with r1\"\n")
	case 6:
		return e.flip(record, "id = \"r1\"\n", "invalid = \"a lead was off\"\n")
	case 7, 8, 9:
		was := e.asOf
		e.asOf = e.asOf.Add(time.Duration(e.rand.IntN(160)-60) * 24 * time.Hour)
		return fmt.Sprintf("from %s to %s", was.Format(time.DateOnly), e.asOf.Format(time.DateOnly))
	case 10:
		if len(units) < 4 || wasSealed(unit) {
			return "nothing"
		}
		e.rm(unit)
		return "delete " + unit
	case 11:
		to := "content/units/" + e.pick("garganeyrivet-1", "heronflange-1", "ibisgasket-1", "badgercog-1")
		if _, err := os.Lstat(filepath.Join(e.root, to)); err == nil || wasSealed(unit) {
			return "nothing"
		}
		if e.rand.IntN(2) == 0 {
			if err := os.Rename(filepath.Join(e.root, unit), filepath.Join(e.root, to)); err != nil {
				e.t.Fatal(err)
			}
			return "rename " + unit + " to " + to
		}
		if err := os.CopyFS(filepath.Join(e.root, to), os.DirFS(filepath.Join(e.root, unit))); err != nil {
			e.t.Fatal(err)
		}
		return "copy " + unit + " to " + to
	case 12:
		e.put(unit+"/top.png", string(pngOf(e.t, 40+e.rand.IntN(3), 30)))
		return e.flip(record, "", "\n[[picture]]\nfile = \"top.png\"\nshows = \"the top\"\n") + " and a picture"
	case 13:
		return e.flip(record, "[[picture]]\n", until)
	case 14:
		return e.flip("content/site.toml", "", "\n[look]\n") // a key that there isn't: a mistake
	case 15:
		return e.flip("content/site.toml", "currency = \"EUR\"\n", "theme = \"paper\"\n")
	case 16:
		e.put("themes/paper/style.css", fmt.Sprintf("body { margin: %dpx }\n", e.n))
		return "a style"
	case 17:
		if e.read("themes/paper/pages/front.html") != "" {
			e.rm("themes/paper/pages/front.html")
			return "no front template"
		}
		e.put("themes/paper/pages/front.html", e.pick(`{{define "main"}}<p>{{len .Units}} units{{end}}`, `{{define "main"}}<p>{{.Nothing}}{{end}}`, `{{define "main"}}<p>{{if}}{{end}}`))
		return "a front template"
	case 18:
		if e.read("themes/paper/pages/unit.html") != "" {
			e.rm("themes/paper/pages/unit.html")
			return "no unit template"
		}
		e.put("themes/paper/pages/unit.html", e.pick(`{{define "main"}}<p>{{.Name}}{{end}}`, `{{define "main"}}<p>{{index .Runs 3}}{{end}}`))
		return "a unit template"
	case 19:
		return e.flip("content/prose/about.md", "", "\n\nSee [it](../units/"+slug+"/) and [nothing](../units/none/).\n")
	case 20:
		return e.flip("content/prose/methodology.md", "", "\n\nSee [it](../units/"+slug+"/), and Badgercog-1 20.\n")
	case 21:
		if e.read("content/prose/thanks.md") != "" {
			e.rm("content/prose/thanks.md")
			return "no thanks"
		}
		e.put("content/prose/thanks.md", "# Thanks\n\nTo nobody.\n")
		return "thanks"
	case 22:
		return e.flip("content/bench.toml", "", "\n# the end\n")
	case 23:
		return e.flip("content/methods.toml", "dof = 8\n", "runs = [\"badgercog-1/r1\"]\n")
	case 24:
		return e.flip(record, "out_v = ", "\"")
	case 25:
		return e.flip("content/site.toml", "currency = \"EUR\"\n", "contact_required = true\n")
	case 26:
		return e.flip(record, "", "\n[[contact]]\ndate = 2026-06-02\nabout = \"the power\"\nanswer_by = 2026-12-20\n")
	case 27:
		e.flip("content/units/odd.txt", "", "odd")
		if e.read("content/units/odd.txt") == "" {
			e.rm("content/units/odd.txt")
		}
		return "a stray file among the units"
	case 28:
		if unit == other {
			return "nothing"
		}
		e.rm(unit + "/notes.md")
		if err := os.Symlink("../"+slug+"/notes.md", filepath.Join(e.root, unit, "notes.md")); err != nil {
			e.t.Fatal(err)
		}
		return unit + "/notes.md leads to those of " + slug
	case 29:
		to := "content/units/leading-1"
		if _, err := os.Lstat(filepath.Join(e.root, to)); err == nil {
			e.rm(to)
			return "no link"
		}
		if err := os.Symlink(filepath.Base(unit), filepath.Join(e.root, to)); err != nil {
			e.t.Fatal(err)
		}
		return "a link to " + unit
	case 30:
		e.put(record, regexp.MustCompile(`model = ".*"`).ReplaceAllString(e.read(record), fmt.Sprintf("model = \"%d\"", 20+e.rand.IntN(3))))
		return "another model of " + unit
	case 31:
		if unit == other || wasSealed(unit) || wasSealed(other) {
			return "nothing"
		}
		away := filepath.Join(e.root, "away")
		for _, names := range [][2]string{{filepath.Join(e.root, unit), away}, {filepath.Join(e.root, other), filepath.Join(e.root, unit)}, {away, filepath.Join(e.root, other)}} {
			if err := os.Rename(names[0], names[1]); err != nil {
				e.t.Fatal(err)
			}
		}
		return "swap " + unit + " and " + other
	case 32:
		e.published()
		return "something in public"
	default:
		e.remembered()
		return "something remembered"
	}
}

func (e *editing) rm(name string) {
	if err := os.RemoveAll(filepath.Join(e.root, name)); err != nil {
		e.t.Fatal(err)
	}
}

// published does something to a file of the published folder.
func (e *editing) published() {
	name, ok := e.anyFile("public")
	if !ok {
		return
	}
	if e.rand.IntN(2) == 0 {
		e.rm(name)
	} else if text := e.read(name); text != "" {
		e.put(name, strings.Replace(text, text[:1], "x", 1))
	}
}

// remembered spoils, deletes or swaps something below the folder of caches.
func (e *editing) remembered() {
	name, ok := e.anyFile(".wattsheet/cache")
	if !ok {
		return
	}
	switch e.rand.IntN(3) {
	case 0:
		e.rm(name)
	case 1:
		e.put(name, e.read(name)+" ")
	default:
		if other, ok := e.anyFile(filepath.Dir(name)); ok {
			e.put(name, e.read(other)) // an entry of another unit
		}
	}
}

func (e *editing) anyFile(folder string) (string, bool) {
	var names []string
	_ = filepath.WalkDir(filepath.Join(e.root, folder), func(name string, entry fs.DirEntry, err error) error {
		if err == nil && entry.Type().IsRegular() && entry.Name() != publication.ManifestName {
			rel, _ := filepath.Rel(e.root, name)
			names = append(names, filepath.ToSlash(rel))
		}
		return nil
	})
	if len(names) == 0 {
		return "", false
	}
	return e.pick(names...), true
}

// changed are the names of what is not the same in two states of the content, as a watcher tells them: each, the
// folders that they are in, or nothing in particular.
func (e *editing) changed(was, now map[string]string) []string {
	names := []string{}
	for _, name := range unlike(was, now) {
		if strings.HasPrefix(name, "content/") || strings.HasPrefix(name, "themes/") {
			names = append(names, name)
		}
	}
	switch e.rand.IntN(4) {
	case 0:
		return nil
	case 1:
		for i := range names {
			names[i] = filepath.ToSlash(filepath.Dir(names[i]))
		}
	}
	return names
}

// tellOf writes what a build found, for comparing two of them.
func tellOf(b Built) string {
	return fmt.Sprintf("%d units, %v of %d claims, %d findings, %d held, %v pending, %d uncovered\n%v",
		b.Units, b.Verdicts, b.Claims, b.Findings, b.Held, b.Pending, len(b.Uncovered), b.Problems.Error())
}

// seen is what watcher and builds see of a root: links are followed.
func seen(t *testing.T, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, top := range []string{"content", "themes"} {
		_ = filepath.WalkDir(filepath.Join(root, top), func(name string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return nil
			}
			rel, _ := filepath.Rel(root, name)
			if to, err := os.Readlink(name); err == nil {
				files[filepath.ToSlash(rel)] = "to " + to
			} else if data, err := os.ReadFile(name); err == nil {
				files[filepath.ToSlash(rel)] = string(data)
			}
			return nil
		})
	}
	return files
}

// copied is the content and the themes of a root elsewhere, links as links.
func copied(t *testing.T, root string) string {
	t.Helper()
	other := t.TempDir()
	for name, text := range seen(t, root) {
		if to, isLink := strings.CutPrefix(text, "to "); isLink {
			if info, err := os.Lstat(filepath.Join(root, name)); err == nil && info.Mode()&fs.ModeSymlink != 0 {
				if err := os.MkdirAll(filepath.Dir(filepath.Join(other, name)), 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.Symlink(to, filepath.Join(other, name)); err != nil {
					t.Fatal(err)
				}
				continue
			}
		}
		put(t, other, name, text)
	}
	folders := []string{"content/units", "content/prose"}
	if _, err := os.Stat(filepath.Join(root, "themes/paper")); err == nil {
		folders = append(folders, "themes/paper")
	}
	for _, folder := range folders {
		if err := os.MkdirAll(filepath.Join(other, folder), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return other
}

func buildOf(t *testing.T, root string, asOf time.Time) Built {
	t.Helper()
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	b, err := d.Build(asOf, filepath.Join(root, "public"))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// After random edits, right ones and mistakes, a build that remembers, a clean one, and a draft that is kept and
// told of changes agree: in files, in problems, in what is counted. The edits come from a seed; -draft.seed and
// -draft.steps make others, and more.
func TestDraftAfterRandomEdits(t *testing.T) {
	e := &editing{t: t, rand: rand.New(rand.NewPCG(*draftSeed, 6)), root: several(t), asOf: today}
	buildOf(t, e.root, e.asOf)
	d, err := openDraft(e.root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	refreshed(t, d, e.asOf)
	var trail []string
	clean, right := map[string]string{}, copied(t, e.root)
	for range *draftSteps {
		was := seen(t, e.root)
		if e.wrong && e.rand.IntN(2) == 0 {
			e.restore(right)
			trail = append(trail, "back to what was right")
		} else {
			for range 1 + e.rand.IntN(2) {
				trail = append(trail, e.step())
			}
		}
		names := e.changed(was, seen(t, e.root))
		trail = append(trail, fmt.Sprintf("-- told of %q at %s", names, e.asOf.Format(time.DateOnly)))
		if !e.agree(d, names, clean) {
			t.Fatalf("seed %d, after\n%s", *draftSeed, strings.Join(trail, "\n"))
		}
		if !e.wrong {
			os.RemoveAll(right)
			right = copied(t, e.root)
		}
	}
}

// restore makes content and themes what they are in another place.
func (e *editing) restore(from string) {
	for _, folder := range []string{"content", "themes"} {
		e.rm(folder)
		if _, err := os.Stat(filepath.Join(from, folder)); err == nil {
			if err := os.CopyFS(filepath.Join(e.root, folder), os.DirFS(filepath.Join(from, folder))); err != nil {
				e.t.Fatal(err)
			}
		}
	}
}

// agree compares the ways for the content as it is; clean has what the last clean build without errors made.
func (e *editing) agree(d *Draft, names []string, clean map[string]string) bool {
	e.t.Helper()
	other := copied(e.t, e.root)
	defer os.RemoveAll(other)
	want := buildOf(e.t, other, e.asOf)
	got := buildOf(e.t, e.root, e.asOf)
	e.wrong = want.Problems.Errors()
	good := true
	bad := func(format string, args ...any) { e.t.Errorf(format, args...); good = false }
	if want.Problems.Errors() {
		if !slices.Equal(split(want.Problems.Error()), split(got.Problems.Error())) {
			bad("a clean build says\n%v\nthis one\n%v", want.Problems.Error(), got.Problems.Error())
		}
	} else if tellOf(want) != tellOf(got) {
		bad("a clean build found %s\nthis one %s", tellOf(want), tellOf(got))
	}
	if !want.Problems.Errors() {
		clear(clean)
		for name, text := range tree(e.t, filepath.Join(other, "public")) {
			clean[name] = text
		}
		if odd := unlike(tree(e.t, filepath.Join(e.root, "public")), clean); odd != nil {
			bad("not as a clean build: %v", odd)
		}
	}
	if e.n%2 == 0 {
		var pages []string
		for _, unit := range e.units() {
			pages = append(pages, strings.TrimPrefix(unit, "content/")+"/index.html")
		}
		d.Ahead(e.asOf, names, pages)
	}
	told, err := d.Refresh(e.asOf, names)
	if err != nil {
		e.t.Fatal(err)
	}
	if told.Pending > 0 {
		if told, err = d.Sweep(nil); err != nil {
			e.t.Fatal(err)
		}
	}
	if !want.Problems.Errors() {
		for name, text := range clean {
			if name == publication.ManifestName {
				continue
			}
			if o, err := d.Open(name); err != nil || string(o.Bytes) != text {
				bad("the draft opens another %s: %v", name, err)
			}
		}
	}
	// A template's mistake is met when a page is made, and links are followed when all are.
	ofTheme := func(p record.Problem) bool {
		return strings.HasPrefix(p.File, "themes/") || strings.HasPrefix(p.Summary, "this is a link to ")
	}
	said, should := slices.DeleteFunc(told.Problems, ofTheme), slices.DeleteFunc(want.Problems, ofTheme)
	// While what all share has a mistake, the draft still knows of others from before.
	told.Problems = slices.DeleteFunc(slices.Clone(said), func(p record.Problem) bool { return !d.frame.right && !slices.Contains(should, p) })
	if told.Problems.Error() != should.Error() {
		bad("a clean build says\n%v\nthe draft\n%v", should.Error(), said.Error())
	}
	return good
}

func split(text string) []string { return strings.Split(text, "\n") }
