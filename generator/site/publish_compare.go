package site

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
)

// changed gives the outputs that are not in the folder byte for byte. Whatever
// stands in the way of writing them is found here, before anything is written.
func (p *publisher) changed(outputs []Output, written manifest) ([]Output, error) {
	if err := p.checkFolders(outputs); err != nil {
		return nil, err
	}
	differs := make([]bool, len(outputs))
	problems := make([]error, len(outputs))
	each(len(outputs), func(i int) {
		differs[i], problems[i] = p.differs(outputs[i], written)
	})
	var changed []Output
	for i, o := range outputs {
		if problems[i] != nil {
			return nil, problems[i]
		}
		if differs[i] {
			changed = append(changed, o)
		}
	}
	return changed, nil
}

// checkFolders finds what stands where the outputs need a folder.
func (p *publisher) checkFolders(outputs []Output) error {
	seen := map[string]bool{}
	for _, o := range outputs {
		for folder := range parents(o.Path) {
			if seen[folder] {
				break
			}
			seen[folder] = true
			info, err := p.root.Lstat(folder)
			switch {
			case err == nil && info.IsDir(), errors.Is(err, fs.ErrNotExist):
			case err == nil:
				return fmt.Errorf("%s is %s where the site needs a folder\nhint: move it away, then build again", p.of(folder), whatIs(info))
			default:
				return fmt.Errorf("%s can't be looked at: %w", p.of(folder), cause(err))
			}
		}
	}
	return nil
}

// differs reports whether an output has to be written.
func (p *publisher) differs(o Output, written manifest) (bool, error) {
	info, err := p.root.Lstat(o.Path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return true, nil
	case err != nil:
		return false, fmt.Errorf("%s can't be looked at: %w", p.of(o.Path), cause(err))
	case !info.Mode().IsRegular():
		return false, fmt.Errorf("%s is %s where the site needs a file\nhint: move it away, then build again", p.of(o.Path), whatIs(info))
	}
	if info.Size() == int64(len(o.Bytes)) {
		old, err := p.root.ReadFile(o.Path)
		if err != nil {
			return false, fmt.Errorf("%s can't be read: %w", p.of(o.Path), cause(err))
		}
		if bytes.Equal(old, o.Bytes) {
			return false, nil
		}
	}
	if _, ours := written[o.Path]; !ours {
		return false, fmt.Errorf("%s is there already, and wattsheet did not write it\nhint: move it away, or choose another folder with --out", p.of(o.Path))
	}
	return true, nil
}

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
