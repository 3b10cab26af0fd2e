package record

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// A kind is what a key takes.
type kind int

const (
	aText kind = iota
	texts
	aFlag
	aNumber
	numbers
	aRef
	refs
	aDate
	aMoment
	aHold
	aTable
	tables
)

// needed says what a kind takes, for messages.
var needed = map[kind]string{
	aText: "a text is needed", texts: "a list of texts is needed",
	aFlag: "true or false is needed", aNumber: "a number is needed",
	numbers: "a number or a list of numbers is needed",
	aRef:    "a text is needed", refs: "a text or a list of texts is needed",
	aDate: "a date is needed", aMoment: "a date and time with its offset is needed",
	aHold:  `a time, as "until 2026-12-05T18:00:00+01:00", true, or the id of a [[hold]] is needed`,
	aTable: "a table is needed", tables: "tables are needed",
}

// A schema is what the tags of a struct say: the keys of one kind of table.
type schema struct {
	fields []field
	byKey  map[string]*field
	place  int // index of the embedded Place
}

// A field is one key of a schema.
type field struct {
	key, about string
	index      int // in the struct
	order      int // among the schema's fields
	kind       kind
	need       bool
	bounds     bounds
	words      []string
	form       string
	otherwise  string // what is taken when the key is absent
	falls      bool   // something is, for the key or within its table
	sub        *schema
}

// bounds are the limits of a number; a strict bound is itself excluded.
type bounds struct {
	low, high             float64
	strictLow, strictHigh bool
}

var schemas sync.Map // reflect.Type to *schema

// schemaOf gives the schema of a struct type. A slip in a tag is a slip in the
// program and panics; a test goes through all of them.
func schemaOf(t reflect.Type) *schema {
	if known, ok := schemas.Load(t); ok {
		return known.(*schema)
	}
	s := &schema{byKey: map[string]*field{}}
	for i := range t.NumField() {
		sf := t.Field(i)
		if sf.Type == reflect.TypeFor[Place]() {
			s.place = i
		}
		if key := sf.Tag.Get("toml"); key != "" && key != "-" {
			s.fields = append(s.fields, fieldOf(key, i, sf))
		}
	}
	for i := range s.fields {
		f := &s.fields[i]
		f.order, s.byKey[f.key] = i, f
		f.falls = f.otherwise != "" || f.kind == aTable && slices.ContainsFunc(f.sub.fields, func(sub field) bool { return sub.falls })
	}
	known, _ := schemas.LoadOrStore(t, s)
	return known.(*schema)
}

func fieldOf(key string, index int, sf reflect.StructField) field {
	tag := sf.Tag
	f := field{
		key: key, about: tag.Get("about"), index: index, need: tag.Get("need") == "yes",
		form: tag.Get("form"), otherwise: tag.Get("else"), bounds: boundsOf(tag),
	}
	if one := tag.Get("one"); one != "" {
		f.words = strings.Split(one, "|")
	}
	f.kind = kindOf(sf.Type)
	switch f.kind {
	case aTable:
		f.sub = schemaOf(sf.Type)
	case tables:
		f.sub = schemaOf(sf.Type.Elem())
	}
	return f
}

func kindOf(t reflect.Type) kind {
	switch t {
	case reflect.TypeFor[string]():
		return aText
	case reflect.TypeFor[[]string]():
		return texts
	case reflect.TypeFor[bool]():
		return aFlag
	case reflect.TypeFor[Number]():
		return aNumber
	case reflect.TypeFor[Numbers]():
		return numbers
	case reflect.TypeFor[Ref]():
		return aRef
	case reflect.TypeFor[Refs]():
		return refs
	case reflect.TypeFor[Date]():
		return aDate
	case reflect.TypeFor[Moment]():
		return aMoment
	case reflect.TypeFor[Hold]():
		return aHold
	}
	switch {
	case t.Kind() == reflect.Struct:
		return aTable
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Struct:
		return tables
	}
	panic(fmt.Sprintf("record: no key can be a %v", t))
}

func boundsOf(tag reflect.StructTag) bounds {
	b := bounds{low: math.Inf(-1), high: math.Inf(1)}
	read := func(name string, to *float64) bool {
		text, ok := tag.Lookup(name)
		if !ok {
			return false
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			panic("record: tag " + name + ": " + err.Error())
		}
		*to = v
		return true
	}
	read("min", &b.low)
	read("max", &b.high)
	b.strictLow = read("above", &b.low)
	b.strictHigh = read("below", &b.high)
	return b
}

// holds reports whether a number lies within the bounds.
func (b bounds) holds(v float64) bool {
	if v < b.low || v > b.high {
		return false
	}
	return !(b.strictLow && v == b.low) && !(b.strictHigh && v == b.high)
}

// String says the bounds: "above 0 and at most 1000".
func (b bounds) String() string {
	var parts []string
	if !math.IsInf(b.low, 0) {
		parts = append(parts, choose(b.strictLow, "above ", "at least ")+plain(b.low))
	}
	if !math.IsInf(b.high, 0) {
		parts = append(parts, choose(b.strictHigh, "below ", "at most ")+plain(b.high))
	}
	return strings.Join(parts, " and ")
}

func choose(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
