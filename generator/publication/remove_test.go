package publication

import (
	"io"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
)

// A file that the site no longer has, and that can't be removed, is still published: that is an error, not somebody's
// change. All else is up to date, and the next run tries again.
func TestWhatCannotBeRemovedIsAnError(t *testing.T) {
	for _, row := range []struct {
		gone []string
		want string
	}{
		{[]string{"gone/index.html"}, "gone/index.html is not part of the site any more and can't be removed: permission denied\nhint: "},
		{[]string{"gone/index.html", "gone/card.png", "gone/runs.csv"}, "gone/card.png is not part of the site any more and can't be removed: permission denied, nor can 2 more\nhint: "},
	} {
		dir := t.TempDir()
		old := map[string]string{"index.html": "old", "same.html": "same"}
		for _, name := range row.gone {
			old[name] = "gone"
		}
		publish(t, dir, old)
		root, err := os.OpenRoot(dir)
		if err != nil {
			t.Fatal(err)
		}
		p := New(root, dir)
		p.unlink = func(string) error { return &os.PathError{Op: "unlinkat", Err: syscall.EACCES} }
		sum, err := p.Publish(outputsOf(map[string]string{"index.html": "new", "same.html": "same"}))
		p.Close()
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("the error is %v, want %q", err, row.want)
		}
		expect(t, sum, 1, 1, 0)
		old["index.html"] = "new"
		holds(t, dir, old)
		expect(t, publish(t, dir, map[string]string{"index.html": "new", "same.html": "same"}), 0, 2, len(row.gone))
		holds(t, dir, map[string]string{"index.html": "new", "same.html": "same"})
	}
}

// A folder that was replaced by somebody's file, or by a link that leads out, has nothing of the site any more.
func TestWhatStandsWhereAFolderWas(t *testing.T) {
	dir := t.TempDir()
	publish(t, dir, map[string]string{"index.html": "i", "gone/x.html": "x", "left/y.html": "y"})
	for _, folder := range []string{"gone", "left"} {
		if err := os.RemoveAll(filepath.Join(dir, folder)); err != nil {
			t.Fatal(err)
		}
	}
	put(t, dir, "gone", "mine")
	symlink(t, t.TempDir(), dir, "left")
	sum := publish(t, dir, map[string]string{"index.html": "i"})
	expect(t, sum, 0, 1, 0, "left/y.html")
	if got := tree(t, dir); got["gone"] != "mine" {
		t.Errorf("the folder holds %v", got)
	}
}

// A file that the system protects against all changes is met before anything is put in its place. Attributes as of
// ext4 and others, by chattr(1); other systems and users without the right skip this.
func TestImmutableFileLeavesTheOldSite(t *testing.T) {
	dir := t.TempDir()
	publish(t, dir, oldSite)
	file := filepath.Join(dir, "units/x.html")
	for _, attribute := range []string{"i", "a"} {
		if out, err := exec.Command("chattr", "+"+attribute, file).CombinedOutput(); err != nil {
			t.Skipf("%v: %s", err, out)
		}
		refused(t, dir, newSite, "units/x.html can't be replaced: operation not permitted\nhint: ")
		if err := exec.Command("chattr", "-"+attribute, file).Run(); err != nil {
			t.Fatal(err)
		}
	}
	expect(t, publish(t, dir, newSite), 3, 1, 1)
	holds(t, dir, newSite)
}

// So is one that is another user's in a folder with the sticky bit, where only its owner may replace it: there a new file
// can be made, and would only be refused when it is put in its place.
func TestStickyFolderLeavesTheOldSite(t *testing.T) {
	dir := t.TempDir()
	publish(t, dir, oldSite)
	for _, row := range []struct {
		sticky       bool
		folder, file bool // are somebody else's
		refused      bool
	}{
		{true, true, false, false}, {true, false, true, false}, {false, true, true, false}, {true, true, true, true},
	} {
		mode := fs.FileMode(0o755)
		if row.sticky {
			mode |= fs.ModeSticky
		}
		for _, folder := range []string{".", "units"} {
			if err := os.Chmod(filepath.Join(dir, folder), mode); err != nil {
				t.Fatal(err)
			}
		}
		p, err := Open(dir, Layout{})
		if err != nil {
			t.Fatal(err)
		}
		p.others = func(info fs.FileInfo) bool { return info.IsDir() && row.folder || !info.IsDir() && row.file }
		_, err = p.Publish(outputsOf(newSite))
		p.Close()
		if !row.refused {
			if err != nil {
				t.Errorf("%+v: %v", row, err)
			}
			holds(t, dir, newSite)
			publish(t, dir, oldSite)
			continue
		}
		if want := "can't be replaced: it is another user's, and its folder has the sticky bit\nhint: "; err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("it says %v", err)
		}
		holds(t, dir, oldSite)
	}
	// The list of what was written is one of these files.
	if err := os.Chmod(filepath.Join(dir, "units"), 0o755); err != nil {
		t.Fatal(err)
	}
	p, err := Open(dir, Layout{})
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	p.others = func(info fs.FileInfo) bool { return true }
	only := maps.Clone(oldSite)
	only["units/new.html"] = "new"
	if _, err := p.Publish(outputsOf(only)); err == nil || !strings.Contains(err.Error(), ManifestName+" can't be replaced: it is another user's") {
		t.Errorf("it says %v", err)
	}
	holds(t, dir, oldSite)
}

// A folder that is moved away while the site is made, as some do to put one live, isn't told to hold the new site.
func TestFolderThatIsMovedWhileASiteIsMade(t *testing.T) {
	for _, when := range []string{"write", "rename"} {
		top := t.TempDir()
		dir := filepath.Join(top, "public")
		publish(t, dir, oldSite)
		root, err := os.OpenRoot(dir)
		if err != nil {
			t.Fatal(err)
		}
		p := New(root, dir)
		var moving sync.Once // outputs are put at once
		move := func(is string) {
			if is != when {
				return
			}
			moving.Do(func() {
				if err := os.Rename(dir, filepath.Join(top, "live")); err != nil {
					t.Error(err)
				}
				if err := os.Mkdir(dir, 0o755); err != nil {
					t.Error(err)
				}
			})
		}
		write, rename := p.write, p.rename
		p.write = func(name string, data io.WriterTo) error { move("write"); return write(name, data) }
		p.rename = func(from, to string) error { move("rename"); return rename(from, to) }
		_, err = p.Publish(outputsOf(newSite))
		p.Close()
		if err == nil || !strings.Contains(err.Error(), "was moved or deleted while the site was made\nhint: ") {
			t.Errorf("moved at the first %s: the error is %v", when, err)
		}
		holds(t, filepath.Join(top, "live"), map[string]map[string]string{"write": oldSite, "rename": newSite}[when])
		expect(t, publish(t, dir, newSite), 4, 0, 0)
	}
}
