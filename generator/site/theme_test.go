package site

import (
	"path/filepath"
	"strings"
	"testing"

	"wattsheet/generator/publication"
)

// ownTheme is the tiny site with a theme of its own.
func ownTheme(t *testing.T, files map[string]string) string {
	t.Helper()
	root := tiny(t, nil)
	replaceIn(t, root, "content/site.toml", "title = ", "theme = \"paper\"\ntitle = ")
	for name, text := range files {
		put(t, root, "themes/paper/"+name, text)
	}
	return root
}

// A file of the site's own theme stands in place of the built-in one, and the others stay.
func TestOwnThemeTakesOverFileByFile(t *testing.T) {
	root := ownTheme(t, map[string]string{"pages/prose.html": `{{define "main"}}<p>mine: {{.Heading}}</p>{{end}}`})
	built(t, root, "public", today)
	files := tree(t, filepath.Join(root, "public"))
	if !strings.Contains(files["about/index.html"], "<p>mine: About</p>") || !strings.Contains(files["methodology/index.html"], "id=\"rule\"") {
		t.Errorf("the pages are\n%s", files["about/index.html"])
	}
	delete(files, publication.ManifestName)
	if odd := unlike(files, made(t, loaded(t, root), stillOnly())); odd != nil {
		t.Errorf("the site as a whole has others: %v", odd)
	}
}

// A theme that breaks names the template, the line and the field.
func TestBrokenThemeSaysWhere(t *testing.T) {
	for _, row := range []struct{ name, file, text, want string }{
		{"a field that isn't there", "pages/prose.html", "{{define \"main\"}}\n<p>{{.Headline}}</p>{{end}}",
			"themes/paper/pages/prose.html:2:6: .Headline asks for the field Headline, which a prosePage doesn't have\n"},
		{"an open action", "pages/unit.html", "{{define \"main\"}}\n\n{{if .Name}}", "themes/paper/pages/unit.html:3:1: {{if .Name}} has no {{end}}\n"},
		{"an open action in what pages share", "pages/parts.html", "{{define \"day\"}}{{if .Name}}", "themes/paper/pages/parts.html:1:17: {{if .Name}} has no {{end}}\n"},
		{"the source line of a field", "pages/prose.html", "{{define \"main\"}}\n\t<p>ü{{.Headline }}</p>{{end}}", "themes/paper/pages/prose.html:2:8: .Headline asks for the field Headline, which a prosePage doesn't have\n"},
		{"no part of its own", "pages/front.html", "<p>all is well</p>\n", "themes/paper/pages/front.html:1:1: this template defines no \"main\""},
		{"a part that isn't there", "pages/front.html", "{{define \"main\"}}{{template \"nowhere\" .}}{{end}}", "themes/paper/pages/front.html:1:"},
	} {
		root := ownTheme(t, map[string]string{row.file: row.text})
		d, err := openDraft(root, stillOnly(), false)
		if err != nil {
			t.Fatal(err)
		}
		b, err := d.Build(today, filepath.Join(root, "public"))
		d.Close()
		if err != nil || !b.Problems.Errors() || !strings.Contains(b.Problems.Error(), row.want) {
			t.Errorf("%s: %v\n%v\nwant %s", row.name, err, b.Problems, row.want)
		}
		if file, _, _ := strings.Cut(row.want, ":"); strings.Count(b.Problems.Error(), file) != 1 {
			t.Errorf("%s: it isn't told once:\n%v", row.name, b.Problems)
		}
		if got := tree(t, root); got["public/index.html"] != "" {
			t.Errorf("%s: something was published", row.name)
		}
		// The line stands below, with what is wrong in it marked, as for a record.
		if strings.Contains(row.want, ".Headline asks") && !strings.Contains(b.Problems.Error(), "{{.Headline") || !strings.Contains(b.Problems.Error(), "\n      | ") {
			t.Errorf("%s: without its line:\n%v", row.name, b.Problems)
		}
	}
	root := ownTheme(t, nil)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if b, err := d.Build(today, filepath.Join(root, "public")); err != nil || !strings.Contains(b.Problems.Error(), "content/site.toml:1:9: the folder themes/paper can't be read") {
		t.Errorf("without its folder: %v, %v", b.Problems, err)
	}
}
