package preview

import (
	"fmt"
	"strings"
	"testing"
	"time"

	cdp "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"wattsheet/generator/record"
)

// withScripts is a page with scripts in its head, as themes have them, and one that isn't deferred.
func withScripts(title, body string, paths ...string) string {
	var tags strings.Builder
	for _, path := range paths {
		fmt.Fprintf(&tags, "<script defer src=%q></script>\n", path)
	}
	return strings.Replace(plainPage(title, body), "</head>", tags.String()+`<script src="/assets/first.0a1b2c3d.js"></script></head>`, 1)
}

// What a theme's script does wrong is shown with file, line and column: before the page is there, later, and in a promise;
// so is what the page's policy refuses. A theme's author mends it, and it is gone.
func TestMistakesOfScriptsAreShown(t *testing.T) {
	ctx := inBrowser(t)
	hostile := `<img src=x onerror="document.title='struck'">`
	f := newFake(map[string]string{
		"index.html":                 withScripts("one", `<p style="color: red">p</p>`, "/assets/theirs.0a1b2c3d.js", "/units/otter/charts.js"),
		"assets/first.0a1b2c3d.js":   "document.title = 'first';\n  none.such;\n",
		"assets/theirs.0a1b2c3d.js":  "window.later = () => { throw new Error(" + fmt.Sprintf("%q", hostile) + "); };\nPromise.reject(new TypeError('no promise'));\nfor (let n = 0; n < 50; n++) setTimeout(() => { undefined.x; });\n",
		"units/otter/charts.js":      "Promise.reject('a word');\n",
		"assets/theirs.11111111.js":  "1;\n",
		"assets/echarts.0a1b2c3d.js": "1;\n",
	})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	soon(t, ctx, `!`+inStrip+`.hidden && `+inStrip+`.innerText.includes('5 mistakes of this page') && !`+inDialog+`.open`)
	js[bool](t, ctx, `setTimeout(later) && true`)
	soon(t, ctx, inStrip+`.innerText.includes('6 mistakes')`)
	js[bool](t, ctx, inStrip+`.querySelector('button').click() || true`)
	soon(t, ctx, inDialog+`.open`)
	shown := js[string](t, ctx, inDialog+`.innerText`)
	for _, want := range []string{
		"6 mistakes of this page", "script/first.js:2:3", "Uncaught ReferenceError: none is not defined", "hint: published as assets/first.0a1b2c3d.js; ",
		"script/theirs.js:2:16", "Uncaught (in a promise) TypeError: no promise", "script/theirs.js:3:", "Uncaught (in a promise) a word", hostile,
		"index.html:", "the page’s policy refuses what is inline in the page (style-src-attr)",
	} {
		if !strings.Contains(shown, want) {
			t.Errorf("%q isn't in %q", want, shown)
		}
	}
	if n := js[float64](t, ctx, inDialog+`.querySelectorAll('img').length`); n != 0 {
		t.Errorf("%v elements came from a message", n)
	}
	f.set(map[string]string{"index.html": withScripts("two", "", "/assets/theirs.11111111.js"), "assets/first.0a1b2c3d.js": "1;\n"})
	h.publish(nil)
	soon(t, ctx, `document.title === 'two' && document.readyState === 'complete'`)
	connected(t, h, 1)
	time.Sleep(200 * time.Millisecond)
	if !js[bool](t, ctx, inStrip+`.hidden`) {
		t.Errorf("the line says %q", js[string](t, ctx, inStrip+`.innerText`))
	}
}

// A browser tells as an error that what a script hears of sizes goes on in the next frame, as where a window is made smaller
// and a chart follows it: nothing is wrong with the script.
func TestSizesThatFollowAreNoMistake(t *testing.T) {
	ctx := inBrowser(t)
	f := newFake(map[string]string{
		"index.html":               withScripts("one", `<p>p</p>`, "/assets/sizes.0a1b2c3d.js"),
		"assets/first.0a1b2c3d.js": "window.told = [];\naddEventListener('error', ({ message }) => told.push(message));\n",
		"assets/sizes.0a1b2c3d.js": "new ResizeObserver(([{ target, contentRect }]) => { target.style.width = contentRect.width / 2 + 'px'; }).observe(document.querySelector('p'));\n" +
			"setTimeout(() => none.such, 200);\n",
	})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	soon(t, ctx, `told.join().includes('none') && `+inStrip+`.innerText.includes('of this page')`)
	if told, said := js[string](t, ctx, `told.join()`), js[string](t, ctx, inStrip+`.innerText`); !strings.Contains(told, "ResizeObserver loop") || !strings.Contains(said, "1 mistake of") {
		t.Errorf("the browser told of %q, and the line says %q", told, said)
	}
}

// A page that is made for frames allows no script: it is kept current all the same, alone and in a frame, tells of mistakes,
// and refuses a theme's scripts as it will when it is published.
func TestPagesThatAllowNoScriptAreKeptCurrent(t *testing.T) {
	ctx := inBrowser(t)
	const theirs = `<script defer src="/assets/theirs.0a1b2c3d.js"></script>`
	f := newFake(map[string]string{"index.html": framedPage("one", ""), "assets/theirs.0a1b2c3d.js": "document.title = 'struck';\n"})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	f.set(map[string]string{"index.html": framedPage("two", theirs)})
	h.publish(nil)
	soon(t, ctx, `document.title === 'two' && `+inStrip+`.innerText.includes('1 mistake of this page')`)
	connected(t, h, 1)
	h.publish(record.Problems{{Summary: "wrong"}})
	soon(t, ctx, inDialog+`.open && document.title === '(1 error) two'`)
	f.set(map[string]string{"index.html": framedPage("three", ""), "around/index.html": strings.Replace(plainPage("around", `<iframe src="../"></iframe>`), "; style-src", "; frame-src 'self'; style-src", 1)})
	h.publish(nil)
	soon(t, ctx, `document.title === 'three' && document.readyState === 'complete'`)
	visit(t, ctx, server.URL+"/around/")
	connected(t, h, 1)
	soon(t, ctx, `frames[0].document.title === 'three'`)
	f.set(map[string]string{"index.html": framedPage("four", "")})
	h.publish(nil)
	soon(t, ctx, `frames[0].document.title === 'four'`)
}

// Files of the site that a page asks for and that aren't there are told once each, whatever asks for them: a script, a
// picture, a stylesheet, its background, what a script adds later. Those that are there aren't, nor are the preview's own.
func TestMissingFilesAreShown(t *testing.T) {
	ctx := inBrowser(t)
	f := newFake(map[string]string{
		"index.html": strings.Replace(withScripts("one", `<img src="units/gone.png" alt=""><img src="units/gone.png?2" alt=""><img src="here.png" alt=""><p class="behind">p</p>`, "/assets/gone.0a1b2c3d.js"),
			"</head>", `<link rel="stylesheet" href="/assets/lost.0a1b2c3d.css"><link rel="stylesheet" href="/assets/there.0a1b2c3d.css"></head>`, 1),
		"assets/first.0a1b2c3d.js":  "window.later = () => { const one = document.createElement('script'); one.src = 'data/gone.js'; document.head.append(one); };\n",
		"assets/there.0a1b2c3d.css": ".behind { background: url('gone.svg'); }\n",
		"here.png":                  "\x89PNG\r\n\x1a\n",
	})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	soon(t, ctx, `!`+inStrip+`.hidden && `+inStrip+`.innerText.includes('4 mistakes of this page') && !`+inDialog+`.open`)
	js[bool](t, ctx, `(later(), true)`)
	soon(t, ctx, inStrip+`.innerText.includes('5 mistakes')`)
	js[bool](t, ctx, inStrip+`.querySelector('button').click() || true`)
	soon(t, ctx, inDialog+`.open`)
	shown := js[string](t, ctx, inDialog+`.innerText`)
	for _, want := range []string{
		"units/gone.png\nthis file isn’t there: the page asks for it as a picture", "script/gone.js\nthis file isn’t there: the page asks for it as a script",
		"assets/lost.0a1b2c3d.css\nthis file isn’t there: the page asks for it as a stylesheet", "assets/gone.svg\nthis file isn’t there: the page asks for it as part of a stylesheet",
		"data/gone.js\nthis file isn’t there: the page asks for it as a script", "files that aren’t there",
	} {
		if !strings.Contains(strings.ReplaceAll(shown, "\n\n", "\n"), want) {
			t.Errorf("%q isn't in %q", want, shown)
		}
	}
	f.set(map[string]string{"index.html": plainPage("two", "")})
	h.publish(nil)
	soon(t, ctx, `document.title === 'two' && document.readyState === 'complete'`)
	time.Sleep(200 * time.Millisecond)
	if !js[bool](t, ctx, inStrip+`.hidden`) {
		t.Errorf("the line says %q", js[string](t, ctx, inStrip+`.innerText`))
	}
}

// A page may ask for more than browsers keep the list of: what is missing is told all the same.
func TestMissingFilesAmongManyAreShown(t *testing.T) {
	ctx := inBrowser(t)
	var many strings.Builder
	for i := range 400 {
		fmt.Fprintf(&many, `<img src="here.png?%d" alt="">`, i)
	}
	f := newFake(map[string]string{"index.html": plainPage("one", many.String()+`<img src="gone.png" alt="">`), "here.png": "\x89PNG\r\n\x1a\n"})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	soon(t, ctx, inStrip+`.innerText.includes('1 mistake of this page')`)
}

// An address that is none keeps nobody from hearing what else is wrong, and the page from staying current.
func TestAddressesThatAreNoneAreShown(t *testing.T) {
	ctx := inBrowser(t)
	f := newFake(map[string]string{"index.html": strings.Replace(plainPage("one", `<img src="/50%.png" alt=""><img src="gone.png" alt="">`), "</head>", `<script src="/50%.js"></script><script src="http://[::"></script></head>`, 1)})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	soon(t, ctx, inStrip+`.innerText.includes('3 mistakes of this page')`)
	js[bool](t, ctx, inStrip+`.querySelector('button').click() || true`)
	soon(t, ctx, inDialog+`.open`)
	shown := js[string](t, ctx, inDialog+`.innerText`)
	for _, want := range []string{"50%.png\n", "50%.js\n", "gone.png\n"} {
		if !strings.Contains(shown, want) {
			t.Errorf("%q isn't in %q", want, shown)
		}
	}
	f.set(map[string]string{"index.html": plainPage("two", "")})
	h.publish(nil)
	soon(t, ctx, `document.title === 'two'`)
}

// While a video plays the page isn't loaded again; a line says so. It is when the reader asks, or the video stops.
func TestPlayingVideoHoldsTheReload(t *testing.T) {
	ctx := inBrowser(t)
	const film = `<video></video>`
	f := newFake(map[string]string{"index.html": plainPage("one", film), "player/index.html": plainPage("player", "")})
	h, server, _ := served(t, f)
	h.publish(nil)
	round := 1
	change := func(body string) string {
		round++
		title := fmt.Sprintf("round %d", round)
		f.set(map[string]string{"index.html": plainPage(title, body)})
		h.publish(nil)
		return fmt.Sprintf(`document.title === %q`, title)
	}
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	const line = inStrip + `.innerText.includes('isn’t loaded again while a video plays') && !` + inStrip + `.hidden`
	const frame = `(() => { const box = document.createElement('div'); box.className = 'player'; const one = document.createElement('iframe'); box.append(one); document.body.append(box); return true; })()`

	// A player in a frame tells nothing of itself: the reader asks.
	js[bool](t, ctx, frame)
	js[bool](t, ctx, stay)
	change(film)
	soon(t, ctx, line)
	fresh := change(film)
	time.Sleep(200 * time.Millisecond)
	if !js[bool](t, ctx, stayed+` && `+line) {
		t.Fatal("the page was loaded again")
	}
	js[bool](t, ctx, `[...`+inStrip+`.querySelectorAll('button')].find((b) => b.textContent === 'Load it').click() || true`)
	soon(t, ctx, fresh)
	connected(t, h, 1)

	// A file's player says when it stops.
	js[bool](t, ctx, stay+` && Object.defineProperty(document.querySelector('video'), 'paused', { value: false, configurable: true }) && true`)
	fresh = change(film)
	soon(t, ctx, line)
	js[bool](t, ctx, `(() => { const one = document.querySelector('video'); Object.defineProperty(one, 'paused', { value: true }); one.dispatchEvent(new Event('pause')); return true; })()`)
	soon(t, ctx, fresh)
}

// Who follows a link gets there, also where the page is another before that has come.
func TestReloadTakesNobodysWay(t *testing.T) {
	ctx := inBrowser(t)
	const link = `<a href="slow/index.html">on</a>`
	f := newFake(map[string]string{"index.html": plainPage("one", link), "slow/index.html": plainPage("slow", "")})
	f.slow = make(chan struct{})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	js[bool](t, ctx, `document.querySelector('a').click() || true`)
	time.Sleep(100 * time.Millisecond)
	f.set(map[string]string{"index.html": plainPage("two", link)})
	h.publish(nil)
	time.Sleep(300 * time.Millisecond) // the page hears of it
	close(f.slow)
	soon(t, ctx, `document.title === 'slow'`)
}

// A page that is hidden, or is hidden before it was ever painted, or has nothing to paint, is kept current too: it has a
// stream, and hears of changes.
func TestPageThatIsNeverPainted(t *testing.T) {
	const unpainted = `window.PerformanceObserver = class { observe() { } }; `
	for _, row := range []struct{ name, before, then string }{
		{"hidden from the start", unpainted + `Object.defineProperty(document, 'hidden', { value: true, configurable: true });`, ""},
		{"hidden before its first frame", unpainted, `document.dispatchEvent(new Event('visibilitychange'))`},
		{"nothing to paint", unpainted, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			ctx := inBrowser(t)
			f := newFake(map[string]string{"index.html": plainPage("one", "")})
			h, server, _ := served(t, f)
			h.publish(nil)
			js[float64](t, ctx, `1`)
			if _, err := chromedp.Call(ctx, cdp.AddScriptToEvaluateOnNewDocument, cdp.AddScriptToEvaluateOnNewDocumentParams{Source: row.before}); err != nil {
				t.Fatal(err)
			}
			visit(t, ctx, server.URL+"/")
			if row.then != "" {
				time.Sleep(200 * time.Millisecond)
				connected(t, h, 0) // it waits for its first frame
				js[bool](t, ctx, row.then)
			}
			connected(t, h, 1)
			f.set(map[string]string{"index.html": plainPage("two", "")})
			h.publish(nil)
			soon(t, ctx, `document.title === 'two'`)
		})
	}
}
