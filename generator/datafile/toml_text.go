package datafile

import (
	"regexp"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A tomlText is a content file as it is written anew from a published sheet. What
// a published file holds is untrusted: a text is always quoted, and a number or a
// date is only written bare when it has the shape of one.
type tomlText struct{ strings.Builder }

func (t *tomlText) head(name string) { t.WriteString("\n" + name + "\n") }

func (t *tomlText) bare(key, value string) { t.WriteString(key + " = " + value + "\n") }

// text writes a text; an absent one is left out.
func (t *tomlText) text(key, value string) {
	if value != "" {
		t.bare(key, record.Quote(value))
	}
}

func (t *tomlText) texts(key string, values []string) {
	if len(values) == 0 {
		return
	}
	quoted := make([]string, len(values))
	for i, v := range values {
		quoted[i] = record.Quote(v)
	}
	t.bare(key, "["+strings.Join(quoted, ", ")+"]")
}

func (t *tomlText) flag(key string, value bool) {
	if value {
		t.bare(key, "true")
	}
}

func (t *tomlText) number(key string, n number) { t.bare(key, quantity.Float(float64(n))) }

// given writes a number that may be absent.
func (t *tomlText) given(key string, n *number) {
	if n != nil {
		t.number(key, *n)
	}
}

func (t *tomlText) numbers(key string, list []number) {
	texts := make([]string, len(list))
	for i, n := range list {
		texts[i] = quantity.Float(float64(n))
	}
	t.list(key, texts)
}

// typed writes a number as it was typed.
func (t *tomlText) typed(key string, texts ...string) {
	safe := make([]string, len(texts))
	for i, text := range texts {
		if safe[i] = text; !numberShape.MatchString(text) {
			safe[i] = record.Quote(text)
		}
	}
	t.list(key, safe)
}

func (t *tomlText) list(key string, items []string) {
	switch len(items) {
	case 0:
	case 1:
		t.bare(key, items[0])
	default:
		t.bare(key, "["+strings.Join(items, ", ")+"]")
	}
}

// date writes a day or a moment.
func (t *tomlText) date(key, value string) {
	switch {
	case value == "":
	case dateShape.MatchString(value):
		t.bare(key, value)
	default:
		t.text(key, value)
	}
}

var (
	numberShape = regexp.MustCompile(`^[+-]?[0-9][0-9_]{0,40}(\.[0-9_]{1,40})?([eE][+-]?[0-9]{1,4})?$`)
	dateShape   = regexp.MustCompile(`^\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:\d\d))?$`)
)
