package preview

import (
	"hash/fnv"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"
)

// A pollWatcher looks at all files again and again, for file systems that tell of nothing (network shares, folders of
// another system).
type pollWatcher struct {
	folders  []string
	interval time.Duration
	now      func() time.Time

	stirring atomic.Bool

	out     chan batch
	stop    chan struct{}
	stopped chan struct{}
}

// A look is what was seen of a file or folder. A file that was changed just before it was looked at may change again
// within the tick of its file system's clock, with the same size; so its bytes count too.
type look struct {
	info  fs.FileInfo
	link  bool // a symbolic link leads there: what it leads to may be the very file that stood in its place
	fresh bool
	sum   uint64
}

// tick is the coarsest clock of a file system in use: two seconds (FAT's time of the last write; from memory).
const tick = 2 * time.Second

// rest is how many times as long as a look takes is waited before the next, so that looking doesn't keep a processor busy.
const rest = 4

func newPollWatcher(folders []string, interval time.Duration, now func() time.Time) *pollWatcher {
	w := &pollWatcher{
		folders: folders, interval: interval, now: now,
		out: make(chan batch), stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	go w.run(w.look(nil))
	return w
}

func (w *pollWatcher) batches() <-chan batch { return w.out }
func (w *pollWatcher) stirs() bool           { return w.stirring.Load() }
func (w *pollWatcher) early() <-chan batch   { return nil }
func (w *pollWatcher) failed() error         { return nil }

func (w *pollWatcher) close() {
	close(w.stop)
	<-w.stopped
}

func (w *pollWatcher) run(known map[string]look) {
	defer close(w.stopped)
	defer close(w.out)
	var changed gathering
	var ready batch
	pause := time.NewTimer(w.interval)
	defer pause.Stop()
	for {
		w.stirring.Store(!changed.empty() || !ready.empty())
		var to chan batch
		if !ready.empty() {
			to = w.out
		}
		select {
		case <-w.stop:
			return
		case to <- ready:
			ready = batch{}
		case <-pause.C:
			start := w.now()
			seen := w.look(known)
			end := w.now()
			changed.note(end, differences(known, seen)...)
			known = seen
			wait := max(w.interval, rest*end.Sub(start))
			switch {
			case changed.empty():
			case end.Before(changed.due()):
				wait = min(wait, changed.due().Sub(end))
			default:
				ready = changed.take(ready)
			}
			pause.Reset(wait)
		}
	}
}

// look looks at all files and folders, with what was seen the last time at hand.
func (w *pollWatcher) look(known map[string]look) map[string]look {
	seen := make(map[string]look, len(known))
	for _, top := range w.folders {
		top = filepath.Clean(top)
		if info, err := os.Stat(top); err == nil {
			seen[top] = look{info: info}
			w.lookInto(top, known, seen)
		}
	}
	return seen
}

// lookInto looks at what is in a folder. Symbolic links to folders are not followed; those to files are what is read.
func (w *pollWatcher) lookInto(folder string, known, seen map[string]look) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return // it has gone, or can't be read: reading it as content says so
	}
	for _, e := range entries {
		if ignored(e.Name()) {
			continue
		}
		path := filepath.Join(folder, e.Name())
		info, err := e.Info()
		link := err == nil && info.Mode().Type() == fs.ModeSymlink
		if link {
			info, err = os.Stat(path)
		}
		switch {
		case err != nil:
		case e.IsDir():
			seen[path] = look{info: info}
			w.lookInto(path, known, seen)
		default:
			l := w.lookAt(path, info, known[path])
			l.link = link
			seen[path] = l
		}
	}
}

func (w *pollWatcher) lookAt(path string, info fs.FileInfo, before look) look {
	l := look{info: info, fresh: info.Mode().IsRegular() && w.now().Sub(info.ModTime()) < tick}
	if l.fresh || before.fresh && same(before.info, info) {
		l.sum = sumOf(path)
	}
	return l
}

// sumOf is a sum of a file's bytes, to tell whether they are others; 0 where it can't be read.
func sumOf(path string) uint64 {
	f, err := os.Open(path)
	if err != nil {
		return 0
	}
	defer f.Close()
	h := fnv.New64a()
	if _, err := io.Copy(h, f); err != nil {
		return 0
	}
	return h.Sum64()
}

// same reports whether the system says the same of a file twice. Its rights count: who may read it decides whether it
// is content.
func same(a, b fs.FileInfo) bool {
	return a.Size() == b.Size() && a.ModTime().Equal(b.ModTime()) && a.Mode() == b.Mode() && os.SameFile(a, b)
}

// differences lists what came, went or is another now. Of a folder only its coming, going and being replaced count: its
// time changes with each file in it.
func differences(known, seen map[string]look) []string {
	var paths []string
	for path, now := range seen {
		before, there := known[path]
		switch {
		case !there:
			paths = append(paths, path)
		case now.info.IsDir() && before.info.IsDir():
			if !os.SameFile(before.info, now.info) || before.info.Mode() != now.info.Mode() {
				paths = append(paths, path)
			}
		case before.link != now.link, !same(before.info, now.info), before.fresh && before.sum != now.sum:
			paths = append(paths, path)
		}
	}
	for path := range known {
		if _, there := seen[path]; !there {
			paths = append(paths, path)
		}
	}
	return paths
}
