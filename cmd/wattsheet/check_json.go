package main

import (
	"encoding/json"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// checkVersion is raised when a key of the document that check --json prints gets
// another meaning or goes. A new key doesn't raise it.
const checkVersion = 1

// A checkReport is the document of check --json.
type checkReport struct {
	Version int          `json:"version"`
	Counts  checkCounts  `json:"counts"`
	All     []checkPlace `json:"messages"`
}

// checkCounts is how many messages there are of each severity.
type checkCounts struct {
	Errors   int `json:"errors"`
	Warnings int `json:"warnings"`
	Likely   int `json:"likely_mistakes"`
	Look     int `json:"worth_a_look"`
}

// A checkPlace is one message: a mistake, a warning or a finding.
type checkPlace struct {
	File     string `json:"file"`   // relative to the root, with slashes; empty where it is of no file
	Line     int    `json:"line"`   // from 1; 0: the file as a whole
	Column   int    `json:"column"` // from 1, in characters
	Length   int    `json:"length"` // in characters, on that line or beyond it
	Severity string `json:"severity"`
	ID       string `json:"id"` // of a finding; empty for others
	Message  string `json:"message"`
	Hint     string `json:"hint"` // what to do, or of a finding the usual cause
	Unit     string `json:"unit"` // the unit's folder; empty for what is of no unit
}

// report is all that check has to tell, for programs: problems first, then the bench's
// findings and those of the units, each in its order.
func (c checked) report() checkReport {
	r := checkReport{Version: checkVersion, All: []checkPlace{}}
	for _, p := range c.Problems {
		one := checkPlace{File: p.File, Line: p.Line, Column: p.Column, Length: p.Length, Severity: "error",
			Message: harmless(p.Summary), Hint: harmless(p.Hint), Unit: unitOf(p.File)}
		if p.Severity == record.Warning {
			one.Severity = "warning"
			r.Counts.Warnings++
		} else {
			r.Counts.Errors++
		}
		r.All = append(r.All, one)
	}
	for _, g := range c.groups() {
		for _, f := range g.findings {
			p := f.Place.Problem(f.Text, f.Cause)
			r.All = append(r.All, checkPlace{File: p.File, Line: p.Line, Column: p.Column, Length: p.Length, Severity: f.Severity().String(),
				ID: f.ID, Message: harmless(p.Summary), Hint: harmless(p.Hint), Unit: g.unit})
		}
		likely := g.likely()
		r.Counts.Likely += likely
		r.Counts.Look += len(g.findings) - likely
	}
	return r
}

// unitOf is the folder of the unit that a file belongs to, or "".
func unitOf(file string) string {
	if kit, is := strings.CutPrefix(file, kitsFolder+"/"); is {
		slug, _, _ := strings.Cut(kit, "/")
		return slug
	}
	rest, is := strings.CutPrefix(file, "content/units/")
	slug, _, of := strings.Cut(rest, "/")
	if !is || !of {
		return ""
	}
	return slug
}

// json prints a report.
func (u *ui) json(r checkReport) error {
	e := json.NewEncoder(u.stdout)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(r)
}

// A findingGroup is the findings of one unit, or of the bench.
type findingGroup struct {
	of, unit string
	findings []sheet.Finding
}

// groups are all findings, the bench's first; a unit without any has no group.
func (c checked) groups() (all []findingGroup) {
	if bench := c.Bench; len(bench) > 0 {
		all = append(all, findingGroup{"the bench", "", bench})
	}
	for _, s := range c.Units {
		if len(s.Findings) > 0 {
			all = append(all, findingGroup{s.Slug, s.Slug, s.Findings})
		}
	}
	return all
}

// likely is how many of a group are likely mistakes.
func (g findingGroup) likely() (n int) {
	for _, f := range g.findings {
		if f.Severity() == sheet.LikelyMistake {
			n++
		}
	}
	return n
}
