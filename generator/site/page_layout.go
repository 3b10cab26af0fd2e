package site

import (
	"html/template"
	"io/fs"

	"wattsheet/generator/record"
)

// layouts are the page templates of a theme. Each defines "main"; layout.html
// defines "page", the frame around it, and parts.html what several pages show.
var layoutNames = []string{"front", "unit", "derivation", "methodology", "prose", "version", "corrections"}

// parseLayouts reads the templates of a theme.
func parseLayouts(theme fs.FS) (map[string]*template.Template, record.Problems) {
	layouts := map[string]*template.Template{}
	var problems record.Problems
	for _, name := range layoutNames {
		t, err := template.New(name).Option("missingkey=error").ParseFS(theme,
			"pages/layout.html", "pages/parts.html", "pages/"+name+".html")
		if err != nil {
			problems = append(problems, templateProblem(name, err))
			continue
		}
		layouts[name] = t
	}
	return layouts, problems
}

// templateProblem says what is wrong with a template of a theme.
func templateProblem(layout string, err error) record.Problem {
	return record.Problem{
		File: "pages/" + layout + ".html", Summary: err.Error(),
		Hint: "compare it with the default theme's template of that name",
	}
}
