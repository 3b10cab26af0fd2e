package preview

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
)

// The habits by which editors save a file: plainly; a new file put over the old one; the old one renamed to a backup; deleted
// and created; piece by piece with a touch at the end. Seen of editors in use; common practice, no source.
var habits = map[string]func(path, text string) error{
	"plain": write,
	"temporary": func(path, text string) error {
		return errors.Join(write(path+".tmp", text), os.Rename(path+".tmp", path))
	},
	"backup": func(path, text string) error {
		return errors.Join(os.Rename(path, path+"~"), write(path, text), os.Remove(path+"~"))
	},
	"delete": func(path, text string) error {
		return errors.Join(os.Remove(path), write(path, text))
	},
	"pieces": func(path, text string) error {
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_TRUNC, 0)
		if err != nil {
			return err
		}
		defer f.Close()
		for piece := range slices.Chunk([]byte(text), 7) {
			if _, err := f.Write(piece); err != nil {
				return err
			}
		}
		return os.Chtimes(path, time.Time{}, time.Now())
	},
}

func write(path, text string) error { return os.WriteFile(path, []byte(text), 0o666) }

func must(t *testing.T, errs ...error) {
	t.Helper()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
}

// both runs a test with either watcher on a folder.
func both(t *testing.T, test func(t *testing.T, dir string, w watcher)) {
	for _, kind := range []string{"events", "poll"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			test(t, dir, start(t, kind, dir))
		})
	}
}

func start(t *testing.T, kind, dir string) watcher {
	t.Helper()
	var w watcher
	if kind == "poll" {
		w = newPollWatcher([]string{dir}, 20*time.Millisecond, time.Now)
	} else {
		events, err := newEventWatcher([]string{dir}, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		w = events
	}
	t.Cleanup(w.close)
	return w
}

// told waits for a batch that names a path or a folder above it.
func told(t *testing.T, w watcher, path string) {
	t.Helper()
	must(t, toldOf(w, path))
}

func toldOf(w watcher, path string) error {
	late := time.After(patience)
	for {
		select {
		case b, ok := <-w.batches():
			if !ok {
				return fmt.Errorf("the watcher ended: %w", w.failed())
			}
			if b.all || slices.ContainsFunc(b.paths, func(p string) bool { return below(path, p) }) {
				return nil
			}
		case <-late:
			return fmt.Errorf("nothing was told of %s", path)
		}
	}
}

// settleDown takes what is still told of earlier changes, until nothing was for a while.
func settleDown(t *testing.T, w watcher, while time.Duration) {
	t.Helper()
	for {
		select {
		case _, ok := <-w.batches():
			if !ok {
				t.Fatalf("the watcher ended: %v", w.failed())
			}
		case <-time.After(while):
			return
		}
	}
}

// silent checks that nothing is told.
func silent(t *testing.T, w watcher) {
	t.Helper()
	select {
	case b := <-w.batches():
		t.Errorf("told of %+v", b)
	case <-time.After(longest + quiet):
	}
}

// None of 40 saves is missed, in any of the five habits: after each, somebody who reads the file when told of it has its
// text.
func TestNoSaveIsMissed(t *testing.T) {
	t.Parallel()
	var all sync.WaitGroup
	for name, save := range habits {
		for _, kind := range []string{"events", "poll"} {
			file := filepath.Join(t.TempDir(), "record.toml")
			must(t, write(file, "as it was"))
			w := start(t, kind, filepath.Dir(file))
			all.Go(func() {
				for i := range 40 {
					text := fmt.Sprintf("save %d, longer than a piece", i%10) // the size stays, as it often does
					if err := errors.Join(save(file, text), seen(w, file, text)); err != nil {
						t.Errorf("%s, %s, save %d: %v", name, kind, i, err)
						return
					}
				}
			})
		}
	}
	all.Wait()
}

// seen waits until somebody who reads a file when told of it has read a text.
func seen(w watcher, file, want string) error {
	for end := time.Now().Add(patience); time.Now().Before(end); {
		if err := toldOf(w, file); err != nil {
			return err
		}
		if text, _ := os.ReadFile(file); string(text) == want {
			return nil
		}
	}
	return errors.New("it was missed")
}

// Who reads a file only when told of it has the last text also when saves come faster than they settle.
func TestLastOfManySavesIsSeen(t *testing.T) {
	both(t, func(t *testing.T, dir string, w watcher) {
		file := filepath.Join(dir, "record.toml")
		var lock sync.Mutex
		read := ""
		go func() {
			for range w.batches() {
				text, _ := os.ReadFile(file)
				lock.Lock()
				read = string(text)
				lock.Unlock()
			}
		}()
		for i := range 100 {
			must(t, write(file, fmt.Sprintf("save %03d", i)))
			time.Sleep(3 * time.Millisecond)
		}
		eventually(t, "the last save", func() bool {
			lock.Lock()
			defer lock.Unlock()
			return read == "save 099"
		})
	})
}

// A new folder is watched, with what was made in it at once.
func TestNewFolder(t *testing.T) {
	both(t, func(t *testing.T, dir string, w watcher) {
		file := filepath.Join(dir, "units", "otter", "pictures", "deep.toml")
		must(t, os.MkdirAll(filepath.Dir(file), 0o777), write(file, "one"))
		told(t, w, file)
		settleDown(t, w, longest)
		must(t, write(file, "two"))
		told(t, w, file)
	})
}

func TestDeletedFolder(t *testing.T) {
	both(t, func(t *testing.T, dir string, w watcher) {
		unit := filepath.Join(dir, "otter")
		file := filepath.Join(unit, "record.toml")
		must(t, os.Mkdir(unit, 0o777), write(file, "one"))
		told(t, w, unit)
		must(t, os.RemoveAll(unit))
		told(t, w, unit)
		must(t, os.Mkdir(unit, 0o777), write(file, "again"))
		told(t, w, file)
		settleDown(t, w, longest)
		must(t, write(file, "and again"))
		told(t, w, file)
	})
}

// A folder that goes and comes quicker than events are read, also by renames, is watched in the end.
func TestFolderThatComesAndGoes(t *testing.T) {
	both(t, func(t *testing.T, dir string, w watcher) {
		unit, other := filepath.Join(dir, "otter"), filepath.Join(dir, "badger")
		file := filepath.Join(unit, "pictures", "a.jpg")
		for i := range 100 {
			must(t, os.MkdirAll(filepath.Dir(file), 0o777), write(file, "x"), os.Rename(unit, other))
			if i%2 == 0 {
				must(t, os.Rename(other, unit), os.RemoveAll(unit))
			} else {
				must(t, os.RemoveAll(other))
			}
		}
		must(t, os.MkdirAll(filepath.Dir(file), 0o777))
		settleDown(t, w, 2*longest)
		for i := range 3 {
			must(t, write(file, fmt.Sprint(i)))
			told(t, w, file)
			settleDown(t, w, longest)
		}
	})
}

// A folder that is renamed is watched under its new name, with the folders in it, and not under its old one.
func TestRenamedFolder(t *testing.T) {
	both(t, func(t *testing.T, dir string, w watcher) {
		must(t, os.MkdirAll(filepath.Join(dir, "otter", "pictures"), 0o777), write(filepath.Join(dir, "otter", "record.toml"), "one"))
		told(t, w, filepath.Join(dir, "otter"))
		settleDown(t, w, longest)
		must(t, os.Rename(filepath.Join(dir, "otter"), filepath.Join(dir, "badger")))
		told(t, w, filepath.Join(dir, "badger"))
		settleDown(t, w, longest)
		for _, name := range []string{"record.toml", "pictures/a.jpg", "record.toml"} {
			file := filepath.Join(dir, "badger", filepath.FromSlash(name))
			must(t, write(file, time.Now().String()))
			told(t, w, file)
		}
		outside := filepath.Join(t.TempDir(), "gone")
		must(t, os.Rename(filepath.Join(dir, "badger"), outside))
		told(t, w, filepath.Join(dir, "badger"))
		settleDown(t, w, longest)
		must(t, write(filepath.Join(outside, "record.toml"), "elsewhere"))
		silent(t, w)
	})
}

// The watched folder itself may go and come back, or be another one.
func TestWatchedFolderIsReplaced(t *testing.T) {
	for _, kind := range []string{"events", "poll"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			root := t.TempDir()
			dir := filepath.Join(root, "content")
			must(t, os.Mkdir(dir, 0o777))
			w := start(t, kind, dir)
			must(t, os.Rename(dir, filepath.Join(root, "old")))
			told(t, w, dir)
			must(t, os.Mkdir(dir, 0o777), write(filepath.Join(dir, "site.toml"), "new"))
			told(t, w, filepath.Join(dir, "site.toml"))
			settleDown(t, w, 2*lookAgain)
			must(t, write(filepath.Join(dir, "site.toml"), "newer"))
			told(t, w, filepath.Join(dir, "site.toml"))
		})
	}
}

// What isn't of the content wakes nobody: leftovers of editors, hidden files, what lies behind a link to a folder.
func TestWhatIsNotTold(t *testing.T) {
	for _, kind := range []string{"events", "poll"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			dir, elsewhere := t.TempDir(), t.TempDir()
			must(t, write(filepath.Join(dir, "record.toml"), "text"), os.Mkdir(filepath.Join(dir, ".hidden"), 0o777), os.Symlink(elsewhere, filepath.Join(dir, "link")))
			w := start(t, kind, dir)
			for _, name := range []string{".record.toml.swp", "record.toml~", "#record.toml#", ".#record.toml", "4913", "x.tmp", ".hidden/x", ".DS_Store"} {
				must(t, write(filepath.Join(dir, name), "left"))
			}
			must(t, write(filepath.Join(elsewhere, "far"), "away"), os.Remove(filepath.Join(dir, "4913")))
			silent(t, w)
		})
	}
}

// Who may read a file or a folder is told: one that can't be read is a mistake, and that is how it is mended. A folder
// that may be read now is looked into from then on. A link to the very file that stood in its place is told, too.
func TestRightsAndLinksAreTold(t *testing.T) {
	both(t, func(t *testing.T, dir string, w watcher) {
		file, folder, away := filepath.Join(dir, "record.toml"), filepath.Join(dir, "otter"), filepath.Join(t.TempDir(), "record.toml")
		must(t, write(file, "text"), os.Mkdir(folder, 0))
		settleDown(t, w, 2*longest)
		must(t, os.Chmod(file, 0o600))
		told(t, w, file)
		must(t, os.Chmod(folder, 0o755))
		told(t, w, folder)
		settleDown(t, w, 2*longest)
		must(t, write(filepath.Join(folder, "notes.md"), "text"))
		told(t, w, filepath.Join(folder, "notes.md"))
		settleDown(t, w, 2*longest)
		must(t, os.Rename(file, away), os.Symlink(away, file))
		told(t, w, file)
	})
}

// While something changes all the time it is told all the same, at most so late.
func TestSteadyStreamIsTold(t *testing.T) {
	both(t, func(t *testing.T, dir string, w watcher) {
		stop := make(chan struct{})
		var writing sync.WaitGroup
		writing.Go(func() {
			for i := 0; ; i++ {
				select {
				case <-stop:
					return
				case <-time.After(5 * time.Millisecond):
					_ = write(filepath.Join(dir, "log.toml"), strings.Repeat("x", i))
				}
			}
		})
		began := time.Now()
		told(t, w, filepath.Join(dir, "log.toml"))
		if took := time.Since(began); took < quiet || took > 10*longest {
			t.Errorf("told after %v", took)
		}
		close(stop)
		writing.Wait()
	})
}

// When the system lost events, anything may have changed; folders made meanwhile are watched.
func TestOverflow(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	unit := filepath.Join(dir, "otter")
	must(t, os.Mkdir(unit, 0o777))
	w := start(t, "events", dir).(*eventWatcher)
	must(t, w.system.Remove(unit)) // as if its making had been lost
	w.system.Errors <- fsnotify.ErrEventOverflow
	select {
	case b := <-w.batches():
		if !b.all || b.paths != nil {
			t.Errorf("told of %+v, not of everything", b)
		}
	case <-time.After(patience):
		t.Fatal("nothing was told")
	}
	settleDown(t, w, longest)
	file := filepath.Join(unit, "record.toml")
	must(t, write(file, "text"))
	told(t, w, file)
}

// A watcher that fails says so once, and ends.
func TestFailedWatcherEnds(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	w, err := newEventWatcher([]string{dir}, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	w.system.Errors <- errors.New("the disk is gone")
	if _, ok := <-w.batches(); ok {
		t.Fatal("it goes on")
	}
	if err := w.failed(); err == nil || !strings.Contains(err.Error(), "the disk is gone\nhint: --poll") {
		t.Errorf("failed with %v", err)
	}
}

// Two changes within one tick of the file system's clock, of one size, are told by their bytes.
func TestPollSeesSameSizeAndTime(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := filepath.Join(dir, "record.toml")
	at := time.Now().Truncate(time.Second)
	must(t, write(file, "one"), os.Chtimes(file, at, at))
	w := start(t, "poll", dir)
	f, err := os.OpenFile(file, os.O_WRONLY, 0)
	must(t, err)
	_, err = f.WriteString("two")
	must(t, err, f.Close(), os.Chtimes(file, at, at))
	told(t, w, file)
	silent(t, w)
}

// The bounds of settling: exactly so long after the last change, and never longer than the most after the first.
func TestSettling(t *testing.T) {
	var g gathering
	at := time.Unix(0, 0)
	g.note(at, "a")
	if got := g.due().Sub(at); got != quiet {
		t.Errorf("one change settles after %v", got)
	}
	g.note(at.Add(longest-quiet), "b")
	if got := g.due().Sub(at); got != longest {
		t.Errorf("due after %v, want %v", got, longest)
	}
	g.note(at.Add(longest-time.Nanosecond), "a")
	if got := g.due().Sub(at); got != longest {
		t.Errorf("due after %v, want %v", got, longest)
	}
	if b := g.take(batch{paths: []string{"c", "a"}}); !slices.Equal(b.paths, []string{"a", "b", "c"}) || !g.empty() {
		t.Errorf("taken %+v", b)
	}
	g.noteAll(at)
	if b := g.take(batch{paths: []string{"c"}}); !b.all || b.paths != nil {
		t.Errorf("taken %+v", b)
	}
}

func TestNamesAreRelativeToTheRoot(t *testing.T) {
	real := t.TempDir()
	link := filepath.Join(t.TempDir(), "link")
	must(t, os.Symlink(real, link))
	resolved, err := filepath.EvalSymlinks(real)
	must(t, err)
	b := batch{paths: []string{filepath.Join(link, "content", "a"), filepath.Join(resolved, "content", "b")}}
	if got := namesBelow(link, b); !slices.Equal(got, []string{"content/a", "content/b"}) {
		t.Errorf("names %q", got)
	}
	b.paths = append(b.paths, filepath.Join(filepath.Dir(link), "other"))
	if got := namesBelow(link, b); got != nil {
		t.Errorf("names %q for a path elsewhere, want everything", got)
	}
}
