package record

import (
	"reflect"
	"strings"
)

// Text is a run as a [[run]] table of a record: each key that was given, in the order
// of the schema, numbers and times as they were typed.
func (r *Run) Text() string {
	var b strings.Builder
	b.WriteString("[[run]]\n")
	v := reflect.ValueOf(r).Elem()
	s := schemaOf(v.Type())
	for i := range s.fields {
		f := &s.fields[i]
		if value := tomlOf(v.Field(f.index).Addr().Interface(), f); value != "" {
			b.WriteString(f.key + " = " + value + "\n")
		}
	}
	return b.String()
}

// tomlOf is a value as TOML; "" when it wasn't given, or is what is taken without it.
func tomlOf(value any, f *field) string {
	switch v := value.(type) {
	case *string:
		if *v == "" || *v == f.otherwise {
			return ""
		}
		return Quote(*v)
	case *[]string:
		quotes := make([]string, len(*v))
		for i, text := range *v {
			quotes[i] = Quote(text)
		}
		return listOf(quotes, true)
	case *Number:
		if v.Given() {
			return v.Text
		}
	case *Numbers:
		texts := make([]string, len(v.Items))
		for i, n := range v.Items {
			texts[i] = n.Text
		}
		return listOf(texts, false)
	case *Ref:
		if v.ID != "" {
			return Quote(v.ID)
		}
	case *Refs:
		quotes := make([]string, len(v.Items))
		for i, ref := range v.Items {
			quotes[i] = Quote(ref.ID)
		}
		return listOf(quotes, false)
	case *Moment:
		return v.Text
	case *Hold:
		if v.On {
			return strings.TrimPrefix(v.String(), "hold = ")
		}
	default:
		return inlineTable(reflect.ValueOf(value).Elem(), f)
	}
	return ""
}

// listOf writes one item alone, where a list isn't needed, and several as a list.
func listOf(items []string, always bool) string {
	switch {
	case len(items) == 0:
		return ""
	case len(items) == 1 && !always:
		return items[0]
	}
	return "[" + strings.Join(items, ", ") + "]"
}

// inlineTable writes a table within a run on one line.
func inlineTable(v reflect.Value, f *field) string {
	if f.sub == nil {
		return ""
	}
	var pairs []string
	for i := range f.sub.fields {
		sub := &f.sub.fields[i]
		if value := tomlOf(v.Field(sub.index).Addr().Interface(), sub); value != "" {
			pairs = append(pairs, sub.key+" = "+value)
		}
	}
	if pairs == nil {
		return ""
	}
	return "{ " + strings.Join(pairs, ", ") + " }"
}
