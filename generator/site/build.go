package site

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/record"
)

// Outputs makes every file of the published site, sorted by path. The problems
// are mistakes in notes and prose that are only seen when they are rendered; if
// one of them is an error, there are no outputs. An error is a fault of the
// program or of its theme, not of the content, or says that the content changed
// since it was loaded.
func (s *Site) Outputs() ([]Output, record.Problems, error) {
	return s.outputs(defaultTheme())
}

func (s *Site) outputs(t theme) ([]Output, record.Problems, error) {
	outputs, paths, problems, err := t.assets()
	if err != nil {
		return nil, nil, err
	}
	problems = append(problems, s.unfair(s.behind.asOf.UTC().Format(time.DateOnly))...)
	pages, pageProblems := s.renderPages(paths)
	data, err := s.data()
	if err != nil {
		return nil, nil, err
	}
	problems = append(problems, pageProblems...)
	problems.Sort()
	if problems.Errors() {
		return nil, problems, nil
	}
	pictures, err := s.pictureOutputs()
	if err != nil {
		return nil, problems, err
	}
	outputs = slices.Concat(outputs, pages, data, s.sealedOutputs(), pictures)
	slices.SortStableFunc(outputs, func(a, b Output) int { return cmp.Compare(a.Path, b.Path) })
	if err := publishable(outputs); err != nil {
		return nil, problems, err
	}
	return outputs, problems, nil
}

// publishable checks the paths of sorted outputs: each is a plain relative
// path, none is there twice, and none is both a file and a folder.
func publishable(outputs []Output) error {
	files := make(map[string]bool, len(outputs))
	for _, o := range outputs {
		if err := plain(o.Path); err != nil {
			return err
		}
		if files[o.Path] {
			return fmt.Errorf("two outputs have the path %s", o.Path)
		}
		files[o.Path] = true
	}
	for _, o := range outputs {
		for folder := range parents(o.Path) {
			if files[folder] {
				return fmt.Errorf("%s is an output, and the folder of the output %s", folder, o.Path)
			}
		}
	}
	return nil
}

var errPath = errors.New("this is not a path that the site may have")

// plain refuses a path that is not one below a folder, that a command line or a
// list of paths could misread, or that is hidden: hidden names are the tool's
// own and the user's.
func plain(path string) error {
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
