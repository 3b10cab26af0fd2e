package site

import (
	"html/template"
	"strings"
	"time"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// nbsp stands between a number and its unit.
const nbsp = "\u00a0"

// A link is one address with its text, both ready for a template.
type link struct {
	Href string // the address
	Text string // what stands there for a reader
}

// A links is the runs that something is about: a page has hundreds.
type links []link

// Joined writes them with commas between, as the template "runs" does, which a theme
// may also range over them with.
func (l links) Joined() template.HTML {
	return drafted(func(d *draft) {
		for i, one := range l {
			if i > 0 {
				d.raw(", ")
			}
			d.link(one.Href, one.Text)
		}
	})
}

// A day is a date for machines (YYYY-MM-DD) and for people (9 October 2026).
// The zero day was not given.
type day struct {
	ISO  string // for machines: 2026-10-09; empty where what was written is no date
	Text string // for people: 9 October 2026; empty where none was given
}

// dayOf writes a date for people; what is no date stays as it was written.
func dayOf(iso string) day {
	t, err := time.Parse(time.DateOnly, iso)
	if err != nil {
		return day{"", iso}
	}
	return day{iso, t.Format("2 January 2006")}
}

// escape makes a text safe as element content and in a quoted attribute.
func escape(s string) string { return template.HTMLEscapeString(s) }

// figureOf writes a number of a record as it was typed, with the sign that
// people read; "" where none was written.
func figureOf(n record.Number) string {
	text := n.Text
	if text == "" {
		if n.Value == 0 {
			return ""
		}
		text = quantity.Float(n.Value)
	}
	if strings.ContainsAny(text, "_eExXob") {
		text = quantity.Float(n.Value)
	}
	text = strings.TrimPrefix(text, "+")
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		return "−" + rest
	}
	return text
}

// with writes a number of a record with its unit; "" where none was written.
func with(n record.Number, unit string) string {
	text := figureOf(n)
	if text == "" {
		return ""
	}
	return text + nbsp + unit
}

// figuresOf writes several numbers of a record, joined, with their unit.
func figuresOf(n record.Numbers, joint, unit string) string {
	texts := make([]string, 0, len(n.Items))
	for _, item := range n.Items {
		texts = append(texts, figureOf(item))
	}
	if len(texts) == 0 {
		return ""
	}
	return strings.Join(texts, joint) + nbsp + unit
}

// and joins words for people: "a", "a and b", "a, b and c".
func and(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// capital puts the first letter of a text in upper case.
func capital(s string) string {
	for i, r := range s {
		if i == 0 {
			return strings.ToUpper(string(r)) + s[len(string(r)):]
		}
	}
	return s
}

// sentence gives a text a capital and a full stop, unless it ends a sentence
// already.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return capital(s)
}

// paragraphs splits a prose text of a record at its blank lines.
func paragraphs(s string) []string {
	var out []string
	for _, part := range strings.Split(strings.ReplaceAll(s, "\r\n", "\n"), "\n\n") {
		if part = strings.Join(strings.Fields(part), " "); part != "" {
			out = append(out, part)
		}
	}
	return out
}

// nearest gives the word that a mistyped one was most likely meant to be, or ""
// when none is near.
func nearest(word string, words []string) string {
	best, least := "", len(word)/2+1
	for _, w := range words {
		if d := record.Distance(word, w); d < least {
			best, least = w, d
		}
	}
	return best
}
