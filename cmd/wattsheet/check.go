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
sealed yet.

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
	m, err := makeSite(u, root, start, site.Inspect)
	if err != nil {
		return u.failed(err)
	}
	if !m.problems.Errors() {
		m.sheets = m.site.Whole()
	}
	if asJSON != "" {
		if err := u.json(m.report()); err != nil {
			return u.failed(err)
		}
		return m.judged(strict != "")
	}
	u.problems(m.problems)
	for _, g := range m.groups() {
		sayGroup(u, g)
	}
	if m.problems.Errors() {
		sayCorrections(u, m.site.Uncovered())
		u.note("", "%s", tally(m.problems))
		return exitFailed
	}
	m.sayUnsealed(u)
	m.sayPending(u)
	m.summarise(u)
	u.say("%s", m.counted())
	sayHeld(u, m.site.StillHeld(""))
	sayOtherwise(u, m.site)
	u.say("took %s", took(u.clock().Sub(start)))
	status := m.judged(strict != "")
	if status != exitDone {
		u.note("", "--strict: %s and %s", count(len(m.problems), "warning"), count(m.findings(), "finding"))
	}
	return status
}

// judged is the exit status of a check.
func (m made) judged(strict bool) int {
	if m.problems.Errors() || strict && (len(m.problems) > 0 || m.findings() > 0) {
		return exitFailed
	}
	return exitDone
}

// counted is how many findings there are: "3 findings, 1 likely a mistake".
func (m made) counted() string {
	likely := 0
	for _, g := range m.groups() {
		likely += g.likely()
	}
	return countLikely(m.findings(), likely)
}

func countLikely(n, likely int) string {
	text := count(n, "finding")
	if likely > 0 {
		text += fmt.Sprintf(", %d likely a mistake", likely)
	}
	return text
}

// bench returns the findings on the bench itself; none while its files have
// mistakes.
func (m made) bench() []sheet.Finding {
	if m.problems.Errors() {
		return nil
	}
	return sheet.BenchFindings(m.site.Content)
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
func (m made) summarise(u *ui) {
	counts := map[verdict.Word]int{}
	claims := 0
	for _, s := range m.sheets {
		for _, c := range s.Claims {
			counts[c.Verdict]++
			claims++
		}
	}
	summarise(u, len(m.sheets), claims, counts)
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

func (m made) findings() int {
	n := len(m.bench())
	for _, s := range m.sheets {
		n += len(s.Findings)
	}
	return n
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
