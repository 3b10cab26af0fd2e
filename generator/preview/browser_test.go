package preview

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	cdp "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// inBrowser starts Chromium with a fresh profile. Where there is none the test is skipped, but not where changes are
// checked.
func inBrowser(t testing.TB, flags ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("another program: left out in short runs")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" && os.Getenv("CI") == "true" {
		t.Fatal("Chromium is needed: sh .ci/setup installs it")
	}
	if path == "" {
		t.Skip("Chromium is not installed: sh .ci/setup installs it")
	}
	for try := 1; ; try++ {
		ctx, stop, err := startBrowser(t, path, flags)
		if err == nil {
			t.Cleanup(stop)
			return ctx
		}
		stop()
		if try == 3 {
			t.Fatal(err)
		}
		t.Logf("started again, as it ended at its start: %v", err) // one start of some hundreds
	}
}

// startBrowser starts Chromium, and gives it some minutes. It may be ended also where it didn't start.
func startBrowser(t testing.TB, path string, flags []chromedp.ExecAllocatorOption) (context.Context, func(), error) {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.ExecPath(path),
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true))
	allocator, stop := chromedp.NewExecAllocator(t.Context(), append(options, flags...)...)
	ctx, cancel := chromedp.NewContext(allocator)
	limit := 3 * time.Minute
	if _, bench := t.(*testing.B); bench {
		limit = 10 * time.Minute
	}
	limited, done := context.WithTimeout(ctx, limit)
	return limited, func() { done(); cancel(); stop() }, chromedp.Do(limited)
}

// js runs a script on the page.
func js[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%v, in %s", err, script)
	}
	return v
}

// soon waits until a script is true. While a page is loaded anew a script may fail.
func soon(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	var last error
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](script))
		if last = err; err == nil && ok {
			return
		}
	}
	t.Fatalf("never became true: %s (%v)", script, last)
}

func visit(t *testing.T, ctx context.Context, address string) {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1000, 700), chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
}

// stay marks a page, so that a test sees whether it was loaded anew.
const stay, stayed = `window.marked = true`, `window.marked === true`

// A console is what pages complain of.
type console struct {
	lock sync.Mutex
	said []string
}

func listening(ctx context.Context) *console {
	c := &console{}
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			c.lock.Lock()
			c.said = append(c.said, fmt.Sprint(m.Type, ": ", m.Text))
			c.lock.Unlock()
		}
	}()
	return c
}

func (c *console) silent(t *testing.T) {
	t.Helper()
	time.Sleep(100 * time.Millisecond)
	c.lock.Lock()
	defer c.lock.Unlock()
	for _, said := range c.said {
		t.Errorf("the console says %s", said)
	}
}

// demo is the demo site as a source.
func demo(t testing.TB) *fake {
	t.Helper()
	s, problems, err := site.Load("../..", time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC))
	if err != nil || problems.Errors() {
		t.Fatalf("the demo doesn't load: %v %v", err, problems)
	}
	outputs, problems, err := s.Outputs()
	if err != nil || problems.Errors() {
		t.Fatalf("the demo doesn't build: %v %v", err, problems)
	}
	f := newFake(map[string]string{})
	for _, o := range outputs {
		f.files[o.Path] = string(o.Bytes)
	}
	return f
}

// aProblem is one with a place in a text.
func aProblem(text, marked, summary, hint string) record.Problem {
	f := &record.File{Name: "content/units/otter/record.toml", Text: []byte(text)}
	return f.Problem(record.Error, strings.Index(text, marked), len(marked), summary, hint)
}

const (
	inDialog = `document.getElementById('wattsheet-preview').shadowRoot.querySelector('dialog')`
	inStrip  = `document.getElementById('wattsheet-preview').shadowRoot.querySelector('.strip')`
)

// A desk is the demo's fullest page in a browser, while the content is edited.
type desk struct {
	ctx  context.Context
	f    *fake
	h    *hub
	name string // of the page
}

// A day at the desk: what becomes of the page on screen, save by save.
func TestPageWhileItIsEdited(t *testing.T) {
	d := desk{ctx: inBrowser(t), f: demo(t), name: "units/copperdaub-hedgeclank-900/index.html"}
	h, server, _ := served(t, d.f)
	d.h = h
	h.publish(nil)
	if d.f.files[d.name] == "" {
		t.Fatal("the demo has no such unit")
	}
	visit(t, d.ctx, server.URL+"/units/copperdaub-hedgeclank-900/")
	console := listening(d.ctx)
	connected(t, h, 1)
	for _, part := range []struct {
		name string
		test func(*testing.T, desk)
	}{
		{"equal bytes leave the page alone", equalBytes},
		{"another page comes where the reader was", samePlace},
		{"style is swapped", newStyle},
		{"what its scripts have read brings it again", besideIt},
		{"mistakes are shown over the page, and go", mistakes},
		{"warnings are a line", warnings},
		{"a page that goes says so, and comes back", goneAndBack},
		{"what is typed, focused and quoted stays", keptInHand},
	} {
		t.Run(part.name, func(t *testing.T) { part.test(t, d) })
	}
	console.silent(t)
}

func equalBytes(t *testing.T, d desk) {
	js[bool](t, d.ctx, stay)
	d.f.set(map[string]string{"index.html": d.f.files["index.html"] + "<!-- another page -->"})
	d.h.publish(nil)
	time.Sleep(200 * time.Millisecond)
	if !js[bool](t, d.ctx, stayed) {
		t.Error("it was loaded again")
	}
}

func samePlace(t *testing.T, d desk) {
	js[bool](t, d.ctx, stay)
	js[bool](t, d.ctx, `(async () => { const f = document.querySelector('figure.chart[id][data-chart]'); f.scrollIntoView();
  for (let n = 0; n < 200 && f.dataset.live !== 'ready'; n++) await new Promise((d) => setTimeout(d, 25));
  f.querySelector('.chart-parts button').click(); f.querySelectorAll('.chart-scales button')[1].click();
  for (const d of [...document.querySelectorAll('details')].slice(0, 3)) d.open = !d.open;
  for (const box of document.querySelectorAll('main *')) if (getComputedStyle(box).overflowX === 'auto') box.scrollLeft = 7;
  scrollTo({ top: f.getBoundingClientRect().top + scrollY + 300, behavior: 'instant' }); return true; })()`)
	const where = `(() => { const f = document.querySelector('figure.chart[id][data-chart]'); return JSON.stringify([4 * Math.round(f.getBoundingClientRect().top / 4),
  [...document.querySelectorAll('details')].map((d) => d.open), [...f.querySelectorAll('.chart-controls button')].map((b) => b.getAttribute('aria-pressed')),
  [...document.querySelectorAll('main *')].map((box) => box.scrollLeft).filter((x) => x)]); })()`
	before := js[string](t, d.ctx, where)
	const first = `JSON.stringify([4 * Math.round(document.querySelector('figure.chart[id][data-chart]').getBoundingClientRect().top / 4), [...document.querySelectorAll('details')].map((d) => d.open)])`
	wanted := js[string](t, d.ctx, first)
	frame, err := chromedp.Call(d.ctx, cdp.AddScriptToEvaluateOnNewDocument, cdp.AddScriptToEvaluateOnNewDocumentParams{Source: `requestAnimationFrame(() => { window.firstFrame = ` + first + ` });`})
	if err != nil {
		t.Fatal(err)
	}
	// The page grows above what is read.
	d.f.set(map[string]string{d.name: strings.Replace(d.f.files[d.name], `<main id="main">`, `<main id="main"><p>new</p><p>newer</p>`, 1)})
	d.h.publish(nil)
	soon(t, d.ctx, `!window.marked && document.querySelector('main p').textContent === 'new' && document.querySelector('figure.chart[id][data-chart]').dataset.live === 'ready'`)
	soon(t, d.ctx, fmt.Sprintf(`%s === %q`, where, before))
	if got := js[string](t, d.ctx, `window.firstFrame`); got != wanted {
		t.Errorf("the first frame was at %s, not %s", got, wanted)
	}
	if _, err := chromedp.Call(d.ctx, cdp.RemoveScriptToEvaluateOnNewDocument, cdp.RemoveScriptToEvaluateOnNewDocumentParams(frame)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(before, ",[7") {
		t.Errorf("nothing was scrolled within the page: %s", before)
	}
	if !strings.Contains(before, `"false"`) {
		t.Errorf("nothing was chosen at the chart: %s", before)
	}
	if kept := js[float64](t, d.ctx, `sessionStorage.length`); kept != 0 {
		t.Errorf("%v things are kept for good", kept)
	}
}

func besideIt(t *testing.T, d desk) {
	const other = "units/copperdaub-hedgeclank-900-2/beside.js"
	js[bool](t, d.ctx, stay)
	js[bool](t, d.ctx, `new Promise((done) => { const made = document.createElement('script'); made.src = '/`+other+`'; made.onload = () => done(true); document.head.append(made); })`)
	// The stream is asked for anew, with the file: what a stream is about is kept, whichever of the two asks first.
	eventually(t, "a stream about the file", func() bool {
		s := d.h.current(t.Context())
		s.lock.Lock()
		defer s.lock.Unlock()
		return s.pages[other] != nil
	})
	d.h.publish(nil)
	time.Sleep(150 * time.Millisecond)
	if !js[bool](t, d.ctx, stayed) {
		t.Error("the same file loaded the page again")
	}
	d.f.lock.Lock()
	text := d.f.files[other]
	d.f.lock.Unlock()
	d.f.set(map[string]string{other: text + "\n"})
	d.h.publish(nil)
	soon(t, d.ctx, `!window.marked`)
	connected(t, d.h, 1)
}

func newStyle(t *testing.T, d desk) {
	js[bool](t, d.ctx, stay)
	sheet := js[string](t, d.ctx, `document.querySelector('link[rel=stylesheet]').getAttribute('href')`)
	fresh := "../../assets/style.01234567.css"
	styles := js[float64](t, d.ctx, `document.querySelectorAll('head link[rel=stylesheet]').length`)
	d.f.lock.Lock()
	css := d.f.files[strings.TrimPrefix(sheet, "../../")]
	now := d.f.files[d.name]
	d.f.lock.Unlock()
	d.f.set(map[string]string{strings.TrimPrefix(fresh, "../../"): css + "\nh1 { color: rgb(1, 2, 3); }\n", d.name: strings.ReplaceAll(now, sheet, fresh)})
	d.h.publish(nil)
	soon(t, d.ctx, `getComputedStyle(document.querySelector('h1')).color === 'rgb(1, 2, 3)'`)
	if !js[bool](t, d.ctx, stayed) {
		t.Error("the page was loaded again")
	}
	if n := js[float64](t, d.ctx, `document.querySelectorAll('head link[rel=stylesheet]').length`); n != styles {
		t.Errorf("%v stylesheets are left", n)
	}
	d.h.publish(nil)
	time.Sleep(150 * time.Millisecond)
	if !js[bool](t, d.ctx, stayed) {
		t.Error("the next change, of nothing, loaded the page again")
	}
}

func mistakes(t *testing.T, d desk) {
	js[bool](t, d.ctx, stay)
	title := js[string](t, d.ctx, `document.title`)
	hostile := `<img src=x onerror="document.title='struck'"></script><script>document.title='struck'</script>`
	d.f.set(nil, aProblem("a = 1\nload = \"4a\" # "+hostile+"\n", `"4a"`, "there is no load "+hostile, "did you mean "+hostile+"?"))
	d.h.publish(d.f.problems)
	soon(t, d.ctx, inDialog+`?.open === true`)
	shown := js[string](t, d.ctx, inDialog+`.innerText`)
	for _, want := range []string{"1 error", "content/units/otter/record.toml:2:8", "there is no load " + hostile, `load = "4a" # ` + hostile, "hint: did you mean " + hostile} {
		if !strings.Contains(shown, want) {
			t.Errorf("%q isn't in %q", want, shown)
		}
	}
	if marked := js[string](t, d.ctx, inDialog+`.querySelector('mark').textContent`); marked != `"4a"` {
		t.Errorf("marked is %q", marked)
	}
	if n := js[float64](t, d.ctx, inDialog+`.querySelectorAll('img, script').length`); n != 0 {
		t.Errorf("%v elements came from the text", n)
	}
	if got := js[string](t, d.ctx, `document.title`); got != "(1 error) "+title {
		t.Errorf("the title is %q", got)
	}
	if icon := js[string](t, d.ctx, `document.querySelector('link[rel~=icon]').href`); !strings.HasSuffix(icon, "/.preview/mistake.svg") {
		t.Errorf("the icon is %q", icon)
	}
	if focused := js[string](t, d.ctx, `document.getElementById('wattsheet-preview').shadowRoot.activeElement.id`); focused != "heading" {
		t.Errorf("the focus is on %q", focused)
	}
	// Escape closes it; a line stays that opens it again.
	if err := chromedp.Do(d.ctx, chromedp.KeyEvent("\u001b")); err != nil {
		t.Fatal(err)
	}
	soon(t, d.ctx, `!`+inDialog+`.open && !`+inStrip+`.hidden`)
	d.h.publish(d.f.problems)
	time.Sleep(100 * time.Millisecond)
	if js[bool](t, d.ctx, inDialog+`.open`) {
		t.Error("the same mistakes open it again")
	}
	js[bool](t, d.ctx, inStrip+`.querySelector('button').click() || true`)
	soon(t, d.ctx, inDialog+`.open`)
	d.f.set(nil)
	d.h.publish(nil)
	soon(t, d.ctx, `!`+inDialog+`.open && `+inStrip+`.hidden`)
	if got := js[string](t, d.ctx, `document.title`); got != title {
		t.Errorf("the title stays %q", got)
	}
	if icon := js[string](t, d.ctx, `document.querySelector('link[rel~=icon]').href`); !strings.HasSuffix(icon, "/icon.svg") {
		t.Errorf("the icon stays %q", icon)
	}
	if !js[bool](t, d.ctx, stayed) {
		t.Error("the page was loaded again")
	}
}

func warnings(t *testing.T, d desk) {
	warning := aProblem("x", "x", "nothing reads this", "")
	warning.Severity = record.Warning
	d.h.publish(record.Problems{warning})
	soon(t, d.ctx, `!`+inStrip+`.hidden && `+inStrip+`.innerText.startsWith('1 warning') && !`+inDialog+`.open`)
	d.h.publish(nil)
	soon(t, d.ctx, inStrip+`.hidden`)
}

// connected waits until so many streams are held.
func connected(t *testing.T, h *hub, n int) {
	t.Helper()
	eventually(t, fmt.Sprintf("%d streams", n), func() bool {
		h.lock.Lock()
		defer h.lock.Unlock()
		return len(h.waiting) == n
	})
}

// Where there is no page yet, or none any more, a page says why, and gives way to the page when it comes.
func TestPageThatIsNotThereYet(t *testing.T) {
	ctx := inBrowser(t)
	f := newFake(map[string]string{})
	h, server, _ := served(t, f)
	f.set(nil, aProblem("load = 1", "1", "there is <b>no</b> load", ""))
	h.publish(f.problems)
	visit(t, ctx, server.URL+"/units/otter/")
	console := listening(ctx)
	connected(t, h, 1)
	if text := js[string](t, ctx, `document.body.innerText`); !strings.Contains(text, "there is <b>no</b> load") || !strings.Contains(text, "1 error") {
		t.Errorf("the page says %q", text)
	}
	f.set(nil)
	h.publish(nil)
	soon(t, ctx, `document.title === 'No such page'`)
	connected(t, h, 1)
	f.set(map[string]string{"units/otter/index.html": plainPage("otter", "")})
	h.publish(nil)
	soon(t, ctx, `document.title === 'otter'`)
	// The 404 and 503 of the page itself are the browser's own messages; nothing else is said.
	console.lock.Lock()
	defer console.lock.Unlock()
	for _, said := range console.said {
		if !strings.Contains(said, "the server responded with a status of") {
			t.Errorf("the console says %s", said)
		}
	}
}

// plainPage is a page with the policy of published ones.
func plainPage(title, body string) string {
	return `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'"><title>` +
		title + `</title></head><body><main id="main"><h1>` + title + `</h1>` + body + `</main></body></html>`
}

// Eight tabs stay alive, though a browser has six connections: all of them share one stream. Where there are no shared
// workers, those that are hidden let go of theirs.
func TestEightTabs(t *testing.T) {
	ctx := inBrowser(t)
	files := map[string]string{}
	for i := range 8 {
		files[fmt.Sprintf("p%d/index.html", i)] = plainPage(fmt.Sprintf("tab %d", i), "")
	}
	f := newFake(files)
	h, server, _ := served(t, f)
	h.publish(nil)
	js[float64](t, ctx, `1`)
	tabs := make([]context.Context, 8)
	for i := range tabs {
		tab, cancel := chromedp.NewContext(ctx)
		t.Cleanup(cancel)
		tabs[i] = tab
		visit(t, tab, fmt.Sprintf("%s/p%d/", server.URL, i))
	}
	connected(t, h, 1)
	for round := range 3 {
		fresh := map[string]string{}
		for i := range tabs {
			fresh[fmt.Sprintf("p%d/index.html", i)] = plainPage(fmt.Sprintf("tab %d, round %d", i, round), "")
		}
		f.set(fresh)
		h.publish(nil)
		for i, tab := range tabs {
			soon(t, tab, fmt.Sprintf(`document.title === 'tab %d, round %d'`, i, round))
		}
	}
	connected(t, h, 1)
}

// Where a browser has no shared workers each page has a worker of its own, which lets go of its stream while the page is
// hidden, and catches up afterwards.
func TestWithoutSharedWorkers(t *testing.T) {
	ctx := inBrowser(t)
	f := newFake(map[string]string{"index.html": plainPage("one", "")})
	h, server, _ := served(t, f)
	h.publish(nil)
	js[float64](t, ctx, `1`)
	if _, err := chromedp.Call(ctx, cdp.AddScriptToEvaluateOnNewDocument, cdp.AddScriptToEvaluateOnNewDocumentParams{Source: `delete window.SharedWorker`}); err != nil {
		t.Fatal(err)
	}
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	change := func(title string) {
		f.set(map[string]string{"index.html": plainPage(title, "")})
		h.publish(nil)
	}
	change("two")
	soon(t, ctx, `document.title === 'two' && !('SharedWorker' in window)`)
	connected(t, h, 1)
	hide := func(hidden bool) {
		js[bool](t, ctx, fmt.Sprintf(`Object.defineProperty(document, 'hidden', { value: %v, configurable: true }) && document.dispatchEvent(new Event('visibilitychange'))`, hidden))
	}
	hide(true)
	connected(t, h, 0)
	change("three")
	hide(false)
	soon(t, ctx, `document.title === 'three'`)
}

// A preview that ends says so on the pages that stay open; one that is started again finds them, and what changed
// meanwhile.
func TestPreviewThatEndsAndStartsAgain(t *testing.T) {
	ctx := inBrowser(t)
	f := newFake(map[string]string{"index.html": plainPage("one", "")})
	h, first, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, first.URL+"/")
	connected(t, h, 1)
	first.CloseClientConnections()
	first.Close()
	soon(t, ctx, inStrip+`.innerText.includes('The preview has ended') && !`+inStrip+`.hidden`)
	js[bool](t, ctx, stay)
	again := func() (end func()) {
		l, err := net.Listen("tcp", first.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		server := &http.Server{Handler: first.Config.Handler}
		go server.Serve(l)
		return func() { server.Close() }
	}
	end := again()
	soon(t, ctx, inStrip+`.hidden`)
	if !js[bool](t, ctx, stayed) {
		t.Error("the page was loaded again, though nothing changed")
	}
	end()
	f.set(map[string]string{"index.html": plainPage("two", "")})
	h.publish(nil)
	defer again()()
	soon(t, ctx, `document.title === 'two'`)
}
