package record

import (
	"slices"
	"time"
)

// maker checks the letters to and from the maker, and the earlier model.
func (k *checker) maker(r *Record) {
	for i := range r.Contacts {
		c := &r.Contacts[i]
		if c.AnswerBy.Text != "" && c.Date.Text != "" && c.AnswerBy.Text < c.Date.Text {
			k.add(c.AnswerBy.Place, "the two days are probably swapped", "answer_by is %s, before the maker was asked, %s", c.AnswerBy.Text, c.Date.Text)
		}
	}
	k.follows(r)
}

// follows checks the earlier model that a unit names.
func (k *checker) follows(r *Record) {
	ref := r.Unit.Follows
	if !ref.Given() || ref.ID == "" || k.others.Slugs == nil {
		return
	}
	switch {
	case ref.ID == r.Slug:
		k.add(ref.Place, "name the folder of the earlier model", "the unit follows itself")
	case !slices.Contains(k.others.Slugs, ref.ID):
		hint := "name the folder of a unit of this site in content/units, or leave follows out"
		if near := nearest(ref.ID, k.others.Slugs); near != "" {
			hint = "did you mean " + quoted(near) + "?"
		}
		k.add(ref.Place, hint, "there is no unit %s", quoted(ref.ID))
	case k.circle(r.Slug, ref.ID):
		k.add(ref.Place, "of two units only the later one follows the other", "the units follow each other in a circle")
	}
}

// circle reports whether a unit's predecessors lead back to it.
func (k *checker) circle(slug, earlier string) bool {
	for range k.others.Slugs {
		if earlier == slug {
			return true
		}
		next, follows := k.others.Follows[earlier]
		if !follows {
			return false
		}
		earlier = next
	}
	return false
}

// Unasked says what is missing before an unfavourable verdict on the unit may be
// published, on a site that requires contact: empty when nothing is. day is the
// day of publication, YYYY-MM-DD; empty when only what is recorded counts. The
// place is where the record says something about it, if anywhere.
func (r *Record) Unasked(waitDays int, day string) (missing, hint string, at Place) {
	first := r.firstDay()                                      // what was written before can't be about what was measured
	early := day != "" && r.Reply.Date.Text > dayAfter(day, 1) // it is a day later already in other zones
	if r.Reply.Given() && !early && !(r.Reply.Date.Text < first) {
		return "", "", Place{}
	}
	missing = "the maker was not asked"
	hint = "write to the maker, then record it: [[contact]] with date, about and answer_by; or hold the claim until then"
	switch {
	case r.Reply.Given() && early:
		missing, at = "the reply of "+r.Reply.Date.Text+" has not come yet", r.Reply.Date.Place
	case r.Reply.Given():
		missing, at = "the reply of "+r.Reply.Date.Text+" is older than the first run, of "+first, r.Reply.Place
	}
	for i := range r.Contacts {
		c := &r.Contacts[i]
		switch until := c.until(waitDays); {
		case c.Date.Text < first:
			missing, at = "the letter of "+c.Date.Text+" is older than the first run, of "+first, c.Date.Place
			hint = "write to the maker of what was measured, and record that in a further [[contact]]"
		case c.AnswerBy.Text == "":
			missing, at = "the letter of "+c.Date.Text+" gave the maker no time to answer", c.Place
			hint = "add until when the maker may answer: answer_by = " + until + " or later"
		case c.AnswerBy.Text < until:
			missing, at = "the maker had from "+c.Date.Text+" to "+c.AnswerBy.Text+" to answer, less than "+counted(waitDays, "day"), c.AnswerBy.Place
			hint = "give time until " + until + " at least, or lower wait_days in site.toml"
		case day != "" && day <= c.AnswerBy.Text:
			missing, at = "the maker may answer until "+c.AnswerBy.Text, c.AnswerBy.Place
			hint = "hold the claim until then, or record the maker's [reply]"
		default:
			return "", "", Place{}
		}
	}
	return missing, hint, at
}

// firstDay is the day of the earliest run; empty where no run states its day.
func (r *Record) firstDay() (day string) {
	for i := range r.Runs {
		if at := r.Runs[i].At.Text; len(at) >= len(time.DateOnly) && (day == "" || at[:len(time.DateOnly)] < day) {
			day = at[:len(time.DateOnly)]
		}
	}
	return day
}

// until is the day on which a contact's waiting time is over at the earliest.
func (c *Contact) until(waitDays int) string { return dayAfter(c.Date.Text, waitDays) }

// dayAfter is the day so many days after another.
func dayAfter(day string, days int) string {
	from, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return from.AddDate(0, 0, days).Format(time.DateOnly)
}
