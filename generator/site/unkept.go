package site

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"wattsheet/generator/disk"
)

// Unkept says why what is made can't be kept for later runs, if it can't. Nothing else tells of that: the results are the
// same, but pictures are scaled, captures read and units evaluated again each time. Its text is one for people.
func (d *Draft) Unkept() error {
	if d.untouched {
		return nil
	}
	root, err := os.OpenRoot(d.root)
	if err != nil {
		return nil // there is more to tell of then
	}
	defer root.Close()
	for _, folder := range []string{memoryFolder, rowsFolder, stampsFolder, cacheFolder, capturesFolder} {
		if at, err := tryWriting(root, folder); err != nil {
			hint := "allow " + path.Join(filepath.ToSlash(d.root), at) + " to be written to"
			if at != "." { // what has content in it is nothing to delete
				hint += ", or delete it: it only has what can be made again"
			}
			return fmt.Errorf("nothing can be kept in %s: %w; the next run will make it again, which takes longer\nhint: %s",
				path.Join(filepath.ToSlash(d.root), folder), disk.Cause(err), hint)
		}
	}
	return nil
}

// tryWriting writes a file into a folder, or into the one in which it would be made, and takes it away again. It gives
// the folder that it tried.
func tryWriting(root *os.Root, folder string) (at string, err error) {
	for at = folder; ; at = path.Dir(at) {
		info, err := root.Stat(at)
		if err == nil && !info.IsDir() {
			return at, errors.New("it is no folder")
		}
		if err == nil {
			break
		}
		if !disk.NowhereNow(err) || at == "." {
			return at, err
		}
	}
	name := path.Join(at, fmt.Sprintf("try.%d-%d.new", os.Getpid(), cacheWrites.Add(1)))
	err = root.WriteFile(name, []byte("1"), 0o644)
	if gone := root.Remove(name); err == nil && !errors.Is(gone, fs.ErrNotExist) {
		err = gone
	}
	return at, err
}
