package record

import (
	"reflect"
	"testing"
	"time"
	"unicode/utf8"

	"wattsheet/testdata/lifetime"
)

// fromTree is what a plain node means, as the TOML decoder gives it; ok is false where
// something of it isn't plain.
func fromTree(n *node) (value any, ok bool) {
	if n.list {
		tables, _ := plainValue(n).(treeTables)
		var ofTables []map[string]any
		list := []any{}
		for _, item := range n.items {
			value, ok := fromTree(item)
			if !ok {
				return nil, false
			}
			list = append(list, value)
			if tables > 0 {
				ofTables = append(ofTables, value.(map[string]any))
			}
		}
		if tables > 0 {
			return ofTables, true
		}
		_, not := plainValue(n).(notPlain)
		return list, !not
	}
	value = plainValue(n)
	switch value.(type) {
	case notPlain:
		return nil, false
	case byTree:
		table := map[string]any{}
		for _, kid := range n.kids {
			if table[kid.name], ok = fromTree(kid); !ok {
				return nil, false
			}
		}
		return table, true
	}
	return value, true
}

// alike compares values; of times the instant and what kind they are.
func alike(a, b any) bool {
	switch a := a.(type) {
	case time.Time:
		b, ok := b.(time.Time)
		local := a.Location().String() == "date-local"
		return ok && local == (b.Location().String() == "date-local") && a.Format(time.DateTime) == b.Format(time.DateTime) && (local || a.Equal(b))
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok || len(a) != len(b) {
			return false
		}
		for key, value := range a {
			if other, has := b[key]; !has || !alike(value, other) {
				return false
			}
		}
		return true
	case []map[string]any, []any:
		x, y := reflect.ValueOf(a), reflect.ValueOf(b)
		if y.Kind() != reflect.Slice || x.Len() != y.Len() {
			return false
		}
		for i := range x.Len() {
			if !alike(x.Index(i).Interface(), y.Index(i).Interface()) {
				return false
			}
		}
		return true
	}
	return reflect.DeepEqual(a, b)
}

// plainAgrees fails where a text is taken as plain and the TOML decoder refuses it, or
// gives other values. It reports whether the text is plain.
func plainAgrees(t *testing.T, text string) bool {
	s := scan(text)
	if !utf8.ValidString(text) || !s.plain() {
		return false
	}
	got, ok := fromTree(s.root)
	if !ok {
		return false
	}
	want, err := authority(text)
	if err != nil {
		t.Fatalf("taken as plain, but: %v\n%s", err, text)
	}
	if !alike(got, want) {
		t.Fatalf("%v, but the authority gives %v\n%s", got, want, text)
	}
	return true
}

func TestPlainAgreesWithTheAuthority(t *testing.T) {
	for i := range 5 {
		if !plainAgrees(t, string(lifetime.UnitOf(i).Record)) {
			t.Errorf("the record of unit %d isn't plain", i)
		}
	}
	for _, c := range []struct {
		text  string
		plain bool
	}{
		{"a = 1\nb = -0.5e3 # c\n[t]\nd = 2026-10-09\ne = 2026-10-09T14:05:00+02:00\nf = [1, 2.50,\n 3,]\ng = \"\"\n[[u]]\nh = { i = 'x', j = [] }\n[[u]]\nk = true", true},
		{"a = [{ b = 1 }, { b = 2 }]", true},
		{"a = +7\nb = 0\nc = -0\nd = 0.0\ne = 1e400", false},
		{"a = 007", false}, {"a = 1_000", false}, {"a = .5", false}, {"a = 5.", false}, {"a = 1e", false}, {"a = 0x1F", false}, {"a = inf", false},
		{"a = 9223372036854775808", false}, {"a = 2026-02-30", false}, {"a = 2026-10-09 14:05:00Z", false}, {"a = 2026-10-09T14:05:00", false},
		{"a = 2026-10-09T14:05:00z", false}, {"a = 2026-10-09T14:05:00+25:00", false}, {"a = \"x\\ty\"", false}, {"a = \"\"\"x\"\"\"", false}, {"a = ''''''", false},
		{"a.b = 1", false}, {"\"a\" = 1", false}, {"= 1", false}, {"[a.b]", false}, {"[a]\n[a]", false}, {"a = 1\n[[a]]", false}, {"a = []\n[[a]]", false},
		{"a = {}\n[a]", false}, {"[a]\n[[a]]", false}, {"[[a]]\n[a]", false}, {"a = { b = 1,\n c = 2 }", false}, {"a = { b = 1, }", false}, {"a = 1\r\nb = 2", false},
		{"a = \"\x01\"", false}, {"# \x7f", false}, {"a = [1 2]", false}, {"a = truE", false}, {"a = 1 b = 2", false}, {"a = [1, {}]", false},
	} {
		if got := plainAgrees(t, c.text); got != c.plain {
			t.Errorf("plain is %v for %q", got, c.text)
		}
	}
}

// FuzzPlain: what is taken as plain, the TOML decoder takes with the same values.
func FuzzPlain(f *testing.F) {
	seeds(f)
	f.Add(lifetime.UnitOf(0).Record)
	f.Fuzz(func(t *testing.T, raw []byte) { plainAgrees(t, string(withoutMark(raw))) })
}
