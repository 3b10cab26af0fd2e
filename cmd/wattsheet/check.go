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
		name: "check", does: "find mistakes and oddities, write nothing", takes: "[--root DIR]",
		about: `Does everything that build does short of writing: it prints the mistakes in
the content and, for each unit, its findings: what is odd in a record and
better looked at before publication, with the usual cause. Findings may be
right, so they don't change the exit status; mistakes make it 1. What is held is
looked at like all else, and a published verdict that would be another with it
is named. It also tells which results of a sealed unit are not sealed yet.`,
		flags:    []option{rootOption},
		examples: []string{"wattsheet check", "wattsheet check --root demo"},
	}
	c.run = func(u *ui, args []string) int { return runCheck(u, c, args) }
	return c
}

func runCheck(u *ui, c *command, args []string) int {
	start := u.clock()
	root := "."
	if _, status, ok := c.read(u, args, map[string]*string{"root": &root}, 0); !ok {
		return status
	}
	m, err := makeSite(u, root, start, site.Inspect)
	if err != nil {
		return u.failed(err)
	}
	u.problems(m.problems)
	for _, f := range m.bench() {
		sayFinding(u, "bench", f)
	}
	if !m.problems.Errors() {
		m.sheets = m.site.Whole()
	}
	for _, s := range m.sheets {
		for _, f := range s.Findings {
			sayFinding(u, s.Slug, f)
		}
	}
	if m.problems.Errors() {
		sayCorrections(u, m.site.Uncovered())
		u.note("", "%s", tally(m.problems))
		return exitFailed
	}
	m.sayUnsealed(u)
	m.sayPending(u)
	m.summarise(u)
	u.say("%s", count(m.findings(), "finding"))
	sayHeld(u, m.site.StillHeld(""))
	sayOtherwise(u, m.site)
	u.say("took %s", took(u.clock().Sub(start)))
	return exitDone
}

// bench returns the findings on the bench itself; none while its files have
// mistakes.
func (m made) bench() []sheet.Finding {
	if m.problems.Errors() {
		return nil
	}
	return sheet.BenchFindings(m.site.Content)
}

// sayFinding prints a finding of a unit, or of the bench, with its place and usual
// cause.
func sayFinding(u *ui, of string, f sheet.Finding) {
	file, line, column := f.Place.Position()
	if line > 0 {
		u.say("%s:%d:%d: %s: %s", file, line, column, f.ID, f.Text)
	} else {
		u.say("%s: %s: %s", of, f.ID, f.Text)
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
