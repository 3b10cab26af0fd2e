package record

import (
	"strconv"
	"strings"
	"time"
)

// Most files are plain: bare keys in tables with heads of their own, texts without
// escapes, numbers and dates in their usual form. Such a file's values follow from the
// scanner's tree alone, for a fraction of the work. Whatever isn't plain, or doesn't
// decode without a problem, goes to the TOML decoder, which stays the authority; a test
// and a fuzzer hold the two together.

// keyed is what a table holds.
type keyed interface {
	has(key string) bool
	// value is what a key is; kid is where it stands.
	value(key string, kid *node) any
}

// byAuthority is a table as the TOML decoder gives it.
type byAuthority map[string]any

func (t byAuthority) has(key string) bool             { _, has := t[key]; return has }
func (t byAuthority) value(key string, kid *node) any { return t[key] }

// byTree is a plain table: what stands in the tree is what it holds.
type byTree struct{}

func (byTree) has(string) bool { return false } // but for what the tree shows

func (byTree) value(_ string, kid *node) any { return plainValue(kid) }

// treeTables is a plain array of so many tables.
type treeTables int

// notPlain stands for a value that isn't plain.
type notPlain struct{}

// plain reports whether a text may be read without the authority: it has nothing that
// the scanner takes and TOML doesn't, values apart.
func (s *scanner) plain() bool {
	if s.fault != nil || s.again != nil || s.odd {
		return false
	}
	for i := range len(s.text) {
		if c := s.text[i]; c < ' ' && c != '\n' && c != '\t' || c == 0x7f {
			return false
		}
	}
	return true
}

// plainValue is what a plain value means.
func plainValue(n *node) any {
	switch text := n.text; {
	case n.list:
		return plainList(n.items)
	case text == "":
		return byTree{}
	case text == "true":
		return true
	case text == "false":
		return false
	case text[0] == '"' || text[0] == '\'':
		if len(text) >= 6 && text[1] == text[0] || strings.IndexByte(text, '\\') >= 0 { // of several lines, or with escapes
			return notPlain{}
		}
		return text[1 : len(text)-1]
	case len(text) > 4 && text[4] == '-':
		return plainTime(text)
	}
	return plainNumber(n.text)
}

func plainList(items []*node) any {
	tables := 0
	for _, item := range items {
		if item.text == "" && !item.list {
			tables++
		}
	}
	if tables > 0 {
		if tables < len(items) {
			return notPlain{}
		}
		return treeTables(len(items))
	}
	out := make([]any, len(items))
	for i, item := range items {
		out[i] = plainValue(item)
	}
	return out
}

// plainNumber reads a decimal number without underscores: TOML's integers and floats
// but for those with other bases, inf and nan.
func plainNumber(text string) any {
	rest := text
	if rest[0] == '+' || rest[0] == '-' {
		rest = rest[1:]
	}
	whole := digits(rest)
	if whole == 0 || whole > 1 && rest[0] == '0' {
		return notPlain{}
	}
	rest = rest[whole:]
	if rest == "" {
		if whole > 18 {
			return notPlain{}
		}
		v, err := strconv.ParseInt(text, 10, 64)
		return orNot(v, err)
	}
	if rest[0] == '.' {
		n := digits(rest[1:])
		if n == 0 {
			return notPlain{}
		}
		rest = rest[1+n:]
	}
	if rest != "" && (rest[0] == 'e' || rest[0] == 'E') {
		rest = rest[1:]
		if rest != "" && (rest[0] == '+' || rest[0] == '-') {
			rest = rest[1:]
		}
		n := digits(rest)
		if n == 0 {
			return notPlain{}
		}
		rest = rest[n:]
	}
	if rest != "" {
		return notPlain{}
	}
	v, err := strconv.ParseFloat(text, 64)
	return orNot(v, err)
}

func orNot(v any, err error) any {
	if err != nil {
		return notPlain{}
	}
	return v
}

// digits counts the digits that a text begins with.
func digits(text string) int {
	n := 0
	for n < len(text) && digit(text[n]) {
		n++
	}
	return n
}

// dateLocal is how the TOML decoder marks a day without a time.
var dateLocal = time.FixedZone("date-local", 0)

// plainTime reads a day, or an instant with whole seconds and its offset.
func plainTime(text string) any {
	layout, zone := time.DateOnly, dateLocal
	if len(text) > len(time.DateOnly) {
		layout, zone = time.RFC3339, time.UTC
		if last := text[len(text)-1]; len(text) != len("2026-10-09T14:05:00Z") && len(text) != len("2026-10-09T14:05:00+02:00") || last != 'Z' && !digit(last) || text[10] != 'T' {
			return notPlain{}
		}
	}
	t, err := time.ParseInLocation(layout, text, zone)
	return orNot(t, err)
}
