package site

import (
	"bytes"
	"html/template"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"wattsheet/generator/theme"
)

// models are the page types of the layouts.
var models = map[string]any{
	"front": frontPage{}, "older": olderPage{}, "unit": unitPage{}, "derivation": derivationPage{}, "methodology": methodologyPage{}, "prose": prosePage{},
	"version": versionPage{}, "corrections": correctionsPage{}, "beside": besidePage{}, "embed": embedPage{},
	"makers": makersPage{}, "maker": makerPage{}, "loads": loadsPage{}, "load": loadPage{}, "near": nearPage{}, "captures": capturesPage{},
	"missing": missingPage{}, "moved": movedPage{},
}

// TestTemplatesFitTheirModels executes every layout with a model that has
// nothing and one that has everything: a field that a template names and the
// model lacks fails here and not at a user's desk.
func TestTemplatesFitTheirModels(t *testing.T) {
	layouts, problems := theme.Default().Layouts()
	if problems != nil {
		t.Fatal(problems)
	}
	if len(layouts) != len(models) {
		t.Errorf("there are %d layouts and %d models", len(layouts), len(models))
	}
	for name, model := range models {
		full := reflect.New(reflect.TypeOf(model)).Elem()
		complete(full, 0)
		for kind, m := range map[string]any{"empty": model, "full": full.Interface()} {
			var b bytes.Buffer
			if err := layouts[name].ExecuteTemplate(&b, "page", m); err != nil {
				t.Errorf("%s with a model that is %s: %v", name, kind, err)
			}
			if kind == "full" {
				everyText(t, name, full, b.String())
			}
		}
	}
}

// complete sets every field of a model: texts to the field's name, lists to two
// of everything.
func complete(v reflect.Value, depth int) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("text")
	case reflect.Int:
		v.SetInt(2)
	case reflect.Float64:
		v.SetFloat(2)
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		complete(v.Elem(), depth+1)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range 2 {
			complete(v.Index(i), depth+1)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if !v.Type().Field(i).IsExported() {
				continue // no template can print it
			}
			complete(v.Field(i), depth+1)
			if f := v.Field(i); f.Kind() == reflect.String {
				f.SetString(v.Type().Field(i).Name + "-" + v.Type().Name())
			}
		}
	}
}

// unprinted are fields of models that pages have no place for on that layout.
var unprinted = map[string]bool{
	"Root-head": true, "Sheet-head": true, "ProseLang-head": true, "Class-claimRow": true, "Name-unitPage": true, "Headline-head": true,
}

// everyText checks that each text of a model's own fields is on the page: a field
// that no template prints is not one to keep.
func everyText(t *testing.T, name string, v reflect.Value, page string) {
	t.Helper()
	for i := range v.NumField() {
		f, typ := v.Field(i), v.Type().Field(i)
		if f.Kind() != reflect.String || typ.Anonymous {
			continue
		}
		text := typ.Name + "-" + v.Type().Name()
		if !unprinted[text] && !strings.Contains(page, text) {
			t.Errorf("%s: the page doesn't print %s", name, text)
		}
	}
}

// TestTemplateMistakesAreProblems: a user's broken template is told with its
// name, and nothing is made.
func TestTemplateMistakesAreProblems(t *testing.T) {
	s, _ := demo()
	files := fstest.MapFS{
		"pages/layout.html":  {Data: []byte(`{{define "page"}}{{template "main" .}}{{end}}`)},
		"pages/parts.html":   {Data: []byte(``)},
		"pages/bylines.html": {Data: []byte(``)},
		"pages/atload.html":  {Data: []byte(``)},
		"pages/quote.html":   {Data: []byte(``)},
		"pages/video.html":   {Data: []byte(``)},
		"pages/front.html":   {Data: []byte(`{{define "main"}}{{.Nonsense}}{{end}}`)},
	}
	for _, name := range theme.LayoutNames {
		if at := "pages/" + name + ".html"; files[at] == nil {
			files[at] = &fstest.MapFile{Data: []byte(`{{define "main"}}x{{end}}`)}
		}
	}
	_, problems := s.pagesOf(theme.Theme{Files: files}, nil)
	if len(problems) != 1 || !problems.Errors() || problems[0].File != "pages/front.html" || !strings.Contains(problems[0].Summary, "Nonsense") {
		t.Errorf("got %v", problems)
	}
	files["pages/prose.html"] = &fstest.MapFile{Data: []byte(`{{define "main"}}{{if}}`)}
	outputs, problems := s.pagesOf(theme.Theme{Files: files}, nil)
	if len(problems) != 1 || problems[0].File != "pages/prose.html" || outputs != nil {
		t.Errorf("got %v and %d outputs", problems, len(outputs))
	}
}

// TestTables checks how figures stand under each other and how text is escaped.
func TestTables(t *testing.T) {
	out := string(table{Caption: `A "B"`, Head: []column{{Text: "W", Numeric: true}}, Groups: [][]row{{
		{ID: "x", Cells: []cell{{Text: "1.25"}}}, {Cells: []cell{{Text: "300"}}}, {Cells: []cell{{Text: "−4.5"}}}, {Cells: []cell{{Text: "–"}}}, {Cells: []cell{{Text: "<b>", Href: `"`, Struck: true}}},
	}}}.html())
	for _, want := range []string{
		"<caption>A &#34;B&#34;</caption>", `<tr id="x"><td class="n">1.25</td>`,
		"<td class=\"n\">300\u2008\u2007\u2007</td>", "<td class=\"n\">−4.5\u2007</td>", `<td class="n">–</td>`,
		`<td class="n"><s><a href="&#34;">&lt;b&gt;</a></s></td>`,
	} {
		if !strings.Contains(out, want) {
			t.Errorf("%q isn't in %s", want, out)
		}
	}
}

func TestDataBlocksCannotEndTheirElement(t *testing.T) {
	if got := string(drafted(func(d *draft) { d.block([]byte(`{"a":"</script><!--"}`)) })); got != `{"a":"\u003c/script>\u003c!--"}` {
		t.Errorf("got %s", got)
	}
}

// What a draft escapes is what the standard library does.
func TestDraftEscapes(t *testing.T) {
	for _, text := range []string{"", "plain", `<a href="x" title='y'>&amp;</a>`, "\x00\x01\x7f\xff\xe2\x28", "Ω ± − “q”", "<", "a<", "<a"} {
		for c := range 256 {
			text := text + string(rune(c)) + text
			if got := string(drafted(func(d *draft) { d.text(text) })); got != template.HTMLEscapeString(text) {
				t.Errorf("%q is written %q", text, got)
			}
		}
	}
}

// What a draft writes in a template's place is what the template would write.
func TestDraftWordsAreATemplates(t *testing.T) {
	fact := template.Must(template.New("").Parse(`{{if .Href}}<a href="{{.Href}}">{{.Text}}</a>{{else}}{{.Text}}{{end}}`))
	for c := range 256 {
		for _, href := range []string{"", "../../methodology/index.html#formula-power"} {
			text := "THD+N " + string(rune(c)) + "\xff 1 " + string([]byte{byte(c)})
			var want bytes.Buffer
			if err := fact.Execute(&want, link{href, text}); err != nil {
				t.Fatal(err)
			}
			if got := string(drafted(func(d *draft) { d.anchor(href, text) })); got != want.String() {
				t.Errorf("%q is written %q, want %q", text, got, want.String())
			}
		}
	}
}

func TestDecimals(t *testing.T) {
	for text, want := range map[string]int{
		"": -1, "1": 0, "−": 0, "1.": 0, ".": 0, "1.25": 2, "−0.5": 1, "1.2.3": 3, "1 2": -1, "12 W": -1, "a": -1, "-1": -1, "–": -1, "\xe2\x88": -1, "1.−5": 4,
	} {
		if got := decimals(text); got != want {
			t.Errorf("%q has %d decimals, want %d", text, got, want)
		}
	}
}

// The templates that the program carries are read once; a theme with a file of its own has its own.
func TestBuiltInLayoutsAreReadOnce(t *testing.T) {
	own, _ := theme.Default().With(fstest.MapFS{"pages/prose.html": &fstest.MapFile{Data: []byte(`{{define "main"}}mine{{end}}`)}})
	first, _ := theme.Default().Layouts()
	again, _ := stillOnly().Layouts()
	mine, problems := own.Layouts()
	if problems != nil {
		t.Fatal(problems)
	}
	for _, name := range theme.LayoutNames {
		if first[name] == nil || first[name] != again[name] || first[name] == mine[name] {
			t.Errorf("%s: read once %v, apart from a theme's own %v", name, first[name] == again[name], first[name] != mine[name])
		}
	}
	if text := mine["prose"].Lookup("main").Tree.Root.String(); text != "mine" {
		t.Errorf("a theme's own template says %q", text)
	}
}
