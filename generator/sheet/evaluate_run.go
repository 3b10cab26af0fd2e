package sheet

import "wattsheet/generator/record"

// EvaluateRun computes of a unit's sheet what one run bears on, the n-th of the
// record from 0: the run itself, the runs at its load, those of its method at half
// and double of that, the claims at its load, and the findings that the run has by
// itself and against one of these others. All of it is as in the sheet of the whole
// record; the rest of that stays empty. It is for a record that grows by a run at a
// time: its work grows with the number of runs, not with the square of it.
//
// The content must have passed its checks.
func EvaluateRun(content *record.Content, rec *record.Record, n int) *Sheet {
	e := &evaluator{content, rec, ruleOf(content.Site)}
	s := &Sheet{Slug: rec.Slug, Name: rec.Unit.Maker + " " + rec.Unit.Model, Record: rec, Content: content}
	mine := e.run(&rec.Runs[n])
	var claims []*record.Claim
	for i := range rec.Claims {
		if len(channelsFor(&rec.Claims[i], mine)) > 0 {
			claims = append(claims, &rec.Claims[i])
		}
	}
	for i := range rec.Runs {
		switch {
		case i == n:
			s.Runs = append(s.Runs, mine)
		case e.bearsOn(&rec.Runs[i], mine, claims):
			s.Runs = append(s.Runs, e.run(&rec.Runs[i]))
		}
	}
	for _, c := range claims {
		s.Claims = append(s.Claims, e.claim(c, s.Runs))
	}
	s.Findings = e.findingsOn(s, mine)
	return s
}

// bearsOn reports whether another run has a channel at a load of this one, its half
// or its double, or at a load that one of the claims is for.
func (e *evaluator) bearsOn(other *record.Run, mine *Run, claims []*record.Claim) bool {
	for i, name := range other.DrivenOf(&e.rec.Unit) {
		at := e.circuitOf(other, i, name).nominal
		for _, c := range mine.Channels {
			if within(at, c.Nominal, nominalReach) {
				return true
			}
			doubled := within(at, c.Nominal/2, 2*nominalReach) || within(at, 2*c.Nominal, 2*nominalReach)
			if doubled && other.Method.ID == mine.Method.ID {
				return true
			}
		}
		for _, c := range claims {
			if within(at, c.LoadOhm.Value, nominalReach) {
				return true
			}
		}
	}
	return false
}

// findingsOn are the findings on one run: by itself, by its instruments, and
// against each other run.
func (e *evaluator) findingsOn(s *Sheet, r *Run) []Finding {
	if !r.Valid {
		return nil
	}
	out := e.ofOne(s, r)
	for _, other := range s.Runs {
		if other == r {
			continue
		}
		out = append(out, e.ofPairs(&Sheet{Runs: []*Run{r, other}})...)
	}
	return out
}
