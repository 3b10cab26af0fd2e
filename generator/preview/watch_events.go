package preview

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"
)

// An eventWatcher is told of changes by the system. It watches folders only: a watch on a file ends with the file, and
// many editors put a new file in the place of the old one at each save.
//
// What it relies on: a folder is in watched exactly while the system was asked to watch it under that path. So a folder
// that is renamed is forgotten under its old path, with all below it, before it is added under the new one.
type eventWatcher struct {
	system  *fsnotify.Watcher
	tops    map[string]fs.FileInfo // the folders asked for, as they were when they were added; nil while one is missing
	watched map[string]bool
	now     func() time.Time

	out     chan batch
	stop    chan struct{}
	stopped chan struct{}
	err     error
}

// lookAgain is how often the watched folders themselves are looked at: nothing tells that one is there again, or
// another one under its name.
const lookAgain = 500 * time.Millisecond

func newEventWatcher(folders []string, now func() time.Time) (*eventWatcher, error) {
	system, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, explained(err)
	}
	w := &eventWatcher{
		system: system, tops: map[string]fs.FileInfo{}, watched: map[string]bool{}, now: now,
		out: make(chan batch), stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	for _, folder := range folders {
		if err := w.addTop(filepath.Clean(folder)); err != nil {
			system.Close()
			return nil, explained(err)
		}
	}
	go w.run()
	return w, nil
}

func (w *eventWatcher) batches() <-chan batch { return w.out }
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

// forget ends the watches of a folder and of all below it.
func (w *eventWatcher) forget(folder string) {
	for path := range w.watched {
		if below(path, folder) {
			_ = w.system.Remove(path) // mostly it has ended by itself
			delete(w.watched, path)
		}
	}
}

func (w *eventWatcher) run() {
	defer close(w.stopped)
	defer close(w.out)
	defer w.system.Close()
	var changed gathering
	var ready batch
	again := time.NewTicker(lookAgain)
	defer again.Stop()
	settled := time.NewTimer(time.Hour)
	defer settled.Stop()
	for {
		var to chan batch
		if !ready.empty() {
			to = w.out
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
		case <-settled.C:
			if !changed.empty() && !w.now().Before(changed.due()) {
				ready = changed.take(ready)
			}
		case <-again.C:
			err = w.lookAtTops(&changed)
		case event, ok := <-w.system.Events:
			if !ok {
				return
			}
			err = w.take(event, &changed)
		case failure, ok := <-w.system.Errors:
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
	if event.Op == fsnotify.Chmod || ignored(filepath.Base(path)) && w.tops[path] == nil {
		return nil
	}
	switch {
	case event.Has(fsnotify.Remove): // folders in it were deleted before, each with an event of its own
		delete(w.watched, path)
	case event.Has(fsnotify.Rename) && w.watched[path]:
		w.forget(path)
	}
	changed.note(w.now(), path)
	if !event.Has(fsnotify.Create) {
		return nil
	}
	if info, err := os.Lstat(path); err == nil && info.IsDir() {
		if w.watched[path] { // by this name another folder was known
			w.forget(path)
		}
		return w.add(path)
	}
	return nil
}

// lost goes on after an error: events were dropped, so anything may have changed, folders too.
func (w *eventWatcher) lost(failure error, changed *gathering) error {
	if !errors.Is(failure, fsnotify.ErrEventOverflow) {
		return failure
	}
	changed.noteAll(w.now())
	return w.renew()
}

// renew watches all folders anew.
func (w *eventWatcher) renew() error {
	for folder := range w.tops {
		w.forget(folder)
		if err := w.addTop(folder); err != nil {
			return err
		}
	}
	return nil
}

// lookAtTops finds the watched folders that went, came or were replaced.
func (w *eventWatcher) lookAtTops(changed *gathering) error {
	for folder, known := range w.tops {
		info, err := os.Stat(folder)
		if err != nil {
			info = nil
		}
		if known == nil && info == nil || known != nil && info != nil && os.SameFile(known, info) && w.watched[folder] {
			continue
		}
		changed.noteAll(w.now())
		w.forget(folder)
		if err := w.addTop(folder); err != nil {
			return err
		}
	}
	return nil
}
