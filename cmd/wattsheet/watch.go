package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	"wattsheet/generator/preview"
	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

func watchCommand() *command {
	c := &command{
		name: "watch", does: "show the site in a browser while its content is edited",
		takes: "[--root DIR] [--port N] [--poll[=T]]\n       [--write] [--out DIR] [--share]",
		about: `Makes the site in memory, serves it to browsers on this machine, and watches the
content: after each save the page on screen is current, where the reader was,
with its folds, charts and fields as they were. A page that a save doesn't
change stays untouched. It ends with Ctrl-C.

While the content has mistakes, the last good page stays, behind a list of them;
they are printed here too, once. What is held opens in the preview at its time.

The folder public is left alone, unless --write keeps it up to date.

Only browsers on this machine get an answer, and no page of another site does.
--share also answers in the local network, to whoever has the address with its
token. That address is as good as a key, and nothing of it is encrypted.`,
		flags: []option{
			rootOption,
			{"port", "N", fmt.Sprintf("the port to listen on; %d or the next free one if not given", preview.UsualPort)},
			{"poll", "[=T]", "look at all files each 500ms, or T, where no changes are told"},
			{"write", "", "keep the folder of the built site up to date as well"},
			{"out", "DIR", "that folder; public in the root if not given"},
			{"share", "", "answer in the local network too, to whoever has the token"},
		},
		examples: []string{"wattsheet watch", "wattsheet watch --root demo --write --poll=2s"},
	}
	c.run = func(u *ui, args []string) int { return runWatch(u, c, args) }
	return c
}

func runWatch(u *ui, c *command, args []string) int {
	root, port, write, out, poll, share := ".", "", "", "", "", ""
	values := map[string]*string{"root": &root, "port": &port, "write": &write, "out": &out, "poll": &poll, "share": &share}
	if _, status, ok := c.read(u, args, values, 0); !ok {
		return status
	}
	o := preview.Options{Share: share != "", Clock: u.clock, Teller: &watchTeller{u: u, writes: write != ""}}
	var err error
	if o.Port, err = parsePort(port); err != nil {
		return u.misused(err)
	}
	if o.Poll, err = parsePoll(poll); err != nil {
		return u.misused(err)
	}
	if out != "" && write == "" {
		return u.misused(fmt.Errorf("--out names a folder, but nothing is written\nhint: add --write to keep it up to date"))
	}
	if out == "" {
		out = filepath.Join(root, "public")
	}
	if o.Root, err = filepath.Abs(root); err != nil {
		return u.failed(err)
	}
	draft, err := site.OpenDraft(root)
	if err != nil {
		return u.failed(err)
	}
	defer draft.Close()
	sayUnkept(u, draft)
	o.Source = draft
	if write != "" {
		if err := draft.Apart(out); err != nil {
			return u.failed(err)
		}
		w := &siteWriter{u: u, draft: draft, out: out}
		o.Write = w.write
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // asked for twice, it ends at once
	if err := preview.Run(ctx, o); err != nil {
		return u.failed(err)
	}
	return exitDone
}

func parsePort(text string) (int, error) {
	if text == "" {
		return 0, nil
	}
	port, err := strconv.Atoi(text)
	if err != nil || port < 1 || port > 65535 {
		return 0, fmt.Errorf("--port is %q; it has to be a number from 1 to 65535\nhint: leave it out to get a port that is free", text)
	}
	return port, nil
}

// parsePoll reads how often to look: 0 without the flag, the usual time for the flag alone.
func parsePoll(text string) (time.Duration, error) {
	switch text {
	case "":
		return 0, nil
	case "yes":
		return preview.UsualPoll, nil
	}
	every, err := time.ParseDuration(text)
	if err != nil || every < 50*time.Millisecond || every > time.Hour {
		return 0, fmt.Errorf("--poll is %q; it has to be a time from 50ms to 1h\nhint: as in --poll=2s", text)
	}
	return every, nil
}

// A siteWriter keeps the folder of the built site up to date.
type siteWriter struct {
	u     *ui
	draft *site.Draft
	out   string
	told  string // why nothing was written last; empty where it was
}

// write makes the folder hold what the content says now. Some mistakes are only met when
// every page is made, those in a theme's templates: they are told here, once.
func (w *siteWriter) write(stop <-chan struct{}) error {
	start := w.u.clock()
	b, err := w.draft.Publish(w.out, stop)
	if errors.Is(err, site.ErrStopped) {
		return nil // what changed meanwhile is written next
	}
	if err != nil {
		return err
	}
	if b.Problems.Errors() {
		wrong := slices.DeleteFunc(b.Problems, func(p record.Problem) bool { return p.Severity != record.Error })
		if text := wrong.Error(); text != w.told {
			w.told = text
			w.u.problems(wrong)
			w.u.note("", "%s; nothing was written", tally(wrong))
		}
		return nil
	}
	w.told = ""
	if b.Summary.Written+b.Summary.Removed > 0 {
		reportTimed(w.u, w.out, b.Summary, ", took "+took(w.u.clock().Sub(start)))
	}
	return nil
}

// A watchTeller prints what happens while the content is watched. Each problem is printed when it appears.
type watchTeller struct {
	u       *ui
	writes  bool            // the site is written, too
	told    map[string]bool // the problems that there were last, as they are printed
	errors  bool
	started bool
}

func (t *watchTeller) Listening(own, shared []string) {
	t.u.say("%s", strings.Join(own, " "))
	if len(shared) > 0 {
		t.u.say("%s", strings.Join(shared, " "))
		t.u.note("end watch when it isn't needed any more; the next one has another token",
			"whoever has this address can see the preview from the local network, what is held and opens meanwhile included")
	}
}

func (t *watchTeller) Made(m preview.Made) {
	errors := m.Refreshed.Problems.Errors()
	line := fmt.Sprintf("%s: %s evaluated, took %s", t.what(m), count(m.Refreshed.Evaluated, "unit"), took(m.Took))
	if m.Refreshed.Pending > 0 {
		line += fmt.Sprintf(", %s to go", count(m.Refreshed.Pending, "unit"))
	}
	if errors {
		line += "; " + tally(m.Refreshed.Problems)
	} else if t.errors {
		line += "; the mistakes are mended"
	}
	t.u.problems(t.fresh(m.Refreshed.Problems))
	t.u.say("%s", line)
	t.errors, t.started = errors, true
}

// fresh are the problems that there were not before.
func (t *watchTeller) fresh(all record.Problems) (fresh record.Problems) {
	now := make(map[string]bool, len(all))
	for _, p := range all {
		text := p.String()
		if !t.told[text] && !now[text] {
			fresh = append(fresh, p)
		}
		now[text] = true
	}
	t.told = now
	return fresh
}

// what names what changed: one file, or how many.
func (t *watchTeller) what(m preview.Made) string {
	switch {
	case !t.started:
		return "all"
	case m.Swept:
		return "the rest"
	case m.Opening:
		return "something held opened"
	case m.Names == nil:
		return "looked at everything again"
	case len(m.Names) == 1:
		return m.Names[0]
	}
	return count(len(m.Names), "change")
}

func (t *watchTeller) Mended(path string) {
	if !t.writes {
		t.u.say("%s is made again: the mistake is mended", path)
	}
}

func (t *watchTeller) Trouble(err error) {
	problems, are := errors.AsType[record.Problems](err)
	switch {
	case !are:
		t.u.error(err)
	case !t.writes: // who makes all pages to write them tells of these, too
		t.u.problems(problems)
	}
}
