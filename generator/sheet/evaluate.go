package sheet

import (
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// An evaluator evaluates one record.
type evaluator struct {
	content *record.Content
	rec     *record.Record
	rule    verdict.Rule
}

// Evaluate computes the sheet of one unit. The content must have passed its
// checks: every reference is known to resolve.
func Evaluate(content *record.Content, rec *record.Record) *Sheet {
	e := &evaluator{content, rec, ruleOf(content.Site)}
	s := &Sheet{
		Slug: rec.Slug, Number: rec.Unit.Sheet, Name: rec.Unit.Maker + " " + rec.Unit.Model,
		Record: rec, Content: content,
	}
	if s.Number == "" {
		s.Number = rec.Slug
	}
	reader := e.reader()
	for i := range rec.Runs {
		r := reader.evaluate(&rec.Runs[i])
		s.Runs = append(s.Runs, r)
		if day := r.Rec.At.Text; len(day) >= len("2006-01-02") && day[:len("2006-01-02")] > s.Tested {
			s.Tested = day[:len("2006-01-02")]
		}
	}
	s.Captures = captures(rec, s.Runs)
	all := carriers{}
	for i := range rec.Claims {
		s.Claims = append(s.Claims, e.claimAmong(&rec.Claims[i], s.Runs, all))
	}
	e.more(s)
	s.Headline, s.Subline = headline(s.Claims), e.subline(s)
	s.Disclosure = disclosure(rec.Source)
	s.Findings = e.findings(s)
	return s
}
