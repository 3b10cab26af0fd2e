package site

import (
	"encoding/json"
	"path"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/record"
)

// smuggled are texts that would do harm, or break a page, where they are not
// escaped for their context.
var smuggled = map[string]string{
	"script":   `"><script>alert(1)</script><svg onload=alert(2)>`,
	"block":    `</script></style></title></textarea>]]><!--`,
	"quotes":   `' onmouseover='alert(1)' "x" & &lt;b&gt; &amp;lt;`,
	"template": "{{.}} {{template \"x\"}} ${x} `x`",
	"lines":    "two\nlines\tand\rmore",
	"bidi":     "\u202erebmun\u2066\u202d\u200f עברית",
	"emoji":    "👩🏽‍🔧 Ω ﷽ e\u0301",
	"control":  "bell\a esc\x1b[31m",
	"long":     strings.Repeat("Langname", 38),
}

// TestHostileTexts puts such a text into every text field of the content. The
// pages must have the same elements and attributes as with a plain word, and the
// text must be read on them as it was written.
func TestHostileTexts(t *testing.T) {
	plain := structure(t, pagesWith(t, "Word"))
	for name, text := range smuggled {
		t.Run(name, func(t *testing.T) {
			pages := pagesWith(t, text)
			got := structure(t, pages)
			for at, want := range plain {
				if got[at] != want {
					t.Errorf("%s has other elements than with a plain word:\n%s", at, firstDifference(got[at], want))
				}
			}
			for _, o := range pages {
				readAsWritten(t, o, text)
			}
		})
	}
}

// pagesWith renders the repository's content with a text in every free field.
func pagesWith(t *testing.T, text string) []Output {
	t.Helper()
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	everyKind(t, s.Content.Records)
	for _, r := range s.Content.Records {
		renameChannels(r, text)
		flood(reflect.ValueOf(r).Elem(), text)
	}
	for _, part := range []any{s.Content.Site, s.Content.Bench, s.Content.Methods} {
		flood(reflect.ValueOf(part).Elem(), text)
	}
	s.evaluate()
	// Notes cite channels by their names, which are others now.
	s.Notes = nil
	// Makers have other names now, and other addresses.
	s.addresses = nil
	pages, problems := s.pages(map[string]string{"style.css": "assets/style.css", "chart.js": "assets/chart.js", "echarts.js": "assets/echarts.js"})
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return slices.DeleteFunc(pages, func(o Output) bool { return path.Ext(o.Path) != ".html" })
}

// everyKind checks that the records have each table whose texts are put to the
// test; without one its place on the page isn't tried.
func everyKind(t *testing.T, records []*record.Record) {
	t.Helper()
	seen := map[string]int{}
	for _, r := range records {
		v := reflect.ValueOf(r).Elem()
		for i := range v.NumField() {
			if f := v.Field(i); f.Kind() == reflect.Slice {
				seen[v.Type().Field(i).Name] += f.Len()
			}
		}
	}
	for _, kind := range []string{"Claims", "Runs", "Specs", "Functions", "Thermals", "Opinions", "Pictures", "Features", "Shops", "Videos"} {
		if seen[kind] == 0 {
			t.Errorf("no record has %s", kind)
		}
	}
}

// renameChannels gives the channels of a unit names that start with a text.
func renameChannels(r *record.Record, text string) {
	names := map[string]string{}
	for i, old := range r.Unit.Channels {
		names[old] = text + itoa(i)
		r.Unit.Channels[i] = names[old]
	}
	for i := range r.Runs {
		for n, driven := range r.Runs[i].Driven {
			parts := strings.Split(driven, "+")
			for p := range parts {
				parts[p] = names[parts[p]]
			}
			r.Runs[i].Driven[n] = strings.Join(parts, "+")
		}
	}
}

// flood sets every text field that takes any words, given or not. What names a
// channel is left as it is.
func flood(v reflect.Value, text string) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			form := f.Tag.Get("form")
			switch {
			case !f.IsExported() || f.Name == "Place" || f.Name == "Channels" || f.Name == "Driven":
			case (form == "name" || form == "prose") && f.Type.Kind() == reflect.String:
				if f.Name != "Invalid" || v.Field(i).Len() > 0 {
					v.Field(i).SetString(text)
				}
			default:
				flood(v.Field(i), text)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			flood(v.Index(i), text)
		}
	}
}

// structure lists the elements of each page with their attributes' names. What
// is drawn is left out, for where labels stand depends on their length.
func structure(t *testing.T, pages []Output) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, o := range pages {
		var b strings.Builder
		doc := parse(t, o.Bytes)
		for n := range doc.Descendants() {
			if n.Type == html.CommentNode {
				b.WriteString("<!--\n")
			}
			if n.Type != html.ElementNode || inDrawing(n) {
				continue
			}
			b.WriteString(n.Data)
			for _, a := range n.Attr {
				b.WriteString(" " + a.Key)
			}
			b.WriteByte('\n')
		}
		at := o.Path
		if slug, isMaker := strings.CutPrefix(at, makersFolder+"/"); isMaker && strings.Contains(slug, "/") {
			at = makersFolder + "/a maker's" // the address has the name
		}
		out[at] = b.String()
	}
	return out
}

func inDrawing(n *html.Node) bool {
	for ; n != nil; n = n.Parent {
		if n.Data == "svg" {
			return true
		}
	}
	return false
}

// readAsWritten finds the text on a page, and nothing that could act.
func readAsWritten(t *testing.T, o Output, text string) {
	t.Helper()
	doc := parse(t, o.Bytes)
	if block := cascadia.Query(doc, cascadia.MustCompile("script[type='application/ld+json']")); block != nil {
		if data := block.FirstChild.Data; !json.Valid([]byte(data)) || strings.ContainsAny(data, "<>") {
			t.Errorf("%s: the data block: %.80s", o.Path, data)
		}
		block.RemoveChild(block.FirstChild) // what only machines read isn't shown
		block.AppendChild(&html.Node{Type: html.TextNode, Data: "{}"})
	}
	if body := content(cascadia.Query(doc, cascadia.MustCompile("body"))); !strings.Contains(body, squeeze(text)) {
		t.Errorf("%s doesn't show the text as it was written", o.Path)
	}
	for n := range doc.Descendants() {
		for _, a := range n.Attr {
			if strings.HasPrefix(a.Key, "on") || a.Key == "style" || strings.Contains(strings.ToLower(a.Val), "javascript:") {
				t.Errorf("%s: <%s %s=%q>", o.Path, n.Data, a.Key, a.Val)
			}
		}
		if n.Type == html.ElementNode && n.Data == "script" && attr(n, "src") == "" {
			block := ""
			if n.FirstChild != nil {
				block = n.FirstChild.Data
			}
			if !json.Valid([]byte(block)) || attr(n, "type") != "application/json" && attr(n, "type") != "application/ld+json" {
				t.Errorf("%s: a script that is no data: %.80s", o.Path, block)
			}
		}
	}
	if strings.Contains(string(o.Bytes), "{{") && !strings.Contains(text, "{{") {
		t.Errorf("%s shows a template's marks", path.Base(o.Path))
	}
}

func firstDifference(got, want string) string {
	a, b := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return "line " + itoa(i) + ": got " + a[i] + ", want " + b[i]
		}
	}
	return "got " + itoa(len(a)) + " elements, want " + itoa(len(b))
}
