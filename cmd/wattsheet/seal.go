package main

import (
	"errors"
	"fmt"
	"path"
	"strings"
	"time"

	"wattsheet/generator/site"
)

func sealCommand() *command {
	c := &command{
		name: "seal", does: "fix the published results of a unit in its ledger", takes: "UNIT [--note TEXT] [--date TIME] [--root DIR]",
		about: `Writes the results of a unit, as they are published now, into its ledger.toml:
each figure with its uncertainty and formula, each verdict, and digests of what
they rest on. The sheet.json of that version is kept beside it, in sealed.
Entries form a chain, so that an edited one is noticed.

From then on nothing of it changes silently. When a sealed result is another, a
build fails, says what it was, is now and why, and prints the [[correction]]
which, filled in and put into record.toml, lets it pass. Seal the unit again
when the correction is published: it then belongs to the new entry.

UNIT is the name of the unit's folder. New results may be added at any time;
they are sealed by the next entry. A further run that counts for a sealed claim
changes that: a correction of the kind retest tells it. When the last entry has
it all, nothing is written.`,
		flags: []option{
			rootOption,
			{"note", "TEXT", "a note kept with the entry, on one line"},
			{"date", "TIME", "when it is sealed, as 2026-10-09T14:05:00+02:00; now if not given"},
		},
		examples: []string{"wattsheet seal ottersprocket-20", "wattsheet seal ottersprocket-20 --note published --root demo"},
	}
	c.run = func(u *ui, args []string) int { return runSeal(u, c, args) }
	return c
}

func runSeal(u *ui, c *command, args []string) int {
	root, note, date := ".", "", u.clock().Format(time.RFC3339)
	words, status, ok := c.read(u, args, map[string]*string{"root": &root, "note": &note, "date": &date}, 1)
	if !ok {
		return status
	}
	if len(words) == 0 {
		return u.misused(fmt.Errorf("seal needs a unit\nhint: wattsheet seal UNIT; UNIT is the name of its folder in content/units"))
	}
	asOf, err := time.Parse(time.RFC3339, date)
	if err != nil {
		return u.misused(fmt.Errorf("--date is %q, which is no date and time\nhint: write it as 2026-10-09T14:05:00+02:00", date))
	}
	if strings.ContainsAny(note, "\r\n") {
		return u.misused(fmt.Errorf("--note has more than one line\nhint: write it on one line"))
	}
	m, err := makeSite(u, root, asOf, site.Load)
	if err != nil {
		return u.failed(err)
	}
	u.problems(m.problems)
	if m.problems.Errors() {
		sayCorrections(u, m.site.Uncovered())
		u.note("", "%s; nothing was sealed", tally(m.problems))
		return exitFailed
	}
	sealing, err := m.site.Seal(words[0], date, note)
	if errors.Is(err, site.ErrNoUnit) {
		var slugs []string
		for _, s := range m.site.Sheets {
			slugs = append(slugs, s.Slug)
		}
		return u.failed(fmt.Errorf("there is no unit %q\nhint: %s", words[0], didYouMean(words[0], slugs, "the units are ")))
	}
	if err != nil {
		return u.failed(err)
	}
	if sealing.Unchanged {
		u.say("%s: version %d has it all; nothing was written", sealing.Slug, sealing.Number)
		return exitDone
	}
	if asOf.After(u.clock()) {
		u.note("", "the date %s is yet to come; no entry can follow with an earlier one", date)
	}
	u.say("%s: sealed as version %d: %s, %s, %s", sealing.Slug, sealing.Number,
		count(sealing.Figures, "figure"), count(sealing.Verdicts, "verdict"), count(sealing.Corrections, "correction"))
	for _, name := range sealing.Files {
		u.say("  %s", path.Join(root, name))
	}
	sayFindings(u, m.site, sealing.Slug)
	return exitDone
}

// sayFindings says that what was sealed has findings, which are better looked at before others
// rely on it.
func sayFindings(u *ui, s *site.Site, slug string) {
	for _, of := range s.Sheets {
		if n := len(of.Findings); of.Slug == slug && n > 0 {
			u.say("%s; wattsheet check shows them", count(n, "finding"))
		}
	}
}

// sayCorrections prints, for each unit of which a sealed result changed, the
// [[correction]] that would let it pass.
func sayCorrections(u *ui, uncovered []site.Uncovered) {
	for _, of := range uncovered {
		u.note("", "%s: put back what was sealed, or add this to content/units/%s/record.toml and fill it in:", of.Slug, of.Slug)
		for _, line := range of.Table(u.clock().Format(time.DateOnly)) {
			u.usage(harmless(line) + "\n")
		}
	}
}

// sayPending prints which correction is published, but belongs to no entry yet: until
// then, what it covers may change again.
func sayPending(u *ui, slug string, changes []string) {
	u.say("%s: not sealed yet: the correction of %s", slug, strings.Join(changes, ", "))
}
