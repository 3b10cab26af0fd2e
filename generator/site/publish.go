package site

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// A Summary says what Publish did.
type Summary struct {
	Written   int // files that were new or had other bytes
	Unchanged int // files that were there already, byte for byte
	Removed   int // files that the tool wrote once and that the site no longer has
	// Kept lists the files that the tool wrote once and that the site no longer
	// has, but that were changed since by somebody else. They are still there.
	Kept []string
}

// Publish makes a folder hold the outputs, and makes the folder where there is
// none. It writes only files whose bytes differ, each whole: it is written
// beside its place under a hidden name and put there by a rename. It removes
// files that it wrote earlier and that are no outputs now, unless somebody
// changed them since, and folders which that leaves empty.
//
// A file that the tool didn't write is never overwritten or removed. Nothing is
// written through a symbolic link below the folder. The folder may not be,
// contain, or lie inside the site's content.
//
// An error's text is one for people. Until all changed files are written under
// their hidden names the folder stays as it was, so a full disk or a missing
// permission leaves the old site whole. A run that was killed is completed by
// the next.
func (s *Site) Publish(dir string, outputs []Output) (Summary, error) {
	if err := s.apart(dir); err != nil {
		return Summary{}, err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return Summary{}, fmt.Errorf("the folder %s can't be made: %w\nhint: choose another folder with --out", filepath.ToSlash(dir), cause(err))
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return Summary{}, fmt.Errorf("the folder %s can't be opened: %w", filepath.ToSlash(dir), cause(err))
	}
	defer root.Close()
	return newPublisher(root, dir).publish(outputs)
}

// A publisher writes outputs into one folder. It reaches the disk through root
// only, which no symbolic link leads out of.
type publisher struct {
	root *os.Root
	name string // the folder, for messages
	// write makes a new file, rename puts it in its place. Tests make them fail.
	write  func(name string, data []byte) error
	rename func(from, to string) error

	made []string // folders that this run made, outer ones first
}

func newPublisher(root *os.Root, dir string) *publisher {
	p := &publisher{root: root, name: filepath.ToSlash(dir), rename: root.Rename}
	p.write = p.create
	return p
}

func (p *publisher) publish(outputs []Output) (Summary, error) {
	outputs = slices.SortedStableFunc(slices.Values(outputs), func(a, b Output) int { return cmp.Compare(a.Path, b.Path) })
	if err := publishable(outputs); err != nil {
		return Summary{}, err
	}
	written, err := p.readManifest()
	if err != nil {
		return Summary{}, err
	}
	if err := p.checkLedgers(outputs, written); err != nil {
		return Summary{}, err
	}
	changed, err := p.changed(outputs, written)
	if err != nil {
		return Summary{}, err
	}
	p.dropHidden(written)
	now := manifestOf(outputs)
	stale := staleOf(written, now)
	if len(changed) > 0 || len(stale) > 0 {
		if err := p.replace(changed, written, now); err != nil {
			return Summary{}, err
		}
	}
	sum := Summary{Written: len(changed), Unchanged: len(outputs) - len(changed)}
	for _, path := range stale {
		if p.remove(path, written[path]) {
			sum.Removed++
		} else if p.is(path) {
			sum.Kept = append(sum.Kept, path)
			now[path] = written[path] // so that the next run says it again
		}
	}
	if text := now.text(); !bytes.Equal(text, written.text()) || len(changed) > 0 {
		return sum, p.writeManifest(text)
	}
	return sum, nil
}

// staleOf lists what was written once and is no output now, sorted.
func staleOf(written, now manifest) []string {
	var stale []string
	for _, path := range slices.Sorted(maps.Keys(written)) {
		if _, kept := now[path]; !kept {
			stale = append(stale, path)
		}
	}
	return stale
}

// replace puts the changed outputs in their places. All of them are written
// under hidden names first; if that fails, everything is as it was.
func (p *publisher) replace(changed []Output, written, now manifest) error {
	if err := p.writeManifest(written.union(now).text()); err != nil {
		return err
	}
	for i, o := range changed {
		if err := p.stage(o); err != nil {
			p.unstage(changed[:i+1], written)
			return fmt.Errorf("%s can't be written: %w\nhint: what stood in %s still stands there, unchanged", p.of(o.Path), cause(err), p.name)
		}
	}
	// What pages share comes first, so that no page names a file which isn't there.
	shared := func(o Output) int {
		if strings.HasPrefix(o.Path, assetsFolder+"/") {
			return 0
		}
		return 1
	}
	for _, o := range slices.SortedStableFunc(slices.Values(changed), func(a, b Output) int { return cmp.Compare(shared(a), shared(b)) }) {
		if err := p.rename(hidden(o.Path), o.Path); err != nil {
			return fmt.Errorf("%s can't be put in its place: %w\nhint: a part of the site is new; build again to complete it", p.of(o.Path), cause(err))
		}
	}
	return nil
}

// stage writes an output under its hidden name.
func (p *publisher) stage(o Output) error {
	for _, folder := range slices.Backward(slices.Collect(parents(o.Path))) {
		err := p.root.Mkdir(folder, 0o755)
		switch {
		case err == nil:
			p.made = append(p.made, folder)
		case !errors.Is(err, fs.ErrExist):
			return err
		}
	}
	return p.write(hidden(o.Path), o.Bytes)
}

// unstage undoes a replace that could not write everything.
func (p *publisher) unstage(staged []Output, written manifest) {
	for _, o := range staged {
		p.root.Remove(hidden(o.Path))
	}
	for _, folder := range slices.Backward(p.made) {
		p.root.Remove(folder)
	}
	if len(written) == 0 {
		p.root.Remove(manifestName)
		return
	}
	// On a full disk there may be no room even for this; the manifest of both
	// states, which is there, serves the next run as well.
	_ = p.writeManifest(written.text())
}

// dropHidden removes what a killed run left under hidden names. What it left of
// a file that the site no longer has goes with that.
func (p *publisher) dropHidden(written manifest) {
	p.root.Remove(hidden(manifestName))
	for path, digests := range written {
		if len(digests) > 1 {
			p.root.Remove(hidden(path))
		}
	}
}

// remove deletes a file if it is as the tool wrote it, and the folders which
// that leaves empty. It reports whether it deleted the file.
func (p *publisher) remove(name string, asWritten []digest) bool {
	p.root.Remove(hidden(name))
	removed := p.asWritten(name, asWritten) && p.root.Remove(name) == nil
	if p.is(name) {
		return false
	}
	for folder := range parents(name) {
		info, err := p.root.Lstat(folder)
		if err != nil || !info.IsDir() || p.root.Remove(folder) != nil { // it isn't empty
			break
		}
	}
	return removed
}

// asWritten reports whether a file has one of these digests.
func (p *publisher) asWritten(name string, digests []digest) bool {
	info, err := p.root.Lstat(name)
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	data, err := p.root.ReadFile(name)
	return err == nil && slices.Contains(digests, digestOf(data))
}

// is reports whether anything has this name.
func (p *publisher) is(name string) bool {
	_, err := p.root.Lstat(name)
	return !errors.Is(err, fs.ErrNotExist)
}

// hidden is the name under which a file is written before it is put in its
// place.
func hidden(name string) string {
	folder, base := path.Split(name)
	return folder + "." + base + ".new"
}

// create makes a new file with these bytes. It doesn't wait until they are on
// the disk: after a power cut the next run compares and writes again.
func (p *publisher) create(name string, data []byte) error {
	if err := p.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := p.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return cmp.Or(err, f.Close())
}

// of is a path below the folder, for messages.
func (p *publisher) of(name string) string { return path.Join(p.name, name) }
