package preview

import (
	"net/http/httptest"
	"strings"
	"testing"

	"wattsheet/generator/site"
)

// What the first paint waits for is named before the page; what isn't waited for, what comes from elsewhere, and a name that
// could end the header's are not.
func TestEarly(t *testing.T) {
	for page, want := range map[string]string{
		`<head><link rel="stylesheet" href="../a.0a1b2c3d.css"><script defer blocking="render" src="../b.js"></script></head>`: `<../a.0a1b2c3d.css>; rel=preload; as=style, <../b.js>; rel=preload; as=script`,
		`<head><script defer src="b.js"></script><link rel="icon" href="icon.svg"></head>`:                                     "",
		`<head><link rel="stylesheet" href="https://elsewhere.example/a.css"></head>`:                                          "",
		"<head><link rel=\"stylesheet\" href=\"a.css>; rel=preload\r\nX: y\"></head>":                                          "",
		`<head></head><link rel="stylesheet" href="a.css">`:                                                                    "",
		`<link rel="stylesheet" href="a.css">`:                                                                                 "",
	} {
		if got := early([]byte(page)); got != want {
			t.Errorf("of %s early is %q, want %q", page, got, want)
		}
	}
}

// A page is served with what it waits for, the preview's script first. Where that runs by a mark only, it can't be fetched
// before its tag is read.
func TestPagesAreServedWithWhatTheyWaitFor(t *testing.T) {
	const styled = `<link rel="stylesheet" href="a.css">`
	for policy, want := range map[string]string{
		"default-src 'none'; script-src 'self'; style-src 'self'": `</.preview/page.js>; rel=preload; as=script, <a.css>; rel=preload; as=style`,
		"default-src 'none'; style-src 'self'":                    "",
	} {
		text := `<!doctype html><html><head><meta http-equiv="Content-Security-Policy" content="` + policy + `">` + styled + `</head><body>x</body></html>`
		w := httptest.NewRecorder()
		sitePage(site.Output{Path: "index.html", Bytes: []byte(text)}, "").serve(w)
		if got := w.Header().Get("Link"); got != want {
			t.Errorf("%s: Link is %q, want %q", policy, got, want)
		}
		if !strings.Contains(w.Body.String(), "page.js") {
			t.Error("the page has no script of the preview")
		}
	}
}
