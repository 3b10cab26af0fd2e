package publication

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Finish puts what was written in its place, removes what the site no longer has, and
// writes the manifest.
func (p *Publisher) Finish() (Summary, error) {
	text, err := manifestText(p.entered)
	mark := p.MarkLine()
	// Half a million paths needn't be told apart again where they are those that the folder has.
	same := err == nil && !p.journal.old && isBoth(p.listed, mark, text)
	if same {
		p.now, text = p.written, ""
	} else if err == nil {
		p.now, err = parseManifest(text)
	}
	if err == nil {
		err = errors.Join(unclashing(p.now), p.checkTakenBack(), p.unmovedItself())
	}
	if err != nil {
		p.Abandon()
		return Summary{}, err
	}
	// What pages share comes first, so that no page names a file which isn't there.
	shared := func(path string) int {
		if p.shared(path) {
			return 0
		}
		return 1
	}
	staged := p.allStaged()
	slices.SortFunc(staged, func(a, b string) int { return cmp.Or(cmp.Compare(shared(a), shared(b)), cmp.Compare(a, b)) })
	for _, path := range staged {
		if err := p.replaceable(path); err != nil {
			p.Abandon()
			return Summary{}, err
		}
	}
	for _, path := range staged {
		if err := p.rename(Hidden(path), path); err != nil {
			p.journal.Leave()
			return Summary{}, fmt.Errorf("%s can't be put in its place: %w\nhint: a part of the site is new; build again to complete it", p.Of(path), Cause(err))
		}
	}
	p.Leave() // some systems remove no folder that is open
	sum := Summary{Written: len(staged), Unchanged: p.unchanged}
	stuck := p.removeStale(&sum)
	if stuck != nil || len(sum.Kept) > 0 { // what is still there stays in the manifest
		text = p.now.text()
	}
	if !same && !isBoth(p.listed, mark, text) {
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
		return fmt.Errorf("%s can't be looked at: %w\n%s", p.Name, Cause(err), readHint)
	}
	if there, err := os.Stat(filepath.FromSlash(p.Name)); err != nil || !os.SameFile(opened, there) {
		return fmt.Errorf("%s was moved or deleted while the site was made\nhint: leave it where it is until that is done, and build again", p.Name)
	}
	return nil
}

// allStaged are the paths of what is written under hidden names.
func (p *Publisher) allStaged() []string {
	n := len(p.staging)
	for _, r := range p.staged {
		n += r.Count()
	}
	if n == len(p.now) && len(p.staging) == 0 {
		return slices.Collect(maps.Keys(p.now)) // all is new
	}
	paths := append(make([]string, 0, n), slices.Collect(maps.Keys(p.staging))...)
	for _, r := range p.staged {
		for path := range r.Paths() {
			paths = append(paths, path)
		}
	}
	return paths
}

// Abandon undoes all that was done since begin: nothing of it was in its place yet.
func (p *Publisher) Abandon() {
	p.Leave()
	for _, path := range p.allStaged() {
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
