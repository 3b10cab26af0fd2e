package datafile

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"wattsheet/generator/quantity"
)

// laidOut writes a value as JSON, with a line end at its end: a sheet is a megabyte, which
// encoding/json writes twice, by way of small pieces. Texts and numbers are as that writes
// them, blanks and line ends as people read them:
//
//   - A list or an object that has no list or object in it stands on one line.
//   - Of any other list each member begins a line.
//   - Members of any other object fill lines of up to [lineBytes]; one that has a list or an
//     object in it has lines of its own.
//
// It knows what the types of data files are made of, and panics for anything else. The text
// is on a desk of its own: see [Clear].
func laidOut(v any) []byte {
	value := reflect.ValueOf(v)
	desk := fileDesks.Get().(*[]byte)
	return append(writerOf(value.Type()).append((*desk)[:0], value, 0), '\n')
}

// fileDesks are room for files being written, used again: a file's size isn't known before.
var fileDesks = sync.Pool{New: func() any { return new([]byte) }}

// Clear gives the room of a file back that was written on a desk of its own, when nobody
// needs its bytes any more.
func Clear(file []byte) { fileDesks.Put(&file) }

// lineBytes is how long a line gets that several members share, its blanks included. It is
// longer only where it has one member.
const lineBytes = 120

// margins is the end of a line, and the blanks before the next at the largest depth.
const margins = "\n                                                                "

// line is the end of a line, and two blanks for each level before the next.
func line(depth int) string { return margins[:1+2*depth] }

// A jsonWriter writes values of one type.
type jsonWriter struct {
	// write adds a value, at a depth: the whole file's is 0. broken is what breaks says of it.
	write func(text []byte, v reflect.Value, depth int, broken bool) []byte
	// nests reports whether a value is a list or an object, breaks whether it has one in it;
	// both are nil for what never is.
	nests, breaks func(v reflect.Value) bool
}

// append adds a value at a depth.
func (w *jsonWriter) append(text []byte, v reflect.Value, depth int) []byte {
	return w.write(text, v, depth, w.breaks != nil && w.breaks(v))
}

// writers holds what [writerOf] made.
var writers sync.Map

var numberType = reflect.TypeFor[number]()

// writerOf makes the writer of a type, or finds it. No type holds itself.
func writerOf(t reflect.Type) *jsonWriter {
	if made, ok := writers.Load(t); ok {
		return made.(*jsonWriter)
	}
	w := makeWriter(t)
	writers.Store(t, w)
	return w
}

func makeWriter(t reflect.Type) *jsonWriter {
	switch kind := t.Kind(); {
	case t == numberType:
		return &jsonWriter{write: func(text []byte, v reflect.Value, _ int, _ bool) []byte { return number(v.Float()).append(text) }}
	case kind == reflect.String:
		return &jsonWriter{write: func(text []byte, v reflect.Value, _ int, _ bool) []byte { return AppendQuoted(text, v.String()) }}
	case kind == reflect.Bool:
		return &jsonWriter{write: func(text []byte, v reflect.Value, _ int, _ bool) []byte { return strconv.AppendBool(text, v.Bool()) }}
	case kind == reflect.Int:
		return &jsonWriter{write: func(text []byte, v reflect.Value, _ int, _ bool) []byte { return strconv.AppendInt(text, v.Int(), 10) }}
	case kind == reflect.Pointer:
		return pointerWriter(writerOf(t.Elem()))
	case t == componentsType:
		return componentsWriter
	case kind == reflect.Slice:
		return listWriter(writerOf(t.Elem()))
	case kind == reflect.Struct:
		return objectWriter(fieldsOf(t))
	}
	panic("a data file can't hold a " + t.String())
}

func pointerWriter(to *jsonWriter) *jsonWriter {
	w := &jsonWriter{write: func(text []byte, v reflect.Value, depth int, broken bool) []byte {
		if v.IsNil() {
			return append(text, "null"...)
		}
		return to.write(text, v.Elem(), depth, broken)
	}}
	if to.nests != nil {
		w.nests = func(v reflect.Value) bool { return !v.IsNil() && to.nests(v.Elem()) }
	}
	if to.breaks != nil {
		w.breaks = func(v reflect.Value) bool { return !v.IsNil() && to.breaks(v.Elem()) }
	}
	return w
}

func listWriter(member *jsonWriter) *jsonWriter {
	w := &jsonWriter{nests: func(v reflect.Value) bool { return !v.IsNil() }}
	if member.nests != nil {
		w.breaks = func(v reflect.Value) bool {
			for i := range v.Len() {
				if member.nests(v.Index(i)) {
					return true
				}
			}
			return false
		}
	}
	w.write = func(text []byte, v reflect.Value, depth int, broken bool) []byte {
		if v.IsNil() {
			return append(text, "null"...)
		}
		begin, between, end := "", " ", ""
		if broken {
			begin, between, end = line(depth+1), line(depth+1), line(depth)
		}
		text = append(append(text, '['), begin...)
		for i := range v.Len() {
			if i > 0 {
				text = append(append(text, ','), between...)
			}
			text = member.append(text, v.Index(i), depth+1)
		}
		return append(append(text, end...), ']')
	}
	return w
}

// A jsonField is a field of a struct.
type jsonField struct {
	*jsonWriter
	key   string // as it stands before the value, from the comma on
	index int
	omit  bool // left out where it is empty
}

// objectWriter makes the writer of a struct.
func objectWriter(fields []jsonField) *jsonWriter {
	w := &jsonWriter{nests: func(reflect.Value) bool { return true }}
	nesting := slices.DeleteFunc(slices.Clone(fields), func(f jsonField) bool { return f.nests == nil })
	if len(nesting) > 0 {
		w.breaks = func(v reflect.Value) bool {
			for i := range nesting {
				f := &nesting[i]
				if value := v.Field(f.index); f.nests(value) && !(f.omit && empty(value)) {
					return true
				}
			}
			return false
		}
	}
	w.write = func(text []byte, v reflect.Value, depth int, broken bool) []byte {
		if broken {
			return appendFilled(text, fields, v, depth)
		}
		text = append(text, '{')
		skip := len(", ")
		for i := range fields {
			f := &fields[i]
			if value := v.Field(f.index); !(f.omit && empty(value)) {
				text = f.write(append(text, f.key[skip:]...), value, depth+1, false)
				skip = 0
			}
		}
		return append(text, '}')
	}
	return w
}

// appendFilled writes an object whose members take several lines.
func appendFilled(text []byte, fields []jsonField, v reflect.Value, depth int) []byte {
	next := line(depth + 1)
	text = append(text, '{')
	begun, full := -1, true // where the line begins, and whether it takes no more
	for i := range fields {
		f := &fields[i]
		value := v.Field(f.index)
		if f.omit && empty(value) {
			continue
		}
		broken := f.breaks != nil && f.breaks(value)
		if full || broken {
			if begun >= 0 {
				text = append(text, ',')
			}
			begun = len(text) + 1
			text = append(append(text, next...), f.key[len(", "):]...)
			text = f.write(text, value, depth+1, broken)
			full = broken
			continue
		}
		blank := len(text) + 1
		text = f.write(append(text, f.key...), value, depth+1, false)
		if len(text)+1-begun > lineBytes { // with the comma
			text = slices.Replace(text, blank, blank+1, []byte(next)...)
			begun = blank + 1
		}
	}
	return append(append(text, line(depth)...), '}')
}

// fieldsOf are the fields of a struct, each of which has a name in its tag.
func fieldsOf(t reflect.Type) []jsonField {
	fields := make([]jsonField, 0, t.NumField())
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous || name == "" || name == "-" || options != "" && options != "omitempty" {
			panic("a data file can't hold the field " + t.String() + "." + f.Name)
		}
		fields = append(fields, jsonField{writerOf(f.Type), ", " + string(AppendQuoted(nil, name)) + ": ", i, options != ""})
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

// AppendQuoted adds a string; encoding/json writes those that need an unusual escape.
func AppendQuoted(text []byte, s string) []byte {
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
