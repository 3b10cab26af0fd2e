package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

func poolCommand() *command {
	c := &command{
		name: "pool", does: "compute the methods' repeatability from repeats", takes: "[METHOD] [--date DAY] [--write] [--as-of TIME]\n       [--root DIR]",
		about: `Computes how well runs repeat, for each method or for METHOD, from the valid
repeated runs of the whole site: same unit, load, channels and frequency,
carried to one supply voltage. Repeats that scatter more than all others allow
are named and left out. What is held doesn't count, for a pool is published. It
says what stands in methods.toml now, and which claims the new pool would decide
otherwise.

With --write it goes into methods.toml, with its date and runs, and nothing
else there is touched. A new pool is a dated revision of the method: look at
what changes before you publish.`,
		flags: []option{
			rootOption, asOfOption,
			{"date", "DAY", "the day written with the pool, YYYY-MM-DD; today if not given"},
			{"write", "", "write the pools into methods.toml"},
		},
		examples: []string{"wattsheet pool", "wattsheet pool thd1 --root demo"},
	}
	c.run = func(u *ui, args []string) int { return runPool(u, c, args) }
	return c
}

func runPool(u *ui, c *command, args []string) int {
	root, date, write, text := ".", u.clock().Format(time.DateOnly), "", ""
	words, status, ok := c.read(u, args, map[string]*string{"root": &root, "date": &date, "write": &write, "as-of": &text}, 1)
	if !ok {
		return status
	}
	if _, err := time.Parse(time.DateOnly, date); err != nil {
		return u.misused(fmt.Errorf("--date is %q, which is no day\nhint: write it as 2026-10-09", date))
	}
	asOf, err := parseAsOf(text, u.clock())
	if err != nil {
		return u.misused(err)
	}
	s, problems, err := loadSite(u, root, asOf)
	if err != nil {
		return u.failed(err)
	}
	u.problems(problems)
	if problems.Errors() {
		u.note("", "%s", tally(problems))
		return exitFailed
	}
	methods, err := chosenMethods(s.Content, words)
	if err != nil {
		return u.misused(err)
	}
	found := false
	for _, m := range methods {
		r := sheet.Pool(m, s.Sheets)
		if r == nil {
			u.say("%s: no repeats", m.ID)
			continue
		}
		found = true
		sayPool(u, r)
		sayChanges(u, s, r, date)
		if write != "" {
			if err := writePool(root, m.ID, r, date); err != nil {
				return u.failed(err)
			}
			u.say("  written into %s", filepath.ToSlash(filepath.Join(root, "content", "methods.toml")))
		}
	}
	if found && write == "" {
		u.say("nothing was written; --write does")
	}
	return exitDone
}

// chosenMethods are the method that was asked for, or all.
func chosenMethods(content *record.Content, words []string) ([]*record.Method, error) {
	var all []*record.Method
	var ids []string
	for i := range content.Methods.Methods {
		m := &content.Methods.Methods[i]
		if len(words) == 1 && m.ID == words[0] {
			return []*record.Method{m}, nil
		}
		all, ids = append(all, m), append(ids, m.ID)
	}
	if len(words) == 0 {
		return all, nil
	}
	hint := "methods.toml has " + strings.Join(ids, ", ")
	if near := nearest(words[0], ids); near != "" {
		hint = "did you mean " + near + "?"
	}
	return nil, fmt.Errorf("there is no method %q\nhint: %s", words[0], hint)
}

// sayPool prints a computed pool beside the one that stands.
func sayPool(u *ui, r *sheet.PoolResult) {
	runs := 0
	for _, set := range r.Sets {
		runs += len(set.Runs)
	}
	u.say("%s: %s %% with %s degrees of freedom, from %s in %s", r.Method.ID, quantity.Significant(r.RelPct, 2), quantity.Float(r.DoF), count(runs, "run"), count(len(r.Sets), "set"))
	if p := r.Method.Pool; p.RelPct.Given() {
		how := "declared"
		if len(p.Runs) > 0 {
			how = "computed from " + count(len(p.Runs), "run")
		}
		if p.Date.Text != "" {
			how += " on " + p.Date.Text
		}
		u.say("  now %s %% with %s degrees of freedom, %s", quantity.Float(p.RelPct.Value), quantity.Float(p.DoF.Value), how)
	}
	for _, set := range r.Noisy {
		u.say("  left out: %s scatter by %s %%, more than the others allow; look at their readings", strings.Join(set.Runs, ", "), quantity.Significant(set.RMS, 2))
	}
}

// sayChanges evaluates the site with the new pool and prints which claims it would
// decide otherwise.
func sayChanges(u *ui, s *site.Site, r *sheet.PoolResult, date string) {
	before := r.Method.Pool
	after := before
	after.RelPct.Value, after.DoF.Value, after.Date.Text = r.RelPct, r.DoF, date
	if !after.RelPct.Given() {
		after.RelPct.Place = r.Method.Place
	}
	r.Method.Pool = after
	defer func() { r.Method.Pool = before }()
	changes := 0
	for _, old := range s.Sheets {
		now := sheet.Evaluate(s.Content, old.Record)
		for i, c := range now.Claims {
			if was := old.Claims[i]; was.Verdict != c.Verdict {
				u.say("  %s, claim %s: %s would be %s", old.Slug, c.ID, was.Verdict, c.Verdict)
				changes++
			}
		}
	}
	if changes == 0 {
		u.say("  no verdict would change")
	}
	if n := sealedBy(s, r.Method); n > 0 {
		u.say("  %s would need a [[correction]] of the kind method", count(n, "sealed unit"))
	}
}

// sealedBy counts the sealed units that have a run by a method.
func sealedBy(s *site.Site, m *record.Method) int {
	n := 0
	for _, one := range s.Sheets {
		by := func(r *sheet.Run) bool { return r.Method.ID == m.ID }
		if s.Ledger(one.Slug).Sealed() && slices.ContainsFunc(one.Runs, by) {
			n++
		}
	}
	return n
}

// writePool puts a pool into methods.toml, whole or not at all.
func writePool(root, id string, r *sheet.PoolResult, date string) error {
	path := filepath.Join(root, "content", "methods.toml")
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	f := &record.File{Name: "content/methods.toml", Text: text}
	methods, problems := record.DecodeMethods(f)
	if problems.Errors() {
		return problems
	}
	var runs []string
	for _, set := range r.Sets {
		runs = append(runs, set.Runs...)
	}
	for i := range methods.Methods {
		if m := &methods.Methods[i]; m.ID == id {
			text, err = record.RewritePool(f, m, record.PoolText{
				RelPct: quantity.Significant(r.RelPct, 3), DoF: quantity.Float(r.DoF), Date: date, Runs: runs,
			})
		}
	}
	if err != nil {
		return err
	}
	return replaceFile(path, text)
}
