package main

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/sheet"
)

// A subject is a kind of thing that a unit's sheet can explain.
type subject struct {
	kind string // stands before the colon of claim:bold
	// ids are those of the kind; nil where the kind is explained as a whole, by
	// its own name.
	ids    func(*sheet.Sheet) []string
	derive func(s *sheet.Sheet, id string) []sheet.Passage // nil where there is none
}

// subjects are all kinds. Where two have the same id, the first counts.
var subjects = []subject{
	{"claim", claimIDs, func(s *sheet.Sheet, id string) []sheet.Passage {
		return s.DeriveClaim(s.Claims[slices.Index(claimIDs(s), id)])
	}},
	{"run", runIDs, func(s *sheet.Sheet, id string) []sheet.Passage {
		return s.DeriveRun(s.Runs[slices.Index(runIDs(s), id)])
	}},
	{"spec", specIDs, func(s *sheet.Sheet, id string) []sheet.Passage {
		return s.DeriveSpec(s.Specs[slices.Index(specIDs(s), id)])
	}},
	{"ratios", nil, func(s *sheet.Sheet, _ string) []sheet.Passage { return s.DeriveRatios() }},
	{"repeats", nil, func(s *sheet.Sheet, _ string) []sheet.Passage { return s.DeriveRepeats() }},
	{"thermals", nil, func(s *sheet.Sheet, _ string) []sheet.Passage { return s.DeriveThermals() }},
}

func specIDs(s *sheet.Sheet) (ids []string) {
	for _, sp := range s.Specs {
		ids = append(ids, sp.ID)
	}
	return ids
}

func claimIDs(s *sheet.Sheet) (ids []string) {
	for _, c := range s.Claims {
		ids = append(ids, c.ID)
	}
	return ids
}

func runIDs(s *sheet.Sheet) (ids []string) {
	for _, r := range s.Runs {
		ids = append(ids, r.ID)
	}
	return ids
}

// called is what a kind has under a word, which may begin with the kind and a
// colon; ok is false where it has nothing of that name.
func (k subject) called(s *sheet.Sheet, word string) (passages []sheet.Passage, ok bool) {
	id, only := strings.CutPrefix(word, k.kind+":")
	switch {
	case k.ids == nil && (word == k.kind || only && id == ""):
		passages = k.derive(s, "")
	case k.ids != nil && slices.Contains(k.ids(s), id):
		passages = k.derive(s, id)
	}
	return passages, len(passages) > 0
}

// derived is the derivation of what a word names.
func (u *ui) derived(s *sheet.Sheet, word string) (passages []sheet.Passage, ok bool) {
	var first *subject
	var others, known []string
	for i := range subjects {
		k := &subjects[i]
		if k.ids != nil {
			known = append(known, k.ids(s)...)
		} else if len(k.derive(s, "")) > 0 {
			known = append(known, k.kind)
		}
		switch p, found := k.called(s, word); {
		case found && first == nil:
			first, passages = k, p
		case found:
			others = append(others, k.kind)
		}
	}
	if first == nil {
		if passages, ok, err := between(s, word); ok || err != nil {
			if err != nil {
				u.error(err)
			}
			return passages, ok
		}
		known = append(known, "lines")
		u.error(fmt.Errorf("%s has no claim, run or other figure %q\nhint: %s", s.Slug, word, didYouMean(word, known, "it has ")))
		return nil, false
	}
	if len(others) > 0 {
		o := others[0]
		u.note(fmt.Sprintf("the %s is %s:%s", o, o, word), "%s is a %s and a %s; this is the %s", word, first.kind, o, first.kind)
	}
	return passages, true
}
