package main

import (
	"cmp"
	"errors"
	"os"
	"path/filepath"
	"runtime/debug"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

func buildCommand() *command {
	c := &command{
		name: "build", does: "make the site from the content", takes: "[--root DIR] [--out DIR] [--as-of TIME]\n       [--compress] [--promise]",
		about: `Reads content, evaluates every record, and makes the folder public hold the
site: pages, charts and data files. Only files whose bytes changed are written.
Files that an earlier build wrote and that the site no longer has are removed,
unless somebody changed them since; files of others are never touched. A file
that should go and can't be removed is an error, since it is still published. A
folder that has another site, by title and address, is refused.

What a record holds back is left out as if it had never been written, until it
opens: a build right after that time shows it.

When the content has mistakes, all of them are printed and public stays as it
was. A sealed result that changed without a correction is one.

With --compress text files are also written packed, as NAME.gz and NAME.br, for
servers that send these as they are. It takes longer than all else the first
time; what is there already isn't packed again. Without it they are removed.

With --promise the addresses of all pages are kept in content/addresses.toml:
give it with each build that is published. A later build that would lose one of
them fails, until the page is back or a [[moved]] in site.toml says which page
stands for it; the old address then leads there.`,
		flags: []option{
			rootOption,
			{"out", "DIR", "the folder that gets the site; public in the root if not given"},
			asOfOption,
			{"compress", "", "also write each text file packed, as .gz and .br"},
			{"promise", "", "keep the addresses of all pages, so that none gets lost"},
		},
		examples: []string{"wattsheet build", "wattsheet build --root demo --out demo-site"},
	}
	c.run = func(u *ui, args []string) int { return runBuild(u, c, args) }
	return c
}

var rootOption = option{"root", "DIR", "the folder that holds content; the current one if not given"}

func runBuild(u *ui, c *command, args []string) int {
	start := u.clock()
	root, out, text, compress, promise := ".", "", "", "", ""
	if _, status, ok := c.read(u, args, map[string]*string{"root": &root, "out": &out, "as-of": &text, "compress": &compress, "promise": &promise}, 0); !ok {
		return status
	}
	asOf, err := parseAsOf(text, start)
	if err != nil {
		return u.misused(err)
	}
	if promise != "" && text != "" {
		return u.misused(errors.New("--promise keeps what is published now, and --as-of makes a site of another time\nhint: leave one of them out"))
	}
	out = cmp.Or(out, filepath.Join(root, "public"))
	var b site.Built
	collectLess(root)
	draft, err := site.OpenDraft(root)
	if err != nil {
		return u.failed(err)
	}
	defer draft.Close()
	draft.Compress = compress != ""
	u.during("making the site", func() { b, err = draft.Build(asOf, out) })
	u.problems(b.Problems)
	if err != nil {
		return u.failed(err)
	}
	if b.Problems.Errors() {
		sayCorrections(u, b.Uncovered)
		u.note("", "%s; nothing was written", tally(b.Problems))
		return exitFailed
	}
	for _, p := range b.Pending {
		sayPending(u, p.Slug, p.Changes)
	}
	summarise(u, b.Units, b.Claims, b.Verdicts)
	if b.Findings > 0 {
		u.say("%s; wattsheet check shows them", count(b.Findings, "finding"))
	}
	sayHeld(u, b.Held)
	if same := b.Units - b.Evaluated; same > 0 {
		u.say("%s evaluated, %d known from before", count(b.Evaluated, "unit"), same)
	}
	reportPublished(u, out, b.Summary)
	sayUnkept(u, draft)
	if promise != "" {
		added, all, err := draft.Promise()
		if err != nil {
			return u.failed(err)
		}
		u.say("content/addresses.toml: %d addresses, %d of them new", all, added)
	}
	u.say("took %s", took(u.clock().Sub(start)))
	if b.Summary.Written > 0 && b.Summary.Unchanged == 0 { // for the first time
		u.lines("", "next: open "+filepath.ToSlash(filepath.Join(out, "index.html"))+" in a browser; wattsheet watch shows the site while you edit it")
	}
	return exitDone
}

// sayUnkept says that the next run will do all work again, if it will.
func sayUnkept(u *ui, draft *site.Draft) {
	if err := draft.Unkept(); err != nil {
		u.error(err)
	}
}

// collectLess has garbage collected as seldom as suits a site. What the user set stands.
func collectLess(root string) {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		percent, limit := site.MemoryBounds(root)
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

// reportPublished says what became of the files.
func reportPublished(u *ui, out string, sum site.Summary) { reportTimed(u, out, sum, "") }

// reportTimed is reportPublished with more at the end of its line.
func reportTimed(u *ui, out string, sum site.Summary, more string) {
	u.say("%s: %s written, %d unchanged, %d removed%s", filepath.ToSlash(out), count(sum.Written, "file"), sum.Unchanged, sum.Removed, more)
	for _, path := range sum.Kept {
		u.note("delete it if nobody needs it", "%s is not part of the site any more, but was changed since it was written; it was left there",
			filepath.ToSlash(filepath.Join(out, path)))
	}
}

// A made site is loaded and rendered, but not written.
type made struct {
	site     *site.Site
	outputs  []site.Output
	problems record.Problems
}

// A loading is site.Load or, to write nothing, site.Inspect.
type loading func(root string, asOf time.Time) (*site.Site, record.Problems, error)

// makeSite loads and renders a site as it is to be seen at an instant. It has
// outputs only when no problem is an error.
func makeSite(u *ui, root string, asOf time.Time, load loading) (m made, err error) {
	u.during("reading and evaluating", func() { m.site, m.problems, err = load(root, asOf) })
	if err != nil || m.problems.Errors() {
		return m, err
	}
	var more record.Problems
	u.during("rendering", func() { m.outputs, more, err = m.site.Outputs() })
	m.problems = append(m.problems, more...)
	m.problems.Sort()
	return m, err
}

// took writes a duration for people.
func took(d time.Duration) string {
	switch {
	case d < time.Second:
		return d.Round(time.Millisecond).String()
	case d < time.Minute:
		return d.Round(100 * time.Millisecond).String()
	}
	return d.Round(time.Second).String()
}
