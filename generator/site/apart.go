package site

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/theme"
)

// cachesFolder is where caches and kits are, beside content.
const cachesFolder = ".wattsheet"

// apart refuses an output folder that is a site's content folder, contains
// it, or lies inside it, or inside what lies beside it: caches, which are cleared,
// and themes. An empty name of a content folder is apart from all.
// Folders are compared as the disk knows them, so that neither a symbolic link
// nor the case of a name hides that two are one.
func apart(folder, dir string) error {
	if folder == "" {
		return nil
	}
	content, err := os.Stat(folder)
	if err != nil {
		return fmt.Errorf("%s can't be looked at: %w", contentFolder, disk.Cause(err))
	}
	out, err := resolved(dir)
	if err != nil {
		return fmt.Errorf("the folder %s can't be looked at: %w\nhint: choose another folder with --out", filepath.ToSlash(dir), disk.Cause(err))
	}
	name := filepath.ToSlash(dir)
	if above(out, content) {
		return fmt.Errorf("the site can't be written to %s, which is in the content folder\nhint: choose another folder with --out", name)
	}
	for _, own := range []string{cachesFolder, theme.TopFolder} {
		at := filepath.Join(filepath.Dir(folder), own)
		info, err := os.Stat(at)
		there := err == nil && above(out, info)
		if err != nil { // one that isn't there yet is the site's as well
			beside, err := resolved(at)
			there = err == nil && (out == beside || strings.HasPrefix(out, beside+string(filepath.Separator)))
		}
		if there {
			return fmt.Errorf("the site can't be written to %s, which is in the folder %s of the site itself\nhint: choose another folder with --out", name, own)
		}
	}
	if info, err := os.Stat(out); err == nil && above(folder, info) {
		return fmt.Errorf("the site can't be written to %s, which has the content folder in it\nhint: choose another folder with --out, such as %s", name, filepath.ToSlash(filepath.Join(dir, "public")))
	}
	return nil
}

// above reports whether a folder is the path or one of the folders above it.
func above(path string, folder fs.FileInfo) bool {
	for {
		if info, err := os.Stat(path); err == nil && os.SameFile(info, folder) {
			return true
		}
		up := filepath.Dir(path)
		if up == path {
			return false
		}
		path = up
	}
}

// resolved is a path made absolute and free of symbolic links, as far as it
// exists.
func resolved(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	rest := ""
	for {
		real, err := filepath.EvalSymlinks(path)
		if err == nil {
			return filepath.Join(real, rest), nil
		}
		up := filepath.Dir(path)
		if !errors.Is(err, fs.ErrNotExist) || up == path {
			return "", err
		}
		rest = filepath.Join(filepath.Base(path), rest)
		path = up
	}
}
