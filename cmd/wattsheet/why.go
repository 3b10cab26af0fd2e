package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"wattsheet/generator/site"
)

func whyCommand() *command {
	c := &command{
		name: "why", does: "tell what a published file is made from", takes: "[--root DIR] [--as-of TIME] FILE",
		about: `Prints what a file of the site follows from: records, notes, pictures, the
files that every site has, the theme, other units. FILE is named as it stands in
public, with or without that folder; a unit or a page by its folder, or by its
address in a browser; a style or a script also as it stands in the theme, such
as script/chart.js. Of a list it also prints the records and other files that
what it shows of units is made from.

Then it says which of them changed since the file was made last, so that the
next build makes it again. Nothing is written.`,
		flags:    []option{rootOption, asOfOption},
		examples: []string{"wattsheet why public/index.html", "wattsheet why methodology/"},
	}
	c.run = func(u *ui, args []string) int { return runWhy(u, c, args) }
	return c
}

func runWhy(u *ui, c *command, args []string) int {
	root, text := ".", ""
	rest, status, ok := c.read(u, args, map[string]*string{"root": &root, "as-of": &text}, 1)
	if !ok {
		return status
	}
	if len(rest) == 0 {
		return u.misused(errors.New("why needs a file\nhint: " + c.examples[0]))
	}
	asOf, err := parseAsOf(text, u.clock())
	if err != nil {
		return u.misused(err)
	}
	d, err := site.InspectDraft(root)
	if err != nil {
		return u.failed(err)
	}
	defer d.Close()
	var reason site.Reason
	u.during("looking at what changed", func() {
		if err = d.Look(asOf); err == nil {
			reason, err = d.Why(belowPublic(root, rest[0]))
		}
	})
	if errors.Is(err, fs.ErrNotExist) {
		err = stillThere(root, belowPublic(root, rest[0]), err)
	}
	if err != nil {
		return u.failed(err)
	}
	u.say("%s is made from", reason.Path)
	for _, in := range reason.Inputs {
		u.say("  %s", in.Name)
	}
	sayBeyond(u, reason.Beyond)
	switch {
	case reason.Never:
		u.say("as far as is known, it was not made yet")
	case len(reason.Since) == 0:
		u.say("none of it changed since it was made")
	default:
		u.say("since it was made, this changed")
		for _, in := range reason.Since {
			u.say("  %s", in.Name)
		}
	}
	if reason.Wrong {
		u.say("there are mistakes, and nothing is made before they are mended: check lists them")
	}
	return exitDone
}

// stillThere tells of a file that the site doesn't have and that stands in public, which a unit that is gone leaves behind
// until the next build. Hidden files there are the program's own or the user's.
func stillThere(root, name string, err error) error {
	info, gone := os.Stat(filepath.Join(root, "public", filepath.FromSlash(name)))
	if gone == nil && info.IsDir() {
		name = path.Join(name, "index.html")
		info, gone = os.Stat(filepath.Join(root, "public", filepath.FromSlash(name)))
	}
	if gone != nil || !info.Mode().IsRegular() || !filepath.IsLocal(name) || strings.HasPrefix(path.Base(name), ".") {
		return err
	}
	return fmt.Errorf("the content gives no %s, though it stands in public\nhint: the next build removes it, if an earlier one wrote it and nobody changed it since", name)
}

// mostBeyond is how many files are named that a list follows from through its units.
const mostBeyond = 40

// sayBeyond tells what a list follows from through what it shows of units.
func sayBeyond(u *ui, beyond []site.Input) {
	if len(beyond) == 0 {
		return
	}
	u.say("what it shows of units is made from")
	for _, in := range beyond[:min(len(beyond), mostBeyond)] {
		u.say("  %s", in.Name)
	}
	if more := len(beyond) - mostBeyond; more > 0 {
		u.say("  and %d more", more)
	}
}

// belowPublic names a file as it stands below the published folder.
func belowPublic(root, name string) string {
	if strings.Contains(name, "://") {
		return name // an address: the site knows its own
	}
	public := filepath.Join(root, "public")
	for _, way := range [][2]string{{public, name}, {"public", name}, {absolute(public), absolute(name)}} {
		rest, err := filepath.Rel(way[0], way[1])
		if err == nil && filepath.IsLocal(rest) {
			return filepath.ToSlash(rest)
		}
	}
	return filepath.ToSlash(filepath.Clean(name))
}

// absolute is a path from the top; where that can't be told, the path as it is.
func absolute(name string) string {
	if whole, err := filepath.Abs(name); err == nil {
		return whole
	}
	return name
}
