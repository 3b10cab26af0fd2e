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
	"wattsheet/generator/sheet"
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
	t, missing := t.of(s.root, s.Content.Site)
	shared, paths, problems, err := t.assets()
	if err != nil {
		return nil, nil, err
	}
	problems = append(problems, missing...)
	problems = append(problems, s.unfair(s.behind.asOf.UTC().Format(time.DateOnly))...)
	icon := ""
	if data, err := fs.ReadFile(t.files, iconFile); err == nil {
		icon = iconFile
		shared = append(shared, Output{Path: icon, Bytes: data})
	}
	outputs, more, err := s.rendered(t, paths, icon)
	problems = append(problems, more...)
	problems.Sort()
	if err != nil || problems.Errors() {
		return nil, problems, err
	}
	s.clearPictures()
	outputs = append(outputs, shared...)
	slices.SortStableFunc(outputs, func(a, b Output) int { return cmp.Compare(a.Path, b.Path) })
	if err := publishable(outputs); err != nil {
		return nil, problems, err
	}
	return outputs, problems, nil
}

// iconFile is the icon of a theme, and its path in the published site.
const iconFile = "icon.svg"

// rendered makes all outputs but those that a theme brings.
func (s *Site) rendered(from theme, assets map[string]string, icon string) ([]Output, record.Problems, error) {
	b, problems := s.binder(from, assets, icon)
	if b == nil {
		return nil, problems, nil
	}
	units := make([][]Output, len(s.Sheets))
	found := make([]record.Problems, len(s.Sheets))
	errs := make([]error, len(s.Sheets))
	briefs := make([]*brief, len(s.Sheets))
	each(len(s.Sheets), func(i int) {
		briefs[i] = briefOf(s.Sheets[i], s.Ledger(s.Sheets[i].Slug))
		one := *b
		one.notes = b.notesOf(s.Sheets[i])
		found[i] = one.notes.problems
		for _, k := range unitKinds {
			outputs, problems, err := one.unitOutputs(k, s.Sheets[i])
			units[i], found[i] = append(units[i], outputs...), append(found[i], problems...)
			errs[i] = cmp.Or(errs[i], err)
		}
	})
	problems = slices.Concat(problems, slices.Concat(found...), s.unopened(), s.remarked(), s.misspoken())
	outputs := slices.Concat(units...)
	b.tables = s.tableMaker()
	sides := make([][]side, len(briefs))
	each(len(briefs), func(i int) { sides[i] = sidesOf(briefs[i]) })
	for _, g := range listGroups(briefs, sides) {
		lists, more := b.listOutputs(g, s.sheetAt)
		outputs, problems = append(outputs, lists...), append(problems, more...)
	}
	return outputs, problems, cmp.Or(errs...)
}

// sheetAt is the sheet of a number; nil for −1.
func (s *Site) sheetAt(n int) *sheet.Sheet {
	if n < 0 {
		return nil
	}
	return s.Sheets[n]
}

// beside are the sheets among which a unit's earlier and later models are.
func (s *Site) beside() []*sheet.Sheet {
	if s.neighbours != nil {
		return s.neighbours
	}
	return s.Sheets
}

// publishable checks the paths of sorted outputs: each is a plain relative
// path, none is there twice, and none is both a file and a folder.
func publishable(outputs []Output) error {
	files := make(manifest, len(outputs))
	for _, o := range outputs {
		if err := plain(o.Path); err != nil {
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
