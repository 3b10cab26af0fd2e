package themes

import (
	"errors"
	"io/fs"
	"maps"
	"slices"
)

// Over returns a theme in which the files of one stand in place of those of another that
// have the same names.
func Over(own, base fs.FS) fs.FS { return over{own, base} }

type over struct{ own, base fs.FS }

// Open opens the theme's own file, or else that of the base. A folder shows the names of
// both.
func (o over) Open(name string) (fs.File, error) {
	f, err := o.own.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return o.base.Open(name)
	}
	return f, err
}

// ReadDir lists the names of both, sorted.
func (o over) ReadDir(name string) ([]fs.DirEntry, error) {
	own, err := fs.ReadDir(o.own, name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	base, baseErr := fs.ReadDir(o.base, name)
	if err != nil && baseErr != nil {
		return nil, baseErr
	}
	all := map[string]fs.DirEntry{}
	for _, e := range append(base, own...) {
		all[e.Name()] = e
	}
	out := make([]fs.DirEntry, 0, len(all))
	for _, at := range slices.Sorted(maps.Keys(all)) {
		out = append(out, all[at])
	}
	return out, nil
}
