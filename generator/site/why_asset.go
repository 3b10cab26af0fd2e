package site

import (
	"fmt"
	"slices"
	"strings"
)

// whyAsset tells of what a theme brings: it follows from one file of the theme alone. That
// file may be named as well, as it stands in the theme.
func (d *Draft) whyAsset(name string) (Reason, error) {
	t := &d.frame.theme
	if file := strings.TrimPrefix(name, t.Folder+"/"); slices.Contains(t.Names(), file) {
		if strings.HasPrefix(file, "pages/") {
			return Reason{Path: name}, fmt.Errorf("%s is a template of the theme, and no published file\nhint: name a page that it makes, such as units/NAME/index.html", t.Place(file))
		}
		name = t.Published(file)
	}
	out := Reason{Path: name}
	if !slices.ContainsFunc(d.frame.assets, func(o Output) bool { return o.Path == name }) {
		return out, d.noOutput(name)
	}
	source := Input{Class: theTheme, Name: "what the program carries for charts"}
	for _, file := range t.Names() {
		if !strings.HasPrefix(file, "pages/") && t.Published(file) == name {
			source.Name = t.Place(file)
			if source.Name == file {
				source.Name = "the built-in theme's " + file
			}
		}
	}
	out.Inputs = append([]Input{source}, forPeople(d.frame.inputs.of([]class{theProgram}))...)
	switch {
	case d.lists == nil:
		out.Never = true
	case !slices.ContainsFunc(d.lists.Inputs.all(), func(in Input) bool { return in.Name == "the theme's "+name }):
		out.Since = []Input{source}
	}
	return out, nil
}
