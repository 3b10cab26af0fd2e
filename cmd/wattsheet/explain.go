package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

func explainCommand() *command {
	c := &command{
		name: "explain", does: "show how a figure or a verdict comes about", takes: "UNIT [WHAT] [--as-of TIME] [--root DIR]",
		about: `Prints the whole way from the readings to what is published, so that it can be
followed with a pocket calculator. WHAT is the id of
  a claim    which runs count and why, their readings with the instruments'
             specifications, the means, the corners of the conditions, the
             verdict and what would change it
  a run      each reading, the load, every figure with the numbers put into its
             formula and its uncertainty budget
  a spec     another stated figure: its limits, what was measured, the verdict
or one of
  ratios     power by price, volume and mass
  repeats    how repeats scatter, and their test against the method's pool
  thermals   temperatures and their rise
  lines      its load lines and its supply exponent, point by point
  load:3.2   what they and the runs say at 3.2 ohms
Without it, all of them are listed in short.

UNIT is the name of the unit's folder; check-unit is the bench's own amplifier.
Where a claim and a run have the same id, the claim is shown; run:ID is the run.
Numbers are written with six significant digits; the program computes with all.

What is held counts, so the page may say something else until it opens; --as-of
explains what is published at a time.`,
		flags:    []option{rootOption, {asOfOption.name, asOfOption.value, "explain what is published then, as in 2026-12-05T18:00:00Z"}},
		examples: []string{"wattsheet explain ottersprocket-20", "wattsheet explain ottersprocket-20 bold", "wattsheet explain ottersprocket-20 run:r1 --root demo", "wattsheet explain ottersprocket-20 load:3.2", "wattsheet explain check-unit"},
	}
	c.run = func(u *ui, args []string) int { return runExplain(u, c, args) }
	return c
}

func runExplain(u *ui, c *command, args []string) int {
	root, text := ".", ""
	words, status, ok := c.read(u, flagsFirst(c, args), map[string]*string{"root": &root, "as-of": &text}, 2)
	if !ok {
		return status
	}
	if len(words) == 0 {
		return u.misused(fmt.Errorf("explain needs a unit\nhint: wattsheet explain UNIT; UNIT is the name of its folder in content/units"))
	}
	asOf, err := parseAsOf(text, u.clock())
	if err != nil {
		return u.misused(err)
	}
	loaded, status, ok := u.siteAtWork(root, asOf)
	if !ok {
		return status
	}
	passages, ok := u.explained(loaded, words, text == "")
	if !ok {
		return exitFailed
	}
	for i, p := range append(passages, sheet.Symbols(passages)...) {
		if i > 0 {
			u.say("")
		}
		u.passage(p)
	}
	return exitDone
}

// siteOf loads a site. When that fails, ok is false and the status is the program's.
func (u *ui) siteOf(root string, asOf time.Time) (s *site.Site, status int, ok bool) {
	return u.siteUnless(root, asOf, func(*site.Site) bool { return false })
}

// siteAtWork is siteOf for what is done before anything is published, such as testing a
// sealed unit again: sealed results may be others by then, and that is only told.
func (u *ui) siteAtWork(root string, asOf time.Time) (s *site.Site, status int, ok bool) {
	return u.siteUnless(root, asOf, func(s *site.Site) bool {
		if s.Sheets == nil { // the files themselves have mistakes
			return false
		}
		u.note("wattsheet check says which, and gives the [[correction]] that tells of it", "sealed results are others now than when they were sealed")
		return true
	})
}

// siteUnless loads a site. Where it has errors it prints them, unless they may pass.
func (u *ui) siteUnless(root string, asOf time.Time, pass func(*site.Site) bool) (s *site.Site, status int, ok bool) {
	s, problems, err := loadSite(u, root, asOf)
	switch {
	case err != nil:
		return nil, u.failed(err), false
	case problems.Errors() && !pass(s):
		u.problems(problems)
		u.note("", "%s", tally(problems))
		return nil, exitFailed, false
	}
	return s, exitDone, true
}

// checkUnitWord calls for the bench's check unit, where no unit has that name.
const checkUnitWord = "check-unit"

// explained is the derivation that the words after explain call for.
// The whole sheet is explained, with what is held, or the published one.
func (u *ui) explained(loaded *site.Site, words []string, whole bool) (passages []sheet.Passage, ok bool) {
	slug, sheets := words[0], loaded.Sheets
	if whole {
		sheets = loaded.Whole()
	}
	s, err := sheetOf(sheets, slug)
	if n := loaded.StillHeld(slug); err == nil && n > 0 && whole {
		u.note("--as-of TIME explains what is published then", "%s held in %s; here they count all the same", are(n), slug)
	}
	switch {
	case err == nil && len(words) == 2:
		return u.derived(s, words[1])
	case err == nil:
		return s.DeriveClaims(), true
	}
	bench := sheet.DeriveCheckUnit(loaded.Content)
	switch {
	case slug == checkUnitWord && len(words) == 2:
		u.error(fmt.Errorf("%s is explained as a whole\nhint: wattsheet explain %s", checkUnitWord, checkUnitWord))
		return nil, false
	case slug == checkUnitWord && bench != nil:
		return bench, true
	case slug == checkUnitWord:
		u.error(fmt.Errorf("the bench has no check unit\nhint: bench.toml takes one as [check_unit], with a reading for each test day"))
		return nil, false
	}
	u.error(err)
	return nil, false
}

// sheetOf is the sheet of one unit, or the error that there is none.
func sheetOf(sheets []*sheet.Sheet, slug string) (*sheet.Sheet, error) {
	var slugs []string
	for _, s := range sheets {
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
func loadSite(u *ui, root string, asOf time.Time) (s *site.Site, problems record.Problems, err error) {
	u.during("reading and evaluating", func() { s, problems, err = site.Inspect(root, asOf) })
	return s, problems, err
}
