package main

import (
	"fmt"
	"path/filepath"

	"wattsheet/generator/kit"
	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

func kitCommand() *command {
	c := &command{
		name: "kit", does: "write texts, captions and pictures for a unit's video", takes: "[UNIT] [--out DIR] [--with-held] [--no-chapters]\n       [--stale] [--root DIR]",
		about: `Writes a folder of what goes with a unit's video, all of it made of the sheet:
  description.txt     verdict, address, who supplied the unit, results, chapters
  pinned-comment.txt  and titles.txt, suggestions for the video's title
  results.vtt         captions of the results, where the video shows them
  table, claim-ID     plates to lay over the film, -1080.png and -2160.png,
  and power-by-load   clear around them, and within the title-safe area; .svg
                      for any other size
  end-card            the last picture, with a QR code of the unit's page
The folder is .wattsheet/kit/UNIT, or DIR. It is written whole, or not at all;
one that has other files in it is left alone.

Chapters and captions are made of the marks in the record (video = "4:12"). A
text that breaks a rule of the platforms is a mistake, with its place in the
record; the < and > of a name, which they refuse, become ‹ and ›. The unit's own
description.txt, beside the record, stands in place of the usual text:
{verdict}, {address}, {disclosure}, {results} and {chapters}, each on a line of
its own, become what they say.

What is held is in none of it. With --with-held it is, and each file's name says
so.

A kit remembers the results that it was made from. --stale, without a unit,
lists what of all kits, or of the one in DIR, doesn't agree with the records any
more, and where in the video that is shown; the exit status is then 1. check
lists it, too.`,
		flags: []option{rootOption,
			{"out", "DIR", "the kit's folder, in place of .wattsheet/kit/UNIT"},
			{"with-held", "", "with what is held, and names that say so"},
			{"no-chapters", "", "leave chapters out of the description"},
			{"stale", "", "list which files of which kits don't agree any more"}},
		examples: []string{"wattsheet kit ottersprocket-20", "wattsheet kit ottersprocket-20 --out video --with-held", "wattsheet kit --stale"},
	}
	c.run = func(u *ui, args []string) int { return runKit(u, c, args) }
	return c
}

func runKit(u *ui, c *command, args []string) int {
	now := u.clock()
	root, out, held, plain, stale := ".", "", "", "", ""
	words, status, ok := c.read(u, args, map[string]*string{"root": &root, "out": &out, "with-held": &held, "no-chapters": &plain, "stale": &stale}, 1)
	switch {
	case !ok:
		return status
	case stale != "" && len(words) > 0:
		return u.misused(fmt.Errorf("kit --stale looks at all kits, and takes no unit\nhint: wattsheet kit --stale"))
	case stale != "":
		return u.staleKits(root, out)
	case len(words) == 0:
		return u.misused(fmt.Errorf("kit needs a unit\nhint: wattsheet kit UNIT; UNIT is the name of its folder in content/units"))
	}
	loaded, status, ok := u.siteOf(root, now)
	if !ok {
		return status
	}
	of, err := subjectOf(loaded, words[0], held != "")
	if err != nil {
		return u.failed(err)
	}
	of.Plain = plain != ""
	made, problems := (*kit.Kit)(nil), record.Problems(nil)
	u.during("drawing", func() { made, problems = kit.Make(of) })
	u.problems(problems)
	if problems.Errors() {
		u.note("", "%s; no kit is written", tally(problems))
		return exitFailed
	}
	folder := out
	if folder == "" {
		folder = filepath.Join(root, kitsFolder, made.Slug)
	}
	if err := writeKit(folder, made, of.Plain); err != nil {
		return u.failed(err)
	}
	u.sayKit(folder, made)
	return exitDone
}

// subjectOf is what a kit of a unit is made of: what is published, or all of it.
func subjectOf(loaded *site.Site, slug string, held bool) (kit.Subject, error) {
	of := kit.Subject{Site: loaded.Content.Site, Template: loaded.Description(slug)}
	var err error
	if held {
		of.Held = loaded.StillHeld(slug) > 0
		of.Sheet, err = sheetOf(loaded.Whole(), slug)
		return of, err
	}
	of.Sheet, err = sheetOf(loaded.Sheets, slug)
	if whole := loaded.StillHeld(slug); err != nil && whole > 0 {
		return of, fmt.Errorf("%s is held, so a kit has nothing to say\nhint: --with-held makes it all the same, and each file's name says so", slug)
	}
	return of, err
}

// sayKit lists what was written.
func (u *ui) sayKit(folder string, made *kit.Kit) {
	for _, f := range made.Files {
		u.say("%s", filepath.ToSlash(filepath.Join(folder, f.Name)))
	}
	for _, n := range made.Notes {
		u.note("", "%s", n)
	}
	if made.Held {
		u.note("keep these files from the public until the record opens", "the kit has results that are held")
	}
	u.say("%s: %s", filepath.ToSlash(folder), count(len(made.Files), "file"))
}
