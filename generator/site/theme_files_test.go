package site

import (
	"io/fs"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"wattsheet/generator/record"
	"wattsheet/generator/theme"
	"wattsheet/themes"
)

// Every file of the default theme is one that a theme may have, and the other way round.
func TestThemeNames(t *testing.T) {
	if got, want := theme.Default().Names(), themes.Names(); !slices.Equal(got, want) {
		t.Errorf("pages and assets are made of\n%v\nthe default theme has\n%v", got, want)
	}
}

// defined matches where a part of a template begins, with the blanks that it trims.
var defined = regexp.MustCompile(`\{\{define "[^"]+" *(?:-\}\}\s*|\}\})`)

// marked is the text that the own template of a test brings to each page that shows it.
const marked = "MINE-ALONE"

// Each template of the default theme can be replaced alone: the pages that it makes, and
// no others, show what the site's own brings.
func TestEachTemplateIsReplacedAlone(t *testing.T) {
	root := tiny(t, nil)
	s := loaded(t, root)
	plain, problems := s.pagesOf(stillOnly(), nil)
	if problems.Errors() {
		t.Fatal(problems)
	}
	// What the tiny site has no page for is seen on the demo, in TestModelsAreWhatTemplatesGet.
	lacks := []string{"older", "version", "moved", "captures", "video"}
	for _, name := range themes.Names() {
		if path.Dir(name) != "pages" {
			continue
		}
		text, err := fs.ReadFile(themes.Default(), name)
		if err != nil {
			t.Fatal(err)
		}
		own := fstest.MapFS{name: {Data: defined.ReplaceAll(text, []byte("${0}"+marked))}}
		pages, problems := s.pagesOf(ownOver(own), nil)
		if problems.Errors() || len(pages) != len(plain) {
			t.Errorf("%s: %d pages, %v", name, len(pages), problems)
			continue
		}
		shown := 0
		for i, p := range pages {
			if strings.Contains(string(p.Bytes), marked) {
				shown++
			}
			if got := strings.ReplaceAll(string(p.Bytes), marked, ""); path.Ext(p.Path) == ".html" && got != string(plain[i].Bytes) {
				t.Errorf("%s: but for the mark %s has changed", name, p.Path)
			}
		}
		if none := slices.Contains(lacks, strings.TrimSuffix(path.Base(name), ".html")); (shown == 0) != none {
			t.Errorf("%s is seen on %d pages", name, shown)
		}
	}
}

// A theme that goes through the members of lists, where the default theme lets them write
// themselves, makes the same pages.
func TestListsGoneThroughByATheme(t *testing.T) {
	s := loaded(t, tiny(t, nil))
	plain, problems := s.pagesOf(stillOnly(), nil)
	if problems.Errors() {
		t.Fatal(problems)
	}
	own := fstest.MapFS{}
	for _, r := range []struct{ file, itself, members string }{
		{"layout.html", "{{.Styles.Links}}", "{{range .Styles}}<link rel=\"stylesheet\" href=\"{{.}}\">\n{{end}}"},
		{"layout.html", "{{.Scripts.Elements}}", "{{range .Scripts}}<script defer blocking=\"render\" src=\"{{.}}\"></script>\n{{end}}"},
		{"layout.html", "{{.Nav.Items}}", "{{range .Nav}}<li><a href=\"{{.Href}}\">{{.Text}}</a></li>\n{{end}}"},
		{"parts.html", "{{.Folded}}", "{{range .}}<details class=\"derivation\">\n<summary><span class=\"derivation-title\">{{.Title}}</span> " +
			"<span class=\"soft\">{{.Note}}</span></summary>\n{{with .Seen}}<p class=\"seen\">{{.}}</p>\n{{end}}{{.Body}}</details>\n{{end}}"},
		{"unit.html", "{{.Items}}", "{{range .}}<li><a href=\"{{.Href}}\">{{.Text}}</a><pre><code>{{.Code}}</code></pre></li>\n{{end}}"},
	} {
		name := "pages/" + r.file
		if own[name] == nil {
			text, err := fs.ReadFile(themes.Default(), name)
			if err != nil {
				t.Fatal(err)
			}
			own[name] = &fstest.MapFile{Data: text}
		}
		text := string(own[name].Data)
		if !strings.Contains(text, r.itself) {
			t.Errorf("%s has no %s", r.file, r.itself)
		}
		own[name].Data = []byte(strings.Replace(text, r.itself, r.members, 1))
	}
	pages, problems := s.pagesOf(ownOver(own), nil)
	if problems.Errors() || len(pages) != len(plain) {
		t.Fatalf("%d pages, %v", len(pages), problems)
	}
	for i, p := range pages {
		if path.Ext(p.Path) == ".html" && string(p.Bytes) != string(plain[i].Bytes) {
			t.Errorf("%s is another", p.Path)
		}
	}
}

// Each style, script and icon can be replaced alone: its bytes are the site's own, all
// other files are the default theme's, and pages link the styles and scripts.
func TestEachAssetIsReplacedAlone(t *testing.T) {
	usual, usualPaths, _, err := stillOnly().Assets()
	if err != nil {
		t.Fatal(err)
	}
	all := fstest.MapFS{}
	for _, name := range themes.Names() {
		if path.Dir(name) == "pages" || name == theme.IconFile {
			continue // the icon is no asset, and has its own name in the site
		}
		own := &fstest.MapFile{Data: []byte("/* mine: " + name + " */")}
		all[name] = own
		outputs, paths, _, err := ownOver(fstest.MapFS{name: own}).Assets()
		if err != nil || len(outputs) != len(usual) {
			t.Fatalf("%s: %d outputs, %v", name, len(outputs), err)
		}
		for i, o := range outputs {
			is := string(o.Bytes) == string(own.Data)
			if as := strings.HasPrefix(path.Base(o.Path), strings.TrimSuffix(path.Base(name), path.Ext(name))+"."); is != (as && path.Ext(o.Path) == path.Ext(name)) {
				t.Errorf("with an own %s the bytes of %s are its: %t", name, o.Path, is)
			}
			if !is && (o.Path != usual[i].Path || string(o.Bytes) != string(usual[i].Bytes)) {
				t.Errorf("with an own %s, %s is another", name, o.Path)
			}
		}
		if at := usualPaths[path.Base(name)]; at != "" && at == paths[path.Base(name)] {
			t.Errorf("an own %s has the default one's address", name)
		}
	}
	from := ownOver(all)
	_, paths, _, err := from.Assets()
	if err != nil {
		t.Fatal(err)
	}
	plain, _ := demo()
	s := withMove(plain)
	pages, problems := s.pagesOf(from, paths)
	if problems.Errors() {
		t.Fatal(problems)
	}
	var b strings.Builder
	for _, p := range pages {
		b.Write(p.Bytes)
	}
	for name, at := range paths {
		if !strings.Contains(b.String(), at) {
			t.Errorf("no page links %s", name)
		}
	}
}

// withMove is a site with a page at an old address.
func withMove(s *Site) *Site {
	out, content, site := *s, *s.Content, *s.Content.Site
	site.Moved = []record.Moved{{From: "/units/otter-1/", To: "/units/" + s.Sheets[0].Slug + "/"}}
	out.Content, content.Site = &content, &site
	return &out
}

// The site's own icon stands in place of the default one.
func TestOwnIcon(t *testing.T) {
	root := ownTheme(t, map[string]string{theme.IconFile: "<svg/>"})
	built(t, root, "public", today)
	if got := tree(t, filepath.Join(root, "public"))[theme.IconFile]; got != "<svg/>" {
		t.Errorf("the icon is %q", got)
	}
}

// A file that stands in no file's place is warned about, with the name that was likely
// meant; what people and editors leave in a folder isn't.
func TestUnusedThemeFiles(t *testing.T) {
	root := ownTheme(t, map[string]string{"style.css": "body {}", "contract.md": "x", "LICENCE": "x", "notes.txt": "x", ".DS_Store": "x", ".git/config": "x", "style.css~": "x"})
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	build := func() string {
		b, err := d.Build(today, filepath.Join(root, "public"))
		if err != nil || b.Problems.Errors() {
			t.Fatal(err, b.Problems)
		}
		return b.Problems.Error()
	}
	usual := build()
	if strings.Contains(usual, "themes/") {
		t.Errorf("with nothing but what may stand there: %s", usual)
	}
	for _, row := range []struct{ name, hint string }{
		{"pages/unti.html", "did you mean themes/paper/pages/unit.html?"},
		{"unit.html", "did you mean themes/paper/pages/unit.html?"},
		{"Style.CSS", "did you mean themes/paper/style.css?"},
		{"scripts/chart.js", "did you mean themes/paper/script?"},
		{"css/styles.css", "the names are those of the default theme"},
		{"chart.js", "did you mean themes/paper/script/chart.js?"},
		{"footnotes.css", "the names are those of the default theme"},
		{"fonts/house.woff2", "the names are those of the default theme"},
		{"icons/apple-touch.png", "the names are those of the default theme"},
	} {
		put(t, root, "themes/paper/"+row.name, "x")
		place := "themes/paper/" + row.name
		if folder := path.Dir(row.name); folder == "fonts" || folder == "css" || folder == "scripts" {
			place = "themes/paper/" + folder // the folder as a whole has no use
		}
		if says := build(); !strings.Contains(says, place+": warning: no theme has a file of this name; no page uses it\nhint: "+row.hint) {
			t.Errorf("%s: it says\n%s", row.name, says)
		}
	}
}
