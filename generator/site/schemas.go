package site

import (
	"encoding/json"
	"maps"
	"slices"

	"wattsheet/generator/datafile"
	"wattsheet/generator/record"
)

const (
	schemaFolder = "schema"
	schemaEnding = ".schema.json"
)

// schemas publishes the schemas of the files that a tester writes, for editors, and that of
// sheet.json. Each is named by its address, where the site's is known.
func (b *binder) schemas() (outputs []Output) {
	all := record.EditorSchemas()
	sheet := new(record.Schema)
	if err := json.Unmarshal(datafile.Schema, sheet); err != nil {
		panic("site: the schema of sheet.json: " + err.Error())
	}
	all["sheet"] = sheet
	for _, name := range slices.Sorted(maps.Keys(all)) {
		path := schemaFolder + "/" + name + schemaEnding
		if b.base() != "" {
			all[name].ID = b.base() + path
		}
		outputs = append(outputs, Output{Path: path, Bytes: asIndented(all[name])})
	}
	return outputs
}
