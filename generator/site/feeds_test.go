package site

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"
)

// A readFeed is an Atom document as a reader sees it.
type readFeed struct {
	XMLName xml.Name
	ID      []string   `xml:"http://www.w3.org/2005/Atom id"`
	Title   []string   `xml:"http://www.w3.org/2005/Atom title"`
	Updated []string   `xml:"http://www.w3.org/2005/Atom updated"`
	Author  []string   `xml:"http://www.w3.org/2005/Atom author>name"`
	Links   []readLink `xml:"http://www.w3.org/2005/Atom link"`
	Entries []struct {
		ID      []string   `xml:"http://www.w3.org/2005/Atom id"`
		Title   []string   `xml:"http://www.w3.org/2005/Atom title"`
		Updated []string   `xml:"http://www.w3.org/2005/Atom updated"`
		Summary []string   `xml:"http://www.w3.org/2005/Atom summary"`
		Links   []readLink `xml:"http://www.w3.org/2005/Atom link"`
		Content []struct {
			Type string `xml:"type,attr"`
			Text string `xml:",chardata"`
		} `xml:"http://www.w3.org/2005/Atom content"`
	} `xml:"http://www.w3.org/2005/Atom entry"`
}

type readLink struct {
	Rel  string `xml:"rel,attr"`
	Href string `xml:"href,attr"`
}

// atomOf reads an Atom document and holds it to RFC 4287.
func atomOf(t *testing.T, text, address string) readFeed {
	t.Helper()
	var f readFeed
	if err := xml.Unmarshal([]byte(text), &f); err != nil {
		t.Fatalf("it isn't well-formed: %v\n%s", err, text)
	}
	for d := xml.NewDecoder(strings.NewReader(text)); ; { // to its end
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	rel := func(links []readLink, rel string) (out []string) {
		for _, l := range links {
			if u, err := url.Parse(l.Href); err != nil || !u.IsAbs() {
				t.Errorf("the link %q isn't absolute", l.Href)
			}
			if l.Rel == rel {
				out = append(out, l.Href)
			}
		}
		return out
	}
	iri := func(id string) {
		if u, err := url.Parse(id); err != nil || !u.IsAbs() {
			t.Errorf("the id %q is no absolute IRI (4.2.6)", id)
		}
	}
	date := func(text string) {
		if _, err := time.Parse(time.RFC3339, text); err != nil || strings.ToUpper(text) != text {
			t.Errorf("%q is no date-time (3.3)", text)
		}
	}
	if f.XMLName != (xml.Name{Space: "http://www.w3.org/2005/Atom", Local: "feed"}) {
		t.Errorf("the root is %v (4.1.1)", f.XMLName)
	}
	if len(f.ID) != 1 || len(f.Title) != 1 || len(f.Updated) != 1 {
		t.Fatal("a feed has exactly one id, title and updated (4.1.1)")
	}
	if len(f.Author) == 0 || f.Author[0] == "" {
		t.Error("a feed has an author where not all entries have one (4.1.1)")
	}
	if self := rel(f.Links, "self"); len(self) != 1 || !strings.HasPrefix(self[0], address) {
		t.Errorf("a feed should have one link to itself (4.1.1): %v", self)
	}
	iri(f.ID[0])
	date(f.Updated[0])
	seen := map[string]bool{}
	for _, e := range f.Entries {
		if len(e.ID) != 1 || len(e.Title) != 1 || len(e.Updated) != 1 || len(e.Content) != 1 || len(e.Summary) > 1 {
			t.Fatal("an entry has exactly one id, title and updated, at most one content and summary (4.1.2)")
		}
		if seen[e.ID[0]] {
			t.Errorf("the id %q is there twice (4.1.1)", e.ID[0])
		}
		seen[e.ID[0]] = true
		iri(e.ID[0])
		date(e.Updated[0])
		if e.Updated[0] > f.Updated[0] {
			t.Errorf("%s is newer than its feed", e.ID[0])
		}
		if n := len(rel(e.Links, "alternate")); n != 1 {
			t.Errorf("%d alternate links of one type (4.1.2)", n)
		}
		if e.Content[0].Type != "html" {
			t.Errorf("content of the type %q (4.1.3.1)", e.Content[0].Type)
		}
		harmless(t, e.Content[0].Text)
	}
	return f
}

// harmless holds the HTML of an entry to the few elements that feeds are written with, and
// links that lead to web addresses.
func harmless(t *testing.T, text string) {
	t.Helper()
	tokens := html.NewTokenizer(strings.NewReader(text))
	for {
		switch tokens.Next() {
		case html.ErrorToken:
			return
		case html.StartTagToken, html.SelfClosingTagToken:
			tag := tokens.Token()
			if !slices.Contains([]string{"p", "ul", "li", "a"}, tag.Data) {
				t.Errorf("an element %s in %s", tag.Data, text)
			}
			for _, a := range tag.Attr {
				if tag.Data != "a" || a.Key != "href" || !strings.HasPrefix(a.Val, "https://") {
					t.Errorf("an attribute %s=%q in %s", a.Key, a.Val, text)
				}
			}
		}
	}
}

// jsonFeedOf reads a JSON Feed and holds it to version 1.1 (jsonfeed.org/version/1.1).
func jsonFeedOf(t *testing.T, text string) jsonFeed {
	t.Helper()
	var raw map[string]any
	var f jsonFeed
	if err := json.Unmarshal([]byte(text), &raw); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(text), &f); err != nil {
		t.Fatal(err)
	}
	if raw["version"] != "https://jsonfeed.org/version/1.1" || f.Title == "" || raw["items"] == nil {
		t.Error("version, title and items are required (Top-level)")
	}
	if strings.ContainsAny(text, "<>") || len(text) > 250_000 {
		t.Errorf("markup that isn't escaped, or %d bytes", len(text))
	}
	for _, one := range raw["items"].([]any) {
		item := one.(map[string]any)
		if id, _ := item["id"].(string); id == "" || item["content_html"] == nil {
			t.Error("an item has an id, and content_html or content_text (Items)")
		}
		for key := range item {
			if strings.Contains(key, ".") {
				t.Errorf("the name %q has a dot (Extensions)", key)
			}
		}
	}
	return f
}

const hostileAddress = "https://bench.example/a&b/"

// addressed gives the tiny site an address, and other lines of site.toml.
func addressed(t *testing.T, files map[string]string, address, more string) string {
	t.Helper()
	root := tiny(t, files)
	replaceIn(t, root, "content/site.toml", "currency =", "address = \""+address+"\"\n"+more+"currency =")
	return root
}

func TestFeedsKeepTheirStandards(t *testing.T) {
	_, outputs := demo()
	files := map[string]string{}
	for _, o := range outputs {
		files[o.Path] = string(o.Bytes)
	}
	hostileFiles := made(t, loaded(t, addressed(t, hostile(t), hostileAddress, "")), stillOnly())
	for what, site := range map[string]map[string]string{"https://pewterwhelk.example/": files, hostileAddress: hostileFiles} {
		for _, folder := range []string{"", "corrections/"} {
			atom := atomOf(t, site[folder+"feed.atom"], what)
			same := jsonFeedOf(t, site[folder+"feed.json"])
			if len(atom.Entries) != len(same.Items) || len(atom.Entries) == 0 && site["units/ottersprocket-20/index.html"] == "" {
				t.Fatalf("%s: %d entries and %d items", folder, len(atom.Entries), len(same.Items))
			}
			for i, e := range atom.Entries {
				item := same.Items[i]
				if e.ID[0] != item.ID || e.Title[0] != item.Title || e.Updated[0] != item.DateModified || e.Content[0].Text != item.ContentHTML {
					t.Errorf("%s says another thing than the item", e.ID[0])
				}
				page := strings.TrimPrefix(item.URL, what)
				page, fragment, _ := strings.Cut(page, "#")
				if text := site[page+"index.html"]; text == "" || fragment != "" && !strings.Contains(text, `id="`+fragment+`"`) {
					t.Errorf("there is no %s#%s", page, fragment)
				}
			}
		}
	}
	if title := atomOf(t, hostileFiles["feed.atom"], hostileAddress).Entries[0].Title[0]; !strings.Contains(title, `</script><script>alert(1)</script> "><img src=x onerror=alert(1)> & co`) {
		t.Errorf("the title reads back as %q", title)
	}
}

// An entry says the headline of its page, who supplied the unit, and the sheet's number.
func TestFeedsSayTheFinding(t *testing.T) {
	s, outputs := demo()
	for _, o := range outputs {
		if o.Path != "feed.json" {
			continue
		}
		items := jsonFeedOf(t, string(o.Bytes)).Items
		for _, sh := range s.Sheets {
			at := slices.IndexFunc(items, func(i jsonItem) bool { return strings.HasSuffix(i.URL, "/units/"+sh.Slug+"/") })
			if at < 0 {
				t.Errorf("%s is missing", sh.Slug)
				continue
			}
			text := html.UnescapeString(items[at].ContentHTML)
			if !strings.Contains(text, oneLine(sh.Headline)) || !strings.Contains(text, oneLine(sh.Disclosure)) || !strings.HasSuffix(items[at].Title, oneLine(sh.Headline)) {
				t.Errorf("%s: %s", sh.Slug, text)
			}
		}
	}
}

// updated moves with a result, and with nothing else; ids never change.
func TestFeedsMoveWithResultsOnly(t *testing.T) {
	root := addressed(t, nil, "https://bench.example/", "")
	read := func() (id, updated string) {
		f := atomOf(t, made(t, loaded(t, root), stillOnly())["feed.atom"], "https://bench.example/")
		return f.Entries[0].ID[0], f.Entries[0].Updated[0] + " " + f.Updated[0]
	}
	firstID, first := read()
	day := loaded(t, root).Sheets[0].Tested
	if want := day + "T00:00:00Z " + day + "T00:00:00Z"; first != want {
		t.Errorf("updated is %s, want %s: the day of its last run", first, want)
	}
	appended("content/units/ottersprocket-20/notes.md", "\nAnother word.\n")(t, root)
	replaceIn(t, root, "content/site.toml", "title = \"", "title = \"Now: ")
	put(t, root, "themes/own/style.css", "a{}")
	if _, now := read(); now != first {
		t.Errorf("words moved updated to %s", now)
	}
	if _, err := loaded(t, root).Seal("ottersprocket-20", "2026-11-02T10:00:00+01:00", ""); err != nil {
		t.Fatal(err)
	}
	if id, now := read(); id != firstID || now != "2026-11-02T09:00:00Z 2026-11-02T09:00:00Z" {
		t.Errorf("sealed: %s %s", id, now)
	}
	if err := os.Rename(filepath.Join(root, "content/units/ottersprocket-20"), filepath.Join(root, "content/units/otter")); err == nil {
		// A sealed unit keeps its folder, so the ledger is left out here.
		os.RemoveAll(filepath.Join(root, "content/units/otter/ledger.toml"))
		os.RemoveAll(filepath.Join(root, "content/units/otter/sealed"))
	}
	replaceIn(t, root, "content/site.toml", "address = \"https://bench.example/\"", "address = \"https://elsewhere.example/amps\"\nfirst_address = \"https://bench.example/\"")
	appended("content/site.toml", "\n[[moved]]\nfrom = \"/units/ottersprocket-20/\"\nto = \"/units/otter/\"\n")(t, root)
	f := atomOf(t, made(t, loaded(t, root), stillOnly())["feed.atom"], "https://elsewhere.example/amps/")
	if f.ID[0] != "https://bench.example/" || f.Entries[0].ID[0] != firstID || f.Entries[0].Links[0].Href != "https://elsewhere.example/amps/units/otter/" {
		t.Errorf("the site and the unit moved: %+v", f)
	}
}

// A feed has the newest entries, and no more than it says.
func TestFeedsAreBounded(t *testing.T) {
	s := loaded(t, addressed(t, nil, "https://bench.example/", ""))
	b, _ := s.binder(stillOnly(), nil)
	var units []*brief
	for i := range feedLength + 7 {
		one := *briefOf(s.Sheets[0], nil)
		one.Row.Link.Href = fmt.Sprintf("units/u%02d/index.html", i)
		one.Dated.Updated = fmt.Sprintf("2026-01-01T00:00:%02dZ", i)
		units = append(units, &one)
	}
	units[3].Dated.Updated = "" // nothing was measured
	f := b.sheetFeed(units)
	if len(f.Entries) != feedLength || f.Entries[0].URL != "https://bench.example/units/u56/" || f.Entries[feedLength-1].URL != "https://bench.example/units/u07/" {
		t.Errorf("%d entries from %s to %s", len(f.Entries), f.Entries[0].URL, f.Entries[len(f.Entries)-1].URL)
	}
}

// Without an address there are no feeds, and no page names one.
func TestWithoutAddressNoFeeds(t *testing.T) {
	for path, text := range made(t, loaded(t, tiny(t, nil)), stillOnly()) {
		if strings.Contains(path, "feed.") || strings.Contains(text, "feed.atom") {
			t.Errorf("%s has to do with a feed", path)
		}
	}
}

// Instants sort as texts, whatever offset they were written with.
func TestInstants(t *testing.T) {
	for text, want := range map[string]string{
		"2026-11-02T00:30:00+01:00": "2026-11-01T23:30:00Z", "2026-11-02": "2026-11-02T00:00:00Z", "": "", "last year": "",
	} {
		if got := instantOf(text); got != want {
			t.Errorf("%q gives %q, want %q", text, got, want)
		}
	}
}

// Another time zone of the machine gives the same bytes.
func TestFeedsKnowNoTimeZone(t *testing.T) {
	root := addressed(t, nil, "https://bench.example/", "")
	if _, err := loaded(t, root).Seal("ottersprocket-20", "2026-11-02T00:30:00+01:00", ""); err != nil {
		t.Fatal(err)
	}
	defer func(local *time.Location) { time.Local = local }(time.Local)
	var first map[string]string
	for _, hours := range []int{0, 1, -11, 13} {
		time.Local = time.FixedZone("there", hours*3600)
		files := made(t, loaded(t, root), stillOnly())
		if first == nil {
			first = files
		}
		if odd := unlike(first, files); odd != nil {
			t.Errorf("at %+d hours others: %v", hours, odd)
		}
	}
	if !strings.Contains(first["feed.atom"], "<updated>2026-11-01T23:30:00Z</updated>") || !strings.Contains(first["sitemap.xml"], "<lastmod>2026-11-01T23:30:00Z</lastmod>") {
		t.Error("the instant of the seal isn't that in UTC")
	}
}
