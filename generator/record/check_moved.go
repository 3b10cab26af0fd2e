package record

import (
	"regexp"
	"strings"
)

// pathForm matches the address of a page from the site's root: folders of plain names,
// with a slash at the end.
var pathForm = regexp.MustCompile(`^/([A-Za-z0-9_][A-Za-z0-9._~-]*/)+$`)

// longestPath keeps a line of a redirect file, which has two of them, below its limit.
const longestPath = 400

// badPath says what is wrong with the address of a page within the site.
func badPath(text string) (why, hint string) {
	switch {
	case strings.Contains(text, "://"):
		return "is " + quoted(text) + ", an address with the site's name in it", "begin it behind the name, as in /units/old-name/"
	case len(text) > longestPath:
		return "is longer than an address of the site can be", "name one page, as in /units/old-name/"
	case !pathForm.MatchString(text):
		return "is " + quoted(text) + ", which is no address of a page of the site", "it begins and ends with a slash, as in /units/old-name/"
	}
	return "", ""
}

// moved checks that each old address leads to one new one, and none in a circle.
func (k *checker) moved(s *Site) {
	first := map[string]bool{}
	for i := range s.Moved {
		first[s.Moved[i].From] = true
	}
	seen := map[string]bool{}
	for i := range s.Moved {
		m := &s.Moved[i]
		switch {
		case m.From == "" || m.To == "": // it has a problem of its own
		case seen[m.From]:
			k.problems = append(k.problems, m.Key("from").Problem(m.From+" stands in two [[moved]]", "an old address leads to one new one: leave one of them out"))
		case first[m.To]:
			k.problems = append(k.problems, m.Key("to").Problem(m.To+" has moved itself", "name the address that the page has now"))
		}
		seen[m.From] = true
	}
}
