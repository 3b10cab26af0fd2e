package site

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/ledger"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
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

// opensSealed warns of sealed results that are others from an instant on, as something opens
// then that counts for them, and of which no correction tells then: the build of that day
// would fail, after all before it had passed.
func (s *Site) opensSealed() (problems record.Problems) {
	for _, r := range s.behind.content.Records {
		one := s.sealed[r.Slug]
		if one == nil || one.ledger == nil {
			continue
		}
		now := cmp.Or(one.status, new(ledger.Status))
		records, opening := r.Later(s.behind.asOf)
		for i, h := range opening {
			then := ledger.Follow(one.ledger, sheet.Evaluate(s.behind.content, records[i]))
			more := slices.DeleteFunc(then.Problems, func(p record.Problem) bool { return slices.Contains(now.Problems, p) })
			heads := slices.DeleteFunc(then.UncoveredHeads(), func(head string) bool { return slices.Contains(now.UncoveredHeads(), head) })
			when := fmt.Sprintf("when %s opens, at %s, ", h.Called(), h.Until)
			if len(heads) > 0 {
				more = record.Problems{h.Problem(
					fmt.Sprintf("%s%s will not be as entry %d sealed it, and no [[correction]] tells of it then", when, strings.Join(heads, ", "), one.ledger.Last().Number),
					fmt.Sprintf("the build fails from then on; write the [[correction]] before, with changes = [%s] and this hold", quotedList(heads)))}
				when = ""
			}
			for _, p := range more {
				p.Severity, p.Summary = record.Warning, when+p.Summary
				problems = append(problems, p)
			}
			if len(more) > 0 {
				break // what opens later is told when this is mended
			}
		}
	}
	return problems
}

// quotedList is a list as TOML writes it, without its brackets.
func quotedList(names []string) string {
	quotes := make([]string, len(names))
	for i, n := range names {
		quotes[i] = record.Quote(n)
	}
	return strings.Join(quotes, ", ")
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
