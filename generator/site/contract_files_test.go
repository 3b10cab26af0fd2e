package site

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/theme"
	"wattsheet/themes"
)

// sharedTemplates says what the templates are that no page has to itself.
var sharedTemplates = map[string]string{
	"pages/layout.html":  "\"page\": the frame around \"main\", with the head, the masthead and the site's navigation",
	"pages/parts.html":   "what several pages show: a claim, a verdict, a date, a correction",
	"pages/bylines.html": "the ways on to loads, makers and other units",
	"pages/quote.html":   "\"cite\": the part of a unit's page that gives sentences to quote it by",
	"pages/atload.html":  "\"atload\": the part of a unit's page that answers \"at my load\"",
	"pages/video.html":   "\"videos\": the part of a unit's page that has its videos, and what is seen in them when",
}

// firstComment matches the comment that a style or script begins with.
var firstComment = regexp.MustCompile(`^(?s:/\*(.*?)\*/|((?://[^\n]*\n)+))`)

// contractFiles lists the default theme's files, each with what it is.
func (c *comments) contractFiles(t *testing.T, b *bytes.Buffer) {
	t.Helper()
	b.WriteString("\n## The files\n\n| file | what it is |\n| --- | --- |\n")
	for _, name := range theme.Default().Names() {
		text, err := fs.ReadFile(themes.Default(), name)
		if err != nil {
			t.Fatal(err)
		}
		what := sharedTemplates[name]
		layout := strings.TrimSuffix(path.Base(name), ".html")
		switch {
		case name == theme.IconFile:
			what = "the site's mark in a browser's tab; a text of its own"
		case path.Dir(name) == "icons":
			what = "the same mark, as it is asked for by its name"
		case path.Ext(name) == ".html" && slices.Contains(theme.LayoutNames, layout):
			what = fmt.Sprintf("%s; [what it gets](#pages%shtml)", c.means(models[layout]), layout)
		case path.Ext(name) != ".html":
			if m := firstComment.FindSubmatch(text); m != nil {
				what, _, _ = strings.Cut(string(m[1])+string(m[2]), "\n//\n")
				what, _, _ = strings.Cut(flat(strings.ReplaceAll(what, "//", "")), ". ")
			}
		}
		if what == "" {
			t.Errorf("nothing says what %s is", name)
		}
		fmt.Fprintf(b, "| `%s` | %s |\n", name, strings.TrimRight(what, ".:"))
	}
}

// means is what a model is, without its name: the first sentence of its comment.
func (c *comments) means(model any) string {
	what, _, _ := strings.Cut(strings.TrimSuffix(c.types[reflect.TypeOf(model).Name()], "."), ". ")
	words := strings.SplitN(what, " ", 3) // "An olderPage is a further page …"
	return strings.TrimPrefix(words[len(words)-1], "is ")
}
