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
	// claim 2-ohm. Of a unit that was never sealed it is all.
	Unsealed []string
	// Uncovered are the sealed results that changed without a correction. A build
	// that has one fails.
	Uncovered []Change
	// Problems are what keeps the unit from being published: the uncovered changes,
	// and corrections that cover nothing or differ from what was sealed.
	Problems record.Problems

	now *State
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
	st := &Status{Slug: s.Slug, now: StateOf(s)}
	if l != nil {
		st.history(l)
	}
	pending, places := st.pending(l, s.Record)
	last := l.Last()
	st.Unsealed = Unsealed(last, st.now)
	if last == nil {
		for _, at := range places {
			st.Problems = append(st.Problems, at.Problem("nothing of this unit was sealed, so there is nothing that a correction could tell of",
				"leave [[correction]] out until wattsheet seal has written a ledger"))
		}
		return st
	}
	st.cover(Compare(last, st.now), pending, places)
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
// that an entry has and the record hasn't is a problem: corrections stay.
func (s *Status) pending(l *Ledger, rec *record.Record) (list []Correction, places []record.Place) {
	var sealed []Correction
	if l != nil {
		for _, e := range l.Entries {
			sealed = append(sealed, e.Corrections...)
		}
	}
	for i := range rec.Corrections {
		c := correctionOf(&rec.Corrections[i])
		if n := slices.IndexFunc(sealed, func(o Correction) bool { return sameCorrection(o, c) }); n >= 0 {
			sealed = slices.Delete(slices.Clone(sealed), n, n+1)
			continue
		}
		list, places = append(list, c), append(places, rec.Corrections[i].Place)
	}
	for _, c := range sealed {
		s.Problems = append(s.Problems, rec.Place.Problem(
			fmt.Sprintf("the correction of %s, on %s, was sealed and isn't here as it was", c.Date, strings.Join(c.Changes, ", ")),
			"corrections stay in the record, word for word: put it back as ledger.toml has it"))
	}
	return list, places
}

func correctionOf(c *record.Correction) Correction {
	return Correction{Date: c.Date.Text, Kind: c.Kind, Reason: c.Reason, NoticedBy: c.NoticedBy, Effect: c.Effect, Changes: c.Changes}
}

func sameCorrection(a, b Correction) bool {
	return a.Date == b.Date && a.Kind == b.Kind && a.Reason == b.Reason && a.NoticedBy == b.NoticedBy &&
		a.Effect == b.Effect && slices.Equal(a.Changes, b.Changes)
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
				if covers(item, change.Of) {
					used[i][n] = true
					if by < 0 {
						by = i
					}
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

// idle is the problem of an item that covers no change.
func (s *Status) idle(at record.Place, item string, changes []Change) {
	hint := "nothing that was sealed has changed: a correction tells of what did"
	if heads := headsOf(changes); len(heads) > 0 {
		hint = "what changed is " + strings.Join(heads, ", ")
	}
	for _, v := range s.Versions {
		if v.Number == len(s.Versions) && len(changes) == 0 {
			hint += fmt.Sprintf("; leave it out, or put it back as entry %d or an earlier one has it", v.Number)
		}
	}
	s.Problems = append(s.Problems, at.Problem(fmt.Sprintf("nothing of %q is another than as it was sealed", item), hint))
}

// headsOf are the heads of changes, each once, in their order.
func headsOf(changes []Change) (heads []string) {
	for _, c := range changes {
		if h := c.Head(); !slices.Contains(heads, h) {
			heads = append(heads, h)
		}
	}
	return heads
}
