package site

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"
)

// withHeaders serves a folder with the headers that its header file asks for.
func withHeaders(t *testing.T, dir string) http.Handler {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, headersName))
	if err != nil {
		t.Fatal(err)
	}
	rules, files := rulesOf(t, string(text)), http.FileServer(http.Dir(dir))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range headersFor(rules, r.URL.Path) {
			w.Header().Set(name, value)
		}
		files.ServeHTTP(w, r)
	})
}

// A playerState says how a video's place looks: whether a frame is there, and what it loads;
// the requests that left for other hosts; and what the policy blocked.
type playerState struct {
	Frame, Title, Referrer string
	Elsewhere, Blocked     []string
}

const watchPolicy = `(window.blocked = [], addEventListener('securitypolicyviolation', (e) => blocked.push(e.violatedDirective + ' ' + e.blockedURI)), true)`

// playerNow reads the state once what the frame loads was asked for or blocked.
const playerNow = `(async () => { const f = document.querySelector('.watch iframe');
  const elsewhere = () => performance.getEntriesByType('resource').map((e) => e.name).filter((n) => !n.startsWith(location.origin + '/'));
  for (let i = 0; i < 500; i++) { await new Promise((d) => setTimeout(d, 20)); if (!f || blocked.length || elsewhere().includes(f.src)) break; }
  return { Frame: f ? f.getAttribute('src') : '', Title: f ? f.title : '', Referrer: f ? f.referrerPolicy : '', Blocked: blocked, Elsewhere: elsewhere() }; })()`

// Nothing is asked of another host before the click, and the right second after it: at the
// still, at a mark, and at the second that the address names. What the host sends and what
// the page says allow the player. From a disk the still stays a link.
func TestVideoIsLoadedOnceAsked(t *testing.T) {
	_, dir := published(t)
	server := httptest.NewServer(withHeaders(t, dir))
	defer server.Close()
	ctx := inBrowser(t)
	const player = "https://videos.example/videos/embed/kkGMgK9ZtnKfYAgnEtQxbv?p2p=0&warningTitle=0&autoplay=1"
	const unit = "/units/dunnocrake-gorsehoop-2/index.html"
	for _, row := range []struct{ query, press, want string }{
		{"", ".poster", player},
		{"", ".marks [data-at='252']", player + "&start=252"},
		{"?t=4m15s", ".poster", player + "&start=255"},
	} {
		open(t, ctx, server.URL+unit+row.query)
		js[bool](t, ctx, watchPolicy)
		if before := js[playerState](t, ctx, playerNow); before.Frame != "" || len(before.Elsewhere)+len(before.Blocked) > 0 {
			t.Fatalf("%s, before: %+v", row.query, before)
		}
		js[bool](t, ctx, fmt.Sprintf(`(document.querySelector(%q).click(), true)`, row.press))
		after := js[playerState](t, ctx, playerNow)
		if after.Frame != row.want || len(after.Blocked) > 0 || after.Referrer != "strict-origin-when-cross-origin" || after.Title == "" || !slices.Contains(after.Elsewhere, row.want) {
			t.Errorf("%s, %s: %+v", row.query, row.press, after)
		}
	}
	// A further mark moves the player that is there.
	js[bool](t, ctx, `(document.querySelector(".marks [data-at='320']").click(), true)`)
	if moved := js[playerState](t, ctx, playerNow); len(moved.Blocked) > 0 || moved.Frame != player+"&start=320" {
		t.Errorf("moved on: %+v", moved)
	}
	// The check would see a player that the policy doesn't allow.
	js[bool](t, ctx, `(document.querySelector('.watch iframe').src = 'https://other.example/', true)`)
	if other := js[playerState](t, ctx, playerNow); len(other.Blocked) == 0 {
		t.Error("a player of another host isn't blocked")
	}
	// Unhandled clicks lead away: of a page on a disk, with a key held, and at a file.
	kept := `((query, more) => { let kept; document.addEventListener('click', (e) => { kept = e.defaultPrevented; e.preventDefault(); }, { once: true });
  document.querySelector(query).dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true, ...more })); return kept; })`
	open(t, ctx, server.URL+"/units/oxbramble-dredgelark-3/index.html")
	for _, press := range []string{`('.poster', { ctrlKey: true })`, `('#video-correction .poster', {})`, `('.in-video', {})`} {
		if js[bool](t, ctx, kept+press) {
			t.Errorf("%s doesn't lead to the video", press)
		}
	}
	if !js[bool](t, ctx, kept+`('.poster', {})`) {
		t.Error("the still leads away instead of playing")
	}
	answersSeconds(t, ctx, "file://"+dir+"/")
	open(t, ctx, "file://"+dir+unit)
	if js[bool](t, ctx, kept+`('.poster', {})`) || js[bool](t, ctx, `!!document.querySelector('iframe')`) {
		t.Error("on a disk the still is more than a link")
	}
}

// A page answers the second in its own address: it shows the last thing that is marked at
// or before it, without motion. The expected things are those of the demo's record.
func answersSeconds(t *testing.T, ctx context.Context, base string) {
	t.Helper()
	const two, three = "units/dunnocrake-gorsehoop-2/index.html", "units/oxbramble-dredgelark-3/index.html"
	const shown = `(() => { const n = document.querySelector('.seen-now:not(.marks *)'); if (!n) return '';
  const box = n.getBoundingClientRect(), id = n.id || n.querySelector('[id]').id;
  return box.bottom > 0 && box.top < innerHeight ? id : id + ' out of sight at ' + box.top; })()`
	for _, row := range []struct{ page, want string }{
		{three + "?video=correction&t=40", "claim-4-ohm"}, {two + "?t=252&video=other", ""}, {two + "?t=252#run-r09", ""}, {two + "?t=252", "run-r03"},
	} {
		open(t, ctx, base+row.page)
		if got := js[string](t, ctx, shown); got != row.want {
			t.Errorf("%s shows %q, want %q", row.page, got, row.want)
		}
	}
	// Where the address changes, so does what is shown.
	for _, row := range []struct{ at, want string }{
		{"4m12s", "run-r03"}, {"320", "run-r04"}, {"4:12", "run-r03"}, {"319s", "run-r03"}, {"251", "picture-1"}, {"1h", "claim-4-ohm-burst"}, {"0:10", "video-bench"},
		{"130", "spec-mass"}, {"12:05", "function-1"}, {"12:41", "thermal-1"}, {"75", "conditions"}, {"1:02:03", "claim-4-ohm-burst"},
		// what is no second leaves what is shown
		{"soon", "claim-4-ohm-burst"}, {"-1", "claim-4-ohm-burst"}, {"1e3", "claim-4-ohm-burst"},
	} {
		got := js[string](t, ctx, fmt.Sprintf(`(async () => { const told = new Promise((d) => addEventListener('hashchange', () => d(), { once: true }));
  location.hash = 't=%s'; await told; return %s; })()`, row.at, shown))
		if got != row.want {
			t.Errorf("#t=%s shows %q, want %q", row.at, got, row.want)
		}
	}
}

func open(t *testing.T, ctx context.Context, address string) {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1000, 800), chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
}
