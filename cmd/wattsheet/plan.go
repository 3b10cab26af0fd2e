package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"wattsheet/generator/disk"
	"wattsheet/generator/plan"
)

func planCommand() *command {
	c := &command{
		name: "plan", does: "plan the bench work for a unit's claims", takes: "UNIT [--page FILE] [--json] [--day DAY] [--root DIR]",
		about: `Plans the runs that a unit's claims call for, before anything is measured: for
each the volts, amperes and heat to expect, what the supply, its leads, the
fuses and the load bank get, the ranges to set, and what would be beyond them,
marked with !. They go from gentle to severe, with rests. For each claim it says
how large a shortfall this bench could tell from a pass, and from what power on
it would be met, or that it can't be decided. What is held counts.

Everything is expected from what the maker claims. A figure is never permission:
the maker's instructions, local codes and qualified persons go before it.

UNIT is the name of the unit's folder. bench.toml may state what a class is
expected to do, as [[expect]], and the size and length of a supply's leads.`,
		flags: []option{
			rootOption,
			{"page", "FILE", "write a checklist to print, one A4 page or more, as HTML"},
			{"json", "", "print the plan as JSON, for programs"},
			{"day", "DAY", "the day that it is for, YYYY-MM-DD; today if not given"},
		},
		examples: []string{"wattsheet plan ottersprocket-20", "wattsheet plan ottersprocket-20 --page plan.html", "wattsheet plan ottersprocket-20 --json --root demo"},
	}
	c.run = func(u *ui, args []string) int { return runPlan(u, c, args) }
	return c
}

func runPlan(u *ui, c *command, args []string) int {
	now := u.clock()
	root, page, asJSON, day := ".", "", "", now.Format(time.DateOnly)
	words, status, ok := c.read(u, args, map[string]*string{"root": &root, "page": &page, "json": &asJSON, "day": &day}, 1)
	if !ok {
		return status
	}
	if len(words) == 0 {
		return u.misused(fmt.Errorf("plan needs a unit\nhint: wattsheet plan UNIT; UNIT is the name of its folder in content/units"))
	}
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return u.misused(fmt.Errorf("--day is %q, which is no day\nhint: write it as 2026-10-09", day))
	}
	loaded, status, ok := u.siteAtWork(root, now)
	if !ok {
		return status
	}
	s, err := sheetOf(loaded.Whole(), words[0])
	if err != nil {
		return u.failed(err)
	}
	status = u.planned(plan.Make(s.Content, s.Record, day), page, asJSON != "")
	if status == exitDone && asJSON == "" && len(s.Record.Runs) == 0 {
		u.say("")
		u.say("next: %s takes the readings", inRoot("log "+s.Slug, filepath.Join(root, "content")))
	}
	return status
}

// planned shows a plan: as text or JSON, and as a page where one is asked for.
func (u *ui) planned(p *plan.Plan, page string, asJSON bool) int {
	if page != "" {
		if err := writePage(page, p.Page()); err != nil {
			return u.failed(err)
		}
		if asJSON {
			u.note("", "the checklist is %s", page)
		}
	}
	switch {
	case asJSON:
		u.text(string(p.JSON()))
	case page != "":
		u.say("%s", p.Title())
		u.say("%s", p.Summary())
		u.say("The checklist is %s: open it in a browser and print it.", page)
	default:
		for _, line := range p.Text() {
			u.say("%s", line)
		}
	}
	return exitDone
}

// writePage writes a checklist, whole or not at all. What stands there is only
// replaced where it is a checklist, too: no record is lost to a mistyped name.
func writePage(name string, text []byte) error {
	old, err := os.ReadFile(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return fmt.Errorf("%s can't be written: %w\nhint: name a file in a folder that you may write", name, disk.Cause(err))
	case !bytes.HasPrefix(old, []byte(plan.PageMark)):
		return fmt.Errorf("%s is there already, and is no checklist of wattsheet\nhint: name another file", name)
	}
	if writing := replaceFile(name, text); writing != nil {
		return fmt.Errorf("%s can't be written: %w\nhint: name a file in a folder that you may write", name, disk.Cause(writing))
	}
	if err != nil { // it is new
		return os.Chmod(name, 0o644)
	}
	return nil
}
