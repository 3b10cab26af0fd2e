package record

import (
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
)

// later are keys that don't work yet. They are refused, with what to do until
// they work.
var later = map[string]string{
	"evidence": "give the picture the run: [[picture]] … run = \"r01\"",
	"shops":    "write a [[shop]] with name and link",
	"link":     "write a [[shop]] with name and link",
	"links":    "write a [[shop]] with name and link",
}

// alias are other words for keys, as people say them.
var alias = map[string]string{
	"brand": "maker", "manufacturer": "maker", "name": "model", "thd": "thdn_pct", "thdn": "thdn_pct",
	"frequency": "freq_hz", "frequency_hz": "freq_hz", "impedance": "load_ohm", "impedance_ohm": "load_ohm",
	"ohm": "load_ohm", "voltage": "supply_v", "voltage_v": "supply_v", "current": "supply_a", "current_a": "supply_a",
	"rms": "power_w", "watts": "power_w", "weight": "mass_kg", "weight_kg": "mass_kg", "time": "at", "date": "at",
	"channel": "driven", "k": "ohm_k", "result": "outcome", "length": "lasts", "duration": "lasts", "url": "address", "author": "tester",
	"output_v": "out_v", "output": "out_v", "vout": "out_v", "v_out": "out_v", "distortion": "thdn_pct", "distortion_pct": "thdn_pct",
}

// otherWords are other words for the words that a key takes, as people say them.
var otherWords = map[string]map[string]string{
	"outcome": {
		"shutdown": "protected", "shut down": "protected", "protection": "protected", "tripped": "protected", "overheated": "protected",
		"blown": "fuse", "blown fuse": "fuse", "ok": "completed", "done": "completed", "passed": "completed",
		"sagged": "supply-limit", "current limit": "supply-limit", "aborted": "stopped", "interrupted": "stopped",
	},
	"how":    {"purchased": "bought", "paid": "bought", "loan": "lent", "borrowed": "lent", "gift": "given", "donated": "given", "sponsored": "given"},
	"signal": {"sine": "continuous", "tone burst": "burst", "pulse": "burst"},
	"result": {"ok": "works", "yes": "works", "passed": "works", "no": "fails", "broken": "fails", "failed": "fails", "untested": "not-tried"},
	"limit":  {"min": "at-least", "minimum": "at-least", "max": "at-most", "maximum": "at-most", "nominal": "about", "typical": "about", "range": "between"},
}

// unknownKey explains a key that a table doesn't have: meant are the keys of
// this table that one of was probably meant.
func unknownKey(s *schema, key, head, role string) (summary, hint string, meant []string) {
	if hint, ok := later[key]; ok {
		return quoted(key) + " doesn't work yet", hint, nil
	}
	summary = quoted(key) + " is not a key of " + headOr(head, role)
	known := make([]string, len(s.fields))
	for i, f := range s.fields {
		known[i] = f.key
	}
	homes := homesOf(key, role)
	near := nearest(key, known)
	switch {
	case near != "" && strings.EqualFold(near, key):
		return summary, "keys are written in lower case: " + near, []string{near}
	case near == "" && s.byKey[alias[strings.ToLower(key)]] != nil:
		near = alias[strings.ToLower(key)]
	case near != "" && len(homes) > 0 && Distance(key, near) > 1:
		near = ""
	}
	if meant = []string{near}; near == "" {
		meant = sameStem(key, known)
	}
	switch {
	case len(meant) > 0:
		return summary, didYouMean(meant), meant
	case len(homes) > 0:
		return summary, quoted(key) + " belongs " + orList(homes), nil
	}
	return summary, "it takes " + strings.Join(known, ", "), nil
}

// sameStem finds the keys that name the same thing with another unit, or with
// one where none was written: power, power_kw and power_w.
func sameStem(key string, known []string) (same []string) {
	for _, stem := range []string{key, strings.TrimRight(strings.TrimRight(key, "abcdefghijklmnopqrstuvwxyz%"), "_")} {
		for _, one := range known {
			if rest, ok := strings.CutPrefix(one, stem+"_"); ok && len(stem) > 1 && unitOf[rest] != "" {
				same = append(same, one)
			}
		}
		if same != nil {
			return same
		}
	}
	return nil
}

// homesOf says where a key is known: "in [[run]]", "in [[load]] of bench.toml".
func homesOf(key, role string) (homes []string) {
	for _, file := range []struct {
		name string
		of   reflect.Type
	}{
		{"record.toml", reflect.TypeFor[Record]()}, {"bench.toml", reflect.TypeFor[Bench]()},
		{"methods.toml", reflect.TypeFor[Methods]()}, {"site.toml", reflect.TypeFor[Site]()},
	} {
		var here []string
		tablesWith(schemaOf(file.of), key, "", &here)
		for _, head := range here {
			switch {
			case head == "":
				head = file.name
			case file.name != role:
				head += " of " + file.name
			}
			homes = append(homes, "in "+head)
		}
	}
	return homes
}

func tablesWith(s *schema, key, head string, found *[]string) {
	if s.byKey[key] != nil {
		*found = append(*found, head)
	}
	for i := range s.fields {
		if f := &s.fields[i]; f.sub != nil {
			tablesWith(f.sub, key, subHead(f, head), found)
		}
	}
}

// subHead is the head of a table within a table: [run.with] in [[run]].
func subHead(f *field, head string) string {
	name := strings.Trim(head, "[]")
	if name != "" {
		name += "."
	}
	name += f.key
	if f.kind == tables {
		return "[[" + name + "]]"
	}
	return "[" + name + "]"
}

func headOr(head, role string) string {
	if head == "" {
		return "the top of " + role
	}
	return head
}

func missing(f *field, head string) string {
	switch {
	case f.sub != nil:
		return choose(head == "", "the file", head) + " has no " + subHead(f, head)
	case head == "":
		return "the file has no " + f.key
	}
	return head + " has no " + f.key
}

func missingHint(f *field, head string) string {
	if f.sub != nil {
		return "add " + subHead(f, head) + ": " + f.about
	}
	return "add " + f.key + " = " + example(f) + ": " + aboutWithUnit(f)
}

// example is what a value of a key looks like.
func example(f *field) string {
	switch {
	case f.words != nil:
		return quoted(f.words[0])
	case f.form == "id" || f.kind == aRef || f.kind == aText:
		return `"…"`
	case f.kind == texts && f.key == "channels":
		return `["L", "R"]`
	case f.kind == texts:
		return `["…"]`
	case f.kind == aFlag:
		return "true"
	case f.kind == aDate:
		return "2026-10-09"
	case f.kind == aMoment:
		return "2026-10-09T14:05:00+02:00"
	}
	return "…"
}

// unitOf are the endings of keys and the units they stand for.
var unitOf = map[string]string{
	"w": "watts", "v": "volts", "a": "amperes", "ohm": "ohms", "hz": "hertz", "pct": "percent",
	"s": "seconds", "ms": "milliseconds", "c": "degrees Celsius", "mm": "millimetres",
	"lb": "pounds", "f": "degrees Fahrenheit", "kg": "kilograms", "min": "minutes", "ppm": "ppm", "dc_v": "volts", "mains_v": "volts",
}

func unit(key string) string { return unitOf[key[strings.LastIndexByte(key, '_')+1:]] }

func unitSentence(key string) string {
	if u := unit(key); u != "" && strings.Contains(key, "_") {
		return "it is in " + u
	}
	return ""
}

func didYouMean(keys []string) string {
	hint := "did you mean " + orList(keys) + "?"
	if sentence := unitSentence(keys[0]); len(keys) == 1 && sentence != "" {
		hint += " " + sentence
	}
	return hint
}

func aboutWithUnit(f *field) string {
	sentence := unitSentence(f.key)
	if sentence != "" && !strings.Contains(f.about, unit(f.key)) && (f.kind == aNumber || f.kind == numbers) {
		return f.about + "; " + sentence
	}
	return f.about
}

// described is a value as it was written and what it is.
func described(where Place, raw any) string {
	switch raw := raw.(type) {
	case string:
		return quoted(raw) + ", a text"
	case bool:
		return short(where.node.text) + ", a yes or no"
	case int64, float64:
		return short(where.node.text) + ", a number"
	case time.Time:
		switch raw.Location().String() {
		case "date-local":
			return short(where.node.text) + ", a date"
		case "time-local":
			return short(where.node.text) + ", a time of day"
		case "datetime-local":
			return short(where.node.text) + ", a date and time without its offset"
		}
		return short(where.node.text) + ", a date and time"
	case []any, []map[string]any:
		return "a list"
	}
	return "a table"
}

func shapeSummary(f *field, where Place, raw any) string {
	_, isList := tableList(raw)
	if _, isTable := raw.(map[string]any); isTable && f.kind == tables {
		return f.key + " is one table; there may be several, so its head has two brackets"
	}
	if isList && f.kind == aTable {
		return f.key + " is a list of tables; there is only one, so its head has one bracket"
	}
	return f.key + " is " + described(where, raw) + "; " + needed[f.kind]
}

// wrongHint tells how to write what was probably meant.
func wrongHint(f *field, where Place, raw any) string {
	text, isText := raw.(string)
	if list, ok := raw.([]any); ok && len(list) > 0 && f.kind != texts {
		return "without brackets: " + f.key + " = " + short(where.Item(0).node.text)
	}
	switch f.kind {
	case aNumber, numbers:
		if isText {
			return numberHint(f, where, text)
		}
	case aText, aRef, refs:
		if f.form == "clock" || f.form == "mark" {
			return "in quotes, as the video's clock shows it: " + f.key + ` = "4:12"`
		}
		if len(f.words) > 0 {
			return "write one of these, in quotes: " + strings.Join(f.words, ", ")
		}
		if _, err := strconv.ParseFloat(where.node.text, 64); f.key == "load" && !isText && err == nil {
			return "ohms go into load_ohm = " + where.node.text + "; load names an element of bench.toml, in quotes"
		}
		if where.node.text != "" {
			return "in quotes: " + assignment(f.key, where, quoted(where.node.text))
		}
	case texts:
		if isText {
			return "in brackets: " + f.key + " = " + list(separate(text))
		}
		if f.key == "channels" {
			return `their names, one a channel: channels = ["L", "R"]; of a single one: channels = ["mono"]`
		}
	case aFlag:
		value := choose(slices.Contains([]string{"no", "false", "off", "0"}, strings.ToLower(text)) || where.node.text == "0", "false", "true")
		return choose(isText, "without quotes: ", "write ") + f.key + " = " + value
	case aDate:
		return "year, month and day, without quotes: " + f.key + " = 2026-10-09"
	case aHold:
		return holdHint(where, raw)
	case aMoment:
		return "day, time and the time zone's offset, without quotes: " + f.key + " = 2026-10-09T14:05:00+02:00"
	}
	return f.key + ": " + aboutWithUnit(f)
}

// separate splits a text of several names at its commas.
func separate(text string) (names []string) {
	for name := range strings.SplitSeq(text, ",") {
		names = append(names, strings.TrimSpace(name))
	}
	return names
}

// assignment is the corrected line, or the corrected item of a list.
func assignment(key string, where Place, value string) string {
	if where.node.name == "" {
		return value
	}
	return key + " = " + value
}
