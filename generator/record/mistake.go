package record

import (
	"fmt"
	"reflect"
)

// Mistake says what the decoder has against a value, written as TOML, of a key of one
// of the files: table is "unit" or "claim" without brackets, or "" for the file's
// top. It gives "" when it has nothing against it. So an answer can be judged by the
// same rules before a file is written.
func Mistake(file, table, key, value string) (summary, hint string) {
	of := map[string]reflect.Type{
		"record.toml": reflect.TypeFor[Record](), "bench.toml": reflect.TypeFor[Bench](),
		"methods.toml": reflect.TypeFor[Methods](), "site.toml": reflect.TypeFor[Site](),
	}[file]
	if of == nil {
		panic("record: no file " + file)
	}
	t := of
	if table != "" {
		t = typeOf(of, table)
	}
	f := schemaOf(t).byKey[key]
	d := &decoder{file: &File{Name: file, Text: []byte(key + " = " + value)}, role: file}
	values, root := d.parse()
	if raw, given := values[key]; given {
		d.value(f, Place{d.file, root.kid(key)}, table, raw, reflect.New(t.Field(f.index).Type).Elem())
	}
	if d.problems == nil {
		return "", ""
	}
	return d.problems[0].Summary, d.problems[0].Hint
}

// typeOf is the type of a file's table.
func typeOf(file reflect.Type, table string) reflect.Type {
	f := schemaOf(file).byKey[table]
	if f == nil || f.sub == nil {
		panic(fmt.Sprintf("record: no table %s", table))
	}
	t := file.Field(f.index).Type
	if t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	return t
}
