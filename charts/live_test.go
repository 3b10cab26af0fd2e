package charts

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"wattsheet/generator/sheet"
	"wattsheet/themes"
)

// browser starts Chromium, or skips.
func browser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("another program: left out in short runs")
	}
	path, err := exec.LookPath("chromium")
	if err != nil {
		missing(t, "chromium is not installed: live charts were not tried (Debian: apt-get install chromium)")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.ExecPath(path),
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true))
	allocator, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocator)
	t.Cleanup(cancel)
	limited, done := context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(done)
	return limited
}

// missing skips a test for want of a tool, but not on a machine that checks changes.
func missing(t *testing.T, why string) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatal(why)
	}
	t.Skip(why)
}

// A liveChart is what chart.js reads.
type liveChart struct {
	Title, Place string
	Series       []struct {
		Label, Colour, Path string
		Look                int
		Dash                []int
		Bridged             bool
	}
	Points []struct {
		Series int // -1 for a claim
		Text   map[string]string
		Lines  []string
	}
	Curves []int
	Bands  [][4]float64
	Option map[string]any
	Views  []struct {
		ID, About  string
		Axis       struct{ Min, Max, Interval json.Number }
		Ticks      []json.Number
		Y          [][]json.Number
		Curves     [][][2]json.Number
		Rules      []json.Number
		Wide, Tall struct {
			Size   [2]float64
			Grid   [4]float64
			Ends   [2]json.Number
			Ticks  [][2]any
			X      []json.Number
			Widths []float64
			Labels []struct {
				Series int
				X, Y   json.Number
				Text   string
				Light  bool
			}
			Legend []struct {
				Series int
				X, Y   float64
				Text   string
				More   bool
			}
		}
	}
}

// page writes a page with the chart of power by load of a sheet.
func page(t *testing.T, s *sheet.Sheet) (string, *Chart) {
	t.Helper()
	c := PowerByLoad(s)
	return pageOf(t, c), c
}

// pageOf writes a page with charts as the theme's pages give them, with a strict
// policy, and returns its address.
func pageOf(t *testing.T, all ...*Chart) string {
	t.Helper()
	bundle, _, err := themes.Bundle()
	if errors.Is(err, themes.ErrNoBundle) {
		missing(t, "live charts were not tried: "+err.Error())
	}
	folder := t.TempDir()
	text := `<!doctype html><html lang="en" data-echarts="echarts.js"><head><meta charset="utf-8"><title>test</title>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'; style-src 'self'">
<link rel="stylesheet" href="style.css"><link rel="stylesheet" href="chart.css"><script defer src="chart.js"></script></head>
<body><main>`
	for _, c := range all {
		text += `<figure class="chart" id="chart-` + c.ID + `" data-chart><figcaption>` + html.EscapeString(c.Title) + `</figcaption>
<div class="chart-box">` + c.Wide + c.Tall + `</div><script type="application/json" class="chart-live">` + string(c.Live) + `</script>
</figure>`
	}
	text += `</main></body></html>`
	theme := func(name string) []byte {
		data, err := fs.ReadFile(themes.Default(), name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	for name, data := range map[string][]byte{
		"index.html": []byte(text), "echarts.js": bundle, "chart.js": theme("script/chart.js"),
		"chart.css": theme("chart.css"), "style.css": theme("style.css"),
	} {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return "file://" + filepath.Join(folder, "index.html")
}

// evaluate runs a script on the page and returns what it gives.
func evaluate[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%v, in %s", err, script)
	}
	return v
}

// A console holds what pages wrote to the browser's console.
type console struct {
	mutex sync.Mutex
	lines []string
}

// listen collects complaints from now on.
func listen(ctx context.Context) *console {
	c, messages := &console{}, chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			c.mutex.Lock()
			c.lines = append(c.lines, fmt.Sprint(m.Type, ": ", m.Text))
			c.mutex.Unlock()
		}
	}()
	return c
}

// String is everything collected, and empties the console.
func (c *console) String() string {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	all := strings.Join(c.lines, "\n")
	c.lines = nil
	return all
}

const ready = `new Promise((done, failed) => { const wait = (n) => {
  const state = document.querySelector('figure.chart').dataset.live;
  if (state || n > 100) done(state || 'never'); else setTimeout(wait, 50, n + 1); }; wait(0); })`

// walk presses the right arrow from point to point and lists what is said.
const walk = `(() => { const plot = document.querySelector('.chart-plot'), said = document.querySelector('.chart-say'), all = [];
  const press = (key) => plot.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
  press('Escape');
  for (let last = ''; ; last = said.textContent) { press('ArrowRight'); if (said.textContent === last) break; all.push(said.textContent); }
  press('Escape'); return all; })()`

// The live chart draws what ECharts accepts, speaks every row of the table in its
// order, and takes no more room than the still.
func TestLiveChart(t *testing.T) {
	ctx := browser(t)
	complaints := listen(ctx)
	for _, s := range append(demo(t), random(3), random(8)) {
		address, c := page(t, s)
		for _, width := range []int64{1280, 390} {
			err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 1400), chromedp.Navigate(address))
			if err != nil {
				t.Fatal(err)
			}
			if state := evaluate[string](t, ctx, ready); state != "ready" {
				t.Fatalf("%s, %d px: the chart is %s\n%s", s.Slug, width, state, complaints)
			}
			said := evaluate[[]string](t, ctx, walk)
			if len(said) != len(c.Table.Rows) {
				t.Errorf("%s, %d px: %d points reached by key, %d rows", s.Slug, width, len(said), len(c.Table.Rows))
				continue
			}
			for i, row := range c.Table.Rows {
				for _, text := range []string{row[5].Text, row[6].Text, row[2].Text} {
					if !strings.Contains(said[i], text) {
						t.Errorf("%s: point %d says %q, not %q", s.Slug, i+1, said[i], text)
					}
				}
			}
			sameRoom(t, ctx, s.Slug, width)
			if text := complaints.String(); text != "" {
				t.Errorf("%s, %d px: %s", s.Slug, width, text)
			}
		}
	}
}

// sameRoom checks that the live drawing is as high as the still was, and that its
// marks lie where the still's do.
func sameRoom(t *testing.T, ctx context.Context, slug string, width int64) {
	t.Helper()
	heights := evaluate[[]float64](t, ctx, `(() => { const figure = document.querySelector('figure.chart');
  const live = document.querySelector('.chart-plot').getBoundingClientRect().height;
  figure.dataset.live = ''; document.querySelector('.chart-plot').hidden = true;
  const still = [...document.querySelectorAll('.still')].map((s) => s.getBoundingClientRect().height).find((h) => h > 0);
  figure.dataset.live = 'ready'; document.querySelector('.chart-plot').hidden = false;
  return [live, still]; })()`)
	if d := heights[0] - heights[1]; d > 1 || d < -1 {
		t.Errorf("%s, %d px: live is %v px high, the still %v", slug, width, heights[0], heights[1])
	}
}

func TestLiveControls(t *testing.T) {
	ctx := browser(t)
	s := demo(t)[0]
	address, c := page(t, s)
	complaints := listen(ctx)
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 1400), chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
	evaluate[string](t, ctx, ready)
	small := evaluate[int](t, ctx, `[...document.querySelectorAll('.chart-button')].filter((b) => { const r = b.getBoundingClientRect(); return r.width < 24 || r.height < 24 || b.disabled; }).length`)
	if small > 0 {
		t.Errorf("%d buttons are smaller than 24 px (WCAG 2.2, 2.5.8) or can't be pressed", small)
	}
	click := func(selector string) { evaluate[any](t, ctx, `document.querySelector('`+selector+`').click()`) }
	points := 0
	for _, row := range c.Table.Rows {
		if row[3].Href[:5] == "#run-" {
			points++
		}
	}
	click(".chart-claims")
	if said := evaluate[[]string](t, ctx, walk); len(said) != points {
		t.Errorf("without claims %d points are reached, want %d", len(said), points)
	}
	click(".chart-scales button:nth-child(2)")
	for i, text := range evaluate[[]string](t, ctx, walk) {
		if row := c.Table.Rows[i]; !strings.Contains(text, row[8].Text+" dBW") || !strings.Contains(text, row[5].Text) {
			t.Errorf("point %d in dBW says %q; listed %s dBW, %s W", i+1, text, row[8].Text, row[5].Text)
		}
	}
	click(".chart-scales button:nth-child(3)")
	for i, text := range evaluate[[]string](t, ctx, walk) {
		if row := c.Table.Rows[i]; !strings.Contains(text, row[9].Text) || !strings.Contains(text, row[10].Text) {
			t.Errorf("point %d in volts says %q; listed %s ± %s V", i+1, text, row[9].Text, row[10].Text)
		}
	}
	click(".chart-parts button:nth-child(1)")
	if said := evaluate[[]string](t, ctx, walk); len(said) >= points {
		t.Error("a series that is switched off is still reached")
	}
	if text := complaints.String(); text != "" {
		t.Error(text)
	}
}

// Pointing at marks shows their figures, leaving and Escape hide them, and the
// policy on style holds meanwhile.
func TestLiveTip(t *testing.T) {
	ctx := browser(t)
	address, c := page(t, demo(t)[0])
	complaints := listen(ctx)
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 1400), chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
	evaluate[string](t, ctx, ready)
	// The still says where the first point is; the live drawing has the same size.
	at := evaluate[[]float64](t, ctx, `(() => { const plot = document.querySelector('.chart-plot').getBoundingClientRect();
  const still = document.querySelector('.still-wide'), box = still.viewBox.baseVal, s = plot.width / box.width;
  const first = still.querySelector('.still-marks > [data-n^="0"] > circle');
  return [plot.x + s * first.getAttribute('cx'), plot.y + s * first.getAttribute('cy')]; })()`)
	tip := func() string {
		return evaluate[string](t, ctx, `new Promise((done) => setTimeout(() => { const tip = document.querySelector('.chart-tip');
  done(!tip || getComputedStyle(tip).visibility === 'hidden' || getComputedStyle(tip).display === 'none' || getComputedStyle(tip).opacity === '0' ? '' : tip.textContent); }, 500))`)
	}
	for _, d := range []float64{60, 0, 1} {
		if err := chromedp.Do(ctx, chromedp.MouseEvent("mouseMoved", at[0]+d, at[1])); err != nil {
			t.Fatal(err)
		}
	}
	if text := tip(); !strings.Contains(text, c.Table.Rows[0][5].Text) || !strings.Contains(text, "run "+c.Table.Rows[0][3].Text) {
		t.Errorf("pointing at the first mark shows %q", text)
	}
	evaluate[any](t, ctx, `document.querySelector('.chart-plot').dispatchEvent(new KeyboardEvent('keydown', { key: 'Escape' }))`)
	if text := tip(); text != "" {
		t.Errorf("after Escape there is still %q", text)
	}
	tap(t, ctx, at[0], at[1])
	if text := tip(); !strings.Contains(text, c.Table.Rows[0][5].Text) {
		t.Errorf("tapping the first mark shows %q", text)
	}
	tap(t, ctx, at[0], at[1]-60)
	if text := tip(); text != "" {
		t.Errorf("after tapping beside it there is still %q", text)
	}
	if text := complaints.String(); text != "" {
		t.Error(text)
	}
	// That the policy is in force, and complaints are heard, is tried too.
	evaluate[any](t, ctx, `document.body.setAttribute('style', 'color: red')`)
	if tip(); complaints.String() == "" {
		t.Error("a style attribute raised no complaint: the policy was not tried")
	}
}

// tap touches the screen at a place, once.
func tap(t *testing.T, ctx context.Context, x, y float64) {
	t.Helper()
	for _, params := range []input.DispatchTouchEventParams{
		{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: []*input.TouchPoint{{X: x, Y: y}}},
		{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}},
	} {
		if err := chromedp.Do(ctx, func(ctx context.Context, target *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, target, input.DispatchTouchEvent, params)
			return chromedp.Void{}, err
		}); err != nil {
			t.Fatal(err)
		}
	}
}

// In a browser's own fonts no label of a still reaches a mark, a claim, another
// label or the drawing's edge.
func TestStillLabelsInABrowser(t *testing.T) {
	ctx := browser(t)
	for _, s := range append(demo(t), random(3), random(8), random(21)) {
		address, _ := page(t, s)
		for _, width := range []int64{1280, 360} {
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 1400), chromedp.Navigate(address)); err != nil {
				t.Fatal(err)
			}
			found := evaluate[[]string](t, ctx, `(() => { document.querySelector('figure.chart').dataset.live = '';
  const still = [...document.querySelectorAll('.still')].find((s) => s.getBoundingClientRect().height > 0);
  const edge = still.getBoundingClientRect(), bad = [];
  const texts = [...still.querySelectorAll('text')], solid = [...still.querySelectorAll('.still-marks > g > :not(.still-upright, .still-rings), .still-claim > *')];
  const meet = (a, b) => a.left < b.right && b.left < a.right && a.top + 2 < b.bottom && b.top < a.bottom - 2;
  texts.forEach((text, i) => { const a = text.getBoundingClientRect();
    const size = parseFloat(getComputedStyle(text).fontSize) * edge.width / still.viewBox.baseVal.width;
    if (size < 12) bad.push(text.textContent + ' is ' + size + ' px');
    if (a.left < edge.left - 1 || a.right > edge.right + 1 || a.top < edge.top - 1 || a.bottom > edge.bottom + 2) bad.push(text.textContent + ' leaves the drawing');
    for (const other of [...solid, ...texts.slice(0, i)]) if (meet(a, other.getBoundingClientRect())) bad.push(text.textContent + ' meets ' + (other.textContent || other.outerHTML)); });
  return bad; })()`)
			for _, text := range found {
				t.Errorf("%s, %d px: %s", s.Slug, width, text)
			}
		}
	}
}

func TestLiveDataIsSmallAndWhole(t *testing.T) {
	for _, c := range everyChart(t) {
		var l liveChart
		if err := json.Unmarshal(c.Live, &l); err != nil {
			t.Fatal(err)
		}
		for _, v := range l.Views {
			if len(v.Y) != len(l.Points) || len(v.Wide.X) != len(l.Points) || len(v.Tall.X) != len(l.Points) {
				t.Errorf("%s: view %s does not give a place to each point", c.ID, v.ID)
			}
			for n, y := range v.Y {
				if (y != nil) != (l.Points[n].Text[v.ID] != "") {
					t.Errorf("%s: point %d in %s: place and text don't agree", c.ID, n, v.ID)
				}
			}
		}
		if per := len(c.Live) / len(l.Points); len(l.Points) > 20 && per > 1200 {
			t.Errorf("%s: %d bytes a point", c.ID, per)
		}
	}
}
