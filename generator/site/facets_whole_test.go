package site

import (
	"fmt"
	"reflect"
	"slices"
	"testing"
)

// saidBeside are the fields of briefs by their path that no facet has to have: what they change is no list's, or
// follows from other inputs (theExamples, for the methodology page).
var saidBeside = []string{"Offers", "Verdicts", "Findings", "Pending"}

// Whatever one brief says otherwise, only those lists come out another of which a facet says so: nothing is taken from a
// brief that its facet lacks. A list that isn't made again for it would stay as it was.
func TestListsShowNothingBesideTheirFacets(t *testing.T) {
	s, _ := demo()
	b, _ := s.binder(stillOnly(), nil)
	fresh := func(n int) *brief { return briefOf(s.Sheets[n], s.Ledger(s.Sheets[n].Slug)) }
	var briefs []*brief
	for n := range s.Sheets {
		briefs = append(briefs, fresh(n))
	}
	before := groupsOf(briefs)
	made := map[kind][]Output{}
	of := func(g *group) []Output {
		outputs, _ := b.listOutputs(g, nil)
		return outputs
	}
	tried := map[string]bool{}
	others := 0
	for n := range s.Sheets {
		for _, path := range fieldsWithin(reflect.ValueOf(briefs[n]).Elem(), "") {
			if tried[path] || slices.ContainsFunc(saidBeside, func(top string) bool { return len(path) >= len(top) && path[:len(top)] == top }) {
				continue
			}
			tried[path] = true
			all := slices.Clone(briefs)
			all[n] = fresh(n)
			spoil(reflect.ValueOf(all[n]).Elem(), path)
			for key, g := range groupsOf(all) {
				was := before[key]
				if was == nil || !slices.Equal(was.from, g.from) || len(g.units) == 0 || !slices.Contains(g.units, all[n]) {
					continue
				}
				if made[key] == nil {
					made[key] = of(was)
				}
				others++
				if !reflect.DeepEqual(made[key], of(g)) {
					t.Errorf("%s shows %s of a unit, but no facet of it says so", key, path)
				}
			}
		}
	}
	if len(tried) < 40 || others < 100 {
		t.Errorf("only %d fields were tried, on %d lists", len(tried), others)
	}
}

// groupsOf are the lists that are made of briefs alone, by their keys.
func groupsOf(briefs []*brief) map[kind]*group {
	var sides [][]side
	for _, b := range briefs {
		sides = append(sides, sidesOf(b))
	}
	out := map[kind]*group{}
	for _, g := range listGroups(briefs, sides) {
		if !slices.Contains([]kind{kindMethodology, kindTables, kindPackage}, g.kind) { // they read sheets, and rows
			out[g.key()] = g
		}
	}
	return out
}

// fieldsWithin are the paths of the texts and numbers in a value, those of a list's members without their places.
func fieldsWithin(v reflect.Value, path string) (paths []string) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Tag.Get("json") != "-" {
				name := f.Name
				if path != "" {
					name = path + "." + name
				}
				paths = append(paths, fieldsWithin(v.Field(i), name)...)
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return fieldsWithin(v.Elem(), path)
		}
	case reflect.Slice, reflect.Array:
		if v.Len() > 0 && v.Type() != reflect.TypeFor[packed]() {
			return fieldsWithin(v.Index(0), path)
		}
	case reflect.String, reflect.Float64, reflect.Int, reflect.Bool:
		return []string{path}
	}
	return paths
}

// spoil makes the value at a path another one.
func spoil(v reflect.Value, path string) {
	for v.Kind() == reflect.Pointer || v.Kind() == reflect.Slice || v.Kind() == reflect.Array {
		if v.Kind() == reflect.Pointer {
			v = v.Elem()
		} else {
			v = v.Index(0)
		}
	}
	switch v.Kind() {
	case reflect.Struct:
		var name string
		name, path = firstField(path)
		spoil(v.FieldByName(name), path)
	case reflect.String:
		v.SetString(nextText(v.String()))
	case reflect.Float64:
		v.SetFloat(v.Float() + 1)
	case reflect.Int:
		v.SetInt(v.Int() + 1)
	case reflect.Bool:
		v.SetBool(!v.Bool())
	default:
		panic(fmt.Sprint("no way to spoil ", v.Kind()))
	}
}

// nextText is another text of the same form: a letter in it, or its last digit, is another.
func nextText(text string) string {
	for i := len(text) - 1; i >= 0; i-- {
		switch c := text[i]; {
		case c >= '0' && c < '9' || c >= 'a' && c < 'z' || c >= 'A' && c < 'Z':
			return text[:i] + string(c+1) + text[i+1:]
		}
	}
	return text + "x"
}

func firstField(path string) (first, rest string) {
	for i := range len(path) {
		if path[i] == '.' {
			return path[:i], path[i+1:]
		}
	}
	return path, ""
}
