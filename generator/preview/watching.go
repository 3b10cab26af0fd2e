package preview

import (
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// UsualPoll is how often all files are looked at where the system can't tell of changes.
const UsualPoll = 500 * time.Millisecond

// watch starts to watch the source's folders. Where the system can't, all files are looked at again and again.
func (p *preview) watch() {
	p.folders = p.Source.Folders()
	if p.Poll > 0 {
		p.watcher = newPollWatcher(p.folders, p.Poll, p.Clock)
		return
	}
	if !p.warned {
		p.warned = true
		p.warnOfMounts()
	}
	w, err := newEventWatcher(p.folders, p.Clock)
	if err != nil {
		p.say.Trouble(err)
		p.watcher = newPollWatcher(p.folders, UsualPoll, p.Clock)
		return
	}
	p.watcher = w
}

// watchAgain follows the source when it reads other folders than before, and reports whether it does.
func (p *preview) watchAgain() bool {
	if slices.Equal(slices.Sorted(slices.Values(p.folders)), slices.Sorted(slices.Values(p.Source.Folders()))) {
		return false
	}
	p.watcher.close()
	p.watch()
	return true
}

// pollInstead goes on without being told of changes.
func (p *preview) pollInstead() {
	if err := p.watcher.failed(); err != nil {
		p.say.Trouble(err)
	}
	p.watcher = newPollWatcher(p.folders, UsualPoll, p.Clock)
}

// namesBelow writes a batch's paths as names relative to the root. nil stands for everything: also where a path is none
// below the root.
func namesBelow(root string, b batch) []string {
	if b.all {
		return nil
	}
	roots := []string{root}
	if real, err := filepath.EvalSymlinks(root); err == nil && real != root {
		roots = append(roots, real)
	}
	names := make([]string, 0, len(b.paths))
	for _, path := range b.paths {
		name, ok := nameBelow(roots, path)
		if !ok {
			return nil
		}
		names = append(names, name)
	}
	return names
}

func nameBelow(roots []string, path string) (string, bool) {
	for _, root := range roots {
		if rel, err := filepath.Rel(root, path); err == nil && filepath.IsLocal(rel) {
			return filepath.ToSlash(rel), true
		}
	}
	return "", false
}

// cutHint splits an error for people into what is wrong and what to do.
func cutHint(err error) (summary, hint string) {
	summary, hint, _ = strings.Cut(err.Error(), "\nhint: ")
	return summary, hint
}

// oneAtATime passes on what happens, one thing at a time.
type oneAtATime struct {
	lock sync.Mutex
	to   Teller
}

func (o *oneAtATime) Listening(own, shared []string) {
	o.lock.Lock()
	defer o.lock.Unlock()
	o.to.Listening(own, shared)
}

func (o *oneAtATime) Made(m Made) {
	o.lock.Lock()
	defer o.lock.Unlock()
	o.to.Made(m)
}

func (o *oneAtATime) Mended(path string) {
	o.lock.Lock()
	defer o.lock.Unlock()
	o.to.Mended(path)
}

func (o *oneAtATime) Trouble(err error) {
	o.lock.Lock()
	defer o.lock.Unlock()
	o.to.Trouble(err)
}
