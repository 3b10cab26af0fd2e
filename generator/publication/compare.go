package publication

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"wattsheet/generator/disk"
)

// checkFolders finds what stands where an output needs a folder. It is the same for all outputs that need it: some are put
// at once, and each alone would say what it meets of it.
func (p *Publisher) checkFolders(at string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.blocked != nil {
		return p.blocked
	}
	for folder := range parents(at) {
		if p.folders[folder] != 0 {
			break
		}
		p.folders[strings.Clone(folder)] = absent // without the rest of the path
		info, err := p.lstat(folder)
		switch {
		case err == nil && info.IsDir():
			p.folders[folder] = there
		case errors.Is(err, fs.ErrNotExist):
		case err == nil:
			p.blocked = fmt.Errorf("%s is %s where the site needs a folder\nhint: move it away, then build again", p.Of(folder), whatIs(info))
			return p.blocked
		case p.blocked == nil: // as a rule for one above it
			p.blocked = fmt.Errorf("%s can't be looked at: %w\n%s", p.Of(folder), disk.Cause(err), readHint)
		}
	}
	return p.blocked
}

// differs reports whether an output has to be written.
func (p *Publisher) differs(o Output) (bool, error) {
	p.mu.Lock()
	standing := p.folders[path.Dir(o.Path)]
	p.mu.Unlock()
	if standing == absent || standing == ours {
		return true, nil
	}
	info, err := p.lstat(o.Path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return true, nil
	case err != nil:
		return false, fmt.Errorf("%s can't be looked at: %w\n%s", p.Of(o.Path), disk.Cause(err), readHint)
	case !info.Mode().IsRegular():
		return false, fmt.Errorf("%s is %s where the site needs a file\nhint: move it away, then build again", p.Of(o.Path), whatIs(info))
	}
	if info.Size() == int64(len(o.Bytes)) {
		old, err := p.ReadFile(o.Path)
		if err != nil {
			return false, fmt.Errorf("%s can't be read: %w\n%s", p.Of(o.Path), disk.Cause(err), readHint)
		}
		if bytes.Equal(old, o.Bytes) {
			p.stood(o.Path, info)
			return false, nil
		}
	}
	if !p.written.lists(o.Path) {
		return false, fmt.Errorf("%s is there already, and wattsheet did not write it\nhint: move it away, or choose another folder with --out", p.Of(o.Path))
	}
	return true, nil
}

// readHint is what to do about what can't be read in the folder.
const readHint = "hint: allow it to be read, or move it away, then build again; nothing was changed"

func whatIs(info fs.FileInfo) string {
	switch {
	case info.Mode()&fs.ModeSymlink != 0:
		return "a symbolic link"
	case info.IsDir():
		return "a folder"
	case info.Mode().IsRegular():
		return "a file"
	}
	return "neither a file nor a folder"
}
