package theme

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"wattsheet/generator/record"
	"wattsheet/themes"
)

// The built-in templates have nothing that no page shows, and end all that they begin: the same reading finds nothing in them.
func TestNothingIsOutsideInBuiltInTemplates(t *testing.T) {
	for _, name := range themes.Names() {
		if filepath.Ext(name) != ".html" {
			continue
		}
		text, err := fs.ReadFile(themes.Default(), name)
		if err != nil {
			t.Fatal(err)
		}
		if open, _, outside := nested(text); len(open) > 0 || outside >= 0 {
			t.Errorf("%s: open %v, outside at %d", name, open, outside)
		}
	}
}

// A file of the site's own stands in the place of the built-in one, in all that a theme gives; what has no place is told.
func TestOwnFilesStandInTheirPlaces(t *testing.T) {
	own, problems := Default().With(fstest.MapFS{
		"style.css":        {Data: []byte("p { }")},
		"pages/prose.html": {Data: []byte(`{{define "main"}}mine{{end}}`)},
		"icons/x.txt":      {}, "pages/README.md": {}, ".git/config": {}, "page/unit.html": {}, "stile.css": {},
	})
	own.Folder = "themes/own"
	var told []string
	for _, p := range problems {
		told = append(told, path.Base(p.File)+": "+p.Hint)
	}
	if got := strings.Join(told, "; "); got != "page: did you mean pages?; stile.css: did you mean style.css?" {
		t.Errorf("told is %s", got)
	}
	outputs, paths, _, err := own.Assets()
	if err != nil {
		t.Fatal(err)
	}
	at := paths["style.css"]
	if want := AssetsFolder + "/style." + ShortDigest([]byte("p { }")) + ".css"; at != want {
		t.Errorf("the style stands at %s, not %s", at, want)
	}
	_, built, _, _ := Default().Assets()
	for name, at := range built {
		if (paths[name] == at) == (name == "style.css") {
			t.Errorf("%s stands at %s, the built-in one at %s", name, paths[name], at)
		}
	}
	icons := 0
	for _, o := range outputs {
		if !strings.Contains(o.Path, "/") {
			icons++
			if !own.HasIcon(o.Path) {
				t.Errorf("%s isn't known as an icon", o.Path)
			}
		}
	}
	if icons < 3 || own.HasIcon("none.png") {
		t.Errorf("%d icons", icons)
	}
	layouts, problems := own.Layouts()
	if problems != nil || len(layouts) != len(LayoutNames) {
		t.Fatalf("%d layouts, %v", len(layouts), problems)
	}
	var text strings.Builder
	if err := layouts["prose"].ExecuteTemplate(&text, "main", nil); err != nil || text.String() != "mine" {
		t.Errorf("the template gives %q, %v", text.String(), err)
	}
}

// A site names its theme's folder; one that can't be read is told where the site says so.
func TestThemeOfASite(t *testing.T) {
	root := t.TempDir()
	if err := os.MkdirAll(filepath.Join(root, "themes/own"), 0o777); err != nil {
		t.Fatal(err)
	}
	if got, problems := Default().Of(root, nil); got.Folder != "" || problems != nil {
		t.Errorf("without a site: %q, %v", got.Folder, problems)
	}
	for name, want := range map[string]string{"": "", "own": "", "gone": "the folder themes/gone can't be read: "} {
		got, problems := Default().Of(root, &record.Site{Theme: name})
		if want == "" && problems != nil || want != "" && !strings.Contains(problems.Error(), want) {
			t.Errorf("%q: %v", name, problems)
		}
		if name == "own" && got.Folder != "themes/own" {
			t.Errorf("the folder is %q", got.Folder)
		}
	}
}

// What is wrong in a template is told at its place; of the site's own file by that file's name.
func TestProblemOfATemplate(t *testing.T) {
	own, _ := Default().With(fstest.MapFS{"pages/prose.html": {Data: []byte("{{define \"main\"}}\n{{if .Body}}x\n")}})
	own.Folder = "themes/own"
	_, problems := own.Layouts()
	if len(problems) != 1 || problems[0].File != "themes/own/pages/prose.html" || problems[0].Line != 2 || problems[0].Hint == "" {
		t.Errorf("told is %v", problems)
	}
}
