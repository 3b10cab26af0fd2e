package site

import (
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"

	"wattsheet/generator/publication"
)

// builtPacked builds the site of a root with packed files.
func builtPacked(t *testing.T, root string, packed bool) Built {
	t.Helper()
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	d.Compress = packed
	b, err := d.Build(today, filepath.Join(root, "public"))
	if err != nil || b.Problems.Errors() {
		t.Fatal(err, b.Problems)
	}
	return b
}

// unpacks finds packed files that are missing, stale or of nothing.
func unpacks(t *testing.T, what string, files map[string]string) (n int) {
	t.Helper()
	for name, text := range files {
		source, isGzip := strings.CutSuffix(name, ".gz")
		source, isBrotli := strings.CutSuffix(source, ".br")
		if isGzip || isBrotli {
			n++
			var r io.Reader = brotli.NewReader(strings.NewReader(text))
			if isGzip {
				z, err := gzip.NewReader(strings.NewReader(text))
				if err != nil {
					t.Errorf("%s: %s: %v", what, name, err)
					continue
				}
				if !z.ModTime.IsZero() || z.Name != "" {
					t.Errorf("%s has the time %v and the name %q", name, z.ModTime, z.Name)
				}
				r = z
			}
			data, err := io.ReadAll(r)
			if want, there := files[source]; err != nil || !there || string(data) != want {
				t.Errorf("%s: %s doesn't unpack to what stands beside it: %v", what, name, err)
			}
			continue
		}
		_, gz := files[name+".gz"]
		_, br := files[name+".br"]
		if want := publication.Packs(name, int64(len(text))) && name != publication.ManifestName; gz != want || br != want {
			t.Errorf("%s: %s, %d bytes, is packed: %t, %t", what, name, len(text), gz, br)
		}
	}
	return n
}

// Packed files unpack to what stands beside them, after whatever is done to content and
// folder; they are what a clean build makes, and go when they aren't asked for.
func TestPackedFilesAreThoseBeside(t *testing.T) {
	root := several(t)
	public := filepath.Join(root, "public")
	plain := tree(t, func() string { builtPacked(t, root, false); return public }())
	builtPacked(t, root, true)
	first := tree(t, public)
	if n := unpacks(t, "first", first); n < 40 {
		t.Fatalf("only %d packed files", n)
	}
	if b := builtPacked(t, root, true); b.Summary.Written+b.Summary.Removed > 0 || b.Evaluated > 0 {
		t.Errorf("with nothing changed: %+v", b.Summary)
	}
	page := "units/fieldfarelug-1/index.html"
	spoiled := func(name string) func(*testing.T, string) {
		return func(t *testing.T, root string) {
			data := []byte(tree(t, public)[name])
			data[len(data)/2] ^= 0xff
			put(t, root, "public/"+name, string(data))
		}
	}
	for _, e := range []edit{
		{"a note", appended(fieldfare+"notes.md", "\nOne more word.\n"), 0},
		{"a packed file is gone", removed("public/" + page + ".br"), 0},
		{"a packed file is spoiled, its size the same", spoiled(page + ".gz"), 0},
		{"one of a list is", spoiled("index.html.br"), 0},
		{"a page is spoiled", spoiled(page), 0},
		{"both are", func(t *testing.T, root string) { spoiled(page)(t, root); spoiled(page+".gz")(t, root) }, 0},
		{"a unit is gone", removed("content/units/garganeyrivet-1"), 0},
		{"nothing is remembered", removed(".wattsheet"), 0},
		{"the theme is another", func(t *testing.T, root string) {
			put(t, root, "themes/paper/style.css", strings.Repeat("body { color: black }\n", 40))
			replaceIn(t, root, "content/site.toml", "title = \"", "theme = \"paper\"\ntitle = \"")
		}, 0},
	} {
		e.do(t, root)
		builtPacked(t, root, true)
		unpacks(t, e.what, tree(t, public))
	}
	if err := os.RemoveAll(filepath.Join(root, "themes")); err != nil {
		t.Fatal(err)
	}
	replaceIn(t, root, "content/site.toml", "theme = \"paper\"\n", "")
	replaceIn(t, root, fieldfare+"notes.md", "\nOne more word.\n", "")
	builtPacked(t, root, true)
	if odd := unlike(first, tree(t, public)); odd != nil {
		t.Errorf("all as before, but for %v", odd)
	}
	builtPacked(t, root, false)
	if odd := unlike(plain, tree(t, public)); odd != nil {
		t.Errorf("without packed files others are left: %v", odd)
	}
}
