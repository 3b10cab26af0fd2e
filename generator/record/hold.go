package record

import (
	"regexp"
	"strings"
	"time"
)

// A Hold keeps a part of a record out of everything that is published: until an
// instant, until its group opens, or until the tester takes the hold out. The
// zero Hold keeps nothing back.
type Hold struct {
	Place
	// On says that there is a hold; false for hold = false too.
	On bool
	// Group is the id of a [[hold]] of the record, which says until when.
	Group string
	// Until is the instant as RFC 3339 has it. Without it and without a group
	// the hold stays until it's taken out.
	Until string
}

// A HoldGroup is a hold of a whole group of things: they open at once.
type HoldGroup struct {
	Place
	ID     string `toml:"id" need:"yes" form:"id" about:"a short name, which held things give as their hold"`
	Until  Moment `toml:"until" about:"when the group opens, with the time zone's offset; absent: when you take the hold out"`
	Notice string `toml:"notice" form:"name" about:"what the page says in place of the group while it is held; absent: nothing"`
}

// String is the hold as it is written in a record.
func (h Hold) String() string {
	switch {
	case !h.On:
		return "hold = false"
	case h.Until != "":
		return `hold = "until ` + h.Until + `"`
	case h.Group != "":
		return "hold = " + quoted(h.Group)
	}
	return "hold = true"
}

const holdExample = "until 2026-12-05T18:00:00+01:00"

// hold reads a hold. What can't be understood holds all the same, until the
// tester lifts it: a slip must not publish.
func (d *decoder) hold(f *field, where Place, raw any) Hold {
	h := Hold{Place: where, On: true}
	switch raw := raw.(type) {
	case bool:
		h.On = raw
	case string:
		if why, hint := h.read(raw); why != "" {
			d.add(where.Problem(f.key+" "+why, hint))
		}
	default:
		h.Until = d.moment(f, where, raw)
	}
	return h
}

// read takes a hold's text: until and a time, or the id of a [[hold]].
func (h *Hold) read(text string) (why, hint string) {
	when, timed := strings.CutPrefix(strings.TrimSpace(text), "until")
	if timed && (when == "" || when[0] == ' ') {
		when, why, hint = tidyTime(strings.TrimSpace(when))
		if why != "" {
			return "is " + quoted(text) + ": " + why, hint
		}
		h.Until = when
		return "", ""
	}
	if bad, _ := badID(text); bad != "" {
		return "is " + quoted(text) + ", which is neither a time nor the id of a [[hold]]",
			`a time is written hold = "` + holdExample + `"; hold = true holds until you take it out`
	}
	h.Group = text
	return "", ""
}

// ParseTime reads an instant as RFC 3339 writes it. Where it can't, why says what
// is wrong, so that it may stand behind a colon, and hint what to do.
func ParseTime(text string) (at time.Time, why, hint string) {
	text, why, hint = tidyTime(text)
	if why == "" {
		at, _ = time.Parse(time.RFC3339, text)
	}
	return at, why, hint
}

var (
	// RFC 3339, section 5.6, with the blank and the small letters that it allows.
	fullTime  = regexp.MustCompile(`^\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d:\d\d(\.\d+)?([Zz]|[+-]\d\d:\d\d)$`)
	noOffset  = regexp.MustCompile(`^\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d(:\d\d(\.\d+)?)?$`)
	noSeconds = regexp.MustCompile(`^\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d([Zz]|[+-]\d\d:\d\d)$`)
	onlyDay   = regexp.MustCompile(`^\d{4}-\d\d-\d\d$`)
)

// tidyTime gives an instant's text as RFC 3339 has it, or says what is wrong.
func tidyTime(text string) (tidy, why, hint string) {
	switch {
	case text == "":
		return "", "it says no time", "day, time and the time zone's offset: " + holdExample[len("until "):]
	case onlyDay.MatchString(text):
		return "", "a day without a time", "say when on that day: " + text + "T18:00:00+01:00"
	case noOffset.MatchString(text):
		return "", "a time without the time zone's offset", "add it: Z for UTC, +01:00 where clocks are an hour ahead of UTC"
	case noSeconds.MatchString(text):
		return "", "a time without seconds", "write them: " + text[:16] + ":00" + text[16:]
	case !fullTime.MatchString(text):
		return "", "no time that can be read", "day, time and the time zone's offset: " + holdExample[len("until "):]
	}
	tidy = text[:10] + "T" + strings.ToUpper(text[11:])
	if _, err := time.Parse(time.RFC3339, tidy); err != nil {
		return "", "a time that calendar and clock don't have", "look at the day of the month, the hour, and the offset"
	}
	return tidy, "", ""
}

// looksLikeTime reports whether a text begins as a time does.
func looksLikeTime(text string) bool { return len(text) >= 10 && onlyDay.MatchString(text[:10]) }

// holdHint tells how to write a hold that is no text, no yes or no and no time
// with its offset.
func holdHint(where Place, raw any) string {
	if at, ok := raw.(time.Time); ok {
		text := where.node.text
		switch at.Location().String() {
		case "date-local":
			return `say when on that day, and the time zone's offset: hold = "until ` + text + `T18:00:00+01:00"`
		case "datetime-local":
			return `add the time zone's offset: hold = "until ` + text + `Z" in UTC, or as in ` + text + "+01:00"
		}
	}
	return `a time is written hold = "` + holdExample + `"; hold = true holds until you take it out`
}
