package record

import (
	"math"
	"reflect"
	"slices"
)

// A Schema is what a file may have, as a JSON Schema in the part of draft-07 that editors
// of TOML understand. It is made from the same tags as decoding, so that the two can't
// drift apart; what needs several tables or files to be seen isn't in it.
type Schema struct {
	Dialect     string             `json:"$schema,omitempty"`
	ID          string             `json:"$id,omitempty"`
	Ref         string             `json:"$ref,omitempty"`
	Title       string             `json:"title,omitempty"`
	Description string             `json:"description,omitempty"`
	Type        string             `json:"type,omitempty"`
	Format      string             `json:"format,omitempty"`
	Pattern     string             `json:"pattern,omitempty"`
	MaxLength   int                `json:"maxLength,omitempty"`
	Enum        []string           `json:"enum,omitempty"`
	Const       any                `json:"const,omitempty"`
	Minimum     *float64           `json:"minimum,omitempty"`
	Maximum     *float64           `json:"maximum,omitempty"`
	Above       *float64           `json:"exclusiveMinimum,omitempty"`
	Below       *float64           `json:"exclusiveMaximum,omitempty"`
	Default     any                `json:"default,omitempty"`
	AnyOf       []*Schema          `json:"anyOf,omitempty"`
	Items       *Schema            `json:"items,omitempty"`
	Properties  map[string]*Schema `json:"properties,omitempty"`
	Required    []string           `json:"required,omitempty"`
	Additional  *bool              `json:"additionalProperties,omitempty"`
	Definitions map[string]*Schema `json:"definitions,omitempty"`
}

// SchemaDialect is the draft that schemas are written in.
const SchemaDialect = "http://json-schema.org/draft-07/schema#"

// EditorSchemas are the schemas of the files that a tester writes, by the name of the
// file without its ending: record, bench, methods and site.
func EditorSchemas() map[string]*Schema {
	out := map[string]*Schema{}
	for name, t := range map[string]reflect.Type{
		"record": reflect.TypeFor[Record](), "bench": reflect.TypeFor[Bench](), "methods": reflect.TypeFor[Methods](), "site": reflect.TypeFor[Site](),
	} {
		s := schemaOf(t).editor()
		s.Dialect, s.Title = SchemaDialect, name+".toml"
		out[name] = s
	}
	return out
}

// editor is the schema of a table.
func (s *schema) editor() *Schema {
	no := false
	out := &Schema{Type: "object", Properties: map[string]*Schema{}, Additional: &no}
	for i := range s.fields {
		f := &s.fields[i]
		one := f.editor()
		one.Description = f.about
		out.Properties[f.key] = one
		if f.need {
			out.Required = append(out.Required, f.key)
		}
	}
	slices.Sort(out.Required)
	return out
}

// editor is the schema of a key's value.
func (f *field) editor() *Schema {
	switch f.kind {
	case aFlag:
		return &Schema{Type: "boolean"}
	case aNumber:
		return f.numbers()
	case numbers:
		return &Schema{AnyOf: []*Schema{f.numbers(), {Type: "array", Items: f.numbers()}}}
	case aRef:
		return &Schema{Type: "string"}
	case texts:
		return &Schema{Type: "array", Items: f.texts()}
	case refs:
		return &Schema{AnyOf: []*Schema{{Type: "string"}, {Type: "array", Items: &Schema{Type: "string"}}}}
	case aDate, aMoment: // TOML has types for both, which checkers hand on as texts
		return &Schema{Type: "string"}
	case aHold:
		return &Schema{AnyOf: []*Schema{{Type: "string"}, {Type: "boolean"}}}
	case aTable:
		return f.sub.editor()
	case tables:
		return &Schema{Type: "array", Items: f.sub.editor()}
	}
	one := f.texts()
	if f.otherwise != "" {
		one.Default = f.otherwise
	}
	return one
}

func (f *field) numbers() *Schema {
	out, b := &Schema{Type: "number"}, f.bounds
	if !math.IsInf(b.low, 0) {
		if out.Minimum = &b.low; b.strictLow {
			out.Minimum, out.Above = nil, &b.low
		}
	}
	if !math.IsInf(b.high, 0) {
		if out.Maximum = &b.high; b.strictHigh {
			out.Maximum, out.Below = nil, &b.high
		}
	}
	return out
}

// texts is the schema of one text: its words, or its form where that is a pattern.
func (f *field) texts() *Schema {
	out := &Schema{Type: "string", Enum: f.words}
	switch {
	case f.words != nil:
	case f.form == "id":
		out.Pattern, out.MaxLength = "^[a-z0-9]([a-z0-9-]*[a-z0-9])?$", longestID
	case f.form == "url":
		out.Pattern = "^https?://"
	case f.form == "site":
		out.Pattern = "^https?://[^?#*]+$"
	case f.form == "currency":
		out.Pattern = currencyForm.String()
	case f.form == "language":
		out.Pattern = languageForm.String()
	case f.form == "spdx":
		out.Pattern = spdxForm.String()
	case f.form == "clock":
		out.Pattern = clockForm.String()
	case f.form == "mark":
		out.Pattern = markPattern
	case f.form == "name":
		out.MaxLength = longest
	}
	return out
}
