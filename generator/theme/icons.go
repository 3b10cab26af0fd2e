package theme

import (
	"io/fs"
	"path"

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

// HasIcon reports whether the theme has one of the icons that aren't drawings.
func (t Theme) HasIcon(name string) bool {
	_, err := fs.Stat(t.Files, path.Join(iconsFolder, name))
	return err == nil
}

// icons are a theme's icons as outputs, but for the drawn one.
func (t Theme) icons() ([]publication.Output, error) {
	names, err := fs.Glob(t.Files, iconsFolder+"/*")
	if err != nil {
		return nil, err
	}
	var outputs []publication.Output
	for _, name := range names {
		if ending := path.Ext(name); ending != ".png" && ending != ".ico" {
			continue
		}
		data, err := fs.ReadFile(t.Files, name)
		if err != nil {
			return nil, err
		}
		outputs = append(outputs, publication.Output{Path: path.Base(name), Bytes: data})
	}
	return outputs, nil
}
