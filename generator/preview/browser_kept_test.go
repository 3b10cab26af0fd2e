package preview

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"wattsheet/generator/record"
)

// reloaded has the page on screen made another one, and waits until it is that.
func reloaded(t *testing.T, d desk, name string, n int) {
	t.Helper()
	js[bool](t, d.ctx, stay)
	d.f.lock.Lock()
	now := d.f.files[name]
	d.f.lock.Unlock()
	now = strings.Replace(now, "</main>", fmt.Sprintf("<p id=\"round-%d\">round %d</p></main>", n, n), 1)
	d.f.set(map[string]string{name: now})
	d.h.publish(nil)
	soon(t, d.ctx, fmt.Sprintf(`!window.marked && document.readyState === 'complete' && !!document.getElementById('round-%d')`, n))
}

// What was typed stays, valid or not, and the keyboard with it, in its place in the text; so does the bar of a figure
// that is quoted, and a theme's dialog.
func keptInHand(t *testing.T, d desk) {
	d.f.set(nil)
	d.h.publish(nil)
	d.f.lock.Lock()
	front := d.f.files["index.html"]
	d.f.lock.Unlock()
	d.f.set(map[string]string{"index.html": strings.Replace(front, "</main>", `<dialog id="theirs"><p>a dialog <button>of a theme</button></p></dialog></main>`, 1)})
	d.h.publish(nil)
	address := js[string](t, d.ctx, `location.origin`)
	visit(t, d.ctx, address+"/")
	connected(t, d.h, 1)
	typed := func(field, text string) {
		t.Helper()
		js[bool](t, d.ctx, `(() => { const f = document.getElementById('`+field+`'); const fold = f.closest('details'); if (fold) fold.open = true; f.focus(); return true; })()`)
		if err := chromedp.Do(d.ctx, chromedp.KeyEvent(text)); err != nil {
			t.Fatal(err)
		}
	}
	typed("find-from", "12x") // no number yet
	typed("find-q", "hedge")
	js[bool](t, d.ctx, `document.getElementById('find-q').setSelectionRange(2, 4) || true`)
	const hands = `JSON.stringify([document.activeElement.id, document.getElementById('find-q').value, document.getElementById('find-q').selectionStart,
  document.getElementById('find-q').selectionEnd, document.getElementById('find-from').value, document.querySelector('.sheets .units').children.length])`
	// The address changes before the list is there that the rows are found in.
	soon(t, d.ctx, `location.hash.includes('q=hedge') && / of \d+\sunits/.test(document.querySelector('#find .found').textContent)`)
	before := js[string](t, d.ctx, hands)
	if !strings.HasPrefix(before, `["find-q","hedge",2,4,"12x",`) {
		t.Fatalf("typed was %s", before)
	}
	reloaded(t, d, "index.html", 1)
	soon(t, d.ctx, fmt.Sprintf(`%s === %q`, hands, before))
	js[bool](t, d.ctx, `document.getElementById('theirs').showModal() || true`)
	reloaded(t, d, "index.html", 2)
	if !js[bool](t, d.ctx, `document.getElementById('theirs').matches(':modal') && document.activeElement.textContent === 'of a theme'`) {
		t.Error("the theme's dialog is closed")
	}

	// A mistake takes the keyboard for its dialog; it comes back with the page that is mended.
	js[bool](t, d.ctx, `document.getElementById('theirs').close() || document.getElementById('find-q').focus() || true`)
	d.f.set(nil, aProblem("a = 1\n", "a", "there is no a", ""))
	d.h.publish(d.f.problems)
	soon(t, d.ctx, inDialog+`.open`)
	d.f.set(nil)
	reloaded(t, d, "index.html", 3)
	soon(t, d.ctx, `document.activeElement.id === 'find-q'`)

	visit(t, d.ctx, address+"/"+d.name)
	connected(t, d.h, 1)
	js[bool](t, d.ctx, `(() => { document.querySelector('.claim .quote').click(); document.querySelectorAll('.runs td.n')[7].click(); return true; })()`)
	const quoted = `(() => { const bar = document.querySelector('.quote-bar'); return JSON.stringify([bar.hidden, bar.innerText, document.querySelectorAll('.quoted').length, document.activeElement.textContent, location.pathname]); })()`
	before = js[string](t, d.ctx, quoted)
	if !strings.HasPrefix(before, `[false,"`) || !strings.Contains(before, `,1,"Copy`) {
		t.Fatalf("quoted is %s", before)
	}
	reloaded(t, d, d.name, 4)
	soon(t, d.ctx, fmt.Sprintf(`%s === %q`, quoted, before))

	// What can't be restored, such as what another version of the program kept, doesn't keep a page from staying current.
	js[bool](t, d.ctx, stay+` && (sessionStorage.setItem('preview ' + location.pathname, '{"folds":1}'), location.reload(), true)`)
	soon(t, d.ctx, `!window.marked && document.readyState === 'complete'`)
	connected(t, d.h, 1)
	reloaded(t, d, d.name, 5)
}

func goneAndBack(t *testing.T, d desk) {
	d.f.lock.Lock()
	now := d.f.files[d.name]
	d.f.lock.Unlock()
	// Away for a moment, as while one folder takes the place of another, is not gone.
	js[bool](t, d.ctx, `(() => { window.titles = []; new MutationObserver(() => titles.push(document.title)).observe(document.querySelector('title'), { childList: true }); return true; })()`)
	for _, page := range []string{"", now} {
		d.f.set(map[string]string{d.name: page})
		d.h.publish(nil)
		time.Sleep(50 * time.Millisecond)
	}
	time.Sleep(250 * time.Millisecond)
	if titles := js[string](t, d.ctx, `titles.join()`); titles != "" {
		t.Errorf("the title became %q", titles)
	}
	d.f.set(map[string]string{d.name: ""})
	d.h.publish(nil)
	soon(t, d.ctx, inDialog+`.open && `+inDialog+`.innerText.includes('This page is gone') && document.title.startsWith('(gone)')`)
	d.f.set(map[string]string{d.name: now})
	d.h.publish(nil)
	soon(t, d.ctx, `!`+inDialog+`.open`)
	if !js[bool](t, d.ctx, stayed) {
		t.Error("the page was loaded again")
	}
}

// A theme's dialog that is part of the page takes the keyboard when it is opened again, and the page with it to where it
// stands: who was at the top of the page is there afterwards.
func TestTopOfThePageStaysUnderADialog(t *testing.T) {
	ctx := inBrowser(t)
	page := func(title string) string {
		return plainPage(title, strings.Repeat("<p>text</p>", 300)+`<dialog id="theirs"><button>of a theme</button></dialog>`)
	}
	f := newFake(map[string]string{"index.html": page("one")})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	js[bool](t, ctx, `(() => { document.getElementById('theirs').show(); scrollTo({ top: 0, behavior: 'instant' }); return true; })()`)
	f.set(map[string]string{"index.html": page("two")})
	h.publish(nil)
	soon(t, ctx, `document.title === 'two' && document.readyState === 'complete' && history.scrollRestoration === 'auto'`)
	if at := js[float64](t, ctx, `scrollY`); at != 0 || !js[bool](t, ctx, `document.getElementById('theirs').open`) {
		t.Errorf("the page is scrolled to %v", at)
	}
}

// A page's scripts may give it another title, as a page of units beside each other does: a mistake stays in it, and it is
// the page's own again when that is mended. So are its icons, however many.
func TestTitleOfAScriptStays(t *testing.T) {
	ctx := inBrowser(t)
	f := newFake(map[string]string{"index.html": strings.Replace(plainPage("one", ""), "</head>", `<link rel="icon" href="/a.svg"><link rel="alternate icon" href="/b.png"></head>`, 1), "a.svg": "<svg/>", "b.png": "png"})
	h, server, _ := served(t, f)
	h.publish(nil)
	visit(t, ctx, server.URL+"/")
	connected(t, h, 1)
	const icons = `[...document.querySelectorAll('link[rel~="icon"]')].map((one) => one.getAttribute('href').split('/').pop()).join()`
	js[bool](t, ctx, `(document.title = 'two', true)`)
	wrong := aProblem("a = 1\n", "a", "there is no a", "")
	h.publish(record.Problems{wrong})
	soon(t, ctx, `document.title === '(1 error) two' && `+icons+` === 'mistake.svg'`)
	js[bool](t, ctx, `(document.title = 'three', true)`)
	soon(t, ctx, `document.title === '(1 error) three'`)
	h.publish(nil)
	soon(t, ctx, `document.title === 'three' && `+icons+` === 'a.svg,b.png'`)
	js[bool](t, ctx, `(document.title = 'four', true)`)
	h.publish(record.Problems{wrong})
	soon(t, ctx, `document.title === '(1 error) four'`)
}
