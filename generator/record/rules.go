package record

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// longest is how many characters a name may have.
const longest = 300

// badText says what is wrong with a text of a key: not one of its words, or
// not of its form. It gives "" when nothing is.
func badText(f *field, text string) (why, hint string) {
	if f.words != nil {
		return badWord(f, text)
	}
	switch f.form {
	case "id":
		if why, hint := badID(text); why != "" {
			return "is " + quoted(text) + ", " + why, hint
		}
		return "", ""
	case "url":
		return badAddress(text)
	case "site":
		return badSite(text)
	case "file":
		return badFile(text)
	case "recording":
		return badRecording(text)
	case "currency":
		return badCurrency(text)
	case "language":
		return badLanguage(text)
	case "prose":
		return badProse(text)
	case "spdx":
		return badSPDX(text)
	case "path":
		return badPath(text)
	case "clock":
		return badClock(text)
	case "mark":
		return badMark(text)
	}
	return badName(text)
}

func badWord(f *field, text string) (why, hint string) {
	for _, word := range f.words {
		if word == text {
			return "", ""
		}
	}
	why = "is " + quoted(text) + "; it takes " + orList(f.words)
	near := nearest(text, f.words)
	if near == "" {
		near = otherWords[f.key][strings.ToLower(text)]
	}
	if near != "" {
		return why, "did you mean " + quoted(near) + "?"
	}
	return why, f.key + ": " + f.about
}

// longestID keeps addresses and file names short.
const longestID = 64

// badID says what is wrong with an id, which becomes part of addresses.
func badID(text string) (why, hint string) {
	good := text != "" && len(text) <= longestID && text[0] != '-' && text[len(text)-1] != '-'
	for i := 0; i < len(text) && good; i++ {
		c := text[i]
		good = c == '-' || c >= 'a' && c <= 'z' || digit(c)
	}
	if good {
		return "", ""
	}
	if utf8.RuneCountInString(text) > longestID {
		return fmt.Sprintf("which is longer than %d characters", longestID), "it becomes part of an address: keep it short"
	}
	hint = "an id has the letters a to z, digits and inner hyphens"
	if id := idLike(text); id != "" {
		hint += ": " + id
	}
	return "which can't be part of an address", hint
}

// idLike makes an id of a text, for a hint.
func idLike(text string) string {
	id := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return unicode.ToLower(r)
		case r == ' ', r == '_', r == '.', r == '/', r == '-':
			return '-'
		}
		return -1
	}, text)
	return strings.Join(strings.FieldsFunc(id, func(r rune) bool { return r == '-' }), "-")
}

// badName refuses what isn't one line of text. Markup is text like any other
// and is kept as written.
func badName(text string) (why, hint string) {
	for _, r := range text {
		switch {
		case r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029':
			return "has more than one line", "write it on one line"
		case unicode.IsControl(r):
			return fmt.Sprintf("has the control character U+%04X in it", r), "type the text again; the character can't be seen in an editor"
		}
	}
	if n := utf8.RuneCountInString(text); n > longest {
		return fmt.Sprintf("has %d characters; at most %d fit", n, longest), "shorten it; what is longer belongs in the notes"
	}
	return "", ""
}

func badProse(text string) (why, hint string) {
	for _, r := range text {
		if unicode.IsControl(r) && r != '\n' && r != '\r' && r != '\t' {
			return fmt.Sprintf("has the control character U+%04X in it", r), "type the text again; the character can't be seen in an editor"
		}
	}
	return "", ""
}

func badAddress(text string) (why, hint string) {
	if why, hint := badName(text); why != "" {
		return why, hint
	}
	if i := strings.IndexAny(text, " \"<>\\"); i >= 0 {
		return "has " + quoted(text[i:i+1]) + " in it, which no web address has", fmt.Sprintf("copy the address from the browser's bar; there it is %%%02X", text[i])
	}
	u, err := url.Parse(text)
	switch {
	case err != nil || u.Hostname() == "" || u.Scheme != "https" && u.Scheme != "http":
		return "is " + quoted(text) + ", which is no web address", "write it in full, as in https://example.org/"
	case u.User != nil:
		return "has a user's name in it", "leave out what stands before the @"
	}
	return "", ""
}

// badSite says what is wrong with the address of a whole site, which paths are put behind and
// which stands in the files of hosts, where * and : in a path stand for something else.
func badSite(text string) (why, hint string) {
	if why, hint := badAddress(text); why != "" {
		return why, hint
	}
	if strings.ContainsAny(text, "?#") {
		return "is " + quoted(text) + ", which no page can stand below", "leave out what begins with ? or #, as in https://example.org/amps/"
	}
	u, _ := url.Parse(text) // badAddress has done so
	for _, folder := range strings.Split(strings.TrimSuffix("/"+strings.TrimPrefix(u.Path, "/"), "/"), "/")[1:] {
		switch {
		case folder == "" || folder == "." || folder == "..":
			return "is " + quoted(text) + ", whose path has an empty folder, or one of points", "write the path as browsers show it, as in https://example.org/amps/"
		case strings.Contains(folder, "*") || folder[0] == ':':
			return "is " + quoted(text) + ", and hosts take * and : in a path for something else", "name the folder without them"
		case strings.HasPrefix(strings.ToLower(folder), "index.htm"):
			return "is " + quoted(text) + ", a page of the site and not its folder", "leave out " + folder + ": " + text[:strings.LastIndex(text, folder)]
		}
	}
	return "", ""
}

var (
	currencyForm = regexp.MustCompile(`^[A-Z]{3}$`)
	// The language subtag of RFC 5646, section 2.2.1: two or three letters; those
	// of four are reserved and of five to eight none is registered.
	languageForm = regexp.MustCompile(`^[A-Za-z]{2,3}(-[A-Za-z0-9]{1,8})*$`)
)

func badCurrency(text string) (why, hint string) {
	if currencyForm.MatchString(text) {
		return "", ""
	}
	hint = "three capital letters, as in EUR, GBP or USD"
	if up := strings.ToUpper(text); currencyForm.MatchString(up) {
		hint = "in capital letters: " + up
	}
	return "is " + quoted(text) + ", which is no currency code", hint
}

func badLanguage(text string) (why, hint string) {
	if languageForm.MatchString(text) {
		return "", ""
	}
	hint = "a language tag, as in en, de or pt-BR"
	if dashed := strings.ReplaceAll(text, "_", "-"); languageForm.MatchString(dashed) {
		hint = "with a hyphen: " + dashed
	}
	return "is " + quoted(text) + ", which is no language tag", hint
}

// The license-id of SPDX 2.3, annex D.2: letters, digits, hyphens and full stops.
var spdxForm = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9.-]{0,63}$`)

func badSPDX(text string) (why, hint string) {
	if spdxForm.MatchString(text) {
		return "", ""
	}
	hint = "an identifier of the SPDX list, as in CC-BY-4.0; leave it out where the licence isn't in there"
	if dashed := strings.ReplaceAll(strings.TrimSpace(text), " ", "-"); spdxForm.MatchString(dashed) {
		hint = "without blanks: " + dashed
	}
	return "is " + quoted(text) + ", which is no identifier of a licence", hint
}
