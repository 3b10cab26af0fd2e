package site

import (
	"fmt"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"wattsheet/generator/record"
	"wattsheet/generator/theme"
)

// ownOver is the default theme with files of a site's own over it.
func ownOver(own fstest.MapFS) theme.Theme {
	t := stillOnly()
	t.Folder = "themes/paper"
	t, _ = t.With(own)
	return t
}

// allLayouts are the demo's pages with a theme's templates, and what the demo doesn't have:
// a second page of the list, and a page at an old address.
func allLayouts(t *testing.T, from theme.Theme) (pages []string, problems record.Problems) {
	t.Helper()
	s, _ := demo()
	outputs, problems := s.pagesOf(from, nil)
	b, more := s.binder(from, nil)
	if more != nil {
		t.Fatal(more)
	}
	var units []*brief
	for len(units) <= unitsInFront {
		units = append(units, briefOf(s.Sheets[len(units)%len(s.Sheets)], nil))
	}
	outputs = append(outputs, b.older(units)...)
	outputs = append(outputs, b.movedPage(move{from: "units/old/", to: "units/new/"}))
	for _, o := range outputs {
		pages = append(pages, string(o.Bytes))
	}
	return pages, append(problems, b.problems...)
}

// What a layout's template gets has the type that the contract is written from.
func TestModelsAreWhatTemplatesGet(t *testing.T) {
	own := fstest.MapFS{}
	for _, name := range theme.LayoutNames {
		own["pages/"+name+".html"] = &fstest.MapFile{Data: fmt.Appendf(nil, `{{define "main"}}[%s gets {{printf "%%T" .}}]{{end}}`, name)}
	}
	seen := map[string]string{}
	pages, problems := allLayouts(t, ownOver(own))
	if problems.Errors() {
		t.Fatal(problems)
	}
	for _, page := range pages {
		for _, m := range regexp.MustCompile(`\[(\w+) gets ([\w.]+)\]`).FindAllStringSubmatch(page, -1) {
			if was := seen[m[1]]; was != "" && was != m[2] {
				t.Errorf("%s gets %s and %s", m[1], was, m[2])
			}
			seen[m[1]] = m[2]
		}
	}
	for _, name := range theme.LayoutNames {
		if want := "site." + reflect.TypeOf(models[name]).Name(); seen[name] != want {
			t.Errorf("%s gets %q, and the contract says %s", name, seen[name], want)
		}
	}
}

// A document is what contract.md says: for each section the fields, each with its kind.
type contractDocument map[string][][2]string

func readContract(t *testing.T) contractDocument {
	t.Helper()
	text, err := os.ReadFile(contractFile)
	if err != nil {
		t.Fatal(err)
	}
	d, at := contractDocument{}, ""
	row := regexp.MustCompile("^\\| (?:`\\.(\\w+)`)? ?\\| (.*?) \\|")
	for line := range strings.Lines(string(text)) {
		if title, ok := strings.CutPrefix(strings.TrimLeft(line, "#"), " "); ok && line[0] == '#' {
			at = strings.TrimSpace(title)
		} else if m := row.FindStringSubmatch(line); m != nil && !strings.HasPrefix(line, "| field |") {
			d[at] = append(d[at], [2]string{m[1], m[2]})
		}
	}
	return d
}

// uses writes a template that prints each field of a section, and what these are made of.
func (d contractDocument) uses(b *strings.Builder, section string) {
	for _, f := range d[section] {
		name, kind := f[0], f[1]
		if name == "" { // all of another section
			d.print(b, ".", strings.TrimPrefix(kind, "all of "))
			continue
		}
		fmt.Fprintf(b, "<p>%s ", name)
		d.print(b, "."+name, kind)
		b.WriteString("</p>\n")
	}
}

var (
	ofSection = regexp.MustCompile(`^\[(\w+)\]\(#\w+\)$`)
	withWhole = regexp.MustCompile("^(list of .*), with (`\\.\\w+`(?:, `\\.\\w+`)*)$")
)

// print writes what prints a value of a kind.
func (d contractDocument) print(b *strings.Builder, value, kind string) {
	if m := withWhole.FindStringSubmatch(kind); m != nil {
		kind = m[1]
		for method := range strings.SplitSeq(strings.ReplaceAll(m[2], "`", ""), ", ") {
			fmt.Fprintf(b, "{{%s%s}}", value, method)
		}
	}
	if of, ok := strings.CutPrefix(kind, "list of "); ok {
		fmt.Fprintf(b, "{{range %s}}", value)
		d.print(b, ".", of)
		b.WriteString("{{end}}")
		return
	}
	if of, ok := strings.CutSuffix(kind, ", or nothing"); ok {
		fmt.Fprintf(b, "{{with %s}}", value)
		d.print(b, ".", of)
		b.WriteString("{{end}}")
		return
	}
	if m := ofSection.FindStringSubmatch(kind); m != nil {
		fmt.Fprintf(b, "{{with %s}}", value)
		d.uses(b, m[1])
		b.WriteString("{{end}}")
		return
	}
	switch kind {
	case "text", "html":
		fmt.Fprintf(b, "{{len %s}} {{%s}}", value, value)
	case "number":
		fmt.Fprintf(b, "{{%s}}", value)
	case "yes or no":
		fmt.Fprintf(b, "{{if %s}}yes{{else}}no{{end}}", value)
	default: // JSON
		fmt.Fprintf(b, "</p><script type=\"application/json\">{{%s}}</script><p>", value)
	}
}

// A theme made from the document alone, which uses every field that it names, makes every
// page of the demo.
func TestThemeFromTheContract(t *testing.T) {
	d := readContract(t)
	own, fields := fstest.MapFS{}, 0
	for _, name := range theme.LayoutNames {
		var b strings.Builder
		fmt.Fprintf(&b, `{{define "page"}}<!DOCTYPE html><title>%s</title>{{template "main" .}}{{end}}{{define "main"}}`, name)
		d.uses(&b, "pages/"+name+".html")
		d.uses(&b, "What every page has")
		b.WriteString("{{end}}")
		own["pages/"+name+".html"] = &fstest.MapFile{Data: []byte(b.String())}
		fields += len(d["pages/"+name+".html"])
	}
	if fields < 100 || len(d["claimRow"]) < 10 {
		t.Fatalf("the document has %d fields, and a claim %d", fields, len(d["claimRow"]))
	}
	s, _ := demo()
	pages, problems := allLayouts(t, ownOver(own))
	if problems.Errors() {
		t.Fatal(problems)
	}
	for _, want := range []string{s.Sheets[0].Headline, s.Sheets[0].Claims[0].Label, s.Content.Site.Title} {
		if !strings.Contains(strings.Join(pages, ""), want) {
			t.Errorf("no page has %q", want)
		}
	}
}

// A field that isn't there is told with template, line, column and name, on each layout.
func TestEachLayoutSaysWhereItBreaks(t *testing.T) {
	own := fstest.MapFS{}
	for _, name := range theme.LayoutNames {
		own["pages/"+name+".html"] = &fstest.MapFile{Data: []byte("{{define \"main\"}}\n <p>{{.Nothing}}</p>{{end}}")}
	}
	_, problems := allLayouts(t, ownOver(own))
	for _, name := range theme.LayoutNames {
		said := ""
		for _, p := range problems {
			if text := p.String(); strings.HasPrefix(text, "themes/paper/pages/"+name+".html:2:7: ") {
				said = text
			}
		}
		if !strings.Contains(said, "the field Nothing, which a "+reflect.TypeOf(models[name]).Name()+" doesn't have\n") {
			t.Errorf("%s: %q", name, said)
		}
	}
}
