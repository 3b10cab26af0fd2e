package theme

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// What html/template says of a mistake is made into what an author of a theme can mend it by.
var (
	noField    = regexp.MustCompile(`^executing ".*?" at <(.*)>: can't evaluate field (\w+) in type (?:\*|\[\])*(?:\w+\.)?(\w*)`)
	noFunction = regexp.MustCompile(`^function "(\w+)" not defined$`)
	noPart     = regexp.MustCompile(`^no such template "(.*)"$`)
	openBrace  = regexp.MustCompile(`^unclosed action started at [a-z]+\.html:(\d+)$`)
	branches   = regexp.MustCompile(`^(\{\{\w+\}\}) branches end in different contexts`)
	inContext  = regexp.MustCompile(`^html/template:(\w+): (.*)$`) // by the part's name, without a line
	fieldNames = regexp.MustCompile(`\.([A-Z]\w*)`)
	partNames  = regexp.MustCompile(`\{\{-? *(?:define|block) "([^"]+)"`)
	actions    = regexp.MustCompile(`\{\{-?\s*(/\*|if|range|with|define|block|end)\b?`)
)

// builtinFunctions are what templates may call (text/template, Functions).
var builtinFunctions = []string{"and", "call", "eq", "ge", "gt", "html", "index", "js", "le", "len", "lt", "ne", "not", "or", "print", "printf", "println", "slice", "urlquery"}

// mended says of a mistake in a template what is wrong in words that an author of a theme knows, and where to begin: it
// may give another place than it gets.
func (t Theme) mended(name string, text []byte, at, length int, said string) (int, int, string, string) {
	hint := "compare it with the built-in template " + name
	built, _ := fs.ReadFile(Default().Files, "pages/"+name) // none for a name of the site's own
	switch {
	case noField.MatchString(said):
		m := noField.FindStringSubmatch(said)
		hint = "contract.md, which wattsheet start theme writes, lists the fields"
		if near := nearWord(m[2], fieldNames, built); near != "" {
			hint = "did you mean ." + near + "? " + hint
		}
		return at, length, fmt.Sprintf("%s asks for the field %s, which a %s doesn't have", m[1], m[2], m[3]), hint
	case noFunction.MatchString(said):
		if i := bytes.LastIndex(text[:at], []byte("{{")); i >= 0 && !bytes.Contains(text[i:at], []byte("}}")) && bytes.Contains(text[i:at], []byte("\n")) {
			return unclosed(text, i) // what was read as a function is text behind it
		}
		word := noFunction.FindStringSubmatch(said)[1]
		if i := regexp.MustCompile(`\b` + word + `\b`).FindIndex(text[at:min(at+length, len(text))]); i != nil {
			at, length = at+i[0], len(word)
		}
		return at, length, said, "there are these: " + strings.Join(builtinFunctions, ", ")
	case noPart.MatchString(said):
		hint = "pages/parts.html defines what several pages show"
		shared, _ := fs.ReadFile(Default().Files, "pages/parts.html")
		if near := nearWord(noPart.FindStringSubmatch(said)[1], partNames, append(shared, text...)); near != "" {
			hint = fmt.Sprintf("did you mean %q? %s", near, hint)
		}
		return at, length, said, hint
	case openBrace.MatchString(said):
		if i := lastOpenBrace(text); i >= 0 {
			return unclosed(text, i)
		}
	case said == "unexpected EOF":
		if open, last, _ := nested(text); len(open) > 0 {
			return unended(text, open[len(open)-1], last)
		}
	case branches.MatchString(said):
		return at, length, "the branches of this " + branches.FindStringSubmatch(said)[1] + " leave the page's HTML in different states", "what only one of them opens, such as a quote or a tag, has to be closed in it"
	case strings.HasPrefix(said, "unexpected {{end}}"):
		return at, length, "this {{end}} ends nothing", "take it out, or put back what it ended; " + hint
	}
	return at, length, said, hint
}

// nearWord is the name in a text that another one was most likely meant to be; or "".
func nearWord(word string, names *regexp.Regexp, text []byte) string {
	best, least := "", len(word)/4+2
	for _, m := range names.FindAllSubmatch(text, -1) {
		if d := record.Distance(strings.ToLower(word), strings.ToLower(string(m[1]))); d < least {
			best, least = string(m[1]), d
		}
	}
	return best
}

// lastOpenBrace is where an action begins that doesn't end on its line.
func lastOpenBrace(text []byte) int {
	at := 0
	for line := range bytes.Lines(text) {
		if i := bytes.LastIndex(line, []byte("{{")); i >= 0 && !bytes.Contains(line[i:], []byte("}}")) {
			return at + i
		}
		at += len(line)
	}
	return -1
}

// unclosed is the mistake of an action that doesn't end on its line.
func unclosed(text []byte, at int) (int, int, string, string) {
	rest, _, _ := bytes.Cut(text[at:], []byte("\n"))
	return at, len(bytes.TrimRight(rest, " \t\r")), "this action has no }}", "end it with }} on the same line"
}

// unended is the mistake that an {{end}} is missing: of an action that is open when the text ends, or of the one within it
// that took the last {{end}}, which may have been meant for the outer one.
func unended(text []byte, open, last int) (int, int, string, string) {
	whole := func(at int) string {
		if i := bytes.Index(text[at:], []byte("}}")); i >= 0 {
			return string(text[at : at+i+2])
		}
		return string(text[at:])
	}
	outer := whole(open)
	if last < open {
		return open, len(outer), outer + " has no {{end}}", "put {{end}} behind what belongs to it"
	}
	inner := whole(last)
	return last, len(inner), fmt.Sprintf("an {{end}} is missing: of this %s, or of %s in line %d", inner, outer, 1+bytes.Count(text[:open], []byte("\n"))),
		"each of them needs one of its own; put it behind what belongs to it"
}

// nested follows what actions begin and end. It gives where those begin that are open at the end, where the one begins
// that ended last, if that was on a later line, and where text stands first that is in no define; -1 for none.
func nested(text []byte) (open []int, last, outside int) {
	last, outside = -1, -1
	at := 0
	loose := func(to int) {
		if outside < 0 && len(open) == 0 {
			if i := bytes.IndexFunc(text[at:to], func(r rune) bool { return !strings.ContainsRune(" \t\r\n\ufeff", r) }); i >= 0 {
				outside = at + i
			}
		}
	}
	for at < len(text) {
		next := actions.FindSubmatchIndex(text[at:])
		if next == nil {
			break
		}
		from, word, to := at+next[0], string(text[at+next[2]:at+next[3]]), at+next[1]
		loose(from)
		end := []byte("}}")
		if word == "/*" {
			end = []byte("*/")
		}
		if i := bytes.Index(text[to:], end); i >= 0 {
			to += i + 2
		}
		switch word {
		case "/*":
			if i := bytes.Index(text[to:], []byte("}}")); i >= 0 {
				to += i + 2
			}
		case "end":
			if last = -1; len(open) > 0 {
				if begun := open[len(open)-1]; bytes.Contains(text[begun:from], []byte("\n")) {
					last = begun
				}
				open = open[:len(open)-1]
			}
		default:
			open = append(open, from)
		}
		at = to
	}
	loose(len(text))
	return open, last, outside
}

// unseen warns of text in the site's own templates that stands in no define: no page shows it.
func (t Theme) unseen(known []string) (problems record.Problems) {
	for _, name := range known {
		text, err := fs.ReadFile(t.own, name)
		if path.Dir(name) != "pages" || err != nil || !bytes.Contains(text, []byte("define")) {
			continue // a template without any is an error
		}
		open, _, outside := nested(text)
		if outside < 0 || len(open) > 0 {
			continue
		}
		f := &record.File{Name: path.Join(t.Folder, name), Text: text}
		line, _, _ := bytes.Cut(text[outside:], []byte("\n"))
		problems = append(problems, f.Problem(record.Warning, outside, len(bytes.TrimRight(line, " \t\r")),
			"no page shows this: it stands outside of every {{define}}", `put it between {{define "main"}} and its {{end}}`))
	}
	return slices.Clip(problems)
}
