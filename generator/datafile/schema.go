package datafile

import _ "embed"

// Schema is the schema of sheet.json, made from the types of its format and their
// comments. A test makes it again and compares.
//
//go:embed sheet.schema.json
var Schema []byte
