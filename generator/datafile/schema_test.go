package datafile

import (
	"bytes"
	"encoding/json"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

var update = flag.Bool("update", false, "write the schema anew")

// commentsOf are the sentences that the sources have above types and fields: "Run" and
// "Run.ID".
func commentsOf(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			of, isTypes := d.(*ast.GenDecl)
			if !isTypes || of.Tok != token.TYPE {
				continue
			}
			for _, s := range of.Specs {
				one := s.(*ast.TypeSpec)
				fields, isStruct := one.Type.(*ast.StructType)
				if !isStruct {
					continue
				}
				out[one.Name.Name] = inOneLine(of.Doc.Text())
				said := "" // a sentence may be about two fields that follow
				for _, f := range fields.Fields.List {
					if f.Doc != nil {
						said = inOneLine(f.Doc.Text())
					}
					for _, n := range f.Names {
						out[one.Name.Name+"."+n.Name] = said
					}
				}
			}
		}
	}
	return out
}

func inOneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// schemaOfType is the schema of what encoding/json writes for a type.
func schemaOfType(t *testing.T, of reflect.Type, about map[string]string, defined map[string]*record.Schema) *record.Schema {
	switch {
	case of == reflect.TypeFor[number]():
		return &record.Schema{Type: "number"}
	case of.Kind() == reflect.Pointer:
		return schemaOfType(t, of.Elem(), about, defined)
	case of.Kind() == reflect.String:
		return &record.Schema{Type: "string"}
	case of.Kind() == reflect.Bool:
		return &record.Schema{Type: "boolean"}
	case of.Kind() == reflect.Int:
		return &record.Schema{Type: "integer"}
	case of.Kind() == reflect.Slice || of.Kind() == reflect.Array:
		return &record.Schema{Type: "array", Items: schemaOfType(t, of.Elem(), about, defined)}
	case of.Kind() == reflect.Struct:
		name := strings.ToLower(strings.TrimPrefix(of.Name(), "data"))
		if defined[name] == nil {
			no := false
			out := &record.Schema{Type: "object", Properties: map[string]*record.Schema{}, Additional: &no}
			defined[name] = out
			fieldsInto(t, out, of, about, defined)
			slices.Sort(out.Required)
		}
		return &record.Schema{Ref: "#/definitions/" + name}
	}
	t.Fatalf("sheet.json has a %v", of)
	return nil
}

func fieldsInto(t *testing.T, out *record.Schema, of reflect.Type, about map[string]string, defined map[string]*record.Schema) {
	for i := range of.NumField() {
		f := of.Field(i)
		if !f.IsExported() && !f.Anonymous {
			continue
		}
		key, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous && key == "" {
			fieldsInto(t, out, f.Type, about, defined)
			continue
		}
		one := schemaOfType(t, f.Type, about, defined)
		if one.Description = about[of.Name()+"."+f.Name]; one.Description == "" {
			t.Errorf("%s.%s has no sentence about it", of.Name(), f.Name)
		}
		if !strings.Contains(options, "omitempty") && !strings.Contains(options, "omitzero") {
			out.Required = append(out.Required, key)
			if f.Type.Kind() == reflect.Pointer || f.Type == reflect.TypeFor[number]() { // null where the number has no end
				about := one.Description
				one.Description = ""
				one = &record.Schema{Description: about, AnyOf: []*record.Schema{one, {Type: "null"}}}
			}
		}
		out.Properties[key] = one
	}
}

// The published schema of sheet.json is that of the types that write it.
func TestSheetSchemaIsOfTheTypes(t *testing.T) {
	defined := map[string]*record.Schema{}
	schemaOfType(t, reflect.TypeFor[Sheet](), commentsOf(t), defined)
	s := defined["sheet"]
	delete(defined, "sheet")
	s.Definitions = defined
	s.Dialect, s.Title, s.Description = record.SchemaDialect, "sheet.json", "A sheet: the record of one unit, evaluated."
	s.Properties["format"].Const, s.Properties["version"].Const = Format, Version
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(s); err != nil {
		t.Fatal(err)
	}
	want := b.Bytes()
	const name = "sheet.schema.json"
	if *update {
		if err := os.WriteFile(name, want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got, err := os.ReadFile(name); err != nil || string(got) != string(want) {
		t.Errorf("%s isn't what the types say: run with -update (%v)", name, err)
	}
}
