package datafile

import "reflect"

// Two thirds of a sheet.json are components: each is written here as the writers of its
// parts would write it, without a look at its type.

var componentsType = reflect.TypeFor[[]dataComponent]()

var componentsWriter = &jsonWriter{
	write: func(text []byte, v reflect.Value, depth int, broken bool) []byte {
		if v.IsNil() {
			return append(text, "null"...)
		}
		return appendComponents(text, *v.Addr().Interface().(*[]dataComponent), depth)
	},
	nests:  func(v reflect.Value) bool { return !v.IsNil() },
	breaks: func(v reflect.Value) bool { return v.Len() > 0 },
}

// appendComponents adds a list of components, each on a line of its own.
func appendComponents(text []byte, all []dataComponent, depth int) []byte {
	if len(all) == 0 {
		return append(text, "[]"...)
	}
	between := line(depth + 1)
	text = append(text, '[')
	for i := range all {
		c := &all[i]
		if i > 0 {
			text = append(text, ',')
		}
		text = append(append(text, between...), `{"source": `...)
		if c.quoted != nil { // a cause is in a dozen figures
			text = append(text, c.quoted...)
		} else {
			text = AppendQuoted(text, c.Source)
		}
		text = c.Contribution.append(append(text, `, "contribution": `...))
		if c.Sharing != "" {
			text = AppendQuoted(append(text, `, "sharing": `...), c.Sharing)
		}
		text = append(text, '}')
	}
	return append(append(text, line(depth)...), ']')
}
