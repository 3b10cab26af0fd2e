package site

import (
	"reflect"
	"strings"
)

// own gives a saying lists of their own, with no more room than they need, and its texts in
// one piece: as many are kept as there are units, of a hundred texts each, and what they
// would be parts of else would stay as well.
//
// Invariant: only what is exported counts, as it does in the cache.
func (s *saying) own() {
	texts, room := remade(reflect.ValueOf(s).Elem(), nil), 0
	for _, text := range texts {
		room += text.Len()
	}
	var all strings.Builder
	all.Grow(room) // so that it stays where it is
	for _, text := range texts {
		from := all.Len()
		all.WriteString(text.String())
		text.SetString(all.String()[from:])
	}
}

// remade makes anew what a value refers to, and adds its texts to those given. What of it
// can't be set, and maps, stay what they are.
func remade(v reflect.Value, texts []reflect.Value) []reflect.Value {
	if !v.CanSet() {
		return texts
	}
	switch v.Kind() {
	case reflect.String:
		return append(texts, v)
	case reflect.Pointer:
		if !v.IsNil() {
			made := reflect.New(v.Type().Elem())
			made.Elem().Set(v.Elem())
			v.Set(made)
			texts = remade(made.Elem(), texts)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			texts = remade(v.Field(i), texts)
		}
	case reflect.Slice:
		if v.Len() == 0 {
			break
		}
		made := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(made, v)
		v.Set(made)
		if v.Type().Elem().Kind() == reflect.Uint8 {
			break
		}
		for i := range v.Len() {
			texts = remade(v.Index(i), texts)
		}
	}
	return texts
}
