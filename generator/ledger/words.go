package ledger

import (
	"strconv"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// Some words of a record are sealed although no figure follows from them, because
// a reader relies on them as on a figure: what the maker replied and was asked,
// what is disclosed, which unit it was and how it was set, where a claim is
// printed, what a check came to, why a run doesn't count. Each has a digest of
// its own, so that it can be added later, and the digests beside it stay.
//
// Remarks, captions, opinions, notes and how something was measured aren't sealed.

// words are the digests of a record's sealed words.
func words(s *sheet.Sheet) (list []Basis) {
	rec := s.Record
	add := func(what string, fill func(f *facts)) {
		f := &facts{}
		if fill(f); len(f.b) > 0 {
			list = append(list, f.basis(what))
		}
	}
	for _, c := range rec.Claims {
		add("wording of claim "+c.ID, func(f *facts) { f.text("printed_in", c.PrintedIn) })
	}
	for _, r := range rec.Runs {
		add("reason of run "+r.ID, func(f *facts) { f.text("invalid", r.Invalid) })
	}
	for _, one := range rec.Specs {
		add("wording of spec "+one.ID, func(f *facts) {
			f.text("name", one.Name)
			f.text("printed_in", one.PrintedIn)
		})
	}
	again := &collector{state: &State{}, seen: map[string]bool{}}
	for _, one := range rec.Functions {
		add(again.path("function "+one.Name), func(f *facts) {
			f.text("result", one.Result)
			f.text("how", one.How)
		})
	}
	add("identity", func(f *facts) { f.identity(s) })
	add("set-up", func(f *facts) { f.settings(&rec.Settings) })
	add("disclosure", func(f *facts) { f.disclosure(&rec.Source) })
	add("whereabouts", func(f *facts) {
		if rec.Source.After != "undecided" { // what becomes of a unit may be told later
			f.text("after", rec.Source.After)
		}
	})
	for _, c := range rec.Contacts {
		add(again.path("letter of "+c.Date.Text), func(f *facts) { f.letter(&c) })
	}
	add("reply", func(f *facts) {
		f.text("date", rec.Reply.Date.Text)
		f.text("from", rec.Reply.From)
		f.text("text", rec.Reply.Text)
	})
	return list
}

// identity is which unit was tested, and its address on the site.
func (f *facts) identity(s *sheet.Sheet) {
	u := &s.Record.Unit
	f.text("address", s.Slug)
	f.text("sheet", s.Number)
	f.text("maker", u.Maker)
	f.text("model", u.Model)
	f.number("year", u.Year)
	f.text("serial", u.Serial)
	f.text("condition", u.Condition)
	f.text("kind", u.Kind)
	f.text("use", u.Use)
	f.text("class", u.Class)
	for i, n := range u.FusesA.Items {
		f.number("fuses_a "+strconv.Itoa(i+1), n)
	}
	f.number("lowest_ohm", u.LowestOhm)
	f.number("lowest_bridged_ohm", u.LowestBridgedOhm)
}

func (f *facts) settings(s *record.Settings) {
	f.text("gain", s.Gain)
	f.text("input", s.Input)
	f.text("boost", s.Boost)
	f.text("filters", s.Filters)
	f.text("remarks", s.Remarks)
}

func (f *facts) disclosure(s *record.Source) {
	f.text("how", s.How)
	f.text("from", s.From)
	f.text("date", s.Date.Text)
	f.flag("links_earn", s.LinksEarn)
	f.text("paid", s.Paid)
	f.text("remarks", s.Remarks)
}

func (f *facts) letter(c *record.Contact) {
	f.text("date", c.Date.Text)
	f.text("how", c.How)
	f.text("about", c.About)
	f.text("answer_by", c.AnswerBy.Text)
}

// A spoken is where a change of sealed words is told: the result's path, and what it
// is in a sentence. Of is what it goes with: it isn't told of by itself where that
// is gone.
type spoken struct{ path, text, of string }

// spokenOf tells whether a basis is sealed words.
func spokenOf(what string) (spoken, bool) {
	kind, id := parted(what)
	switch kind {
	case "wording of claim":
		return spoken{"claim " + id + sep + "where it is printed", "where claim " + id + " is printed", "claim " + id}, true
	case "wording of spec":
		return spoken{"spec " + id + sep + "its name and where it is printed", "the name of spec " + id + ", or where it is printed,", "spec " + id}, true
	case "reason of run":
		return spoken{"run " + id + sep + "why it doesn't count", "why run " + id + " doesn't count", "run " + id}, true
	case "function":
		return spoken{what + sep + "its result", "what the check of " + id + " came to", ""}, true
	case "letter of":
		return spoken{what + sep + "its wording", "the letter of " + id, ""}, true
	case "identity":
		return spoken{what + sep + "its wording", "which unit this is, by [unit] or the name of its folder,", ""}, true
	case "set-up":
		return spoken{what + sep + "its wording", "how the unit was set", ""}, true
	case "disclosure":
		return spoken{what + sep + "its wording", "how the unit came to the bench, or what the tester has from it,", ""}, true
	case "whereabouts":
		return spoken{what + sep + "their wording", "what became of the unit", ""}, true
	case "reply":
		return spoken{what + sep + "its wording", "the maker's reply", ""}, true
	}
	return spoken{}, false
}

// unsaid adds the sealed words that were edited or taken out.
func (d *difference) unsaid() {
	was, now := d.was.basis(), d.now.basis()
	for _, b := range d.was.RestsOn {
		s, is := spokenOf(b.What)
		if !is {
			continue
		}
		other, there := now[b.What]
		change := Change{Of: s.path, Was: "as sealed", Now: gone, Why: []string{s.text + " was taken out"}}
		switch {
		case there && b.Digest == other.Digest:
			continue
		case there:
			change.Now, change.Why = "edited", []string{s.text + " was edited"}
		case s.of != "":
			if of, left := now[s.of]; !left || of.Invalid != was[s.of].Invalid {
				continue
			}
		}
		d.changes = append(d.changes, change)
	}
}

// placeOfWords is where sealed words stand in a record, by the head of their path.
func placeOfWords(rec *record.Record, head string) record.Place {
	var at record.Place
	kind, id := parted(head)
	switch kind {
	case "function":
		for i := range rec.Functions {
			if part(rec.Functions[i].Name) == id {
				at = rec.Functions[i].Key("name")
			}
		}
	case "letter of":
		for i := range rec.Contacts {
			if day, _, _ := strings.Cut(id, " "); rec.Contacts[i].Date.Text == day {
				at = rec.Contacts[i].Place
			}
		}
	case "set-up":
		at = rec.Settings.Place
	case "disclosure", "whereabouts":
		at = rec.Source.Place
	case "identity":
		at = rec.Unit.Place
	case "reply":
		at = rec.Reply.Place
	}
	if !at.Given() {
		return rec.Place
	}
	return at
}
