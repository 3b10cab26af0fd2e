package site

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// settled waits until the list says what was asked for: how many, and in which order.
const settled = `(async () => { for (let n = 0; n < 200; n++) { await new Promise((d) => setTimeout(d, 25));
  const said = document.querySelector('.found').textContent; if (!said.startsWith('Fetching') && !document.querySelector('.waiting') && (!%q || said.includes(%q))) return said; }
  return 'never: ' + document.querySelector('.found').textContent; })()`

// back goes back, and waits until it is where that leads.
const back = `(async () => { await new Promise((d) => setTimeout(d, 50)); history.back();
  for (let n = 0; n < 200; n++) { await new Promise((d) => setTimeout(d, 25)); if (%s) return []; } return ['not back: ' + location.hash]; })()`

// A reader finds units: by words, verdict, load, power and price, in another order; the
// address keeps what was asked for, from a disk too; the way back leads where one was; a
// row that a script draws is the row that the page has; and without script there is the
// whole list.
func TestFindingUnits(t *testing.T) {
	units := manyBriefs(t, 130)
	out := listsOf(t, units)
	dir := t.TempDir()
	for path, data := range out {
		put(t, dir, path, string(data))
	}
	ctx := inBrowser(t)
	console := listen(ctx)
	f := &finding{t, ctx, "file://" + dir + "/index.html"}
	f.open("", 390)
	if moved := js[[]string](t, ctx, `(`+watchShifts+`, `+shifts+`)`); len(moved) > 0 {
		t.Errorf("the page moves by itself: %q", moved)
	}
	if loaded := js[bool](t, ctx, `!!window.wattsheet.list`); loaded {
		t.Error("the index is loaded though nobody asked for it")
	}

	// The order of names shows all units, row by row as they were.
	f.choose("sort", "name")
	f.says("130"+nbsp+"units, by name.", "by name")
	if n := js[int](t, ctx, `document.querySelectorAll('.unit').length`); n != unitsInFront {
		t.Errorf("%d rows are shown at once", n)
	}
	js[bool](t, ctx, `(document.getElementById('more').click(), document.getElementById('more').click(), true)`)
	if said := js[string](t, ctx, `document.getElementById('more').hidden + ' ' + document.querySelectorAll('.unit').length + ' ' + document.activeElement.closest('.unit').id`); !strings.HasPrefix(said, "true 130 unit-") {
		t.Errorf("after more twice: %s", said)
	}
	unlike := js[[]string](t, ctx, fmt.Sprintf(back, `location.hash === '' && document.querySelectorAll('.unit').length === 50`))
	if len(unlike) > 0 {
		t.Error(unlike)
	}
	f.open("#sort=name", 390)
	f.says("130"+nbsp+"units, by name.", "by name")
	js[bool](t, ctx, `(document.getElementById('more').click(), document.getElementById('more').click(), true)`)
	f.same(dir, out)

	// Words, verdict, load, power, price: the counts are those of the briefs.
	f.open("", 390)
	f.choose("verdict", "short")
	f.says(f.count(units, func(b *brief) bool { return b.Leading != nil && b.Leading.Verdict == "short" })+", newest test first.", "of")
	f.choose("load", "2")
	at2 := func(b *brief) bool {
		return slices.ContainsFunc(b.Row.List.Points, func(p listedPoint) bool { return p.signed() == 2 })
	}
	both := func(b *brief) bool { return at2(b) && b.Leading != nil && b.Leading.Verdict == "short" }
	f.says(f.count(units, both)+", newest test first.", "")
	if here := js[string](t, ctx, `document.getElementById('here').textContent`); here != "Power and efficiency are those at 2"+nbsp+"Ω, at 1 % THD+N." {
		t.Errorf("at a load it says %q", here)
	}
	f.choose("price", "300")
	cheap := func(b *brief) bool { l := b.Row.List; return both(b) && l.Price != "" && l.PriceIs <= 300 }
	f.choose("sort", "power")
	f.says(f.count(units, cheap)+", most power first.", "most power")
	if powers := js[[]float64](t, ctx, `[...document.querySelectorAll('.unit-facts dd:first-of-type')].filter((d, i) => i % 4 === 0).map((d) => parseFloat(d.textContent.slice(1)) || 0)`); !slices.IsSortedFunc(powers, func(a, b float64) int { return int(b - a) }) {
		t.Errorf("not in the order of power: %v", powers)
	}
	if hash := js[string](t, ctx, `location.hash`); hash != "#load=2&price=300&verdict=short&sort=power" {
		t.Errorf("the address keeps %s", hash)
	}
	if chosen := js[[]string](t, ctx, `[...document.querySelectorAll('.chosen button')].map((b) => b.textContent)`); len(chosen) != 4 {
		t.Errorf("what is chosen: %q", chosen)
	}
	// A link with a state shows the same; a unit and back, too.
	before := js[string](t, ctx, `document.querySelector('.units').innerHTML`)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	f.open("#load=2&price=300&verdict=short&sort=power", 390)
	f.says(f.count(units, cheap), "most power")
	if js[string](t, ctx, `document.querySelector('.units').innerHTML`) != before {
		t.Error("a link with a state shows something else")
	}
	if moved := js[[]string](t, ctx, `(`+watchShifts+`, `+shifts+`)`); len(moved) > 0 {
		t.Errorf("a link with a state moves things: %q", moved)
	}
	js[bool](t, ctx, `(document.querySelector('.chosen button').click(), true)`)
	if unlike := js[[]string](t, ctx, fmt.Sprintf(back, `location.hash === '#load=2&price=300&verdict=short&sort=power'`)); len(unlike) > 0 {
		t.Error(unlike)
	}
	f.says(f.count(units, cheap), "most power")

	// What fits nothing says what to leave out, and one tap clears all.
	js[bool](t, ctx, `(document.getElementById('find-q').value = 'nobody makes this', document.getElementById('find-q').dispatchEvent(new Event('input', { bubbles: true })), true)`)
	f.says("0 of 130"+nbsp+"units", "0 of")
	if ways := js[string](t, ctx, `document.querySelector('.none').textContent`); !strings.Contains(ways, "Leave out “nobody makes this”: ") {
		t.Errorf("nothing fits, and it says %q", ways)
	}
	js[bool](t, ctx, `([...document.querySelectorAll('.none button')].at(-1).click(), true)`)
	f.says("130"+nbsp+"units, most power first.", "130")
	if said := console.take(); len(said) > 0 {
		t.Errorf("the console says %q", said)
	}
	f.open("#load=2&price=300&verdict=short&sort=power", 390)
	f.says(f.count(units, cheap), "most power")
	f.accessible("a filtered list")
	f.open("#load=two&sort=name", 390) // no load, so it isn't asked for
	f.says("130"+nbsp+"units, by name.", "by name")
	f.open("#q=nobody&load=2", 390)
	f.says("0 of 130"+nbsp+"units", "0 of")
	f.accessible("a list that nothing fits")
	longList(t, dir)
	older := &finding{t, ctx, "file://" + dir + "/long/list/2/index.html"}
	older.open("", 320)
	older.accessible("an older page")
	f.missing(dir)
}

// accessible asks axe-core about the page as it is, with all unfolded, on the narrowest
// phone in both schemes.
func (f *finding) accessible(what string) {
	f.t.Helper()
	script, err := os.ReadFile(tool(f.t, "axe-core/axe.min.js"))
	if err != nil {
		f.t.Fatal(err)
	}
	if err := chromedp.Do(f.ctx, chromedp.EmulateViewport(320, 844)); err != nil {
		f.t.Fatal(err)
	}
	fold(f.t, f.ctx, true)
	if wide := js[int](f.t, f.ctx, `document.documentElement.scrollWidth`); wide > 320 {
		f.t.Errorf("%s is %d px wide on a screen of 320", what, wide)
	}
	if small := js[[]string](f.t, f.ctx, `[...document.querySelectorAll('main button, main select, main input, main summary, main label.pick')].filter((e) => e.checkVisibility() && e.type !== 'checkbox' && e.getBoundingClientRect().height < 44).map((e) => e.outerHTML)`); len(small) > 0 {
		f.t.Errorf("%s has controls lower than 44 px: %q", what, small)
	}
	js[bool](f.t, f.ctx, string(script)+"\n;true")
	for _, scheme := range []string{"light", "dark"} {
		if _, err := chromedp.Call(f.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
		}); err != nil {
			f.t.Fatal(err)
		}
		said := js[found](f.t, f.ctx, fmt.Sprintf(askAxe, map[string]string{"light": allRules, "dark": colourRules}[scheme]))
		for _, wrong := range append(said.Wrong, unseen(said.Open)...) {
			f.t.Errorf("%s, %s: %s", what, scheme, wrong)
		}
	}
	if err := chromedp.Do(f.ctx, chromedp.EmulateViewport(390, 844)); err != nil {
		f.t.Fatal(err)
	}
}

// longList puts a list of two pages into a folder.
func longList(t *testing.T, dir string) {
	t.Helper()
	for path, data := range listsOf(t, manyBriefs(t, unitsInFront+1)) {
		if strings.HasSuffix(path, ".html") || strings.HasSuffix(path, ".css") {
			put(t, dir, "long/"+path, string(data))
		}
	}
}

// A finding is one walk.
type finding struct {
	t    *testing.T
	ctx  context.Context
	page string
}

func (f *finding) open(hash string, width int64) {
	f.t.Helper()
	err := chromedp.Do(f.ctx, chromedp.Navigate("about:blank"))
	if err == nil {
		err = chromedp.Do(f.ctx, chromedp.EmulateViewport(width, 844), chromedp.Navigate(f.page+hash))
	}
	if err != nil {
		f.t.Fatal(err)
	}
}

// choose sets a control as a reader does.
func (f *finding) choose(name, value string) {
	f.t.Helper()
	js[bool](f.t, f.ctx, `((name, value) => { const box = name === 'verdict' && document.querySelector('#find [value=' + value + ']');
  const one = box || document.getElementById('find-' + name); if (box) box.checked = true; else one.value = value;
  one.dispatchEvent(new Event('change', { bubbles: true })); return true; })(`+jsText(name)+`, `+quoted(value)+`)`)
}

// says waits for a part of what the list says, and compares it.
func (f *finding) says(want, part string) {
	f.t.Helper()
	if said := js[string](f.t, f.ctx, strings.ReplaceAll(settled, "%q", jsText(part))); !strings.HasPrefix(said, want) {
		f.t.Errorf("it says %q, want %q", said, want)
	}
}

func jsText(text string) string { return string(asJSON(text)) }

// count is how many units fit, as the list says it.
func (f *finding) count(units []*brief, fits func(*brief) bool) string {
	n := 0
	for _, of := range units {
		if fits(of) {
			n++
		}
	}
	if n == 0 || n == len(units) {
		f.t.Errorf("%d of %d fit: nothing is tried", n, len(units))
	}
	return thousands(n) + " of " + inNumber(len(units), "unit")
}

// same compares each row that the script has drawn with the one in the pages.
func (f *finding) same(dir string, out map[string][]byte) {
	f.t.Helper()
	rows := map[string]string{}
	for path, page := range out {
		if !strings.HasSuffix(path, "index.html") {
			continue
		}
		_, list, _ := strings.Cut(string(page), `<ol class="units">`)
		list, _, _ = strings.Cut(list, "</ol>")
		for _, row := range strings.Split(strings.TrimSpace(list), "\n") {
			row = strings.ReplaceAll(row, `href="../../`, `href="`)
			id, _, _ := strings.Cut(strings.TrimPrefix(row, `<li class="unit" id="`), `"`)
			rows[id] = row
		}
	}
	odd := js[[]string](f.t, f.ctx, `((rows) => { const odd = []; const drawn = document.querySelectorAll('.unit'); if (drawn.length !== Object.keys(rows).length) odd.push(drawn.length + ' rows');
  for (const row of drawn) { const box = document.createElement('ol'); box.innerHTML = rows[row.id]; if (box.innerHTML !== row.outerHTML) odd.push(box.innerHTML + '\n\n' + row.outerHTML); } return odd; })(`+string(asJSON(rows))+`)`)
	if len(odd) > 0 {
		f.t.Errorf("%d rows are not as the pages have them: %s", len(odd), odd[0])
	}
}

// missing takes the index away: the list that the page has stays.
func (f *finding) missing(dir string) {
	f.t.Helper()
	if err := os.RemoveAll(filepath.Join(dir, dataFolder)); err != nil {
		f.t.Fatal(err)
	}
	f.open("#sort=name", 390)
	f.says("The list could not be fetched.", "could not")
	if n := js[int](f.t, f.ctx, `[...document.querySelectorAll('.unit')].filter((u) => u.checkVisibility({ visibilityProperty: true })).length`); n != unitsInFront {
		f.t.Errorf("without the index %d rows are seen", n)
	}
}
