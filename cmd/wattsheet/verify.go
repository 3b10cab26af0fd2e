package main

import (
	"fmt"
	"strings"

	"wattsheet/generator/verify"
)

func verifyCommand() *command {
	c := &command{
		name: "verify", does: "recompute a published sheet, follow its ledger", takes: "FILE|FOLDER [--all]",
		about: `Reads a published sheet.json, or every one in a folder, recomputes each derived
figure from the readings in that file alone, and compares figure by figure. It
needs no content and works with anybody's published sheet. Numbers agree when
they differ by at most one unit of the twelfth significant digit. A figure that
doesn't agree is named with its path in the file, and the exit status is 1.

A ledger.toml is followed from entry to entry, and the sheets beside it are
compared with it: a line that was edited is named, and so is a reading or a
result that was changed under a seal without a correction. A digest is no
signature: keep an earlier copy to compare with.

Where the folder holds the list of what was published, .wattsheet, the SHA-256
digests of the listed files are checked too. A file in which a reading was
changed and everything computed anew agrees with itself: a changed reading
shows by the digest in the site's checksums.`,
		flags:    []option{{"all", "", "print every figure and text, not only those that differ"}},
		examples: []string{"wattsheet verify public", "wattsheet verify public/units/ottersprocket-20/sheet.json --all"},
	}
	c.run = func(u *ui, args []string) int { return runVerify(u, c, args) }
	return c
}

func runVerify(u *ui, c *command, args []string) int {
	all := ""
	words, status, ok := c.read(u, flagsFirst(c, args), map[string]*string{"all": &all}, 1)
	if !ok {
		return status
	}
	if len(words) == 0 {
		return u.misused(fmt.Errorf("verify needs a file or a folder\nhint: wattsheet verify public, or a downloaded sheet.json"))
	}
	var f *verify.Folder
	var err error
	u.during("recomputing", func() { f, err = verify.Path(words[0]) })
	if err != nil {
		return u.failed(err)
	}
	for _, v := range f.Sheets {
		sayVerified(u, v, all != "")
	}
	for _, l := range f.Ledgers {
		sayLedger(u, l)
	}
	for _, err := range f.Unreadable {
		u.error(err)
	}
	sayDigests(u, f)
	if !f.Agrees() {
		return exitFailed
	}
	return exitDone
}

// sayVerified prints what became of one sheet.
func sayVerified(u *ui, v *verify.Verified, all bool) {
	u.problems(v.Problems)
	if v.Problems.Errors() {
		u.note("", "%s: what it says was read has mistakes, so nothing can be recomputed from it", v.File)
		return
	}
	derived, given, differ := v.Counts()
	for _, c := range v.Compared {
		switch {
		case !c.Agrees:
			u.say("%s: %s: published %s, recomputed %s", v.File, c.Path, c.Published, c.Recomputed)
		case all && c.Derived:
			u.say("%s: agrees: %s", c.Path, c.Published)
		case all:
			u.say("%s: as given: %s", c.Path, c.Published)
		}
	}
	what := "all agree"
	if differ > 0 {
		what = fmt.Sprintf("%d differ", differ)
	}
	u.say("%s: %s: %s recomputed, %d as given: %s", v.File, v.Name, fmt.Sprintf("%d derived figures and texts", derived), given, what)
	sayParts(u, v)
}

// sayLedger prints what became of one ledger.
func sayLedger(u *ui, l *verify.VerifiedLedger) {
	u.problems(l.Problems)
	entries := "1 entry"
	if l.Entries != 1 {
		entries = fmt.Sprintf("%d entries", l.Entries)
	}
	for _, text := range l.Differ {
		u.say("%s: %s", l.File, text)
	}
	switch {
	case l.Problems.Errors():
		u.say("%s: the chain is broken", l.File)
	case len(l.Differ) > 0:
		u.say("%s: the chain of %s holds, with %s from what was sealed", l.File, entries, count(len(l.Differ), "difference"))
	default:
		u.say("%s: the chain of %s holds, and all is as sealed or corrected", l.File, entries)
	}
}

// sayParts counts the derived figures by the part of the file they are in.
func sayParts(u *ui, v *verify.Verified) {
	counts, order := map[string][2]int{}, []string(nil)
	for _, c := range v.Compared {
		if !c.Derived {
			continue
		}
		n, seen := counts[c.Where()]
		if !seen {
			order = append(order, c.Where())
		}
		n[1]++
		if c.Agrees {
			n[0]++
		}
		counts[c.Where()] = n
	}
	var parts []string
	for _, part := range order {
		text := fmt.Sprintf("%s %d", part, counts[part][1])
		if counts[part][0] < counts[part][1] {
			text = fmt.Sprintf("%s %d of %d", part, counts[part][0], counts[part][1])
		}
		parts = append(parts, text)
	}
	u.say("  agree: %s", strings.Join(parts, ", "))
}

// sayDigests prints what became of the list of published files.
func sayDigests(u *ui, f *verify.Folder) {
	if f.Listed == 0 {
		return
	}
	for _, name := range f.Changed {
		u.say("%s: its digest is not the one that was published", name)
	}
	for _, name := range f.Missing {
		u.say("%s: it was published, but is not there", name)
	}
	u.say("%s with the digests as published, %d changed, %d missing",
		count(f.Listed-len(f.Changed)-len(f.Missing), "file"), len(f.Changed), len(f.Missing))
}

// flagsFirst puts a command's flags before its other words: one may write them
// behind.
func flagsFirst(c *command, args []string) []string {
	var flags, words []string
	for i := 0; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			return append(append(flags, "--"), append(words, args[i+1:]...)...)
		}
		if !strings.HasPrefix(a, "-") || a == "-" {
			words = append(words, a)
			continue
		}
		flags = append(flags, a)
		for _, o := range c.flags {
			if (a == "--"+o.name || a == "-"+o.name) && o.value != "" && i+1 < len(args) {
				i++
				flags = append(flags, args[i])
			}
		}
	}
	return append(flags, words...)
}
