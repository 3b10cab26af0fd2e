package site

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// A profileRule is what the profiles of Data Package 2.0 say of one property: its type, its
// form, and whether it must be there.
type profileRule struct {
	at   string // by keys from the root, * for each of a list
	kind string // object, array, string, integer, boolean
	form string // a pattern; empty for any
	must bool
}

// A path or address, as each profile has it: a whole address, or a path below the descriptor.
const profilePath = `^(https?://\S+|[^./~:\\][^:\\]*)$`

// profileRules are those of the profiles datapackage, dataresource, tabledialect and
// tableschema 2.0 for the properties that are used here, as read in the repository of the
// standard (frictionlessdata/datapackage, profiles/target/2.0) and stated in our own words; no
// package has them in version 2.0.
var profileRules = []profileRule{
	{"$schema", "string", `^https://datapackage\.org/profiles/2\.0/datapackage\.json$`, true},
	{"name", "string", `^[-a-z0-9._]+$`, true},
	{"id", "string", `^https://\S+/$`, false},
	{"title", "string", ".", true},
	{"description", "string", ".", true},
	{"homepage", "string", `^https?://\S+$`, false},
	{"licenses", "array", "", false},
	{"licenses/*", "object", "", true},
	{"licenses/*/name", "string", `^[-a-zA-Z0-9._]+$`, false},
	{"licenses/*/path", "string", profilePath, true},
	{"licenses/*/title", "string", ".", false},
	{"contributors", "array", "", true},
	{"contributors/*", "object", "", true},
	{"contributors/*/title", "string", ".", true},
	{"contributors/*/path", "string", profilePath, false},
	{"contributors/*/roles", "array", "", true},
	{"contributors/*/roles/*", "string", "^creator$", true},
	{"sources", "array", "", false},
	{"sources/*", "object", "", true},
	{"sources/*/title", "string", ".", true},
	{"sources/*/path", "string", profilePath, false},
	{"resources", "array", "", true},
	{"resources/*", "object", "", true},
	{"resources/*/$schema", "string", `^https://datapackage\.org/profiles/2\.0/dataresource\.json$`, true},
	{"resources/*/name", "string", `^[-a-z0-9._]+$`, true},
	{"resources/*/type", "string", "^table$", true},
	{"resources/*/path", "string", profilePath, true},
	{"resources/*/title", "string", ".", true},
	{"resources/*/description", "string", ".", true},
	{"resources/*/format", "string", "^(csv|wav)$", true},
	{"resources/*/mediatype", "string", "^(.+)/(.+)$", true},
	{"resources/*/encoding", "string", "^utf-8$", true},
	{"resources/*/bytes", "integer", "", true},
	{"resources/*/hash", "string", "^[^:]+:[a-fA-F0-9]+$", true},
	{"resources/*/dialect", "object", "", true},
	{"resources/*/dialect/$schema", "string", `^https://datapackage\.org/profiles/2\.0/tabledialect\.json$`, true},
	{"resources/*/dialect/header", "boolean", "", false},
	{"resources/*/dialect/delimiter", "string", "^,$", false},
	{"resources/*/dialect/lineTerminator", "string", "^\r\n$", false},
	{"resources/*/dialect/quoteChar", "string", `^"$`, false},
	{"resources/*/dialect/doubleQuote", "boolean", "", false},
	{"resources/*/schema", "object", "", true},
	{"resources/*/schema/$schema", "string", `^https://datapackage\.org/profiles/2\.0/tableschema\.json$`, true},
	{"resources/*/schema/fields", "array", "", true},
	{"resources/*/schema/fields/*", "object", "", true},
	{"resources/*/schema/fields/*/name", "string", ".", true},
	{"resources/*/schema/fields/*/type", "string", "^(string|number|integer|boolean|date|year)$", true},
	{"resources/*/schema/fields/*/description", "string", ".", true},
	{"resources/*/schema/fields/*/unit", "string", ".", false},               // ours, which the standard allows
	{"resources/*/schema/fields/*/unitCode", "string", "^[A-Z0-9]+$", false}, // likewise
	{"resources/*/schema/fields/*/constraints", "object", "", false},
	{"resources/*/schema/fields/*/constraints/required", "boolean", "", false},
	{"resources/*/schema/fields/*/constraints/enum", "array", "", false},
	{"resources/*/schema/fields/*/constraints/enum/*", "string", ".", true},
	{"resources/*/schema/missingValues", "array", "", false},
	{"resources/*/schema/missingValues/*", "string", "", true},
	{"resources/*/schema/primaryKey", "array", "", false},
	{"resources/*/schema/primaryKey/*", "string", ".", true},
	{"resources/*/schema/uniqueKeys", "array", "", false},
	{"resources/*/schema/uniqueKeys/*", "array", "", true},
	{"resources/*/schema/uniqueKeys/*/*", "string", ".", true},
	{"resources/*/schema/foreignKeys", "array", "", false},
	{"resources/*/schema/foreignKeys/*", "object", "", true},
	{"resources/*/schema/foreignKeys/*/fields", "array", "", true},
	{"resources/*/schema/foreignKeys/*/fields/*", "string", ".", true},
	{"resources/*/schema/foreignKeys/*/reference", "object", "", true},
	{"resources/*/schema/foreignKeys/*/reference/resource", "string", ".", true},
	{"resources/*/schema/foreignKeys/*/reference/fields", "array", "", true},
	{"resources/*/schema/foreignKeys/*/reference/fields/*", "string", ".", true},
}

// ofTables are the properties that a recording lacks: it is a file like any other.
var ofTables = map[string]bool{"type": true, "encoding": true, "dialect": true, "schema": true}

func isRecording(resource map[string]any) bool {
	at, _ := resource["path"].(string)
	return strings.Contains(at, "/"+capturesName+"/")
}

// againstProfile says what of a descriptor the profiles don't allow.
func againstProfile(v any, at string) (wrong []string) {
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	rule := profileRule{kind: "object"}
	if at != "" {
		known := false
		for _, r := range profileRules {
			if r.at == at {
				rule, known = r, true
			}
		}
		if !known {
			say("%s isn't a property", at)
		}
	}
	below := strings.TrimPrefix(at+"/", "/")
	switch v := v.(type) {
	case map[string]any:
		if rule.kind != "object" {
			say("%s is an object", at)
		}
		for _, r := range profileRules {
			key, direct := strings.CutPrefix(r.at, below)
			if _, there := v[key]; direct && r.must && !there && key != "*" && !strings.Contains(key, "/") && !(ofTables[key] && isRecording(v)) {
				say("%s lacks %s", at, key)
			}
		}
		for key, one := range v {
			wrong = append(wrong, againstProfile(one, below+key)...)
		}
	case []any:
		if rule.kind != "array" || len(v) == 0 {
			say("%s has %d of a list", at, len(v))
		}
		for _, one := range v {
			wrong = append(wrong, againstProfile(one, below+"*")...)
		}
	case string:
		if rule.kind != "string" || !regexp.MustCompile("(?s)"+rule.form).MatchString(v) {
			say("%s is the text %q", at, v)
		}
	case json.Number:
		if _, err := v.Int64(); rule.kind != "integer" || err != nil {
			say("%s is the number %s", at, v)
		}
	case bool:
		if rule.kind != "boolean" {
			say("%s is %v", at, v)
		}
	}
	return wrong
}

// Descriptors are valid by the profiles: that of the demo, of a site without an address or a
// licence, and of one whose texts would do harm. A spoiled one isn't.
func TestDataPackageIsOfItsProfiles(t *testing.T) {
	_, outputs := demo()
	demoText := ""
	for _, o := range outputs {
		if o.Path == "data/"+packageName {
			demoText = string(o.Bytes)
		}
	}
	plain := made(t, loaded(t, tiny(t, nil)), stillOnly())["data/"+packageName]
	bad := made(t, loaded(t, addressed(t, hostile(t), hostileAddress, "")), stillOnly())["data/"+packageName]
	for what, text := range map[string]string{"demo": demoText, "plain": plain, "hostile": bad} {
		if wrong := againstProfile(any(treeOf(t, text)), ""); len(wrong) > 0 {
			t.Errorf("%s: %s", what, strings.Join(wrong, "\n"))
		}
	}
	for was, is := range map[string]string{
		`"type": "table"`: `"type": "list"`, `"hash": "sha256:`: `"hash": "`, `"path": "runs.csv"`: `"path": "../runs.csv"`, `"bytes": `: `"bytes": 0.5e-1, "size": `,
		`"type": "number"`: `"type": "float"`, `"resources"`: `"tables"`, `"required": true`: `"required": "yes"`,
	} {
		spoiled := strings.Replace(demoText, was, is, 1)
		if spoiled == demoText || len(againstProfile(any(treeOf(t, spoiled)), "")) == 0 {
			t.Errorf("%s in place of %s isn't noticed", is, was)
		}
	}
	// What a person wrote stands in a text of CommonMark, and begins no markup there.
	described := leafSaid(treeOf(t, bad), "description")
	for _, begin := range []string{"<", "[", "*", "`"} {
		if strings.Contains(strings.ReplaceAll(described, `\`+begin, ""), begin) {
			t.Errorf("%s in the description %q", begin, described)
		}
	}
}
