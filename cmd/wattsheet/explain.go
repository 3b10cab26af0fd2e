package main

import (
	"fmt"
	"strconv"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

func explainCommand() *command {
	c := &command{
		name: "explain", does: "show how a figure or a verdict comes about", takes: "UNIT [CLAIM|RUN|lines|load:OHMS] [--root DIR]",
		about: `Prints the whole way from the readings to what is published, so that it can be
followed with a pocket calculator: for a run each reading with its instrument's
specification, the load, every figure with the numbers put into its formula and
its uncertainty budget; for a claim which runs count and why, the means, the
corners of the conditions, the verdict and what would change it. Without a claim
or run it prints all of them in short. The word lines gives the unit's load
lines and its supply exponent, load:3.2 what they and the runs say at 3.2 ohms.

UNIT is the name of the unit's folder. Where a claim and a run have the same id,
the claim is shown; run:ID is the run. Numbers are written with six significant
digits; the program computes with all.`,
		flags:    []option{rootOption},
		examples: []string{"wattsheet explain ottersprocket-20", "wattsheet explain ottersprocket-20 bold", "wattsheet explain ottersprocket-20 run:r1 --root demo", "wattsheet explain ottersprocket-20 load:3.2"},
	}
	c.run = func(u *ui, args []string) int { return runExplain(u, c, args) }
	return c
}

func runExplain(u *ui, c *command, args []string) int {
	root := "."
	words, status, ok := c.read(u, flagsFirst(c, args), map[string]*string{"root": &root}, 2)
	if !ok {
		return status
	}
	if len(words) == 0 {
		return u.misused(fmt.Errorf("explain needs a unit\nhint: wattsheet explain UNIT; UNIT is the name of its folder in content/units"))
	}
	s, status, ok := u.sheetCalled(root, words[0])
	if !ok {
		return status
	}
	passages := s.DeriveClaims()
	if len(words) == 2 {
		if passages, ok = u.derived(s, words[1]); !ok {
			return exitFailed
		}
	}
	for i, p := range passages {
		if i > 0 {
			u.say("")
		}
		u.passage(p)
	}
	return exitDone
}

// sheetCalled loads a site and gives one unit's sheet. When there is none, ok is
// false and the status is the program's.
func (u *ui) sheetCalled(root, slug string) (s *sheet.Sheet, status int, ok bool) {
	loaded, problems, err := loadSite(u, root)
	if err != nil {
		return nil, u.failed(err), false
	}
	if problems.Errors() {
		u.problems(problems)
		u.note("", "%s", tally(problems))
		return nil, exitFailed, false
	}
	if s, err = sheetOf(loaded, slug); err != nil {
		return nil, u.failed(err), false
	}
	return s, exitDone, true
}

// sheetOf is the sheet of one unit, or the error that there is none.
func sheetOf(s *site.Site, slug string) (*sheet.Sheet, error) {
	var slugs []string
	for _, s := range s.Sheets {
		if s.Slug == slug {
			return s, nil
		}
		slugs = append(slugs, s.Slug)
	}
	return nil, fmt.Errorf("there is no unit %q\nhint: %s", slug, didYouMean(slug, slugs, "the units are "))
}

// didYouMean is the hint for an unknown name: the nearest known one, or all.
func didYouMean(typed string, known []string, all string) string {
	if near := nearest(typed, known); near != "" {
		return "did you mean " + near + "?"
	}
	if len(known) == 0 {
		return "there is none"
	}
	const most = 20
	if len(known) > most {
		known = append(known[:most:most], "…")
	}
	return all + strings.Join(known, ", ")
}

// between is the derivation of what lies between a unit's points: its lines, or a
// load. No claim or run has a colon in its id; one that is called lines goes before,
// and load:lines is always the lines. ok is false when it is neither, or an error.
func between(s *sheet.Sheet, word string) (passages []sheet.Passage, ok bool, err error) {
	text, load := strings.CutPrefix(word, "load:")
	if text == "lines" {
		return s.DeriveLines(), true, nil
	}
	const most = 1e6
	ohm, err := strconv.ParseFloat(strings.TrimSuffix(text, "ohm"), 64)
	valid := err == nil && ohm > 0 && ohm <= most
	switch {
	case load && valid:
		return s.DeriveAtLoad(ohm), true, nil
	case load:
		return nil, false, fmt.Errorf("%q is not a load\nhint: ohms in plain digits with a decimal point, as in load:3.2", word)
	case valid:
		return nil, false, fmt.Errorf("%s has no claim or run %q\nhint: a load is written load:%s", s.Slug, word, strings.TrimSuffix(text, "ohm"))
	}
	return nil, false, nil
}

// loadSite loads and evaluates a site.
func loadSite(u *ui, root string) (s *site.Site, problems record.Problems, err error) {
	u.during("reading and evaluating", func() { s, problems, err = site.Inspect(root) })
	return s, problems, err
}
