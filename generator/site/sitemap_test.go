package site

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"image"
	_ "image/png"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// urlsOf reads a file of a sitemap and holds it to the protocol (sitemaps.org).
func urlsOf(t *testing.T, root string, data []byte) []sitemapURL {
	t.Helper()
	var doc struct {
		XMLName  xml.Name
		URLs     []sitemapURL `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 url"`
		Sitemaps []sitemapURL `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 sitemap"`
	}
	if err := xml.Unmarshal(data, &doc); err != nil || doc.XMLName != (xml.Name{Space: sitemapSpace, Local: root}) {
		t.Fatalf("%v, root %v", err, doc.XMLName)
	}
	all := append(doc.URLs, doc.Sitemaps...)
	if len(all) == 0 || len(all) > 50_000 || len(data) > 52_428_800 {
		t.Errorf("%d addresses in %d bytes: at most 50,000 and 52,428,800 are allowed", len(all), len(data))
	}
	for _, u := range all {
		if at, err := url.Parse(u.Loc); err != nil || !at.IsAbs() || len(u.Loc) >= 2048 {
			t.Errorf("loc %q has to be a whole address below 2,048 characters", u.Loc)
		}
		if u.LastMod != "" {
			if _, err := time.Parse(time.RFC3339, u.LastMod); err != nil {
				t.Errorf("lastmod %q is no W3C datetime", u.LastMod)
			}
		}
	}
	return all
}

// The sitemap has each page of the demo once, with the date that its feed has, and robots.txt
// names it.
func TestSitemapHasEveryPage(t *testing.T) {
	s, outputs := demo()
	files, pages := map[string][]byte{}, map[string]bool{}
	for _, o := range outputs {
		files[o.Path] = o.Bytes
		if path.Base(o.Path) == "index.html" {
			pages[s.Content.Site.Address+strings.TrimSuffix(o.Path, "index.html")] = true
		}
	}
	dates := map[string]string{}
	for _, u := range urlsOf(t, "urlset", files["sitemap.xml"]) {
		if _, twice := dates[u.Loc]; twice || !pages[u.Loc] {
			t.Errorf("%s is no page, or there twice", u.Loc)
		}
		dates[u.Loc] = u.LastMod
		delete(pages, u.Loc)
	}
	for at := range pages {
		if strings.Contains(at, "/"+embedName+"/") {
			continue // a part of a page, made for frames
		}
		t.Errorf("%s is missing: a kind that makes pages has its row in binder.pages", at)
	}
	for _, e := range atomOf(t, string(files["feed.atom"]), s.Content.Site.Address).Entries {
		if dates[e.Links[0].Href] != e.Updated[0] {
			t.Errorf("%s: %s there, %s in the feed", e.Links[0].Href, dates[e.Links[0].Href], e.Updated[0])
		}
	}
	// RFC 9309, section 2.2: groups of lines name: value; Sitemap stands outside (2.2.4).
	line := regexp.MustCompile(`^(User-agent: \*|Allow: /|Sitemap: https://pewterwhelk\.example/sitemap\.xml|)$`)
	for text := range strings.Lines(string(files["robots.txt"])) {
		if !line.MatchString(strings.TrimSuffix(text, "\n")) {
			t.Errorf("robots.txt has the line %q", text)
		}
	}
}

// What doesn't fit one file goes into more, which an index lists.
func TestSitemapIsShared(t *testing.T) {
	var pages []sitePage
	for i := range 25 {
		pages = append(pages, sitePage{fmt.Sprintf("units/a&b-%d/", i), fmt.Sprintf("2026-01-%02dT00:00:00Z", i+1)})
	}
	for _, limits := range [][2]int{{10, 1 << 20}, {100, 3000}} {
		files := sitemapFiles("https://x.example/", pages, limits[0], limits[1])
		n := 0
		for i, f := range files {
			text := f.text("urlset", "url")
			if len(f) > limits[0] || len(text) > limits[1] || len(f) == 0 {
				t.Errorf("file %d has %d addresses, %d bytes", i, len(f), len(text))
			}
			for _, u := range urlsOf(t, "urlset", text) {
				if u.Loc != "https://x.example/"+pages[n].Path {
					t.Errorf("%s at %d", u.Loc, n)
				}
				n++
			}
		}
		if n != len(pages) || len(files) < 2 || files[len(files)-1].newest() != "2026-01-25T00:00:00Z" {
			t.Errorf("%d pages in %d files", n, len(files))
		}
	}
	if n := len(sitemapFiles("https://x.example/", make([]sitePage, 50_001), sitemapAddresses, sitemapBytes)); n != 2 {
		t.Errorf("50,001 pages are in %d files", n)
	}
}

// The page for what isn't there works at any depth: nothing in it is relative. It follows
// the path of the site's address.
func TestMissingPageIsAbsolute(t *testing.T) {
	for address, root := range map[string]string{"https://x.example": "/", "https://x.example/amps/": "/amps/", "": "/"} {
		dir := tiny(t, nil)
		if address != "" {
			dir = addressed(t, nil, address, "")
		}
		files := made(t, loaded(t, dir), stillOnly())
		for n := range parse(t, []byte(files["404.html"])).Descendants() {
			for _, a := range n.Attr {
				if a.Key != "href" && a.Key != "src" || a.Val == "#main" {
					continue
				}
				at, inside := strings.CutPrefix(a.Val, root)
				if _, there := files[at]; !inside || !there {
					t.Errorf("%q: a link to %s", address, a.Val)
				}
			}
		}
		if strings.Contains(files["404.html"], "canonical") || strings.Contains(files["404.html"], "alternate") {
			t.Error("it passes for a page of an address")
		}
	}
}

// The manifest has the members of the W3C's Web Application Manifest that are used, and
// its icons are files of the sizes that it says.
func TestManifestNamesItsIcons(t *testing.T) {
	files := made(t, loaded(t, addressed(t, nil, "https://x.example/amps", "")), stillOnly())
	var app webApp
	if err := json.Unmarshal([]byte(files["manifest.webmanifest"]), &app); err != nil {
		t.Fatal(err)
	}
	if app.Name != "Sprocket Bench" || app.ID != "/amps/" || app.StartURL != "./" || app.Scope != "./" || !slices.Contains([]string{"fullscreen", "standalone", "minimal-ui", "browser"}, app.Display) {
		t.Errorf("it says %+v", app)
	}
	sizes := map[string]bool{}
	for _, i := range app.Icons {
		data := files[i.Src]
		if i.Type == "image/png" {
			c, _, err := image.DecodeConfig(bytes.NewReader([]byte(data)))
			if err != nil || fmt.Sprintf("%dx%d", c.Width, c.Height) != i.Sizes {
				t.Errorf("%s: %v, %d × %d", i.Src, err, c.Width, c.Height)
			}
		}
		sizes[i.Sizes+" "+i.Purpose] = data != ""
	}
	if !sizes["192x192 any"] || !sizes["512x512 any"] || !sizes["512x512 maskable"] || !sizes["any any"] {
		t.Errorf("there are %v", sizes)
	}
	for _, name := range []string{"favicon.ico", "apple-touch-icon.png"} {
		if files[name] == "" {
			t.Errorf("there is no %s", name)
		}
	}
}
