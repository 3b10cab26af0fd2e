package site

import (
	"html/template"
	"slices"
	"sync"

	"wattsheet/generator/record"
	"wattsheet/themes"
)

// layouts are the page templates of a theme. Each defines "main"; layout.html
// defines "page", the frame around it, and parts.html what several pages show.
var layoutNames = []string{
	"front", "older", "unit", "derivation", "methodology", "prose", "version", "corrections", "beside", "embed",
	"loads", "load", "makers", "maker", "near", "captures", "missing", "moved",
}

// layoutParts are the templates beside its own that one layout has parts in. A change
// of one counts as a change of what all pages share.
var layoutParts = map[string][]string{"unit": {"pages/atload.html", "pages/quote.html", "pages/video.html"}}

// builtInLayouts are the templates of the theme that the program carries. They are read once: its files are the same as
// long as the program runs, and a template is the same however often and by how many it is executed.
var builtInLayouts = sync.OnceValues(func() (map[string]*template.Template, record.Problems) { return readLayouts(defaultTheme()) })

// parseLayouts gives the templates of a theme, which the caller must not change.
func parseLayouts(from theme) (map[string]*template.Template, record.Problems) {
	if from.files == themes.Default() {
		return builtInLayouts()
	}
	return readLayouts(from)
}

// readLayouts reads the templates of a theme.
func readLayouts(from theme) (map[string]*template.Template, record.Problems) {
	layouts := map[string]*template.Template{}
	var problems record.Problems
	for _, name := range layoutNames {
		files := append([]string{"pages/layout.html", "pages/parts.html", "pages/bylines.html", "pages/" + name + ".html"}, layoutParts[name]...)
		t, err := template.New(name).Option("missingkey=error").ParseFS(from.files, files...)
		if err != nil {
			if p := from.problem(name, err); !slices.Contains(problems, p) {
				problems = append(problems, p) // a shared template's only once
			}
			continue
		}
		layouts[name] = t
	}
	return layouts, problems
}
