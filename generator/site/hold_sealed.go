package site

import (
	"fmt"
	"slices"
	"time"

	"wattsheet/generator/ledger"
	"wattsheet/generator/record"
)

// heldSealed finds what is held at the site's instant although it was sealed before.
// What was sealed was published: a hold would take a unit with its corrections off
// the site without a word, while what is sealed of the rest still shows the part.
func (s *Site) heldSealed() (problems record.Problems) {
	for _, h := range s.behind.held {
		one := s.sealed[h.Slug]
		if one == nil || h.Opens.Reached(s.behind.asOf) {
			continue
		}
		if e := sealedBefore(one.ledger, h, s.behind.asOf); e != nil {
			problems = append(problems, h.Problem(
				fmt.Sprintf("%s is held, but entry %d of %s sealed it on %s, so it was published", h.Called(), e.Number, ledgerFile, e.Date),
				"take the hold out; what is wrong with it is told by a [[correction]]"))
		}
	}
	return problems
}

// sealedBefore gives the newest entry, of those up to an instant, that has a held
// thing.
func sealedBefore(l *ledger.Ledger, h record.Held, asOf time.Time) *ledger.Entry {
	if l == nil {
		return nil
	}
	for _, e := range slices.Backward(l.Entries) {
		at, err := time.Parse(time.RFC3339, e.Date)
		if err == nil && !at.After(asOf) && hasSealed(e, h) {
			return e
		}
	}
	return nil
}

// hasSealed goes by ids. What has none is missed by the comparison with the entry.
func hasSealed(e *ledger.Entry, h record.Held) bool {
	switch h.Kind {
	case "unit":
		return true
	case "claim", "run", "spec":
		return slices.ContainsFunc(e.RestsOn, func(b ledger.Basis) bool { return b.What == h.Kind+" "+h.Name })
	}
	return false
}
