package theme

import (
	"io/fs"
	"path"
	"slices"

	"wattsheet/generator/publication"
)

// iconsFolder has a theme's icons that aren't drawings; they stand at the site's root,
// where browsers and feed readers look for them.
const iconsFolder = "icons"

// Icons of a theme, by their paths in the published site.
const (
	IconFile  = "icon.svg" // its path in the theme, too
	BigIcon   = "icon-512.png"
	TouchIcon = "apple-touch-icon.png"
)

// HasIcon reports whether the theme has an icon, by its path in the published site.
func (t Theme) HasIcon(name string) bool {
	if name != IconFile {
		name = path.Join(iconsFolder, name)
	}
	_, err := fs.Stat(t.Files, name)
	return err == nil
}

// icons are a theme's icons as outputs, the drawn one first.
func (t Theme) icons() ([]publication.Output, error) {
	names, err := fs.Glob(t.Files, iconsFolder+"/*")
	if err != nil {
		return nil, err
	}
	names = slices.DeleteFunc(names, func(name string) bool { return path.Ext(name) != ".png" && path.Ext(name) != ".ico" })
	if t.HasIcon(IconFile) {
		names = slices.Insert(names, 0, IconFile)
	}
	var outputs []publication.Output
	for _, name := range names {
		data, err := fs.ReadFile(t.Files, name)
		if err != nil {
			return nil, err
		}
		outputs = append(outputs, publication.Output{Path: path.Base(name), Bytes: data})
	}
	return outputs, nil
}
