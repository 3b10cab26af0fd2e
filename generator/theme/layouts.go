package theme

import (
	"html/template"
	"slices"
	"sync"

	"wattsheet/generator/record"
	"wattsheet/themes"
)

// LayoutNames are the page templates of a theme. Each defines "main"; layout.html
// defines "page", the frame around it, and parts.html what several pages show.
var LayoutNames = []string{
	"front", "older", "unit", "derivation", "methodology", "prose", "version", "corrections", "beside", "embed",
	"loads", "load", "makers", "maker", "near", "captures", "missing", "moved",
}

// layoutParts are the templates beside its own that one layout has parts in. A change
// of one counts as a change of what all pages share.
var layoutParts = map[string][]string{"unit": {"pages/atload.html", "pages/quote.html", "pages/video.html"}}

// builtInLayouts are the templates of the theme that the program carries. They are read once: its files are the same as
// long as the program runs, and a template is the same however often and by how many it is executed.
var builtInLayouts = sync.OnceValues(func() (map[string]*template.Template, record.Problems) { return readLayouts(Default()) })

// Layouts gives the templates of the theme by their names, which the caller must not change. The problems are mistakes in
// them.
func (t Theme) Layouts() (map[string]*template.Template, record.Problems) {
	if t.Files == themes.Default() {
		return builtInLayouts()
	}
	return readLayouts(t)
}

// readLayouts reads the templates of a theme.
func readLayouts(from Theme) (map[string]*template.Template, record.Problems) {
	layouts := map[string]*template.Template{}
	var problems record.Problems
	for _, name := range LayoutNames {
		files := append([]string{"pages/layout.html", "pages/parts.html", "pages/bylines.html", "pages/" + name + ".html"}, layoutParts[name]...)
		t, err := template.New(name).Option("missingkey=error").ParseFS(from.Files, files...)
		if err != nil {
			if p := from.Problem(name, err); !slices.Contains(problems, p) {
				problems = append(problems, p) // a shared template's only once
			}
			continue
		}
		layouts[name] = t
	}
	return layouts, problems
}
