package publication

import (
	"errors"
	"fmt"
	"io/fs"
	"sort"
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
	for i, o := range outputs {
		if err := Plain(o.Path); err != nil {
			return err
		}
		if i > 0 && outputs[i-1].Path == o.Path {
			return fmt.Errorf("two outputs have the path %s", o.Path)
		}
	}
	return unclashing(len(outputs), func(i int) string { return outputs[i].Path })
}

// unclashing checks that none of n sorted paths is both a file and a folder.
func unclashing(n int, path func(i int) string) error {
	last := ""
	for i := range n {
		for folder := range parents(path(i)) {
			if strings.HasPrefix(last, folder+"/") {
				break // it was looked for, as were those above it
			}
			if _, is := sort.Find(n, func(i int) int { return strings.Compare(folder, path(i)) }); is {
				return fmt.Errorf("%s is an output, and the folder of the output %s", folder, path(i))
			}
		}
		last = path(i)
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
