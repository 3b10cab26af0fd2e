package site

import (
	"fmt"

	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// unfair finds the claims that would be published as short before the maker was
// asked and had time to answer, on a site that requires it. day is the day of
// publication in UTC, YYYY-MM-DD; empty when only what is recorded counts.
func (s *Site) unfair(day string) record.Problems {
	var out record.Problems
	if !s.Content.Site.ContactRequired {
		return nil
	}
	for _, unit := range s.Sheets {
		missing, hint, at := unit.Record.Unasked(int(s.Content.Site.WaitDays.Value), day)
		if missing == "" {
			continue
		}
		for _, c := range unit.Claims {
			if c.Verdict != verdict.Short {
				continue
			}
			where := at
			if !where.Given() {
				where = c.Rec.Key("id")
			}
			out = append(out, where.Problem(fmt.Sprintf("claim %s falls short, but %s; the site requires contact", c.ID, missing), hint))
		}
	}
	return out
}
