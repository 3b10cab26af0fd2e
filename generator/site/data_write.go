package site

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"wattsheet/generator/quantity"
)

// indented writes a value as encoding/json's MarshalIndent does, with two blanks a
// level, and a line end at its end: a sheet is a megabyte, which that writes twice, by
// way of small pieces. It knows what the types of data files are made of, and panics
// for anything else.
func indented(v any) []byte {
	value := reflect.ValueOf(v)
	desk := desks.Get().(*[]byte)
	*desk = append(writerOf(value.Type(), 0)((*desk)[:0], value), '\n')
	text := bytes.Clone(*desk)
	desks.Put(desk)
	return text
}

// desks are room for files being written, used again: a file's size isn't known before.
var desks = sync.Pool{New: func() any { return new([]byte) }}

// A writeJSON adds a value of one type, at one depth, to a text.
type writeJSON func(text []byte, v reflect.Value) []byte

// writers holds what [writerOf] made.
var writers sync.Map

// A typeAt is a type at a depth: that of the whole file is 0.
type typeAt struct {
	reflect.Type
	depth int
}

var numberType, componentsType = reflect.TypeFor[number](), reflect.TypeFor[[]dataComponent]()

// writerOf makes the writer of a type at a depth, or finds it. No type holds itself.
func writerOf(t reflect.Type, depth int) writeJSON {
	if made, ok := writers.Load(typeAt{t, depth}); ok {
		return made.(writeJSON)
	}
	write := makeWriter(t, depth)
	writers.Store(typeAt{t, depth}, write)
	return write
}

func makeWriter(t reflect.Type, depth int) writeJSON {
	switch kind := t.Kind(); {
	case t == numberType:
		return func(text []byte, v reflect.Value) []byte { return number(v.Float()).append(text) }
	case kind == reflect.String:
		return func(text []byte, v reflect.Value) []byte { return appendText(text, v.String()) }
	case kind == reflect.Bool:
		return func(text []byte, v reflect.Value) []byte { return strconv.AppendBool(text, v.Bool()) }
	case kind == reflect.Int:
		return func(text []byte, v reflect.Value) []byte { return strconv.AppendInt(text, v.Int(), 10) }
	case kind == reflect.Pointer:
		write := writerOf(t.Elem(), depth)
		return func(text []byte, v reflect.Value) []byte {
			if v.IsNil() {
				return append(text, "null"...)
			}
			return write(text, v.Elem())
		}
	case t == componentsType:
		return componentsWriter(depth)
	case kind == reflect.Slice:
		return listWriter(writerOf(t.Elem(), depth+1), depth)
	case kind == reflect.Struct:
		return objectWriter(t, depth)
	}
	panic("a data file can't hold a " + t.String())
}

// line is the end of a line, and the blanks before the next.
func line(depth int) string { return "\n" + strings.Repeat("  ", depth) }

func listWriter(write writeJSON, depth int) writeJSON {
	next, end := ","+line(depth+1), line(depth)+"]"
	return func(text []byte, v reflect.Value) []byte {
		n := v.Len()
		switch {
		case v.IsNil():
			return append(text, "null"...)
		case n == 0:
			return append(text, "[]"...)
		}
		text = append(append(text, '['), next[1:]...)
		for i := range n {
			if i > 0 {
				text = append(text, next...)
			}
			text = write(text, v.Index(i))
		}
		return append(text, end...)
	}
}

// A jsonField is a field of a struct.
type jsonField struct {
	key   string // what stands before the value, from the comma on
	index int
	omit  bool // left out where it is empty
	write writeJSON
}

// componentsWriter makes the writer of components, of which a sheet has thousands: what
// the writers by reflection do, for this one type.
func componentsWriter(depth int) writeJSON {
	list := listWriter(writerOf(componentsType.Elem(), depth+1), depth)
	fields := fieldsOf(componentsType.Elem(), depth+1)
	source, contribution, sharing := "{"+fields[0].key[1:], fields[1].key, fields[2].key
	begin, next, end := "["+line(depth+1), line(depth+1)+"},"+line(depth+1), line(depth+1)+"}"+line(depth)+"]"
	return func(text []byte, v reflect.Value) []byte {
		if v.Len() == 0 || !v.CanAddr() {
			return list(text, v)
		}
		text = append(text, begin...)
		for i, c := range *v.Addr().Interface().(*[]dataComponent) {
			if i > 0 {
				text = append(text, next...)
			}
			text = appendText(append(text, source...), c.Source)
			text = c.Contribution.append(append(text, contribution...))
			if c.Sharing != "" {
				text = appendText(append(text, sharing...), c.Sharing)
			}
		}
		return append(text, end...)
	}
}

// objectWriter makes the writer of a struct.
func objectWriter(t reflect.Type, depth int) writeJSON {
	fields := fieldsOf(t, depth)
	end := line(depth) + "}"
	return func(text []byte, v reflect.Value) []byte {
		first := len(text) // the bracket takes the first comma's place
		for i := range fields {
			f := &fields[i]
			field := v.Field(f.index)
			if f.omit && empty(field) {
				continue
			}
			text = f.write(append(text, f.key...), field)
		}
		if len(text) == first {
			return append(text, "{}"...)
		}
		text[first] = '{'
		return append(text, end...)
	}
}

// fieldsOf are the fields of a struct at a depth, each of which has a name in its tag.
func fieldsOf(t reflect.Type, depth int) []jsonField {
	fields := make([]jsonField, 0, t.NumField())
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous || name == "" || name == "-" || options != "" && options != "omitempty" {
			panic("a data file can't hold the field " + t.String() + "." + f.Name)
		}
		key := "," + line(depth+1) + string(appendText(nil, name)) + ": "
		fields = append(fields, jsonField{key, i, options != "", writerOf(f.Type, depth+1)})
	}
	return fields
}

// empty reports whether a value is what a field is left out for.
func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.String, reflect.Slice:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}

// append adds the number as files have it.
func (n number) append(text []byte) []byte {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return append(text, "null"...)
	}
	return quantity.AppendFloat(text, float64(n))
}

// appendText adds a string; encoding/json writes those that need an unusual escape.
func appendText(text []byte, s string) []byte {
	var met byte
	for i := range len(s) {
		met |= odd[s[i]]
	}
	if met&rare != 0 || met&wide != 0 && unsafeInJSON(s) {
		escaped, _ := json.Marshal(s) // any string can be written
		return append(text, escaped...)
	}
	text = append(text, '"')
	if met&angle != 0 {
		return append(appendAngled(text, s), '"')
	}
	return append(append(text, s...), '"')
}

// appendAngled adds a string that may hold <, > and &, as escapes, so that it may stand in
// HTML. The names of errors that are joined hold &.
func appendAngled(text []byte, s string) []byte {
	from := 0
	for i := range len(s) {
		if odd[s[i]] == angle {
			text = append(append(text, s[from:i]...), `\u00`...)
			text = append(text, '0'+s[i]>>4, "0123456789abcdef"[s[i]&15])
			from = i + 1
		}
	}
	return append(text, s[from:]...)
}

// unsafeInJSON reports whether a text beyond ASCII can't stand as it is: the line ends
// U+2028 and U+2029 are written as escapes too.
func unsafeInJSON(s string) bool {
	return strings.Contains(s, "\u2028") || strings.Contains(s, "\u2029") || !utf8.ValidString(s)
}

// What a byte of a string asks for: more than a look at it, one of three usual escapes, or
// another one.
const (
	wide byte = 1 << iota
	angle
	rare
)

var odd = func() (odd [256]byte) {
	for c := range odd {
		switch {
		case c >= utf8.RuneSelf:
			odd[c] = wide
		case c < ' ' || c == '"' || c == '\\':
			odd[c] = rare
		case c == '<' || c == '>' || c == '&':
			odd[c] = angle
		}
	}
	return odd
}()
