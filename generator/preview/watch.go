package preview

import (
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"wattsheet/generator/site"
)

const (
	// quiet is how long nothing may change before a change counts as done: the steps of one save come closer together
	// (habits of editors, measured; no source).
	quiet = 50 * time.Millisecond
	// lull is how long nothing may have changed before the change is told as one that may be done: the writes of one
	// save come closer together still.
	lull = 10 * time.Millisecond
	// longest bounds the waiting while something changes all the time.
	longest = 300 * time.Millisecond
)

// A batch is what changed since the last one. The names are hints: something may have changed there.
type batch struct {
	paths []string // absolute, sorted; a folder stands for all below it
	all   bool     // anything may have changed
}

// A watcher tells what changes below some folders, settled.
type watcher interface {
	// batches gives each change once. It is closed when the watcher can't go on, or was closed.
	batches() <-chan batch
	// stirs reports whether something changed that batches hasn't given yet.
	stirs() bool
	// early tells what changed so far of a change that may not be done: whoever can begins with it. It may miss some,
	// and the batch follows in any case.
	early() <-chan batch
	// failed is why the watcher can't go on; to be asked when batches is closed.
	failed() error
	close()
}

// A gathering collects what changed until it has settled.
type gathering struct {
	paths map[string]bool
	all   bool
	since time.Time // of the first change
	last  time.Time
}

func (g *gathering) empty() bool { return !g.all && len(g.paths) == 0 }

func (g *gathering) note(now time.Time, paths ...string) {
	if len(paths) == 0 {
		return
	}
	if g.empty() {
		g.since = now
	}
	g.last = now
	if g.paths == nil {
		g.paths = map[string]bool{}
	}
	for _, p := range paths {
		g.paths[p] = true
	}
}

func (g *gathering) noteAll(now time.Time) {
	if g.empty() {
		g.since = now
	}
	g.last, g.all = now, true
}

// due is when what was gathered has settled.
func (g *gathering) due() time.Time {
	settled, latest := g.last.Add(quiet), g.since.Add(longest)
	if latest.Before(settled) {
		return latest
	}
	return settled
}

// take empties the gathering into a batch that may hold earlier changes.
func (g *gathering) take(into batch) batch {
	if g.all || into.all {
		into = batch{all: true}
	} else {
		paths := slices.AppendSeq(into.paths, maps.Keys(g.paths))
		slices.Sort(paths)
		into = batch{paths: slices.Compact(paths)}
	}
	*g = gathering{}
	return into
}

// soFar is what was gathered, as a batch.
func (g *gathering) soFar() batch { return batch{paths: slices.Sorted(maps.Keys(g.paths))} }

func (b batch) empty() bool { return !b.all && len(b.paths) == 0 }

// ignored reports whether a file of this name is none of the content's: an editor makes it for a moment, or leaves it.
// An editor of old tries with the name 4913 whether it may write into a folder.
func ignored(name string) bool { return site.LeftBehind(name) || name == "4913" }

// walk calls visit for a folder and each folder below it. Symbolic links below it are not followed; what vanishes
// meanwhile is passed over. It ends with the first error of visit.
func walk(folder string, visit func(folder string) error) error {
	if err := visit(folder); err != nil {
		return err
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil // it has gone, or can't be read: reading it as content says so
	}
	for _, e := range entries {
		if e.IsDir() && !ignored(e.Name()) {
			if err := walk(filepath.Join(folder, e.Name()), visit); err != nil {
				return err
			}
		}
	}
	return nil
}

// below reports whether a path is a folder or lies below it.
func below(path, folder string) bool {
	rest, is := strings.CutPrefix(path, folder)
	return is && (rest == "" || rest[0] == filepath.Separator)
}

// explained turns an error of the system's watching into one for people.
func explained(err error) error {
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return errors.New("the system has no more watches for folders\nhint: allow more of them (on Linux the setting fs.inotify.max_user_watches), or use --poll")
	case errors.Is(err, syscall.EMFILE):
		return errors.New("the system lets no more programs watch folders\nhint: end some that do (on Linux the setting is fs.inotify.max_user_instances), or use --poll")
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	return errors.New("the folders can't be watched: " + err.Error() + "\nhint: --poll looks at all files again and again instead")
}
