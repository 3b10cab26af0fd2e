package site

import (
	"encoding/json"
	"path"
	"regexp"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"
)

// isEmbed reports whether a path is of a page for frames.
func isEmbed(at string) bool {
	kind := ""
	if strings.HasSuffix(at, "/index.html") {
		_, k := kindOfPath(at)
		kind = string(k)
	}
	return kind == string(kindEmbed)
}

// A page for frames has no navigation and no script, and its links leave the frame for
// the sheet; it says the verdict in words, with the figure, and who supplied the unit.
func TestEmbeds(t *testing.T) {
	s, outputs := demo()
	files := map[string]*html.Node{}
	for _, o := range outputs {
		if path.Ext(o.Path) == ".html" {
			files[o.Path] = parse(t, o.Bytes)
		}
	}
	address := strings.TrimSuffix(s.Content.Site.Address, "/") + "/"
	count := 0
	for at, doc := range files {
		if !isEmbed(at) {
			continue
		}
		count++
		for selector, n := range map[string]int{
			"html[lang=en]": 1, "h1": 1, "main#main": 1, "head > title": 1, "meta[http-equiv=Content-Security-Policy]": 1, "meta[name=viewport]": 1,
			"nav, script, form, iframe, [style], base, header, footer": 0, "a:not([target=_blank][rel=noopener])": 0, ".embed-source": 1,
			"link[rel=stylesheet][href$='.css']": 3,
		} {
			if got := len(cascadia.QueryAll(doc, cascadia.MustCompile(selector))); got != n {
				t.Errorf("%s: %d of %s, want %d", at, got, selector, n)
			}
		}
		slug := strings.Split(at, "/")[1]
		for _, a := range cascadia.QueryAll(doc, cascadia.MustCompile("a")) {
			to, fragment, _ := strings.Cut(attr(a, "href"), "#")
			sheet := files["units/"+slug+"/index.html"]
			if to != address+"units/"+slug+"/" || fragment != "" && cascadia.Query(sheet, cascadia.MustCompile("#"+fragment)) == nil {
				t.Errorf("%s leads to %s", at, attr(a, "href"))
			}
		}
		if canonical := attr(cascadia.Query(doc, cascadia.MustCompile("link[rel=canonical]")), "href"); canonical != address+"units/"+slug+"/" {
			t.Errorf("%s: the canonical address is %s", at, canonical)
		}
	}
	want := 0
	for _, sh := range s.Sheets {
		unit := files["units/"+sh.Slug+"/index.html"]
		want += 1 + len(sh.Claims) + len(cascadia.QueryAll(unit, cascadia.MustCompile("figure.chart")))
		for _, c := range sh.Claims {
			doc := files["units/"+sh.Slug+"/embed/claim-"+c.ID+"/index.html"]
			if doc == nil {
				t.Errorf("%s has no embed of %s", sh.Slug, c.ID)
				continue
			}
			text := content(cascadia.Query(doc, cascadia.MustCompile("body")))
			figure, of := measuredOf(c)
			for _, says := range []string{c.Word, figure, of, c.Label, sh.Name, sh.Number, sh.Disclosure} {
				if !strings.Contains(text, squeeze(says)) {
					t.Errorf("%s, %s doesn't say %q", sh.Slug, c.ID, says)
				}
			}
		}
		for _, figure := range cascadia.QueryAll(unit, cascadia.MustCompile("figure.chart")) {
			doc := files["units/"+sh.Slug+"/embed/"+strings.TrimPrefix(attr(figure, "id"), "chart-")+"/index.html"]
			title := pick(figure, ".chart-title")[0]
			if doc == nil || pick(doc, "h1")[0] != title || len(cascadia.QueryAll(doc, cascadia.MustCompile("svg.still-tall[role=img]"))) != 1 {
				t.Errorf("%s: the embed of %q", sh.Slug, title)
			}
		}
	}
	if count != want {
		t.Errorf("%d embeds, want %d", count, want)
	}
}

// The response has what oEmbed 1.0 asks for (2.3.4, and 2.3.4.4 for the type rich), its
// frame shows an embed, and the page of the sheet names one (section 4). A static file can
// keep no maxwidth; its frame is as wide as its place.
func TestOEmbed(t *testing.T) {
	s, outputs := demo()
	files := map[string][]byte{}
	for _, o := range outputs {
		files[o.Path] = o.Bytes
	}
	address := strings.TrimSuffix(s.Content.Site.Address, "/") + "/"
	for at, data := range files {
		if !strings.HasSuffix(at, "/oembed.json") {
			if isEmbed(at) && files[strings.TrimSuffix(at, "index.html")+"oembed.json"] == nil {
				t.Errorf("%s has no response", at)
			}
			continue
		}
		var r struct {
			Type, Version, Title, HTML         string
			Width, Height                      int
			Thumbnail                          string `json:"thumbnail_url"`
			ThumbnailWidth                     int    `json:"thumbnail_width"`
			ThumbnailHeight                    int    `json:"thumbnail_height"`
			ProviderURL                        string `json:"provider_url"`
			AuthorName, ProviderName, CacheAge string
		}
		if err := json.Unmarshal(data, &r); err != nil {
			t.Fatal(at, err)
		}
		if r.Type != "rich" || r.Version != "1.0" || r.Title == "" || r.Width <= 0 || r.Width > 600 || r.Height <= 0 || r.ProviderURL != address ||
			len(data) > 900 {
			t.Errorf("%s: %+v", at, r)
		}
		// All three of a thumbnail, or none: the card is of the whole sheet.
		if whole := path.Base(path.Dir(at)) == embedOfSheet; whole && (files[strings.TrimPrefix(r.Thumbnail, address)] == nil || r.ThumbnailWidth != 1200 || r.ThumbnailHeight != 630) ||
			!whole && (r.Thumbnail != "" || r.ThumbnailWidth != 0 || r.ThumbnailHeight != 0) {
			t.Errorf("%s: the thumbnail %q of %d by %d", at, r.Thumbnail, r.ThumbnailWidth, r.ThumbnailHeight)
		}
		page := parse(t, files[strings.TrimSuffix(at, oembedName)+"index.html"])
		if named := cascadia.Query(page, cascadia.MustCompile("head > link[rel=alternate][type='application/json+oembed']")); named == nil || attr(named, "href") != address+at {
			t.Errorf("%s: its page doesn't name it", at)
		}
		frame := cascadia.Query(parse(t, []byte(r.HTML)), cascadia.MustCompile("iframe[title][loading=lazy]"))
		if frame == nil || attr(frame, "src")+"index.html" != address+strings.TrimSuffix(at, "oembed.json")+"index.html" || attr(frame, "height") != itoa(r.Height) {
			t.Errorf("%s: the frame %s", at, r.HTML)
		}
	}
	for _, sh := range s.Sheets {
		folder := "units/" + sh.Slug + "/"
		doc := document(t, folder+"index.html")
		found := cascadia.QueryAll(doc, cascadia.MustCompile("head > link[rel=alternate][type='application/json+oembed'][title]"))
		if len(found) != 1 || attr(found[0], "href") != address+folder+"embed/sheet/oembed.json" {
			t.Errorf("%s names no response", sh.Slug)
		}
		for at, data := range files {
			if !strings.HasPrefix(at, folder+embedName+"/") || path.Ext(at) != ".html" {
				continue
			}
			// A frame is an extra on somebody's page: it is light as it stands on the disk, and packed.
			// A whole sheet has a drawn line, a figure and a verdict for each claim, 1,300 bytes.
			whole, all := strings.HasPrefix(at, folder+embedName+"/"+embedOfSheet+"/"), 10_000
			if whole {
				all = 2600 + 1350*len(sh.Claims)
			}
			if packed := zipped(t, data); len(data) > all || packed > 3200 {
				t.Errorf("%s has %d bytes, more than %d, or packed %d, more than 3,200", at, len(data), all, packed)
			}
			// Beside the drawing, which is the sheet's own, there are some lines; of the whole sheet one more for each claim.
			most := 2400
			if whole {
				most += 400 * len(sh.Claims)
			}
			if n := len(regexp.MustCompile(`(?s)<svg.*?</svg>`).ReplaceAll(data, nil)); n > most {
				t.Errorf("%s has %d bytes beside its drawings, more than %d", at, n, most)
			}
		}
		for _, code := range pick(doc, ".embeds code") {
			if frame := cascadia.Query(parse(t, []byte(code)), cascadia.MustCompile("iframe")); frame == nil || files[strings.TrimPrefix(attr(frame, "src"), address)+"index.html"] == nil {
				t.Errorf("%s: to copy: %s", sh.Slug, code)
			}
		}
	}
}

// Without the site's address a frame can't be named: pages for frames are there, and what
// names them isn't.
func TestEmbedsWithoutAddress(t *testing.T) {
	text := strings.ReplaceAll(tinyFile(t, "content/site.toml"), "address", "# address")
	s := loaded(t, tiny(t, map[string]string{"content/site.toml": text}))
	outputs, problems, err := s.Outputs()
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	embeds := 0
	for _, o := range outputs {
		switch {
		case strings.HasSuffix(o.Path, "/oembed.json"):
			t.Errorf("there is %s", o.Path)
		case isEmbed(o.Path):
			embeds++
			if a := cascadia.Query(parse(t, o.Bytes), cascadia.MustCompile("a")); !strings.HasPrefix(attr(a, "href"), "../../index.html") {
				t.Errorf("%s leads to %s", o.Path, attr(a, "href"))
			}
		case path.Ext(o.Path) == ".html" && cascadia.Query(parse(t, o.Bytes), cascadia.MustCompile(".embeds, link[type='application/json+oembed']")) != nil:
			t.Errorf("%s offers an embed", o.Path)
		}
	}
	if embeds == 0 {
		t.Error("no embeds")
	}
}
