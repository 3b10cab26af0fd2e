package charts

import (
	"context"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// Every chart on a page becomes live, and each speaks its own table's rows.
func TestEveryChartOfAPageIsLive(t *testing.T) {
	ctx := browser(t)
	complaints := listen(ctx)
	all := append(All(more(1)), CheckUnit(checkOf(7, 2)))
	if len(all) != 8 {
		t.Fatalf("%d charts, want all 8", len(all))
	}
	address := pageOf(t, all...)
	for _, width := range []int64{1280, 390} {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 1400), chromedp.Navigate(address)); err != nil {
			t.Fatal(err)
		}
		for _, c := range all {
			id := "chart-" + c.ID
			said := evaluate[[]string](t, ctx, liveOf(id))
			if len(said) != len(c.Table.Rows) {
				t.Errorf("%s, %d px: %d points reached by key, %d rows: %q", c.ID, width, len(said), len(c.Table.Rows), said)
				continue
			}
			up, run := c.Table.column(tableColumns[c.ID][1]), c.Table.column("Run")
			for i, row := range c.Table.Rows {
				if !strings.Contains(said[i], row[up].Text) || run >= 0 && row[run].Href != "" && strings.HasPrefix(row[run].Href, "#run") && !strings.Contains(said[i], row[run].Text) {
					t.Errorf("%s, %d px: point %d says %q, its row is %v", c.ID, width, i+1, said[i], row)
				}
			}
			sameMarks(t, ctx, id, width)
		}
		if text := complaints.String(); text != "" {
			t.Errorf("%d px: %s", width, text)
		}
	}
}

// liveOf waits until one figure is live and lists what its points say.
func liveOf(id string) string {
	return `new Promise((done) => { const figure = document.getElementById('` + id + `'); figure.scrollIntoView();
  const wait = (n) => { if (figure.dataset.live !== 'ready') { if (n > 100) done([figure.dataset.live || 'never']); else setTimeout(wait, 50, n + 1); return; }
    const plot = figure.querySelector('.chart-plot'), said = figure.querySelector('.chart-say'), all = [];
    const press = (key) => plot.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
    for (let last = ''; ; last = said.textContent) { press('ArrowRight'); if (said.textContent === last) break; all.push(said.textContent); }
    press('Escape'); done(all); }; wait(0); })`
}

// sameMarks compares where the marks and the texts of the axes lie in the live
// drawing and in the still: each of the still's has one of the live ones within two
// pixels, texts within six. ECharts takes bold titles of axes to be narrower than they
// are, so that they stand up to twenty further right.
func sameMarks(t *testing.T, ctx context.Context, id string, width int64) {
	t.Helper()
	for _, text := range evaluate[[]string](t, ctx, `(() => { const figure = document.getElementById('`+id+`'), bad = [];
  const plot = figure.querySelector('.chart-plot'), middle = (e) => { const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; };
  const origin = plot.getBoundingClientRect();
  const places = (elements, o) => elements.map((e) => [...middle(e), e]).map(([x, y, e]) => [x - o.x, y - o.y, e]);
  const live = places([...plot.querySelectorAll('svg path, svg rect')], origin), words = places([...plot.querySelectorAll('svg text, svg tspan')], origin);
  figure.dataset.live = ''; plot.hidden = true;
  const still = [...figure.querySelectorAll('.still')].find((s) => s.getBoundingClientRect().height > 0), to = still.getBoundingClientRect();
  const near = (list, [x, y], far) => list.some((l) => Math.abs(l[0] - x) < far && Math.abs(l[1] - y) < far);
  for (const mark of places([...still.querySelectorAll('.still-marks > g > :not(.still-upright, .still-rings)')], to)) if (!near(live, mark, 2)) bad.push('a mark of the still at ' + mark.slice(0, 2) + ' is not in the live drawing');
  for (const mark of places([...still.querySelectorAll('.still-legend path')], to)) if (!near(live, mark, 2)) bad.push('a swatch of the still at ' + mark.slice(0, 2) + ' is not in the live drawing');
  for (const text of places([...still.querySelectorAll('text')], to)) {
    const same = words.filter((w) => w[2].textContent === text[2].textContent);
    if (!near(same, text, text[2].getAttribute('font-weight') === '600' ? 20 : 6)) bad.push('text ' + text[2].textContent + ' at ' + text.slice(0, 2) + ', live at ' + same.map((w) => w.slice(0, 2)));
  }
  figure.dataset.live = 'ready'; plot.hidden = false; return bad; })()`) {
		t.Errorf("%s, %d px: %s", id, width, text)
	}
}
