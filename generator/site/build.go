package site

import (
	"cmp"
	"slices"
	"time"

	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
)

// Outputs makes every file of the published site, sorted by path. The problems
// are mistakes in notes and prose that are only seen when they are rendered; if
// one of them is an error, there are no outputs. An error is a fault of the
// program or of its theme, not of the content, or says that the content changed
// since it was loaded.
func (s *Site) Outputs() ([]Output, record.Problems, error) {
	return s.outputs(theme.Default())
}

func (s *Site) outputs(t theme.Theme) ([]Output, record.Problems, error) {
	t, missing := t.Of(s.root, s.Content.Site)
	shared, paths, problems, err := t.Assets()
	if err != nil {
		return nil, nil, err
	}
	problems = append(problems, missing...)
	problems = append(problems, s.unfair(s.behind.asOf.UTC().Format(time.DateOnly))...)
	outputs, more, err := s.rendered(t, paths)
	problems = append(problems, more...)
	problems.Sort()
	if err != nil || problems.Errors() {
		return nil, problems, err
	}
	s.clearPictures()
	outputs = append(outputs, shared...)
	slices.SortStableFunc(outputs, func(a, b Output) int { return cmp.Compare(a.Path, b.Path) })
	if err := publication.Publishable(outputs); err != nil {
		return nil, problems, err
	}
	return outputs, problems, nil
}

// rendered makes all outputs but those that a theme brings.
func (s *Site) rendered(from theme.Theme, assets map[string]string) ([]Output, record.Problems, error) {
	b, problems := s.binder(from, assets)
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
	problems = slices.Concat(problems, slices.Concat(found...), s.unopened(), s.opensSealed(), s.remarked(), s.misspoken())
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
