package site

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// A section is one table of a record's text, with the tables within it.
type section struct {
	kind string // run, claim, …; empty for what can't be held by itself
	text string
}

var headLine = regexp.MustCompile(`^\[+([a-z_]+)\]+`)

// sectionsOf cuts a record's text at the heads of its tables.
func sectionsOf(text string) []section {
	var sections []section
	for line := range strings.Lines(text) {
		m := headLine.FindStringSubmatch(line)
		if m == nil && len(sections) > 0 {
			sections[len(sections)-1].text += line
			continue
		}
		b := section{text: line}
		if m != nil && slices.Contains([]string{"unit", "claim", "run", "spec", "function", "thermal", "opinion", "picture"}, m[1]) {
			b.kind = m[1]
		}
		sections = append(sections, b)
	}
	return sections
}

// withHold puts a line under a section's head.
func (b section) withHold(hold string) string {
	head, rest, _ := strings.Cut(b.text, "\n")
	return head + "\nhold = " + hold + "\n" + rest
}

// Holds that are closed on the day of the tests, and such that are open.
var (
	closed = []string{"true", `"until 2026-11-26T12:00:01Z"`, `"until 2026-11-26T14:00:01+02:00"`, "2027-01-01T00:00:00-05:00", `"shut"`, `"by-hand"`}
	opened = []string{"false", `"until 2026-11-26T12:00:00Z"`, `"until 2026-11-26T07:00:00-05:00"`, "2026-11-26T13:00:00+01:00", `"open"`}
)

const groups = "\n[[hold]]\nid = \"shut\"\nuntil = 2026-11-26T13:00:01+01:00\n[[hold]]\nid = \"by-hand\"\n[[hold]]\nid = \"open\"\nuntil = 2026-11-26T12:00:00Z\n"

// allOpen is when all of the closed holds that have a time are open.
var allOpen = time.Date(2027, 1, 1, 5, 0, 0, 0, time.UTC)

// A twin is one content three times: with things held, and without a word of holds
// with the things deleted that are held on the day of the tests, or still when all
// times have come.
type twin struct {
	held, deleted, later map[string]string
	secrets              []string // texts that stand only in what is held
}

// demoFiles are the files of some units of the demo, with small pictures, and without
// the runs that its pools name, which could not be held otherwise.
func demoFiles(t *testing.T, slugs []string) map[string]string {
	t.Helper()
	var small bytes.Buffer
	if err := png.Encode(&small, image.NewGray(image.Rect(0, 0, 8, 6))); err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	root := os.DirFS("../..")
	names := []string{"content/site.toml", "content/bench.toml", "content/methods.toml", "content/prose/about.md", "content/prose/methodology.md"}
	for _, slug := range slugs {
		entries, err := os.ReadDir(filepath.Join("../../content/units", slug))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			names = append(names, "content/units/"+slug+"/"+e.Name())
		}
	}
	for _, name := range names {
		f, err := root.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		b.ReadFrom(f)
		f.Close()
		files[name] = b.String()
		if isPicture(name) {
			files[name] = small.String()
		}
	}
	files["content/methods.toml"] = regexp.MustCompile(`(?s)\nruns = \[.*?\]`).ReplaceAllString(files["content/methods.toml"], "")
	return files
}

func demoSlugs(t *testing.T) (slugs []string) {
	t.Helper()
	entries, err := os.ReadDir("../../content/units")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		slugs = append(slugs, e.Name())
	}
	return slugs
}

// newTwin holds a random part of some units of the demo.
func newTwin(t *testing.T, r *rand.Rand) twin {
	slugs := demoSlugs(t)
	r.Shuffle(len(slugs), func(i, j int) { slugs[i], slugs[j] = slugs[j], slugs[i] })
	files := demoFiles(t, slugs[:3])
	w := twin{held: maps.Clone(files), deleted: maps.Clone(files), later: maps.Clone(files)}
	var gone []string
	for _, slug := range slugs[:3] {
		name := "content/units/" + slug + "/record.toml"
		notes := "content/units/" + slug + "/notes.md"
		if r.IntN(3) > 0 { // notes cite runs
			for _, files := range []map[string]string{w.held, w.deleted, w.later} {
				delete(files, notes)
			}
		}
		sections := sectionsOf(regexp.MustCompile(`(?m)^hold = .*\n`).ReplaceAllString(withoutGroups(files[name]), ""))
		var with, without, later strings.Builder
		var unseen, never []string // videos that are held, and that stay so
		share := r.Float64()
		for _, b := range sections {
			switch {
			case b.kind == "unit" && r.IntN(8) == 0, b.kind != "unit" && b.kind != "" && r.Float64() < share*share:
				hold := closed[r.IntN(len(closed))]
				byHand := hold == "true" || hold == `"by-hand"`
				with.WriteString(b.withHold(hold))
				gone = append(gone, b.text)
				if m := videoID.FindStringSubmatch(b.text); m != nil {
					unseen = append(unseen, m[1])
					if byHand {
						never = append(never, m[1])
					}
				}
				ofUnit := func(name, _ string) bool { return strings.Contains(name, "/"+slug+"/") }
				if b.kind == "unit" {
					maps.DeleteFunc(w.deleted, ofUnit)
				}
				if b.kind == "unit" && byHand {
					maps.DeleteFunc(w.later, ofUnit)
				}
				if !byHand {
					later.WriteString(b.text)
				}
				continue
			case b.kind != "" && r.IntN(4) == 0:
				with.WriteString(b.withHold(opened[r.IntN(len(opened))]))
			default:
				with.WriteString(b.text)
			}
			without.WriteString(b.text)
			later.WriteString(b.text)
		}
		w.held[name] = with.String() + groups
		if _, there := w.deleted[name]; there {
			w.deleted[name] = unmarked(without.String(), unseen)
		}
		if _, there := w.later[name]; there {
			w.later[name] = unmarked(later.String(), never)
		}
	}
	w.secrets = secrets(gone, w.deleted)
	return w
}

// videoID matches the table of a video.
var videoID = regexp.MustCompile(`^\[\[video\]\]\nid = "(.*)"`)

// unmarked is a record's text without marks in some videos.
func unmarked(text string, videos []string) string {
	for _, id := range videos {
		text = regexp.MustCompile(`(?m)^video = "`+id+` .*\n`).ReplaceAllString(text, "")
	}
	return text
}

// withoutGroups is a record's text without its own [[hold]] tables.
func withoutGroups(text string) string {
	var kept strings.Builder
	for _, b := range sectionsOf(text) {
		if !strings.HasPrefix(b.text, "[[hold]]") {
			kept.WriteString(b.text)
		}
	}
	return kept.String()
}

// secrets are the longer texts of what was taken out that stand nowhere else.
func secrets(gone []string, left map[string]string) (found []string) {
	rest := strings.Join(slices.Collect(maps.Values(left)), "\n")
	for _, text := range gone {
		for _, s := range regexp.MustCompile(`"[^"\\]{12,}"`).FindAllString(text, -1) {
			if s = strings.Trim(s, `"`); !strings.Contains(rest, s) {
				found = append(found, s)
			}
		}
	}
	return found
}

// madeOf builds a site of files, as of the day of the tests; the problems are those
// that keep it from being built.
func madeOf(t *testing.T, files map[string]string, asOf time.Time) (out map[string]string, problems string) {
	t.Helper()
	root := t.TempDir()
	for name, text := range files {
		put(t, root, name, text)
	}
	s, found, err := Inspect(root, asOf)
	if err != nil {
		t.Fatal(err)
	}
	if found.Errors() {
		return nil, found.Error()
	}
	outputs, found, err := s.outputs(stillOnly())
	if err != nil {
		t.Fatal(err)
	}
	if found.Errors() {
		return nil, found.Error()
	}
	out = map[string]string{}
	for _, o := range outputs {
		out[o.Path] = string(o.Bytes)
	}
	return out, ""
}

// Whatever is held, a build either gives the files of the content without it, byte
// for byte, or fails, because what is left names what is not there, now or later. What was built once is
// also built when things have opened.
func TestHeldIsAsIfNeverWritten(t *testing.T) {
	rounds, same := 40, 0
	if testing.Short() {
		rounds = 10
	}
	for round := range rounds {
		w := newTwin(t, rand.New(rand.NewPCG(20261126, uint64(round))))
		held, why := madeOf(t, w.held, today)
		deleted, whyNot := madeOf(t, w.deleted, today)
		// What opens in a wrong order is refused before it comes to that.
		if why == "" && whyNot != "" || whyNot == "" && why != "" && !strings.Contains(why, " is held until ") {
			t.Fatalf("round %d: with holds:\n%s\nwith the held things deleted:\n%s", round, why, whyNot)
		}
		if why != "" {
			continue
		}
		same++
		differ(t, fmt.Sprintf("round %d", round), held, deleted)
		if round%2 == 0 {
			opened, why := madeOf(t, w.held, allOpen)
			later, whyNot := madeOf(t, w.later, allOpen)
			if why+whyNot != "" {
				t.Fatalf("round %d: what was built before isn't any more:\n%s\n%s", round, why, whyNot)
			}
			differ(t, fmt.Sprintf("round %d, when all is open", round), opened, later)
		}
		for path, text := range held {
			if strings.HasPrefix(path, schemaFolder+"/") {
				continue // the words of a schema are those of every site
			}
			for _, secret := range w.secrets {
				if (strings.Contains(text, secret) || strings.Contains(path, secret)) && !strings.Contains(deleted[path], secret) {
					t.Fatalf("round %d: %s has %q, which is held", round, path, secret)
				}
			}
		}
		for path, text := range held {
			if round%4 == 0 && strings.HasSuffix(path, "sheet.json") {
				if paths := differences(t, []byte(text)); len(paths) > 0 {
					t.Errorf("round %d: %s doesn't verify: %v", round, path, paths)
				}
			}
		}
	}
	t.Logf("%d of %d contents could be built", same, rounds)
	if same < rounds/4 {
		t.Errorf("only %d of %d contents could be built, so little was tried", same, rounds)
	}
}

// differ fails with the first file in which two sites differ.
func differ(t *testing.T, what string, a, b map[string]string) {
	t.Helper()
	for _, path := range slices.Sorted(maps.Keys(a)) {
		if _, there := b[path]; !there {
			t.Fatalf("%s: %s is there and should not be", what, path)
		}
		if x, y := a[path], b[path]; x != y {
			i := 0
			for i < len(x) && i < len(y) && x[i] == y[i] {
				i++
			}
			t.Fatalf("%s: %s differs from byte %d on:\n%.200s\nand\n%.200s", what, path, i, x[max(i-60, 0):], y[max(i-60, 0):])
		}
	}
	for path := range b {
		if _, there := a[path]; !there {
			t.Fatalf("%s: %s is missing", what, path)
		}
	}
}
