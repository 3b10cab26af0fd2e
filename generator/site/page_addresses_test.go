package site

import (
	"path"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// Every whole address of the site that any of its files names, be it a page, a feed, a
// response, a table or a schema, leads to one of its files, and its fragment to an element.
func TestEveryAddressLeads(t *testing.T) {
	s, outputs := demo()
	address := strings.TrimSuffix(s.Content.Site.Address, "/") + "/"
	files := map[string]string{}
	for _, o := range outputs {
		files[o.Path] = string(o.Bytes)
	}
	ids := map[string]map[string]bool{}
	idOf := func(page, id string) bool {
		if ids[page] == nil {
			ids[page] = map[string]bool{}
			for n := range parse(t, []byte(files[page])).Descendants() {
				ids[page][attr(n, "id")] = true
			}
		}
		return ids[page][id]
	}
	// What only names a thing: nodes of structured data, and the data package.
	names := regexp.MustCompile(`^(units/[^/]+/#(unit|sheet)|data/)$`)
	whole := regexp.MustCompile(regexp.QuoteMeta(address) + `[^\s"'<>\\)|,;]*`)
	// A page answers seconds of its videos; in structured data an & is escaped.
	ofVideo := regexp.MustCompile(`^(units/[^/]+/)\?(?:video=[a-z0-9-]+|t=[0-9]+)$`)
	kinds := map[string]int{}
	seen := map[string]bool{}
	for name, text := range files {
		switch path.Ext(name) {
		case ".png", ".ico":
			continue
		case ".html", ".xml", ".atom", ".csv", ".json":
			text = html.UnescapeString(text)
		}
		for _, at := range whole.FindAllString(text, -1) {
			kinds[kindOfFile(name)]++
			rest := strings.TrimPrefix(at, address)
			if seen[rest] || names.MatchString(rest) {
				continue
			}
			seen[rest] = true
			file, fragment, _ := strings.Cut(rest, "#")
			file = ofVideo.ReplaceAllString(file, "$1")
			if file == "" || strings.HasSuffix(file, "/") {
				file += "index.html"
			}
			if _, there := files[file]; !there || fragment != "" && !idOf(file, fragment) {
				t.Errorf("%s names %s, which leads nowhere", name, at)
			}
		}
	}
	for _, kind := range []string{
		"index.html", "units/…/index.html", "units/…/embed/…/oembed.json", "units/…/embed/…/index.html", "feed.atom", "feed.json", "corrections/feed.atom",
		"corrections/feed.json", "sitemap.xml", "robots.txt", "data/datapackage.json", "data/units.csv", "data/CITATION.cff", "schema/sheet.schema.json",
	} {
		if kinds[kind] == 0 {
			t.Errorf("%s names no address", kind)
		}
	}
}
