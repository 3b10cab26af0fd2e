package site

import (
	"html/template"
	"slices"

	"wattsheet/generator/record"
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

// parseLayouts reads the templates of a theme.
func parseLayouts(from theme) (map[string]*template.Template, record.Problems) {
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
