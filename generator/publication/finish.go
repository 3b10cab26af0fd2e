package publication

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wattsheet/generator/disk"
)

// Finish puts what was written in its place, removes what the site no longer has, and
// writes the manifest.
func (p *Publisher) Finish() (Summary, error) {
	now, err := manifestOf(p.entered)
	mark := p.MarkLine()
	same := err == nil && !p.journal.old && isBoth(p.listed, mark, now.text)
	if p.now = now; same {
		p.now = p.written // the same in less room
	}
	if err == nil {
		err = errors.Join(unclashing(now.size(), now.path), p.checkTakenBack(), p.unmovedItself())
	}
	if err != nil {
		p.Abandon()
		return Summary{}, err
	}
	staged, n := p.allStaged()
	replaced := staged
	if !same {
		replaced = func(yield func(string) bool) {
			if yield(ManifestName) {
				staged(yield)
			}
		}
	}
	for path := range replaced {
		if err := p.replaceable(path); err != nil {
			p.Abandon()
			return Summary{}, err
		}
	}
	// What pages share comes first, so that no page names a file which isn't there.
	for _, shared := range []bool{true, false} {
		for path := range staged {
			if p.shared(path) != shared {
				continue
			}
			if err := p.rename(Hidden(path), path); err != nil {
				p.journal.Leave()
				return Summary{}, fmt.Errorf("%s can't be put in its place: %w\nhint: a part of the site is new; build again to complete it", p.Of(path), disk.Cause(err))
			}
		}
	}
	p.Leave() // some systems remove no folder that is open
	sum := Summary{Written: n, Unchanged: p.unchanged}
	stuck := p.removeStale(&sum)
	if text := p.now.text; !same && !isBoth(p.listed, mark, text) {
		if err := p.writeManifest(mark, text); err != nil {
			p.journal.Leave()
			return sum, err
		}
	}
	return sum, cmp.Or(p.journal.end(), stuck, p.unmovedItself())
}

// isBoth reports whether a text is two others, one after the other.
func isBoth(text, begin, rest string) bool {
	return len(text) == len(begin)+len(rest) && strings.HasPrefix(text, begin) && strings.HasSuffix(text, rest)
}

// unmovedItself refuses a folder that another took the place of, or that is gone: what is written then isn't where
// it is told to be.
func (p *Publisher) unmovedItself() error {
	opened, err := p.root.Stat(".")
	if err != nil {
		return fmt.Errorf("%s can't be looked at: %w\n%s", p.Name, disk.Cause(err), readHint)
	}
	if there, err := os.Stat(filepath.FromSlash(p.Name)); err != nil || !os.SameFile(opened, there) {
		return fmt.Errorf("%s was moved or deleted while the site was made\nhint: leave it where it is until that is done, and build again", p.Name)
	}
	return nil
}

// allStaged gives the paths of what is written under hidden names, sorted, and their number.
func (p *Publisher) allStaged() (iter.Seq[string], int) {
	n := len(p.staging)
	for _, r := range p.staged {
		n += r.Count()
	}
	if n == p.now.size() && len(p.staging) == 0 {
		return p.now.Paths(), n // all is new
	}
	paths := append(make([]string, 0, n), slices.Collect(maps.Keys(p.staging))...)
	for _, r := range p.staged {
		for path := range r.Paths() {
			paths = append(paths, path)
		}
	}
	slices.Sort(paths)
	return slices.Values(paths), n
}

// Abandon undoes all that was done since begin: nothing of it was in its place yet.
func (p *Publisher) Abandon() {
	p.Leave()
	staged, _ := p.allStaged()
	for path := range staged {
		p.root.Remove(Hidden(path))
	}
	for _, folder := range p.made {
		p.removeEmpty(folder)
	}
	p.journal.Abandon()
	p.unmake()
}

// unmake removes the folder and those above it, as far as this run made them and nothing
// is in them.
func (p *Publisher) unmake() {
	for _, folder := range p.above {
		os.Remove(folder)
	}
}
