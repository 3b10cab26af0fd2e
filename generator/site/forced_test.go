package site

import (
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// coloured lists what is drawn in a colour of the theme: chromatic fills and strokes of
// drawings that are seen. What a reader has chosen for text and ground is black, white or
// grey in the browser's emulation; only links and highlights have a hue.
const coloured = `[...new Set([...document.querySelectorAll('svg, svg *')].filter((e) => !e.closest('.chart-plot, [disabled]') && e.getClientRects().length).flatMap((e) => {
  const style = getComputedStyle(e), hue = (c) => { const n = c.match(/[\d.]+/g)?.slice(0, 3).map(Number); return n && /^rgb/.test(c) && Math.max(...n) - Math.min(...n) > 20; };
  return ['fill', 'stroke'].filter((p) => style[p] !== 'none' && hue(style[p])).map((p) => e.nodeName + '.' + (e.getAttribute('class') ?? '') + ' in ' + (e.closest(':not(svg, svg *)')?.className ?? '') + ': ' + p + ' ' + style[p]);
}))].slice(0, 5)`

// Where the reader has chosen the colours ("forced colors", CSS Color Adjustment 1), drawings
// take them: marks, claim lines, charts, ranks.
func TestDrawingsTakeForcedColours(t *testing.T) {
	s, dir := published(t)
	ctx := inBrowser(t)
	forced := func(value string) {
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "forced-colors", Value: value}, {Name: "prefers-color-scheme", Value: "dark"}},
		}); err != nil {
			t.Fatal(err)
		}
	}
	a, b, at := comparablePair(t, s)
	unit := "units/" + a.Slug + "/"
	for _, page := range []string{"index.html", "loads/4-ohm/index.html", "makers/" + makerSlug(a.Record.Unit.Maker) + "/index.html", unit + "index.html", unit + "embed/power-by-load/index.html", "methodology/index.html", besideHref("", &at, a.Slug, b.Slug)} {
		forced("active")
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 844), chromedp.Navigate("file://"+dir+"/"+page)); err != nil {
			t.Fatal(err)
		}
		if page[:2] == "co" {
			js[string](t, ctx, besideReady)
		}
		if !js[bool](t, ctx, `matchMedia('(forced-colors: active)').matches`) {
			t.Fatal("the browser doesn't force colours")
		}
		for _, what := range js[[]string](t, ctx, coloured) {
			t.Errorf("%s: %s", page, what)
		}
		forced("none")
		if own := js[[]string](t, ctx, coloured); len(own) == 0 {
			t.Errorf("%s has nothing drawn in a colour of the theme, so the check sees nothing", page)
		}
	}
}
