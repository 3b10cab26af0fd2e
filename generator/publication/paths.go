package publication

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// An Output is one file of the published site.
type Output struct {
	Path  string // below the folder, with slashes: units/otter/index.html
	Bytes []byte
}

// Publishable checks the paths of sorted outputs: each is a plain relative
// path, none is there twice, and none is both a file and a folder.
func Publishable(outputs []Output) error {
	files := make(manifest, len(outputs))
	for _, o := range outputs {
		if err := Plain(o.Path); err != nil {
			return err
		}
		if _, twice := files[o.Path]; twice {
			return fmt.Errorf("two outputs have the path %s", o.Path)
		}
		files[o.Path] = nil
	}
	return unclashing(files)
}

// unclashing checks that no path is both a file and a folder.
func unclashing(files manifest) error {
	var clashes []string
	for at := range files {
		for folder := range parents(at) {
			if _, is := files[folder]; is {
				clashes = append(clashes, fmt.Sprintf("%s is an output, and the folder of the output %s", folder, at))
			}
		}
	}
	if len(clashes) > 0 {
		return errors.New(slices.Min(clashes))
	}
	return nil
}

var errPath = errors.New("this is not a path that the site may have")

// Plain refuses a path that is not one below a folder, that a command line or a
// list of paths could misread, or that is hidden: hidden names are the tool's
// own and the user's.
func Plain(path string) error {
	odd := func(r rune) bool { return r < ' ' || r == 0x7f || r == '\\' || r == ':' }
	if !fs.ValidPath(path) || path == "." || strings.ContainsFunc(path, odd) ||
		strings.HasPrefix(path, ".") || strings.Contains(path, "/.") {
		return fmt.Errorf("%q: %w", path, errPath)
	}
	return nil
}

// parents gives the folders above a path, the nearest first, without the root.
func parents(path string) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for i := strings.LastIndexByte(path, '/'); i > 0; i = strings.LastIndexByte(path[:i], '/') {
			if !yield(path[:i]) {
				return
			}
		}
	}
}
