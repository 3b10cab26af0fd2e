package site

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"testing"
)

// A maker's pages have so many units each, all of them once with the latest model first; what is
// said of all is on the first alone. Links between them, to a model year and along a line of
// models lead to what is there, and the sitemap has just these pages.
func TestMakerPagesAreCut(t *testing.T) {
	b, briefs, _ := scaledBriefs(t, 2*unitsOfMaker+7)
	b.site.Content.Site.Address = "https://x.example"
	for i, of := range briefs {
		p := of.Maker.part()
		p.Slug, p.Model, p.Link = of.Row.Slug, of.Row.Link.Text, of.Row.Link
		p.Year, p.Follows = fmt.Sprint(2000+i%5), ""
		if i >= 5 {
			p.Follows = briefs[i-5].Row.Slug
		}
		of.Maker = makerBrief{Slug: "wicketgrub", Name: "Wicketgrub", Made: pack(p)}
	}
	sides := make([][]side, len(briefs))
	for i, of := range briefs {
		sides[i] = sidesOf(of)
	}
	g := listGroup(kindMaker, "wicketgrub", briefs, sides)
	outputs, problems := b.listOutputs(g, nil)
	if problems.Errors() || len(outputs) != 3 {
		t.Fatal(problems, len(outputs))
	}
	there := map[string]bool{} // addresses with their places
	var listed []string
	for n, o := range outputs {
		if want := makerAddress("wicketgrub", n) + "index.html"; o.Path != want || kindFor(o.Path) != kindMaker || memberOf(kindMaker, o.Path) != "wicketgrub" {
			t.Errorf("page %d is at %s, of %s", n+1, o.Path, memberOf(kindMaker, o.Path))
		}
		doc := parse(t, o.Bytes)
		there[o.Path] = true
		for _, id := range attributesOf(doc, "[id]", "id") {
			there[o.Path+"#"+id] = true
		}
		here := attributesOf(doc, "article.sheet-row", "id")
		if len(here) != unitsOfMaker && n+1 < len(outputs) {
			t.Errorf("%s has %d units", o.Path, len(here))
		}
		listed = append(listed, here...)
		for _, first := range []string{".years", ".model-line"} {
			if got := len(attributesOf(doc, first, "class")) > 0; got != (n == 0) {
				t.Errorf("%s has %s: %v", o.Path, first, got)
			}
		}
		for rel, has := range map[string]bool{"prev": n > 0, "next": n+1 < len(outputs)} {
			if got := len(attributesOf(doc, "a[rel="+rel+"]", "href")) == 1; got != has {
				t.Errorf("%s leads to the page %s: %v", o.Path, rel, got)
			}
		}
	}
	if slices.Sort(listed); len(listed) != len(briefs) || len(slices.Compact(listed)) != len(briefs) {
		t.Errorf("%d units are on the pages, want %d", len(listed), len(briefs))
	}
	lines := 0
	for _, o := range outputs {
		for _, href := range attributesOf(parse(t, o.Bytes), ".model-line a, .pager a, .crumb a", "href") {
			file, place, _ := strings.Cut(href, "#")
			to := o.Path
			if file != "" {
				to = path.Join(path.Dir(o.Path), file)
			}
			if place != "" {
				to, lines = to+"#"+place, lines+1
			}
			if !there[to] && to != makersFolder+"/index.html" {
				t.Errorf("%s leads to %s, which isn't there", o.Path, to)
			}
		}
	}
	if lines < len(briefs) {
		t.Errorf("%d links lead to units", lines)
	}
	for _, p := range b.pages(briefs) {
		if strings.HasPrefix(p.Path, makersFolder+"/wicketgrub/") {
			delete(there, p.Path+"index.html")
		}
	}
	for at := range there {
		if !strings.Contains(at, "#") {
			t.Errorf("%s isn't in the sitemap", at)
		}
	}
}
