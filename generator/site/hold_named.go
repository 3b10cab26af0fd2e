package site

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"wattsheet/generator/record"
)

// A link or a reference to what is held is an error. That words name it can only be
// guessed, so it is a warning: the id of a held run, such as r07, in a text of its unit, the name
// of a held unit in any text.

// A mention is where a text names something that is kept back.
type mention struct {
	held       *record.Held
	at, length int // in bytes
}

// mentions finds what a text of a unit, or for an empty slug of the site, names.
func (k keptBack) mentions(slug, text string) (found []mention) {
	for i := range k.held {
		h := &k.held[i]
		name := ""
		switch {
		case h.Kind == "unit" && h.Slug != slug:
			name = k.names[h.Slug]
		case h.Kind == "run" && h.Slug == slug && strings.ContainsAny(h.Name, "0123456789"): // else it may be any word
			name = h.Name
		}
		if name == "" || !h.Opens.After(k.at) {
			continue
		}
		if at := word(text, name); at >= 0 {
			found = append(found, mention{h, at, len(name)})
		}
	}
	return found
}

// word is where a name stands in a text by itself; −1 where it doesn't.
func word(text, name string) int {
	part := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_' }
	for from := 0; ; {
		i := strings.Index(text[from:], name)
		if i < 0 {
			return -1
		}
		at := from + i
		before, _ := utf8.DecodeLastRuneInString(text[:at])
		after, _ := utf8.DecodeRuneInString(text[at+len(name):])
		if !part(before) && !part(after) {
			return at
		}
		from = at + len(name)
	}
}

func (m mention) says() (summary, hint string) {
	return "this names " + m.held.Called() + ", which is " + m.held.When(), "take it out until then, if it tells something of what is held"
}

// mentioned warns of what a text node names.
func (r *reader) mentioned(n *ast.Text) {
	slug, _ := strings.CutPrefix(r.Page, unitsFolder+"/")
	if slug == r.Page {
		slug = ""
	}
	for _, m := range r.Back.mentions(strings.Trim(slug, "/"), string(n.Segment.Value(r.source))) {
		summary, hint := m.says()
		r.problem(record.Warning, n.Segment.Start+m.at, m.length, summary, hint)
	}
}

// remarked warns of what the texts of the records name that can be seen.
func (s *Site) remarked() (problems record.Problems) {
	back := s.now()
	if len(back.held) == 0 {
		return nil
	}
	for _, r := range s.Content.Records {
		see := func(of record.Place, key, text string) {
			for _, m := range back.mentions(r.Slug, text) {
				summary, hint := m.says()
				p := of.Key(key).Problem(summary, hint)
				p.Severity = record.Warning
				problems = append(problems, p)
			}
		}
		see(r.Settings.Place, "remarks", r.Settings.Remarks)
		see(r.Source.Place, "remarks", r.Source.Remarks)
		for _, one := range r.Runs {
			see(one.Place, "remarks", one.Remarks)
			see(one.Place, "invalid", one.Invalid)
		}
		for _, one := range r.Specs {
			see(one.Place, "remarks", one.Remarks)
			see(one.Place, "how", one.How)
		}
		for _, one := range r.Functions {
			see(one.Place, "remarks", one.Remarks)
			see(one.Place, "how", one.How)
		}
		for _, one := range r.Thermals {
			see(one.Place, "how", one.How)
		}
		for _, one := range r.Opinions {
			see(one.Place, "text", one.Text)
		}
		for _, one := range r.Contacts {
			see(one.Place, "about", one.About)
		}
		if r.Reply.Given() {
			see(r.Reply.Place, "text", r.Reply.Text)
		}
		for _, one := range r.Corrections {
			see(one.Place, "reason", one.Reason)
			see(one.Place, "effect", one.Effect)
		}
		for _, one := range r.Pictures {
			see(one.Place, "shows", one.Shows)
			see(one.Place, "caption", one.Caption)
			for _, c := range one.Callouts {
				see(c.Place, "text", c.Text)
			}
		}
	}
	return problems
}
