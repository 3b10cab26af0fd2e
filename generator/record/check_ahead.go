package record

import "time"

// LastDay is the latest day that it is anywhere on earth, YYYY-MM-DD. A date of something that was
// done lies after it only by a slip of the pen, or of a clock. The zone that is furthest ahead has
// UTC+14 (tz database, Pacific/Kiritimati; from memory).
func LastDay(asOf time.Time) string { return asOf.UTC().Add(14 * time.Hour).Format(time.DateOnly) }

// Ahead warns of dates in a record that haven't come yet at an instant: of runs, letters,
// prices, and all else that was done. Days that something is planned for are no mistake:
// those of holds, the time to answer, and of a video or a correction that is held.
func (r *Record) Ahead(asOf time.Time) (problems Problems) {
	a := ahead{day: LastDay(asOf), problems: &problems}
	a.date(r.Unit.PriceDate)
	a.date(r.Source.Date)
	for i := range r.Runs {
		a.on(r.Runs[i].At.Place, r.Runs[i].At.Text)
	}
	for i := range r.Shops {
		a.date(r.Shops[i].Date)
	}
	for i := range r.Videos {
		if v := &r.Videos[i]; !v.Hold.Given() && !r.Unit.Hold.Given() {
			a.date(v.Published)
		}
	}
	for i := range r.Contacts {
		a.date(r.Contacts[i].Date)
	}
	a.date(r.Reply.Date)
	for i := range r.Corrections {
		if c := &r.Corrections[i]; !c.Hold.Given() {
			a.date(c.Date)
		}
	}
	return problems
}

// Ahead is [Record.Ahead] for what the site's units share: the bench and the methods.
func (c *Content) Ahead(asOf time.Time) (problems Problems) {
	a := ahead{day: LastDay(asOf), problems: &problems}
	if c.Bench != nil {
		for i := range c.Bench.CheckUnit.Readings {
			a.date(c.Bench.CheckUnit.Readings[i].Date)
		}
		for i := range c.Bench.Instruments {
			a.date(c.Bench.Instruments[i].Calibrated)
		}
	}
	if c.Methods != nil {
		for i := range c.Methods.Methods {
			a.date(c.Methods.Methods[i].Pool.Date)
		}
	}
	return problems
}

// An ahead finds dates after a day.
type ahead struct {
	day      string
	problems *Problems
}

func (a ahead) date(d Date) { a.on(d.Place, d.Text) }

// on looks at a date, or at that of a moment, as written.
func (a ahead) on(at Place, text string) {
	if len(text) < len(a.day) || text[:len(a.day)] <= a.day {
		return
	}
	p := at.Problem("this day, "+text[:len(a.day)]+", hasn't come yet", "look at the year and the month, and at this computer's clock")
	p.Severity = Warning
	*a.problems = append(*a.problems, p)
}

// LatestDay is the latest of the dates that stand in a record's texts, as YYYY-MM-DD; empty for
// none. Nothing of them is decoded.
func LatestDay(texts ...[]byte) (latest string) {
	for _, text := range texts {
		for i := 4; i+6 <= len(text); i++ {
			if text[i] == '-' && text[i+3] == '-' && digits(string(text[i-4:i])) == 4 &&
				digits(string(text[i+1:i+3])) == 2 && digits(string(text[i+4:i+6])) == 2 {
				latest = max(latest, string(text[i-4:i+6])) // all have the same form
			}
		}
	}
	return latest
}
