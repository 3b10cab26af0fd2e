package preview

import (
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

func get(t *testing.T, address string) (*http.Response, string) {
	t.Helper()
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err := client.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r, string(body)
}

func TestFilesAsTheyAreServed(t *testing.T) {
	page := plainPage("otter", "<p>text</p>")
	f := newFake(map[string]string{
		"index.html": plainPage("front", ""), "units/otter/index.html": page, "units/otter/sheet.json": "{}", "units/otter/runs.csv": "a,b",
		"assets/style.0a1b2c3d.css": "a{}", "assets/chart.0a1b2c3d.js": "1", "icon.svg": "<svg/>", "a.bin": "<html></head>", "feed.atom": "<feed/>",
	})
	h, server, _ := served(t, f)
	h.publish(nil)
	for path, kind := range map[string]string{
		"": "text/html; charset=utf-8", "units/otter/": "text/html; charset=utf-8", "units/otter/index.html": "text/html; charset=utf-8",
		"units/otter/sheet.json": "application/json", "units/otter/runs.csv": "text/csv; charset=utf-8", "assets/style.0a1b2c3d.css": "text/css; charset=utf-8",
		"assets/chart.0a1b2c3d.js": "text/javascript; charset=utf-8", "icon.svg": "image/svg+xml", "a.bin": "application/octet-stream", "feed.atom": "application/atom+xml",
	} {
		r, body := get(t, server.URL+"/"+path)
		if r.StatusCode != 200 || r.Header.Get("Content-Type") != kind {
			t.Errorf("%q: status %d, type %q", path, r.StatusCode, r.Header.Get("Content-Type"))
		}
		if has := strings.Contains(body, "/.preview/page.js"); has != strings.HasPrefix(kind, "text/html") {
			t.Errorf("%q: has the script: %v", path, has)
		}
	}
	r, body := get(t, server.URL+"/units/otter/")
	_, published, _ := strings.Cut(page, `content="`)
	published, _, _ = strings.Cut(published, `"`)
	if got := r.Header.Get("Content-Security-Policy"); got != published+"; frame-ancestors 'self'" {
		t.Errorf("the policy is %q", got)
	}
	// Without the one script it is the published page, byte for byte.
	before, rest, found := strings.Cut(body, `<script defer blocking="render" src="/.preview/page.js" `)
	_, after, _ := strings.Cut(rest, "</script>\n")
	if !found || !strings.HasSuffix(before, "<head>") || before+after != page {
		t.Errorf("the page became %q", body)
	}
	if r, _ := get(t, server.URL+"/units/otter?t=90"); r.StatusCode != 307 || r.Header.Get("Location") != "/units/otter/?t=90" {
		t.Errorf("without the slash, with a question: status %d to %q", r.StatusCode, r.Header.Get("Location"))
	}
	if r, _ := get(t, server.URL+"/units/otter"); r.StatusCode != 307 || r.Header.Get("Location") != "/units/otter/" {
		t.Errorf("without its slash: status %d, to %q", r.StatusCode, r.Header.Get("Location"))
	}
	if r, body := get(t, server.URL+"/units/badger/"); r.StatusCode != 404 || !strings.Contains(body, "No such page") || !strings.Contains(body, "/.preview/page.js") {
		t.Errorf("nothing there: status %d, %q", r.StatusCode, body)
	}
	head, err := http.Head(server.URL + "/units/otter/")
	if err != nil || head.ContentLength != int64(len(bodyOf(t, server.URL+"/units/otter/"))) {
		t.Errorf("HEAD: %v, %v", head, err)
	}
}

// What is wrong as a page is read is heard: where there may be such a thing, the preview's script is waited for. A < before
// a blank is text, and attributes of end tags are dropped (HTML Living Standard, 13.2.5.6 and 13.2.5).
func TestScriptIsWaitedForWhereItMatters(t *testing.T) {
	for text, wants := range map[string]bool{
		``: false, `<script defer src="/a.js"></script><script type="application/ld+json">{}</script><script type="application/json" class="a">{}</script>`: false, `<p>no style, no script</p>`: false,
		`<script src="/a.js"></script>`: true, `<script defer src="/a.js"></script><script>1</script>`: true, `<script src="/a.js" defer></script>`: false,
		`<p style="color: red">`: true, `<style>p { }</style>`: true, `<img src="https://elsewhere.example/a.png">`: true, `<img src="/a.png">`: false,
		`<button onclick="x()">`: true, `<link rel="stylesheet" href="//elsewhere.example/a.css">`: true, `<a href="https://elsewhere.example/">`: false,
		`<link href='https://elsewhere.example/a.css' rel=stylesheet>`: true, `<link rel="canonical" href="https://elsewhere.example/">`: false, `<p ontoggle='x()'>`: true,
		`<img srcset="//elsewhere.example/a.png 2x">`: true, `<p data-on="x" data-style="y">a=b, on = off, style</p>`: false, `=`: false, `<base href="/">`: true,
		"<script\n  src=\"/a.js\"\n></script>": true, "<script\n  defer\n  src=\"/a.js\"\n></script>": false, `<SCRIPT SRC="/a.js"></SCRIPT>`: true, `<script defer>1</script>`: true,
		`<script id="a" type='application/json'>{}</script>`: false, "<link\n  rel=\"stylesheet\"\n  href=\"https://elsewhere.example/a.css\"\n>": true,
		`<p title="5 > 4" style="color: red">`: true, `<p title="5 > 4 style=">style="color: red"`: false, `<p style = "color: red">`: true, `<P STYLE="color: red">`: true, "<p\n\tstyle='color: red'>": true,
		`<img src="data:image/png;base64,AAAA">`: true, `<img srcset="/a.png 1x, https://elsewhere.example/b.png 2x">`: true, `<img src="/a:b.png" srcset="/a.png 1x, /b.png 2x">`: false,
		`<video poster="//elsewhere.example/a.jpg">`: true, `<svg><use href="https://elsewhere.example/a.svg#b"/></svg>`: true, `<svg><use href="#b"/></svg>`: false, `<stylesheet><p styled onward="">`: true,
		`<p stylish="" o="" on="">`: false, `a < b style="c"`: false, `</p style="c">`: false, `<br/>`: false, `<`: false, `<p a=`: false, `<p a="`: false, `<p =style>`: false, `<basement>`: false,
	} {
		p := page{body: []byte("<head>" + text)}
		if got := !strings.HasPrefix(string(p.withScript("", "")), `<head><script defer blocking="render" src="/.preview/page.js"`); got != wants {
			t.Errorf("%s: it is waited for: %t", text, got)
		}
	}
}

// framedPage is a page that is made for frames: its policy allows no script.
func framedPage(title, body string) string {
	return strings.Replace(plainPage(title, body), " script-src 'self';", "", 1)
}

// A page whose policy allows no script gets the preview's, and a worker, and still no other. Else it is as published.
func TestPolicyAdmitsThePreviewOnly(t *testing.T) {
	for policy, want := range map[string]string{
		"": "", "script-src 'self'": "script-src 'self'", "default-src 'self'; img-src 'none'": "default-src 'self'; img-src 'none'", "img-src 'self'": "img-src 'self'",
		"default-src 'none'; script-src 'self'; style-src 'self'": "default-src 'none'; script-src 'self'; style-src 'self'",
		"default-src 'none'; style-src 'self'":                    "script-src 'nonce-M'; default-src 'none'; style-src 'self'; worker-src 'self'",
		"default-src 'self'; script-src 'none'":                   "script-src 'nonce-M'; default-src 'self'; worker-src 'self'",
		"script-src https://a.example; worker-src 'none'":         "script-src 'nonce-M' https://a.example; worker-src 'none'",
	} {
		if got := admitted(policy, "M"); got != want {
			t.Errorf("%q became %q, want %q", policy, got, want)
		}
	}
	page := framedPage("one", "<p>text</p>")
	h, server, _ := served(t, newFake(map[string]string{"index.html": page}))
	h.publish(nil)
	r, body := get(t, server.URL+"/")
	mark := short([]byte(page))
	want := admitted(policyOf([]byte(page)), mark)
	if got := r.Header.Get("Content-Security-Policy"); got != want+"; frame-ancestors 'self'" || policyOf([]byte(body)) != want {
		t.Errorf("the policies are %q and %q", got, policyOf([]byte(body)))
	}
	if script := `<script nonce="` + mark + `" defer blocking="render" src="/.preview/page.js"`; !strings.Contains(body, script) {
		t.Errorf("%s isn't in %q", script, body)
	}
}

// What was made ready before a change had settled is served if it came so, and only then.
func TestExpectedPageIsServedIfItCameSo(t *testing.T) {
	f := newFake(map[string]string{"index.html": plainPage("one", ""), "other/index.html": plainPage("other", "")})
	h, server, _ := served(t, f)
	h.publish(nil)
	h.expect([]site.Output{{Path: "index.html", Bytes: []byte(plainPage("two", ""))}})
	ready := &h.ahead[0].sent[0]
	for _, want := range []string{"one", "two", "three"} {
		f.set(map[string]string{"index.html": plainPage(want, ""), "other/index.html": plainPage("other", "")})
		h.publish(nil)
		p := h.open(h.current(t.Context()), "index.html")
		if got := bodyOf(t, server.URL+"/"); !strings.Contains(got, "<title>"+want) || got != string(p.sent) || (&p.sent[0] == ready) != (want == "two") {
			t.Errorf("instead of %s: %q, or made ready again", want, got)
		}
		if got := bodyOf(t, server.URL+"/other/"); !strings.Contains(got, "<title>other") {
			t.Errorf("another page: %q", got)
		}
	}
}

func bodyOf(t *testing.T, address string) string {
	t.Helper()
	_, body := get(t, address)
	return body
}

// A page that can't be made says so, and the preview goes on.
func TestFaultInAPage(t *testing.T) {
	f := newFake(map[string]string{"panics/index.html": "panic", "fails/index.html": "error", "index.html": plainPage("front", "")})
	h, server, n := served(t, f)
	h.publish(nil)
	for path, want := range map[string]string{"panics/": "spoiled &lt;template&gt;", "fails/": "the template is wrong"} {
		if r, body := get(t, server.URL+"/"+path); r.StatusCode != 500 || !strings.Contains(body, want) {
			t.Errorf("%s: status %d, %q", path, r.StatusCode, body)
		}
	}
	if r, _ := get(t, server.URL+"/"); r.StatusCode != 200 {
		t.Errorf("then the front page has status %d", r.StatusCode)
	}
	if _, _, _, trouble := n.all(); len(trouble) != 2 {
		t.Errorf("told %q", trouble)
	}
}

// A template's mistake that is met in making a page is told like the content's: the page stays, for who has it and who
// asks again, under the problem; the teller hears of it once, for however many pages, and again when it comes back.
func TestLastGoodPageStaysOverATemplate(t *testing.T) {
	otter, stoat := plainPage("otter", ""), plainPage("stoat", "")
	f := newFake(map[string]string{"otter/index.html": otter, "stoat/index.html": stoat, "new/index.html": "mistake"})
	h, server, n := served(t, f)
	h.publish(nil)
	s := hears(t, server.URL, asHad("1", "otter/index.html", otter), asHad("2", "stoat/index.html", stoat))
	s.next(t)
	for round := range 2 {
		f.set(map[string]string{"otter/index.html": "mistake", "stoat/index.html": "mistake"})
		h.publish(nil)
		if e := s.next(t); strings.Count(string(e.Problems), "no field Nothing") != 1 || len(e.Pages) != 0 {
			t.Errorf("round %d: told %s, %v", round, e.Problems, e.Pages)
		}
		if r, body := get(t, server.URL+"/otter/"); r.StatusCode != 200 || !strings.Contains(body, "<h1>otter</h1>") {
			t.Errorf("round %d: asked again: status %d, %q", round, r.StatusCode, body)
		}
		if r, body := get(t, server.URL+"/new/"); r.StatusCode != 500 || !strings.Contains(body, "themes/paper/pages/unit.html:2:3") || !strings.Contains(body, "no field Nothing") {
			t.Errorf("round %d: a page that never was good: status %d, %q", round, r.StatusCode, body)
		}
		h.publish(nil)
		s.silent(t)
		if _, _, _, trouble := n.all(); len(trouble) != round+1 {
			t.Errorf("round %d: told %q", round, trouble)
		}
		f.set(map[string]string{"otter/index.html": otter, "stoat/index.html": stoat})
		h.publish(nil)
		if e := s.next(t); string(e.Problems) != `{"List":[],"More":0}` || len(e.Pages) != 0 {
			t.Errorf("round %d: mended: told %s, %v", round, e.Problems, e.Pages)
		}
		n.lock.Lock()
		if len(n.mended) != round+1 || n.mended[round] != "otter/index.html" && n.mended[round] != "stoat/index.html" {
			t.Errorf("round %d: told of %q as mended", round, n.mended)
		}
		n.lock.Unlock()
		h.publish(nil)
	}
}

// While there is nothing good yet, a page lists what is wrong; texts of the content stay text.
func TestPageOfMistakes(t *testing.T) {
	f := newFake(map[string]string{})
	h, server, _ := served(t, f)
	bad := aProblem("load = \"<script>alert(1)</script>\"", `"<script>alert(1)</script>"`, `no "load" <b>'`, "</ol>")
	h.publish(record.Problems{bad, {Summary: "of no file"}})
	r, body := get(t, server.URL+"/units/otter/")
	if r.StatusCode != 503 {
		t.Errorf("status %d", r.StatusCode)
	}
	root, err := html.Parse(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	scripts, items, text := 0, 0, ""
	for n := range root.Descendants() {
		switch {
		case n.Type == html.ElementNode && n.Data == "script":
			scripts++
		case n.Type == html.ElementNode && n.Data == "li":
			items++
		case n.Type == html.TextNode:
			text += n.Data
		}
	}
	if scripts != 1 || items != 2 || !strings.Contains(text, `load = "<script>alert(1)</script>"`) || !strings.Contains(text, "hint: </ol>") || !strings.Contains(text, "2 errors") {
		t.Errorf("%d scripts, %d items: %s", scripts, items, text)
	}
}

// Warnings have nothing to do with a page that isn't there.
func TestNoSuchPageDoesNotListWarnings(t *testing.T) {
	h, server, _ := served(t, newFake(map[string]string{}))
	h.publish(record.Problems{{Severity: record.Warning, Summary: "nothing reads this"}})
	if r, body := get(t, server.URL+"/x/"); r.StatusCode != 404 || strings.Contains(body, "nothing reads this") {
		t.Errorf("status %d: %s", r.StatusCode, body)
	}
}

// What is asked for before the site is made for the first time waits for it.
func TestFirstRequestWaits(t *testing.T) {
	f := newFake(map[string]string{"index.html": plainPage("front", "")})
	h, server, _ := served(t, f)
	answered := make(chan string, 1)
	go func() {
		r, err := http.Get(server.URL + "/")
		if err != nil {
			answered <- err.Error()
			return
		}
		defer r.Body.Close()
		answered <- r.Status
	}()
	select {
	case got := <-answered:
		t.Fatalf("answered %s before there was a site", got)
	case <-time.After(50 * time.Millisecond):
	}
	h.publish(nil)
	if got := <-answered; got != "200 OK" {
		t.Errorf("answered %s", got)
	}
}

// Pages differ in style alone when the digests in the names of their stylesheets are all that differs.
func TestMarksOfPages(t *testing.T) {
	base := `<head><link rel="stylesheet" href="../assets/style.0a1b2c3d.css"><link rel="icon" href="a.css"></head><p>assets/style.0a1b2c3d.css</p>`
	digest, look, styles := marksOf([]byte(base))
	if len(styles) != 1 || styles[0] != "../assets/style.0a1b2c3d.css" {
		t.Errorf("styles %q", styles)
	}
	for changed, same := range map[string]bool{
		strings.Replace(base, "0a1b2c3d", "ffffffff", 1):                  true,
		strings.Replace(base, "style.0a", "other.0a", 1):                  false,
		strings.ReplaceAll(base, "0a1b2c3d", "ffffffff"):                  false,
		strings.Replace(base, `"a.css"`, `"b.css"`, 1):                    false,
		strings.Replace(base, "../assets/style.0a1b2c3d.css", "x.css", 1): false,
		base + " ": false,
	} {
		d, l, _ := marksOf([]byte(changed))
		if d == digest || (l == look) != same {
			t.Errorf("%s: digest the same %v, look the same %v, want %v", changed, d == digest, l == look, same)
		}
	}
}

// No published file has anything of the preview, and none could be taken for it.
func TestPublishedFilesKnowNothingOfThePreview(t *testing.T) {
	s, problems, err := site.Load("../site/testdata/tiny", time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC))
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	for _, o := range outputs {
		if strings.Contains(string(o.Bytes), ".preview") || strings.HasPrefix("/"+o.Path, ownFolder) {
			t.Errorf("%s has something of the preview", o.Path)
		}
	}
	if _, err := s.Publish(t.TempDir(), []site.Output{{Path: strings.TrimPrefix(ownFolder, "/") + "page.js"}}); err == nil {
		t.Error("a file of the preview's name can be published")
	}
}
