package publication

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
)

// tree is all files below a folder, by path; a symbolic link's text is where it
// leads.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		if e.Type()&fs.ModeSymlink != 0 {
			to, err := os.Readlink(path)
			files[filepath.ToSlash(name)] = "-> " + to
			return err
		}
		data, err := os.ReadFile(path)
		files[filepath.ToSlash(name)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func outputsOf(files map[string]string) []Output {
	var out []Output
	for _, path := range slices.Sorted(maps.Keys(files)) {
		out = append(out, Output{path, []byte(files[path])})
	}
	return out
}

func put(t *testing.T, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func symlink(t *testing.T, to, dir, name string) {
	t.Helper()
	if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
		t.Fatal(err)
	}
}

func publish(t *testing.T, dir string, files map[string]string) Summary {
	t.Helper()
	sum, err := into(dir, outputsOf(files))
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

// into makes a folder hold outputs, those of a site that says nothing of itself.
func into(dir string, outputs []Output) (Summary, error) {
	p, err := Open(dir, Layout{Assets: "assets", Units: "units", Ledger: "ledger.toml"})
	if err != nil {
		return Summary{}, err
	}
	defer p.Close()
	return p.Publish(outputs)
}

// refused publishes and expects an error with this text in it, and the folder
// as it was.
func refused(t *testing.T, dir string, files map[string]string, text string) {
	t.Helper()
	before := tree(t, dir)
	_, err := into(dir, outputsOf(files))
	if err == nil || !strings.Contains(err.Error(), text) {
		t.Errorf("the error is %v, want one with %q", err, text)
	}
	if after := tree(t, dir); !maps.Equal(before, after) {
		t.Errorf("the folder changed:\n%v\nis now\n%v", before, after)
	}
}

func expect(t *testing.T, sum Summary, written, unchanged, removed int, kept ...string) {
	t.Helper()
	if sum.Written != written || sum.Unchanged != unchanged || sum.Removed != removed || !slices.Equal(sum.Kept, kept) {
		t.Errorf("got %+v, want %d written, %d unchanged, %d removed, kept %v", sum, written, unchanged, removed, kept)
	}
}

// holds checks that a folder holds these files and the manifest, nothing else.
func holds(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	got := tree(t, dir)
	delete(got, ManifestName)
	if !maps.Equal(got, files) {
		t.Errorf("the folder holds %v, want %v", got, files)
	}
}

func TestPublishWritesOnlyWhatChanged(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "public")
	one := map[string]string{"index.html": "one", "units/x/index.html": "x", "assets/style.1.css": "s"}
	expect(t, publish(t, dir, one), 3, 0, 0)
	holds(t, dir, one)
	stood, err := os.Stat(filepath.Join(dir, "units/x/index.html"))
	if err != nil {
		t.Fatal(err)
	}
	two := map[string]string{"index.html": "two", "units/x/index.html": "x", "assets/style.2.css": "t"}
	expect(t, publish(t, dir, two), 2, 1, 1)
	holds(t, dir, two)
	stands, err := os.Stat(filepath.Join(dir, "units/x/index.html"))
	if err != nil || !os.SameFile(stood, stands) {
		t.Error("a file whose bytes didn't change was written anew")
	}
	before := tree(t, dir)
	expect(t, publish(t, dir, two), 0, 3, 0)
	if !maps.Equal(before, tree(t, dir)) {
		t.Error("publishing the same again changed something")
	}
}

// The manifest is a list that sha256sum -c takes. Digests of "abc" and of no
// bytes: FIPS 180-2, B.1, and NIST's example values.
func TestManifestIsAListOfDigests(t *testing.T) {
	dir := t.TempDir()
	publish(t, dir, map[string]string{"b/abc": "abc", "a": ""})
	want := "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  a\n" +
		"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  b/abc\n"
	if got := tree(t, dir)[ManifestName]; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

func TestPublishRemovesOnlyItsOwnFiles(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, ".gitignore", "*\n")
	put(t, dir, "CNAME", "example")
	put(t, dir, "units/x/hand.txt", "by hand")
	publish(t, dir, map[string]string{"units/x/index.html": "x", "units/y/index.html": "y", "units/z/index.html": "z"})
	put(t, dir, "units/z/index.html", "edited by hand")

	expect(t, publish(t, dir, map[string]string{"index.html": "i"}), 1, 0, 2, "units/z/index.html")
	left := map[string]string{
		".gitignore": "*\n", "CNAME": "example", "units/x/hand.txt": "by hand",
		"units/z/index.html": "edited by hand", "index.html": "i",
	}
	holds(t, dir, left)
	if _, err := os.Stat(filepath.Join(dir, "units/y")); !errors.Is(err, fs.ErrNotExist) {
		t.Error("an empty folder was left behind")
	}
	// It is told again as long as it is there.
	expect(t, publish(t, dir, map[string]string{"index.html": "i"}), 0, 1, 0, "units/z/index.html")
	os.Remove(filepath.Join(dir, "units/z/index.html"))
	expect(t, publish(t, dir, map[string]string{"index.html": "i"}), 0, 1, 0)
}

func TestPublishNeverOverwritesOthers(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "index.html", "somebody's own page")
	refused(t, dir, map[string]string{"index.html": "ours", "about.html": "a"}, "index.html is there already")
	// With the same bytes there is nothing to overwrite.
	put(t, dir, "index.html", "ours")
	expect(t, publish(t, dir, map[string]string{"index.html": "ours", "about.html": "a"}), 1, 1, 0)
}

func TestPublishDoesNotFollowLinks(t *testing.T) {
	outside := t.TempDir()
	put(t, outside, "index.html", "outside")
	site := map[string]string{"units/index.html": "ours", "top.html": "top"}

	dir := t.TempDir()
	symlink(t, outside, dir, "units")
	refused(t, dir, site, "units is a symbolic link where the site needs a folder")
	refused(t, dir, map[string]string{"units/otter/index.html": "ours"}, "units is a symbolic link where the site needs a folder")

	dir = t.TempDir()
	put(t, dir, "units/other", "")
	symlink(t, filepath.Join(outside, "index.html"), dir, "units/index.html")
	refused(t, dir, site, "is a symbolic link where the site needs a file")

	dir = t.TempDir()
	symlink(t, filepath.Join(outside, "index.html"), dir, ManifestName)
	refused(t, dir, site, "is a symbolic link; it should be the list")

	// The hidden names are new files, whatever has them.
	dir = t.TempDir()
	symlink(t, filepath.Join(outside, "index.html"), dir, Hidden("top.html"))
	symlink(t, filepath.Join(outside, "index.html"), dir, Hidden(ManifestName))
	publish(t, dir, site)
	holds(t, dir, site)

	// A folder that has become a link since leads no removal out.
	dir = t.TempDir()
	publish(t, dir, map[string]string{"units/index.html": "outside", "top.html": "top"})
	os.RemoveAll(filepath.Join(dir, "units"))
	symlink(t, outside, dir, "units")
	expect(t, publish(t, dir, map[string]string{"top.html": "top"}), 0, 1, 0, "units/index.html")

	// Nor is a link within the folder taken for an empty folder.
	dir = t.TempDir()
	publish(t, dir, map[string]string{"units/index.html": "x", "top.html": "top"})
	os.RemoveAll(filepath.Join(dir, "units"))
	put(t, dir, "elsewhere/x", "x")
	symlink(t, "elsewhere", dir, "units")
	expect(t, publish(t, dir, map[string]string{"top.html": "top"}), 0, 1, 0)
	holds(t, dir, map[string]string{"top.html": "top", "elsewhere/x": "x", "units": "-> elsewhere"})

	if got := tree(t, outside); !maps.Equal(got, map[string]string{"index.html": "outside"}) {
		t.Errorf("outside there is now %v", got)
	}
}

func TestPublishFindsWhatIsInTheWay(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "index.html/x", "")
	refused(t, dir, map[string]string{"a": "a", "index.html": "i"}, "index.html is a folder where the site needs a file")

	dir = t.TempDir()
	put(t, dir, "units", "a file")
	refused(t, dir, map[string]string{"a": "a", "units/x": "i"}, "units is a file where the site needs a folder")

	dir = t.TempDir()
	put(t, dir, ManifestName, "not a list\n")
	refused(t, dir, map[string]string{"a": "a"}, "line 1: this is not a list of digests and paths\nhint: put that file back as it was, or move ")

	dir = filepath.Join(t.TempDir(), "file")
	put(t, dir+".d", "x", "")
	put(t, filepath.Dir(dir), "file", "")
	symlink(t, "nowhere", dir+".d", "public")
	for out, want := range map[string]string{
		dir:                                  "can't be made: " + filepath.ToSlash(dir) + " is a file\nhint: move it away",
		filepath.Join(dir, "a", "b"):         "can't be made: " + filepath.ToSlash(dir) + " is a file\nhint: move it away",
		filepath.Join(dir+".d", "public"):    "public can't be made: " + filepath.ToSlash(dir) + ".d/public is a symbolic link that leads nowhere\nhint: take it away",
		filepath.Join(dir+".d/public", "in"): "in can't be made: " + filepath.ToSlash(dir) + ".d/public is a symbolic link that leads nowhere\nhint: take it away",
	} {
		if _, err := into(out, nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: the error is %v, want one with %q", out, err, want)
		}
	}
	if err := os.Mkdir(filepath.Join(dir+".d", "nowhere"), 0o755); err != nil {
		t.Fatal(err)
	}
	publish(t, filepath.Join(dir+".d", "public"), map[string]string{"a": "a"})
	holds(t, filepath.Join(dir+".d", "nowhere"), map[string]string{"a": "a"})
}

// Whichever of many outputs that are put at once comes first, what is said is what stands in their way, not what each meets of it.
func TestWhatIsInTheWayOfManyIsNamed(t *testing.T) {
	dir := t.TempDir()
	symlink(t, t.TempDir(), dir, "units")
	p, err := Open(dir, Layout{Assets: "assets", Units: "units", Ledger: "ledger.toml"})
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	if err := p.Begin(); err != nil {
		t.Fatal(err)
	}
	defer p.Abandon()
	for _, name := range []string{"units/otter/index.html", "units/otter/badge/a.svg", "units/badger/index.html", "units/index.html"} {
		if _, err := p.Put(Output{Path: name, Bytes: []byte("a")}); err == nil || !strings.Contains(err.Error(), "units is a symbolic link where the site needs a folder") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A manifest may not make the tool remove what lies elsewhere or is hidden.
func TestManifestNamesNothingElsewhere(t *testing.T) {
	outside := t.TempDir()
	put(t, outside, "x", "abc")
	for _, path := range []string{"../x", "/etc/passwd", ".gitignore", "a/../../x", "a//b", ".", "", "a/.b", "a\\b", "a\rb"} {
		dir := t.TempDir()
		put(t, dir, ManifestName, string(DigestOf([]byte("abc")))+"  "+path+"\n")
		refused(t, dir, map[string]string{"a": "a"}, "not a list")
	}
}

func TestPublishRefusesBadPaths(t *testing.T) {
	for _, path := range []string{"", ".", "..", "../x", "/x", "a/../b", "a//b", "a/", ".wattsheet", ".gitignore", "a/.b/c", "a\nb", "c:x", `a\b`} {
		refused(t, t.TempDir(), map[string]string{path: "x"}, errPath.Error())
	}
	dir := t.TempDir()
	if _, err := into(dir, []Output{{"a", nil}, {"a", nil}}); err == nil || !strings.Contains(err.Error(), "two outputs have the path a") {
		t.Errorf("the same path twice gives %v", err)
	}
	refused(t, dir, map[string]string{"a": "", "a/b/c": ""}, "a is an output, and the folder of")
}

// broken is a publisher whose n-th call of an operation fails, and all after it,
// as for a program that was killed.
func broken(t *testing.T, dir, operation string, n int) *Publisher {
	t.Helper()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	p := New(root, dir)
	var calls atomic.Int64 // outputs are put at once
	fails := func(which string) error {
		if which != operation {
			return nil
		}
		if calls.Add(1) >= int64(n) {
			return &fs.PathError{Op: which, Path: "somewhere", Err: syscall.ENOSPC}
		}
		return nil
	}
	write, rename := p.write, p.rename
	p.write = func(name string, data io.WriterTo) error {
		if err := fails("write"); err != nil {
			write(name, half(data)) // a full disk takes a part
			return err
		}
		return write(name, data)
	}
	p.rename = func(from, to string) error {
		if err := fails("rename"); err != nil {
			return err
		}
		return rename(from, to)
	}
	return p
}

var (
	oldSite = map[string]string{"index.html": "old", "same.html": "same", "gone/index.html": "gone", "units/x.html": "old x"}
	newSite = map[string]string{"index.html": "new", "same.html": "same", "units/x.html": "new x", "more/y/z.html": "new z"}
)

func TestFullDiskLeavesTheOldSite(t *testing.T) {
	for n := 1; n <= 3; n++ { // of three changed files
		dir := t.TempDir()
		publish(t, dir, oldSite)
		_, err := broken(t, dir, "write", n).Publish(outputsOf(newSite))
		if err == nil || !strings.Contains(err.Error(), "can't be written: no space left on device") {
			t.Fatalf("write %d: the error is %v", n, err)
		}
		holds(t, dir, oldSite)
		expect(t, publish(t, dir, newSite), 3, 1, 1)
		holds(t, dir, newSite)
	}
	// With room for all but the list of what was written, the site is new, and the next run knows it.
	dir := t.TempDir()
	publish(t, dir, oldSite)
	if _, err := broken(t, dir, "write", 4).Publish(outputsOf(newSite)); err == nil || !strings.Contains(err.Error(), ManifestName+" can't be written") {
		t.Fatalf("the error is %v", err)
	}
	expect(t, publish(t, dir, newSite), 0, 4, 0)
	holds(t, dir, newSite)

	dir = t.TempDir()
	if _, err := broken(t, dir, "write", 2).Publish(outputsOf(newSite)); err == nil {
		t.Fatal("no error")
	}
	if got := tree(t, dir); len(got) > 0 {
		t.Errorf("a first publication that failed left %v", got)
	}
}

// A run may be killed, without any clearing up, at each
// write or rename.
func TestKilledRunIsCompletedByTheNext(t *testing.T) {
	for n := 1; n <= 9; n++ {
		dir := t.TempDir()
		publish(t, dir, oldSite)
		killed(t, dir, n, newSite)
		for path, text := range tree(t, dir) {
			if strings.Contains(path, ".new") || path == ManifestName || path == JournalName {
				continue
			}
			if text != oldSite[path] && text != newSite[path] {
				t.Errorf("killed at %d: %s is neither old nor new but %q", n, path, text)
			}
		}
		publish(t, dir, newSite)
		holds(t, dir, newSite)

		// Nor does it matter when the next run makes the old site again.
		dir = t.TempDir()
		publish(t, dir, oldSite)
		killed(t, dir, n, newSite)
		publish(t, dir, oldSite)
		holds(t, dir, oldSite)
	}
}

func killed(t *testing.T, dir string, n int, files map[string]string) {
	t.Helper()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	p := New(root, dir)
	write, rename := p.write, p.rename
	calls := 0
	step := func() {
		if calls++; calls == n {
			panic("killed")
		}
	}
	p.write = func(name string, data io.WriterTo) error {
		var all bytes.Buffer
		data.WriteTo(&all)
		if calls+1 == n {
			write(name, half(bytes.NewReader(all.Bytes())))
		}
		step()
		return write(name, &all)
	}
	p.rename = func(from, to string) error { step(); return rename(from, to) }
	if err := p.Begin(); err != nil {
		t.Fatal(err)
	}
	defer p.journal.file.Close() // which the system does for a run that was killed
	defer func() { recover() }()
	made := RollFor(nil)
	for _, o := range outputsOf(files) {
		sum, _ := p.Put(o)
		made.Add(o.Path, sum)
	}
	p.Enter(made.Roll())
	p.Finish()
}

// half is the first half of what would be written.
func half(data io.WriterTo) io.WriterTo {
	var all bytes.Buffer
	data.WriteTo(&all)
	all.Truncate(all.Len() / 2)
	return &all
}

// Two runs at once on one folder are refused, and a run that ends lets the next in.
func TestTwoRunsAtOnce(t *testing.T) {
	dir := t.TempDir()
	publish(t, dir, oldSite)
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	first := New(root, dir)
	if err := first.Begin(); err != nil {
		t.Fatal(err)
	}
	if _, err := first.Put(Output{"index.html", []byte("first")}); err != nil {
		t.Fatal(err)
	}
	refused(t, dir, newSite, "another run of wattsheet is writing to")
	first.Abandon()
	holds(t, dir, oldSite)
	expect(t, publish(t, dir, newSite), 3, 1, 1)
	holds(t, dir, newSite)
}
