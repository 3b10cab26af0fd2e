package ledger

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// tell makes a problem for each run, claim and so on of which a sealed result
// changed without a correction: was, now and why.
func (s *Status) tell(rec *record.Record, last *Entry) {
	for _, head := range headsOf(s.Uncovered) {
		var of []Change
		for _, c := range s.Uncovered {
			if c.Head() == head {
				of = append(of, c)
			}
		}
		first := slices.MinFunc(of, func(a, b Change) int { return cmp.Compare(weight(a), weight(b)) })
		text := fmt.Sprintf("%s isn't as entry %d sealed it: %s was %s, now %s", head, last.Number, nameIn(first), first.Was, first.Now)
		if first.Now == gone {
			text = fmt.Sprintf("%s isn't as entry %d sealed it: %s was %s, now it is gone", head, last.Number, nameIn(first), first.Was)
		}
		switch more := len(of) - 1; {
		case more == 1:
			text += "; 1 more of its results changed"
		case more > 1:
			text += fmt.Sprintf("; %d more of its results changed", more)
		}
		s.Problems = append(s.Problems, placeOf(rec, head).Problem(strings.ReplaceAll(text, nbsp, " "),
			"why: "+strings.Join(first.Why, "; ")+"; "+wayOut(first.Why)))
	}
}

// wayOut says what to do about a result that changed.
func wayOut(why []string) string {
	if retested(why) {
		return "tell of it in a [[correction]] of the kind retest"
	}
	return "put it back, or tell of it in a [[correction]]"
}

// retested reports whether nothing but further runs changed results: nothing was wrong then.
func retested(why []string) bool {
	return len(why) > 0 && !slices.ContainsFunc(why, func(text string) bool {
		kind, _ := parted(text)
		return kind != "run" || !strings.HasSuffix(text, " was added")
	})
}

// weight orders the changes of one run or claim: what a reader cares for first.
func weight(c Change) int {
	name := c.Of
	if i := strings.LastIndex(c.Of, sep); i >= 0 {
		name = c.Of[i+len(sep):]
	}
	switch {
	case c.Verdict:
		return 0
	case name == "power", name == "mean", name == "measured":
		return 1
	case !strings.Contains(c.Of, sep) && !strings.HasPrefix(c.Of, "ratio "):
		return 2
	case strings.HasPrefix(c.Was, "("):
		return 3
	}
	return 4
}

// nameIn is a result's name among those of its head.
func nameIn(c Change) string {
	if _, name, is := strings.Cut(c.Of, sep); is {
		return name
	}
	if strings.HasPrefix(c.Of, "ratio ") {
		return "it"
	}
	return "the verdict"
}

// placeOf is where a run, claim or spec stands in the record; the record itself for
// what is gone or follows from several.
func placeOf(rec *record.Record, head string) record.Place {
	kind, id := parted(head)
	switch kind {
	case "run":
		for i := range rec.Runs {
			if rec.Runs[i].ID == id {
				return rec.Runs[i].Key("id")
			}
		}
	case "claim":
		for i := range rec.Claims {
			if rec.Claims[i].ID == id {
				return rec.Claims[i].Key("id")
			}
		}
	case "spec":
		for i := range rec.Specs {
			if rec.Specs[i].ID == id {
				return rec.Specs[i].Key("id")
			}
		}
	}
	return placeOfWords(rec, head)
}

// mostComments is how many changed figures the table to paste lists one by one.
const mostComments = 20

// Table is a [[correction]] that covers what is uncovered, to be pasted into the
// record and filled in: the lines of it. The day is YYYY-MM-DD.
func (s *Status) Table(day string) []string {
	lines := []string{
		"[[correction]]",
		"date = " + day,
		`kind = "mistake" # or "method": nothing was wrong, it is measured or computed better`,
		`reason = "" # what was wrong, for a reader`,
		`noticed_by = "" # the tester, a viewer, the maker`,
		`effect = "" # what changes for a reader, in words`,
	}
	if retested(reasons(s.Uncovered)) {
		lines[2] = `kind = "retest" # nothing was wrong, further runs count too; else "mistake"`
		lines[3] = `reason = "" # why it was tested again, for a reader`
		lines[4] = `noticed_by = "" # who asked for it: the tester, a viewer, the maker`
	}
	quoted := []string{}
	for _, head := range headsOf(s.Uncovered) {
		quoted = append(quoted, record.Quote(head))
	}
	lines = append(lines, "changes = ["+strings.Join(quoted, ", ")+"]")
	sorted := slices.Clone(s.Uncovered)
	slices.SortStableFunc(sorted, func(a, b Change) int { return cmp.Compare(weight(a), weight(b)) })
	for i, c := range sorted {
		if i == mostComments {
			lines = append(lines, fmt.Sprintf("# and %d more", len(sorted)-i))
			break
		}
		lines = append(lines, fmt.Sprintf("# %s: was %s, now %s", c.Of, c.Was, c.Now))
	}
	return append(lines, "# why: "+strings.Join(reasons(s.Uncovered), "; "))
}

// reasons are all causes, each once.
func reasons(changes []Change) (texts []string) {
	for _, c := range changes {
		for _, why := range c.Why {
			if !slices.Contains(texts, why) {
				texts = append(texts, why)
			}
		}
	}
	return texts
}
