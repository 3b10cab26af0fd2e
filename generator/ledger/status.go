package ledger

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A Status is how a unit stands to its ledger: what pages tell of it.
type Status struct {
	Slug     string
	Versions []Version // oldest first; none where the unit was never sealed
	// Corrections are all that were made, oldest first; those that belong to no
	// entry yet come last.
	Corrections []Told
	// Unsealed are the heads of results that the last entry doesn't have: run r9,
	// claim 2-ohm. It is empty for a unit that was never sealed.
	Unsealed []string
	// Uncovered are the sealed results that changed without a correction. A build
	// that has one fails.
	Uncovered []Change
	// Problems are what keeps the unit from being published: the uncovered changes,
	// and corrections that cover nothing or differ from what was sealed.
	Problems record.Problems

	sheet *sheet.Sheet
}

// A Version is one sealed version of a unit.
type Version struct {
	Number int
	Date   string // RFC 3339
	Note   string
	Digest string // of the entry
	Sheet  string // SHA-256 of the sheet.json as it was published then
	// VerdictChanged is true where a verdict is another than in the version before.
	VerdictChanged bool
}

// A Told is one correction and what it changed.
type Told struct {
	Correction
	// Entry is the number of the entry that has the corrected results; 0 where they
	// are not sealed yet.
	Entry   int
	Results []Corrected
	// VerdictChanged is true where one of the results is another verdict.
	VerdictChanged bool
}

// VerdictChanged reports whether any correction changed a verdict.
func (s *Status) VerdictChanged() bool {
	return slices.ContainsFunc(s.Corrections, func(t Told) bool { return t.VerdictChanged })
}

// Sealed reports whether the unit was ever sealed.
func (s *Status) Sealed() bool { return len(s.Versions) > 0 }

// Follow compares a unit's sheet with its ledger, which may be nil, and its
// corrections with what changed.
func Follow(l *Ledger, s *sheet.Sheet) *Status {
	st := &Status{Slug: s.Slug, sheet: s}
	if l != nil {
		st.history(l)
	}
	pending, places := st.pending(s.Record)
	last := l.Last()
	if last == nil {
		for _, at := range places {
			st.Problems = append(st.Problems, at.Problem("nothing of this unit was sealed, so there is nothing that a correction could tell of",
				"leave [[correction]] out until wattsheet seal has written a ledger"))
		}
		return st
	}
	now := StateOf(s)
	st.Unsealed = Unsealed(last, now)
	st.backdated(last, pending, places)
	st.cover(Compare(last, now), pending, places)
	st.tell(s.Record, last)
	st.Problems.Sort()
	return st
}

// history takes versions and corrections from the entries.
func (s *Status) history(l *Ledger) {
	for _, e := range l.Entries {
		v := Version{Number: e.Number, Date: e.Date, Note: e.Note, Digest: e.Digest, Sheet: e.Sheet}
		for i, c := range e.Corrections {
			t := Told{Correction: c, Entry: e.Number}
			for _, k := range e.Corrected {
				if k.By == i+1 {
					t.add(k)
				}
			}
			v.VerdictChanged = v.VerdictChanged || t.VerdictChanged
			s.Corrections = append(s.Corrections, t)
		}
		s.Versions = append(s.Versions, v)
	}
}

func (t *Told) add(k Corrected) {
	t.Results = append(t.Results, k)
	t.VerdictChanged = t.VerdictChanged || k.Verdict
}

// pending gives the record's corrections that no entry has, with their places. One
// that an entry has and the record hasn't, or has in other words, is a problem:
// corrections stay.
func (s *Status) pending(rec *record.Record) (list []Correction, places []record.Place) {
	sealed := slices.Clone(s.Corrections)
	take := func(same func(Correction) bool) *Told {
		n := slices.IndexFunc(sealed, func(t Told) bool { return same(t.Correction) })
		if n < 0 {
			return nil
		}
		t := sealed[n]
		sealed = slices.Delete(sealed, n, n+1)
		return &t
	}
	for i := range rec.Corrections {
		c := correctionOf(&rec.Corrections[i])
		if take(func(o Correction) bool { return differing(o, c) == "" }) == nil {
			list, places = append(list, c), append(places, rec.Corrections[i].Place)
		}
	}
	for i := len(list) - 1; i >= 0; i-- {
		t := take(func(o Correction) bool { return o.Date == list[i].Date && slices.Equal(o.Changes, list[i].Changes) })
		if t == nil {
			continue
		}
		key := differing(t.Correction, list[i])
		s.Problems = append(s.Problems, places[i].Key(key).Problem(
			fmt.Sprintf("%s of this correction isn't as entry %d sealed it", key, t.Entry), wordForWord))
		list, places = slices.Delete(list, i, i+1), slices.Delete(places, i, i+1)
	}
	for _, t := range sealed {
		s.Problems = append(s.Problems, rec.Place.Problem(
			fmt.Sprintf("the correction of %s, on %s, was sealed by entry %d and isn't here", t.Date, strings.Join(t.Changes, ", "), t.Entry), wordForWord))
	}
	return list, places
}

const wordForWord = "corrections stay in the record, word for word: put it back as ledger.toml has it"

func correctionOf(c *record.Correction) Correction {
	return Correction{Date: c.Date.Text, Kind: c.Kind, Reason: c.Reason, NoticedBy: c.NoticedBy, Effect: c.Effect, Changes: c.Changes}
}

// differing is the first key in which two corrections differ; empty when they are the
// same.
func differing(a, b Correction) string {
	for _, k := range []struct{ key, a, b string }{
		{"date", a.Date, b.Date}, {"kind", a.Kind, b.Kind}, {"reason", a.Reason, b.Reason},
		{"noticed_by", a.NoticedBy, b.NoticedBy}, {"effect", a.Effect, b.Effect},
	} {
		if k.a != k.b {
			return k.key
		}
	}
	if !slices.Equal(a.Changes, b.Changes) {
		return "changes"
	}
	return ""
}

// backdated is the problem of a correction that is dated before what it corrects was
// sealed.
func (s *Status) backdated(last *Entry, pending []Correction, places []record.Place) {
	const day = len("2006-01-02")
	for i, c := range pending {
		if len(last.Date) >= day && c.Date != "" && c.Date < last.Date[:day] {
			s.Problems = append(s.Problems, places[i].Key("date").Problem(
				fmt.Sprintf("the correction is of %s, but what it corrects was sealed on %s", c.Date, last.Date[:day]),
				"write the day on which the correction is made"))
		}
	}
}

// covers reports whether a result is meant by an item of changes: itself, or
// something that it is a part of.
func covers(item, of string) bool { return item == of || strings.HasPrefix(of, item+sep) }

// cover gives each change to the first correction that covers it.
func (s *Status) cover(changes []Change, pending []Correction, places []record.Place) {
	told := make([]Told, len(pending))
	used := make([][]bool, len(pending))
	for i, c := range pending {
		told[i].Correction, used[i] = c, make([]bool, len(c.Changes))
	}
	for _, change := range changes {
		by := -1
		for i, c := range pending {
			for n, item := range c.Changes {
				if (by < 0 || by == i) && covers(item, change.Of) {
					by, used[i][n] = i, true
				}
			}
		}
		if by < 0 {
			s.Uncovered = append(s.Uncovered, change)
			continue
		}
		told[by].add(Corrected{Of: change.Of, Was: change.Was, Now: change.Now, Why: strings.Join(change.Why, "; "), Verdict: change.Verdict})
	}
	for i, c := range pending {
		for n, item := range c.Changes {
			if !used[i][n] {
				s.idle(places[i].Key("changes").Item(n), item, changes)
			}
		}
	}
	s.Corrections = append(s.Corrections, told...)
}

// idle is the problem of an item that covers no change, or none that an earlier
// correction doesn't.
func (s *Status) idle(at record.Place, item string, changes []Change) {
	text, hint := "nothing of %q is another than as it was sealed", "nothing that was sealed has changed; a correction tells of what has"
	if heads := headsOf(changes); len(heads) > 0 {
		hint = "what changed is " + strings.Join(heads, ", ")
	}
	if slices.ContainsFunc(changes, func(c Change) bool { return covers(item, c.Of) }) {
		text, hint = "what changed of %q is covered by an earlier correction already", "one correction tells of a change: take it out of one of the two"
	}
	s.Problems = append(s.Problems, at.Problem(fmt.Sprintf(text, item), hint))
}

// UncoveredHeads are the heads of what changed without a correction: claim 4-ohm.
func (s *Status) UncoveredHeads() []string { return headsOf(s.Uncovered) }

// headsOf are the heads of changes, each once, in their order.
func headsOf(changes []Change) (heads []string) {
	for _, c := range changes {
		if h := c.Head(); !slices.Contains(heads, h) {
			heads = append(heads, h)
		}
	}
	return heads
}
