package site

import (
	"bytes"
	"image/png"
	"path"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/picture"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// saidInHead gives what a page says of itself by the names of its meta elements.
func saidInHead(doc *html.Node) map[string]string {
	out := map[string]string{}
	for _, m := range cascadia.QueryAll(doc, cascadia.MustCompile("head > meta[content]")) {
		out[attr(m, "property")+attr(m, "name")] = attr(m, "content")
	}
	return out
}

// The Open Graph protocol (ogp.me) asks each page for title, type, image and url, and for
// a description of the image beside it; a large card is 1200 by 630 pixels, its address a
// whole one. Descriptions have up to 200 characters (common practice, no source).
func TestPreviews(t *testing.T) {
	s, outputs := demo()
	files := map[string][]byte{}
	for _, o := range outputs {
		files[o.Path] = o.Bytes
	}
	address := strings.TrimSuffix(s.Content.Site.Address, "/") + "/"
	for _, o := range outputs {
		if path.Ext(o.Path) != ".html" || isEmbed(o.Path) || o.Path == missingName { // that one has no address
			continue
		}
		says := saidInHead(parse(t, o.Bytes))
		for _, name := range []string{"og:title", "og:type", "og:image", "og:url", "og:image:alt", "og:description", "og:site_name"} {
			if says[name] == "" {
				t.Errorf("%s has no %s", o.Path, name)
			}
		}
		if want := address + strings.TrimSuffix(o.Path, "index.html"); says["og:url"] != want {
			t.Errorf("%s: og:url is %s, want %s", o.Path, says["og:url"], want)
		}
		if says["description"] != says["og:description"] || len([]rune(says["description"])) > 200 {
			t.Errorf("%s: %q as description, %q as the preview's", o.Path, says["description"], says["og:description"])
		}
		at, below := strings.CutPrefix(says["og:image"], address)
		card, err := png.DecodeConfig(bytes.NewReader(files[at]))
		if !below || err != nil || card.Width != 1200 || card.Height != 630 || len(files[at]) > 300_000 {
			t.Errorf("%s: the card %s is %d by %d, %d bytes, %v", o.Path, says["og:image"], card.Width, card.Height, len(files[at]), err)
		}
		if says["og:image:width"] != "1200" || says["og:image:height"] != "630" || says["og:image:type"] != "image/png" || says["twitter:card"] != "summary_large_image" {
			t.Errorf("%s: the card's measures: %v", o.Path, says)
		}
		// A sealed version is no picture of the sheet as it is now, nor are the units near it.
		slug, isUnit := strings.CutPrefix(o.Path, "units/")
		slug, rest, _ := strings.Cut(slug, "/")
		if want := isUnit && !strings.HasPrefix(rest, "v/") && !strings.HasPrefix(rest, nearName+"/"); want != (at == "units/"+slug+"/card.png") {
			t.Errorf("%s has the card %s", o.Path, at)
		}
	}
}

// Without the site's address nothing is told that needs one.
func TestPreviewsWithoutAddress(t *testing.T) {
	text := strings.ReplaceAll(tinyFile(t, "content/site.toml"), "address", "# address")
	s := loaded(t, tiny(t, map[string]string{"content/site.toml": text}))
	outputs, problems, err := s.Outputs()
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	for _, o := range outputs {
		if path.Ext(o.Path) != ".html" || isEmbed(o.Path) || o.Path == missingName { // that one has no address
			continue
		}
		says := saidInHead(parse(t, o.Bytes))
		if says["og:title"] == "" || says["og:description"] == "" || says["twitter:card"] != "summary" {
			t.Errorf("%s says %v", o.Path, says)
		}
		for _, name := range []string{"og:image", "og:url", "og:image:alt", "og:image:width"} {
			if says[name] != "" {
				t.Errorf("%s has %s: %s", o.Path, name, says[name])
			}
		}
	}
}

// A card says what the sheet says: headline, name, number, who supplied it, and of each
// claim the texts of its page.
func TestCardsSayWhatTheSheetSays(t *testing.T) {
	s, _ := demo()
	b := &binder{site: s}
	for _, sh := range s.Sheets {
		card := b.cardOf(sh)
		if card.Title != sh.Headline || !strings.HasPrefix(card.Name, sh.Name) || !strings.Contains(card.Sheet, sh.Number) || card.Source != sh.Disclosure {
			t.Errorf("%s: %+v", sh.Slug, card)
		}
		short := 0
		for _, c := range sh.Claims {
			if c.Verdict == verdict.Short {
				short++
			}
		}
		for _, row := range card.Rows {
			if row.Verdict == string(verdict.Short) {
				short--
			}
		}
		if len(card.Rows) != min(len(sh.Claims), picture.MostRows) || short != 0 {
			t.Errorf("%s: %d rows, %d short claims aren't shown", sh.Slug, len(card.Rows), short)
		}
	}
}

// Names that the typeface can't write are not drawn as boxes; the card then has the
// unit's address, and says how the unit came, if not from whom.
func TestCardOfAForeignName(t *testing.T) {
	s, _ := demo()
	unit, rec := *s.Sheets[0], *s.Sheets[0].Record
	rec.Source = record.Source{How: "lent", From: "山田", Paid: "a journey to 山田", LinksEarn: true}
	unit.Name, unit.Disclosure, unit.Record = "山田 5", "Lent by 山田.", &rec
	card := (&binder{site: s}).cardOf(&unit)
	if card.Name != unit.Slug || card.Source != "Lent to the tester; the sheet says from whom. The tester also had something else for this test. Links to shops earn the tester money." {
		t.Errorf("name %q, source %q", card.Name, card.Source)
	}
}

// Of more claims than there is room for, those left out are untested before met, and met
// before short; what is shown stays in its order.
func TestForemost(t *testing.T) {
	var claims []*sheet.Claim
	for i, w := range []verdict.Word{verdict.Untested, verdict.Met, verdict.Short, verdict.Incomparable, verdict.Open, verdict.Met} {
		claims = append(claims, &sheet.Claim{ID: itoa(i), Verdict: w})
	}
	for most, want := range map[int]string{1: "2", 2: "24", 3: "124", 4: "1245", 5: "12345", 6: "012345", 9: "012345"} {
		got := ""
		for _, c := range foremost(claims, most) {
			got += c.ID
		}
		if got != want {
			t.Errorf("%d of them: %s, want %s", most, got, want)
		}
	}
}
