package publication

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"syscall"

	"wattsheet/generator/disk"
)

// removeStale removes what the site no longer has, as far as it is as the tool wrote it. What
// is left stays in the manifest, so that the next run tries again, or says it again. The
// error says what is as it was written and can't be removed: it is still published.
func (p *Publisher) removeStale(sum *Summary) error {
	var first error
	at, stuck := "", 0
	var left []string // lines of the manifest
	for name := range staleOf(p.written, p.now) {
		sums := p.written.digests(name)
		removed, err := p.remove(name, sums)
		switch {
		case removed:
			sum.Removed++
			continue
		case err != nil:
			if stuck++; first == nil {
				first, at = err, name
			}
		case p.Is(name):
			sum.Kept = append(sum.Kept, name)
		default:
			continue
		}
		for _, sum := range sums {
			left = append(left, lineOf(name, sum))
		}
	}
	p.now = p.now.Add(sorted(left))
	if first == nil {
		return nil
	}
	others := ""
	if stuck > 1 {
		others = fmt.Sprintf(", nor can %d more", stuck-1)
	}
	return fmt.Errorf("%s is not part of the site any more and can't be removed: %w%s\nhint: all else is up to date, but this is still published; "+
		"allow its folder to be written to, then build again, or delete it", p.Of(at), disk.Cause(first), others)
}

// remove deletes a file if it is as the tool wrote it, and the folders which that leaves
// empty. It reports whether it deleted the file, and what kept it from finding out or doing
// so; somebody's change does neither.
func (p *Publisher) remove(name string, asWritten []Digest) (removed bool, err error) {
	p.root.Remove(Hidden(name))
	info, err := p.lstat(name)
	if err == nil {
		if !info.Mode().IsRegular() {
			return false, nil
		}
		data, err := p.ReadFile(name)
		if err != nil {
			return false, unlessChanged(err)
		}
		if !slices.Contains(asWritten, DigestOf(data)) {
			return false, nil
		}
		if err := p.unlink(name); err != nil {
			return false, err
		}
		removed = true
	} else if !disk.NowhereNow(err) {
		return false, unlessChanged(err)
	}
	for folder := range parents(name) {
		info, err := p.root.Lstat(folder)
		if err != nil || !info.IsDir() || p.root.Remove(folder) != nil { // it isn't empty
			break
		}
	}
	return removed, nil
}

// unlessChanged is an error that hides whether a file is as it was written; nil for what only
// somebody's change brings about, such as a link out of the folder.
func unlessChanged(err error) error {
	if errors.Is(err, fs.ErrPermission) {
		return err
	}
	return nil
}

// Is reports whether anything has this name.
func (p *Publisher) Is(name string) bool {
	_, err := p.lstat(name)
	return !disk.NowhereNow(err)
}

// replaceable finds, before anything is put in its place, a file that the system protects
// against being replaced though its folder may be written to: one that is immutable, or may
// only be appended to, or that is somebody else's in a folder with the sticky bit. To open it
// for writing says the first, and changes nothing.
func (p *Publisher) replaceable(name string) error {
	there := p.written.lists(name)
	if name == ManifestName {
		there = p.listed != ""
	}
	if !there {
		return nil
	}
	d, base := p.reach(name)
	defer p.back(d)
	f, err := d.root().OpenFile(base, os.O_WRONLY, 0)
	if err == nil {
		f.Close()
	} else if errors.Is(err, syscall.EPERM) { // a file that may only be read is replaced all the same
		return fmt.Errorf("%s can't be replaced: %w\nhint: it is protected against all changes (lsattr shows that, chattr -i ends it); what stood in %s still stands there, unchanged",
			p.Of(name), disk.Cause(err), p.Name)
	}
	folder, err := d.root().Stat(".")
	if err != nil || folder.Mode()&fs.ModeSticky == 0 || !p.others(folder) {
		return nil
	}
	if file, err := d.root().Lstat(base); err != nil || !p.others(file) {
		return nil
	}
	return fmt.Errorf("%s can't be replaced: it is another user's, and its folder has the sticky bit\nhint: build as the user who owns it, or take the bit away (chmod -t %s); what stood in %s still stands there, unchanged",
		p.Of(name), p.Of(path.Dir(name)), p.Name)
}
