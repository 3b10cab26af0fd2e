package main

import (
	"fmt"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
	"wattsheet/generator/verdict"
)

func checkCommand() *command {
	c := &command{
		name: "check", does: "find mistakes and oddities, write nothing", takes: "[--strict] [--json] [--root DIR]",
		about: `Does everything that build does short of writing: it prints the mistakes in
the content and, for each unit, its findings: what is odd in a record and
better looked at before publication, with the usual cause. A finding is likely a
mistake, or worth a look. It may be right all the same, so findings and warnings
don't change the exit status, which mistakes make 1; with --strict they do.

What is held is looked at like all else, and a published verdict that would be
another with it is named. It also tells which results of a sealed unit are not
sealed yet, what of a video's kit doesn't agree with the record any more, and
which links of notes and prose lead to no page, or to no place of it, and which
instruments state no calibration.

With --json it prints one document for editors and other programs: version (1),
counts, and messages, each with file (relative to the root), line and column
(from 1, in characters; line 0 is the file as a whole), length, severity (error,
warning, likely-mistake or worth-a-look), id (of a finding), message, hint (of a
finding its usual cause) and unit (its folder).`,
		flags: []option{rootOption,
			{"strict", "", "exit with 1 also for findings and warnings"},
			{"json", "", "print one JSON document instead"}},
		examples: []string{"wattsheet check", "wattsheet check --root demo", "wattsheet check --json"},
	}
	c.run = func(u *ui, args []string) int { return runCheck(u, c, args) }
	return c
}

func runCheck(u *ui, c *command, args []string) int {
	start := u.clock()
	root, strict, asJSON := ".", "", ""
	if _, status, ok := c.read(u, args, map[string]*string{"root": &root, "strict": &strict, "json": &asJSON}, 0); !ok {
		return status
	}
	var found checked
	var err error
	collectLess(root)
	kits, odd := keptKits(root, "")
	u.during("looking at the content", func() { found.Checked, err = site.CheckAlso(root, start, alsoOf(kits)) })
	if err != nil {
		return u.failed(err)
	}
	found.Problems = append(found.Problems, odd...)
	if !found.Problems.Errors() {
		found.Problems = append(found.Problems, goneUnits(kits, found.Units)...)
	}
	found.Problems.Sort()
	if asJSON != "" {
		if err := u.json(found.report()); err != nil {
			return u.failed(err)
		}
		return found.judged(strict != "")
	}
	u.problems(found.Problems)
	for _, g := range found.groups() {
		sayGroup(u, g)
	}
	if found.Problems.Errors() {
		sayCorrections(u, found.Uncovered)
		u.note("", "%s", tally(found.Problems))
		return exitFailed
	}
	found.sayUnsealed(u)
	found.summarise(u)
	u.say("%s", found.counted())
	sayHeld(u, found.Held)
	found.sayOtherwise(u)
	if len(found.Rough) > 0 {
		u.lines("", "rough figures still stand in bench.toml, and every uncertainty comes from them; the pages say so of "+strings.Join(found.Rough, ", "))
	}
	if len(found.Uncalibrated) > 0 {
		u.lines("", "bench.toml states no calibration of these, and the pages say so: "+strings.Join(found.Uncalibrated, ", "))
	}
	if found.Unaddressed {
		u.lines("", "content/site.toml has no address: left out are the feeds, the sitemap, link previews, canonical addresses, and the snippets for other pages with their oEmbed responses")
	}
	u.say("took %s", took(u.clock().Sub(start)))
	status := found.judged(strict != "")
	if status != exitDone {
		u.note("", "--strict: %s and %s", count(len(found.Problems), "warning"), count(found.findings(), "finding"))
	}
	return status
}

// A checked is what check found.
type checked struct{ site.Checked }

// judged is the exit status of a check.
func (c checked) judged(strict bool) int {
	if c.Problems.Errors() || strict && (len(c.Problems) > 0 || c.findings() > 0) {
		return exitFailed
	}
	return exitDone
}

// counted is how many findings there are: "3 findings, 1 likely a mistake".
func (c checked) counted() string {
	likely := 0
	for _, g := range c.groups() {
		likely += g.likely()
	}
	return countLikely(c.findings(), likely)
}

func countLikely(n, likely int) string {
	text := count(n, "finding")
	if likely > 0 {
		text += fmt.Sprintf(", %d likely a mistake", likely)
	}
	return text
}

// sayGroup prints the findings of a unit or of the bench, likely mistakes first.
func sayGroup(u *ui, g findingGroup) {
	u.say("%s: %s", g.of, countLikely(len(g.findings), g.likely()))
	for _, severity := range []sheet.Severity{sheet.LikelyMistake, sheet.WorthALook} {
		for _, f := range g.findings {
			if f.Severity() == severity {
				sayFinding(u, g.of, f)
			}
		}
	}
	u.say("")
}

// sayFinding prints a finding with its place, severity and usual cause.
func sayFinding(u *ui, of string, f sheet.Finding) {
	file, line, column := f.Place.Position()
	if line > 0 {
		u.say("%s:%d:%d: %s: %s: %s", file, line, column, f.Severity().Words(), f.ID, f.Text)
	} else {
		u.say("%s: %s: %s: %s", of, f.Severity().Words(), f.ID, f.Text)
	}
	if f.Cause != "" {
		u.say("cause: %s", f.Cause)
	}
}

// summarise prints how many units there are and how their claims were decided.
func (c checked) summarise(u *ui) {
	counts := map[verdict.Word]int{}
	claims := 0
	for _, unit := range c.Units {
		for word, n := range unit.Verdicts {
			counts[word] += n
			claims += n
		}
	}
	summarise(u, len(c.Units), claims, counts)
}

// summarise prints numbers of units and of claims, in all and by verdict.
func summarise(u *ui, units, claims int, counts map[verdict.Word]int) {
	line := count(units, "unit") + ", " + count(claims, "claim")
	var parts []string
	for _, w := range verdict.Words {
		if counts[w] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", counts[w], w))
		}
	}
	if len(parts) > 0 {
		line += ": " + strings.Join(parts, ", ")
	}
	u.say("%s", line)
}

// findings is how many there are.
func (c checked) findings() int {
	n := len(c.Bench)
	for _, unit := range c.Units {
		n += len(unit.Findings)
	}
	return n
}

// sayUnsealed prints which results of sealed units no entry has yet, and which
// corrections.
func (c checked) sayUnsealed(u *ui) {
	for _, unit := range c.Units {
		if len(unit.Unsealed) > 0 {
			u.say("%s: not sealed yet: %s", unit.Slug, strings.Join(unit.Unsealed, ", "))
		}
	}
	for _, unit := range c.Units {
		for _, changes := range unit.Pending {
			sayPending(u, unit.Slug, changes)
		}
	}
}

// sayOtherwise names the claims that are published with another verdict than they
// have with all runs: holding a run back must not pick among them.
func (c checked) sayOtherwise(u *ui) {
	for _, unit := range c.Units {
		for _, o := range unit.Otherwise {
			u.say("%s: claim %s is published as %s; with the runs that are held it is %s", unit.Slug, o.Claim, o.Published, o.All)
			u.say("cause: a held run counts for it; hold the claim as well, or publish the run")
		}
	}
}

// tally counts problems: "2 errors, 1 warning".
func tally(all record.Problems) string {
	errors, warnings := 0, 0
	for _, p := range all {
		if p.Severity == record.Error {
			errors++
		} else {
			warnings++
		}
	}
	text := count(errors, "error")
	if warnings > 0 {
		text += ", " + count(warnings, "warning")
	}
	return text
}
