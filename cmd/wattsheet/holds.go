package main

import (
	"fmt"
	"strings"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

func holdsCommand() *command {
	c := &command{
		name: "holds", does: "list what is held, and until when", takes: "[--all] [--as-of TIME] [--root DIR]",
		about: `Lists everything that is kept out of what build publishes now, by the time at
which it opens, in UTC and as it is written in the record. What opens by hand,
when its hold is taken out of the record, comes last. With --all the list has
what is open by now, too.

A hold keeps things off the site. It doesn't hide them in the records: whoever
can read those, in a public repository too, can read what is held.`,
		flags: []option{
			rootOption, asOfOption,
			{"all", "", "list what is open by now, too"},
		},
		examples: []string{"wattsheet holds", "wattsheet holds --all --as-of 2026-12-05T18:00:00+01:00"},
	}
	c.run = func(u *ui, args []string) int { return runHolds(u, c, args) }
	return c
}

func runHolds(u *ui, c *command, args []string) int {
	root, all, text := ".", "", ""
	if _, status, ok := c.read(u, args, map[string]*string{"root": &root, "all": &all, "as-of": &text}, 0); !ok {
		return status
	}
	asOf, err := parseAsOf(text, u.clock())
	if err != nil {
		return u.misused(err)
	}
	s, problems, err := loadSite(u, root, asOf)
	if err != nil {
		return u.failed(err)
	}
	if problems.Errors() {
		u.problems(problems)
		u.note("", "%s", tally(problems))
		return exitFailed
	}
	open := 0
	var head string
	for _, h := range s.Held() {
		isOpen := h.Opens.Reached(asOf)
		if isOpen {
			open++
			if all == "" {
				continue
			}
		}
		if now := openingLine(h, isOpen); now != head {
			head = now
			u.lines("", head)
		}
		u.lines("  ", fmt.Sprintf("%s: %s", h.Slug, heldAs(h)))
	}
	u.say("%s held, %d open by now", are(s.StillHeld("")), open)
	return exitDone
}

// openingLine says when something opens, in UTC and as it was written.
func openingLine(h record.Held, open bool) string {
	if h.Opens.ByHand {
		return "until the hold is taken out"
	}
	line := h.Opens.At.UTC().Format("2006-01-02 15:04:05.999999999 UTC")
	if written := h.Until; written != h.Opens.At.UTC().Format(time.RFC3339Nano) {
		line += ", written " + written
	}
	if open {
		return "open since " + line
	}
	return "opens " + line
}

// heldAs says what is held, and by which group.
func heldAs(h record.Held) string {
	what := h.Called()
	if h.Kind == "unit" {
		what = "the whole unit"
	}
	if h.Group == "" {
		return what
	}
	what += ", group " + h.Group
	if h.Notice != "" {
		what += " with a notice"
	}
	return what
}

// lines prints a text in 80 columns, each line behind the first indented by four
// more blanks.
func (u *ui) lines(indent, text string) {
	const columns, more = 80, "    "
	for i, line := range sheet.Wrap(harmless(text), columns-len(indent)-len(more)) {
		if i > 0 {
			line = more + line
		}
		u.say("%s", indent+strings.TrimRight(line, " "))
	}
}

// sayHeld says how much of the site isn't published now, where anything isn't.
func sayHeld(u *ui, n int) {
	if n > 0 {
		u.say("%s held; wattsheet holds lists them", are(n))
	}
}

// are counts things: "1 thing is", "2 things are".
func are(n int) string {
	if n == 1 {
		return "1 thing is"
	}
	return count(n, "thing") + " are"
}
