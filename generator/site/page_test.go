package site

import (
	"bytes"
	"path"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/sheet"
)

// demo are the pages of the repository's own content, made once.
var demo = sync.OnceValues(func() (*Site, []Output) {
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		panic("the repository's content doesn't load: " + problems.Error())
	}
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		panic("the repository's content makes no pages: " + problems.Error())
	}
	return s, outputs
})

// parse gives the document of a page.
func parse(t *testing.T, page []byte) *html.Node {
	t.Helper()
	doc, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// document gives one page of the demo.
func document(t *testing.T, at string) *html.Node {
	t.Helper()
	_, outputs := demo()
	for _, o := range outputs {
		if o.Path == at {
			return parse(t, o.Bytes)
		}
	}
	t.Fatalf("there is no page %s", at)
	return nil
}

// pick gives the texts of what a selector finds.
func pick(n *html.Node, selector string) []string {
	var out []string
	for _, found := range cascadia.QueryAll(n, cascadia.MustCompile(selector)) {
		out = append(out, content(found))
	}
	return out
}

// content is the text of an element, blanks joined.
func content(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// squeeze joins the blanks of a text as content does.
func squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }

// TestUnitPageSaysItAll finds what a sheet says on its page: every claim with its
// figures and verdict, every run with its values and uncertainties.
func TestUnitPageSaysItAll(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		if h := pick(doc, "h1"); len(h) != 1 || h[0] != squeeze(sh.Headline) {
			t.Errorf("%s: the headline is %q, want %q", sh.Slug, h, sh.Headline)
		}
		if d := pick(doc, "h1 + .subline + .disclosure"); len(d) != 1 || d[0] != squeeze(sh.Disclosure) {
			t.Errorf("%s: who supplied the unit doesn't stand right under the headline: %q", sh.Slug, d)
		}
		for _, c := range sh.Claims {
			claimSaid(t, doc, c)
		}
		for _, r := range sh.Runs {
			runSaid(t, doc, r)
		}
	}
}

func claimSaid(t *testing.T, doc *html.Node, c *sheet.Claim) {
	t.Helper()
	at := "#claim-" + c.ID
	if got := pick(doc, at+" > .verdict"); len(got) != 1 || got[0] != c.Word {
		t.Errorf("%s: the verdict reads %q, want %q", at, got, c.Word)
	}
	if n := len(pick(doc, at+" > .verdict svg.mark")); n != 1 {
		t.Errorf("%s: the verdict has %d shapes, want one beside its word", at, n)
	}
	if c.Weakest != nil {
		if got := pick(doc, at+" .figure a[href*='#formula-']"); len(got) != 1 || got[0] != squeeze(c.Weakest.Mean.Text) {
			t.Errorf("%s: the figure reads %q, want %q with a link to its formula", at, got, c.Weakest.Mean.Text)
		}
	}
	folded := strings.Join(pick(doc, at+" details"), "")
	for _, text := range append([]string{c.Why, c.PText, c.FlipText, c.Conditions}, c.Assumed...) {
		if !strings.Contains(folded, squeeze(text)) {
			t.Errorf("%s: %q isn't folded under it", at, text)
		}
	}
	for _, u := range c.Uses {
		if len(pick(doc, at+" .uses a[href='#run-"+u.Run+"']")) == 0 || !strings.Contains(folded, squeeze(u.Why)) {
			t.Errorf("%s: what became of run %s isn't told", at, u.Run)
		}
	}
}

func runSaid(t *testing.T, doc *html.Node, r *sheet.Run) {
	t.Helper()
	row := cascadia.Query(doc, cascadia.MustCompile("tr#run-"+r.ID))
	if row == nil {
		t.Errorf("run %s has no row", r.ID)
		return
	}
	text := content(row.Parent)
	want := []string{r.OutcomeText}
	if !r.Valid {
		want = []string{sentence(r.Rec.Invalid)}
	}
	for _, c := range r.Channels {
		want = append(want, c.Name)
		if c.Power != nil {
			want = append(want, c.Power.ValueText)
		}
		if c.Power != nil && r.Valid {
			want = append(want, c.Power.UText)
		}
	}
	for _, w := range want {
		if !strings.Contains(text, squeeze(w)) {
			t.Errorf("run %s: %q isn't in its rows %q", r.ID, w, text)
		}
	}
	if struck := len(pick(row.Parent, "s")) > 0; struck == r.Valid {
		t.Errorf("run %s: valid is %v, struck is %v", r.ID, r.Valid, struck)
	}
}

func TestPagesHaveAFrame(t *testing.T) {
	s, outputs := demo()
	for _, o := range outputs {
		if path.Ext(o.Path) != ".html" || isEmbed(o.Path) || o.Path == missingName { // that one has no address
			continue
		}
		doc := parse(t, o.Bytes)
		for selector, n := range map[string]int{
			"html[lang=en]": 1, "head > meta[charset=utf-8]": 1, "meta[name=viewport]": 1, "head > title": 1, "meta[name=description]": 1,
			"link[rel=canonical][href^='https://']": 1, "a.skip[href='#main']": 1, "header": 1, "main#main": 1, "footer nav": 1, "h1": 1,
			"meta[http-equiv=Content-Security-Policy]": 1,
			"[style], style, script:not([src]):not([type='application/json']):not([type='application/ld+json']), [onclick], [onload], iframe, object, embed, form, base": 0, "img:not([src][width][height][alt])": 0,
			"link[rel=stylesheet]:not([href])": 0, "table:not(:has(caption)), th:not([scope])": 0,
		} {
			if got := len(cascadia.QueryAll(doc, cascadia.MustCompile(selector))); got != n {
				t.Errorf("%s: %d of %s, want %d", o.Path, got, selector, n)
			}
		}
		folder := strings.TrimSuffix(o.Path, "index.html")
		canonical := cascadia.Query(doc, cascadia.MustCompile("link[rel=canonical]"))
		if want := strings.TrimSuffix(s.Content.Site.Address, "/") + "/" + folder; canonical == nil || attr(canonical, "href") != want {
			t.Errorf("%s: the canonical address isn't %s", o.Path, want)
		}
	}
}

// TestTitlesTellTheFinding: titles and descriptions say what was found, and no
// two pages have the same title.
func TestTitlesTellTheFinding(t *testing.T) {
	s, outputs := demo()
	titles := map[string]string{}
	for _, o := range outputs {
		if path.Ext(o.Path) != ".html" {
			continue
		}
		title := pick(parse(t, o.Bytes), "head > title")[0]
		if titles[title] != "" {
			t.Errorf("%s and %s have the title %q", titles[title], o.Path, title)
		}
		titles[title] = o.Path
	}
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		description := attr(cascadia.Query(doc, cascadia.MustCompile("meta[name=description]")), "content")
		if title := pick(doc, "head > title")[0]; !strings.Contains(title, squeeze(sh.Headline)) || !strings.Contains(title, squeeze(sh.Name)) {
			t.Errorf("%s: %q doesn't tell the finding", sh.Slug, title)
		}
		source, _, _ := strings.Cut(sh.Disclosure, ".")
		figures := slices.ContainsFunc(sh.Claims, func(c *sheet.Claim) bool {
			return c.Weakest != nil && strings.Contains(squeeze(description), squeeze(c.Weakest.Mean.Text))
		})
		if !figures || !strings.Contains(squeeze(description), source) {
			t.Errorf("%s: %q doesn't tell what was measured, or who supplied the unit", sh.Slug, description)
		}
	}
}

func TestHeadingsAreInOrder(t *testing.T) {
	_, outputs := demo()
	for _, o := range outputs {
		if path.Ext(o.Path) != ".html" {
			continue
		}
		last := 0
		for n := range parse(t, o.Bytes).Descendants() {
			if n.Type != html.ElementNode || len(n.Data) != 2 || n.Data[0] != 'h' || n.Data[1] < '1' || n.Data[1] > '6' {
				continue
			}
			level := int(n.Data[1] - '0')
			if level > last+1 {
				t.Errorf("%s: h%d %q comes after h%d", o.Path, level, content(n), last)
			}
			last = level
		}
	}
}

// TestLinksResolve follows every link within the site to its page and element.
func TestLinksResolve(t *testing.T) {
	_, outputs := demo()
	ids := map[string]map[string]bool{} // page → ids; nil for other files
	for _, o := range outputs {
		ids[o.Path] = nil
		if path.Ext(o.Path) == ".html" {
			ids[o.Path] = idsOf(t, o)
		}
	}
	links := 0
	for _, o := range outputs {
		if path.Ext(o.Path) != ".html" {
			continue
		}
		for n := range parse(t, o.Bytes).Descendants() {
			for _, a := range n.Attr {
				if n.Type != html.ElementNode || a.Key != "href" && a.Key != "src" && a.Key != "data-echarts" || scheme.MatchString(a.Val) {
					continue
				}
				links++
				file, fragment, _ := strings.Cut(a.Val, "#")
				to := o.Path
				if file != "" {
					to = path.Join(path.Dir(o.Path), file)
				}
				known, there := ids[to]
				// There it names units; at the front page it may state what the list shows.
				state := to == compareName+"/index.html" || to == "index.html" && strings.Contains(fragment, "=")
				if !there || fragment != "" && !known[fragment] && !state {
					t.Errorf("%s links to %s, which is not there", o.Path, a.Val)
				}
			}
		}
	}
	if links < 500 {
		t.Errorf("only %d links were followed", links)
	}
}

// idsOf lists the ids of a page, and finds those that are there twice.
func idsOf(t *testing.T, o Output) map[string]bool {
	t.Helper()
	seen := map[string]bool{}
	for n := range parse(t, o.Bytes).Descendants() {
		id := attr(n, "id")
		if id == "" {
			continue
		}
		if seen[id] {
			t.Errorf("%s has the id %s twice", o.Path, id)
		}
		seen[id] = true
	}
	return seen
}

func TestPagesAreTheSameEachTime(t *testing.T) {
	s, _ := demo()
	assets := map[string]string{"style.css": "assets/style.1.css"}
	first, _ := s.pages(assets)
	second, _ := s.pages(assets)
	for i := range first {
		if first[i].Path != second[i].Path || !bytes.Equal(first[i].Bytes, second[i].Bytes) {
			t.Errorf("%s differs from one time to the next", first[i].Path)
		}
	}
}
