package preview

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"
)

// An eventWatcher is told of changes by the system. It watches folders only: a watch on a file ends with the file, and
// many editors put a new file in the place of the old one at each save.
//
// What it relies on: a folder is in watched if the system was asked to watch it under that path. A watch goes on under
// its old path where a folder is renamed, and names and watches come apart where folders come and go quicker than events
// are read. So none is ever ended: once a watched folder was renamed, all are stale, and when the change has settled
// another system takes the place of this one, with the folders that are there then, before anybody is told.
type eventWatcher struct {
	system  *fsnotify.Watcher
	faults  <-chan error
	tops    map[string]fs.FileInfo // the folders asked for, as they were when they were added; nil while one is missing
	watched map[string]bool
	stale   bool
	now     func() time.Time

	stirring atomic.Bool

	out     chan batch
	begun   chan batch
	stop    chan struct{}
	stopped chan struct{}
	err     error
}

// lookAgain is how often the watched folders themselves are looked at: nothing tells that one is there again, or
// another one under its name.
const lookAgain = 500 * time.Millisecond

func newEventWatcher(folders []string, now func() time.Time) (*eventWatcher, error) {
	w := &eventWatcher{
		tops: map[string]fs.FileInfo{}, now: now,
		out: make(chan batch), begun: make(chan batch), stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	for _, folder := range folders {
		w.tops[filepath.Clean(folder)] = nil
	}
	if err := w.renew(); err != nil {
		return nil, explained(err)
	}
	go w.run()
	return w, nil
}

// renew has another system watch all folders that are there.
func (w *eventWatcher) renew() error {
	system, err := fsnotify.NewWatcher()
	if err != nil {
		return err
	}
	if w.system != nil {
		w.system.Close()
	}
	faults := make(chan error, 64)
	go pass(system.Errors, faults)
	w.system, w.faults, w.watched, w.stale = system, faults, map[string]bool{}, false
	for folder := range w.tops {
		if err := w.addTop(folder); err != nil {
			system.Close()
			return err
		}
	}
	return nil
}

// pass takes errors off the system's hands at once: it tells some of them with a lock held that adding a watch needs, so
// whoever adds watches must not be the one that is waited for. Beyond what into holds, one more says nothing new.
func pass(errs <-chan error, into chan<- error) {
	defer close(into)
	for err := range errs {
		select {
		case into <- err:
		default:
		}
	}
}

func (w *eventWatcher) batches() <-chan batch { return w.out }
func (w *eventWatcher) stirs() bool           { return w.stirring.Load() }
func (w *eventWatcher) early() <-chan batch   { return w.begun }
func (w *eventWatcher) failed() error         { return w.err }

func (w *eventWatcher) close() {
	close(w.stop)
	<-w.stopped
}

func (w *eventWatcher) addTop(folder string) error {
	info, err := os.Stat(folder)
	if err != nil {
		w.tops[folder] = nil
		return nil
	}
	w.tops[folder] = info
	return w.add(folder)
}

// add watches a folder and all below it. Each is watched before it is listed, so that what is made meanwhile is either
// listed or told.
func (w *eventWatcher) add(folder string) error {
	return walk(folder, func(folder string) error {
		err := w.system.Add(folder)
		if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission) {
			return nil
		}
		if err == nil {
			w.watched[folder] = true
		}
		return err
	})
}

func (w *eventWatcher) run() {
	defer close(w.stopped)
	defer close(w.out)
	defer func() { w.system.Close() }()
	var changed gathering
	var ready batch
	again := time.NewTicker(lookAgain)
	defer again.Stop()
	settled := time.NewTimer(time.Hour)
	defer settled.Stop()
	early := time.NewTimer(time.Hour)
	defer early.Stop()
	var begun batch // what is told early
	for {
		w.stirring.Store(!changed.empty() || !ready.empty())
		var to chan batch
		if !ready.empty() {
			to = w.out
		}
		var toBegin chan batch
		if !begun.empty() {
			toBegin = w.begun
		}
		if !changed.empty() {
			settled.Reset(changed.due().Sub(w.now()))
		}
		var err error
		select {
		case <-w.stop:
			return
		case to <- ready:
			ready = batch{}
		case toBegin <- begun:
			begun = batch{}
		case <-early.C:
			if !changed.all && !w.stale && ready.empty() {
				begun = changed.soFar()
			}
		case <-settled.C:
			if changed.empty() || w.now().Before(changed.due()) {
				break
			}
			if w.stale {
				err = w.renew()
				changed.noteAll(w.now())
			}
			ready, begun = changed.take(ready), batch{}
		case <-again.C:
			w.lookAtTops(&changed)
		case event, ok := <-w.system.Events:
			if !ok {
				return
			}
			err = w.take(event, &changed)
			begun = batch{}
			early.Reset(lull)
		case failure, ok := <-w.faults:
			if !ok {
				return
			}
			err = w.lost(failure, &changed)
		}
		if err != nil {
			w.err = explained(err)
			return
		}
	}
}

// take notes what an event tells. Whether a folder appeared is asked of the disk: names are only hints.
func (w *eventWatcher) take(event fsnotify.Event, changed *gathering) error {
	path := filepath.Clean(event.Name)
	if _, top := w.tops[path]; ignored(filepath.Base(path)) && !top {
		return nil
	}
	changed.note(w.now(), path)
	switch {
	case event.Has(fsnotify.Remove): // folders in it were deleted before, each with an event of its own
		delete(w.watched, path)
	case event.Has(fsnotify.Rename) && w.watched[path]:
		w.stale = true
	}
	// A folder that may be read from now on is one that appeared; a file's rights alone tell whether it is content.
	if !event.Has(fsnotify.Create) && !event.Has(fsnotify.Chmod) || w.stale {
		return nil
	}
	if info, err := os.Lstat(path); err == nil && info.IsDir() {
		return w.add(path)
	}
	return nil
}

// lost goes on after an error that leaves open what is watched: events were dropped, so anything may have changed,
// folders too; or a folder was renamed and had gone before its watch could be ended, which is an invalid argument then.
func (w *eventWatcher) lost(failure error, changed *gathering) error {
	if !errors.Is(failure, fsnotify.ErrEventOverflow) && !errors.Is(failure, syscall.EINVAL) {
		return failure
	}
	changed.noteAll(w.now())
	w.stale = true
	return nil
}

// lookAtTops finds the watched folders that went, came or were replaced.
func (w *eventWatcher) lookAtTops(changed *gathering) {
	for folder, known := range w.tops {
		info, err := os.Stat(folder)
		if err != nil {
			info = nil
		}
		if known == nil && info == nil || known != nil && info != nil && os.SameFile(known, info) && w.watched[folder] {
			continue
		}
		if !w.stale {
			changed.noteAll(w.now())
			w.stale = true
		}
	}
}
