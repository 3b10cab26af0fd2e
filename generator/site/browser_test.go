package site

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"
)

// js runs a script on the page.
func js[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%v, in %s", err, script)
	}
	return v
}

// hosted serves a folder as static hosts do: with its page for what isn't there, though not
// with that status, of which a browser would complain.
func hosted(t *testing.T, dir string) http.Handler {
	t.Helper()
	missing, err := os.ReadFile(filepath.Join(dir, missingName))
	if err != nil {
		t.Fatal(err)
	}
	files := http.FileServer(http.Dir(dir))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/nowhere/") {
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			_, _ = w.Write(missing)
			return
		}
		files.ServeHTTP(w, r)
	})
}

// htmlPages lists the pages below a folder, but for the one that only hosts show; of the
// pages for frames, which are alike, those of one unit.
func htmlPages(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	frames := 0
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && d.IsDir() && d.Name() == embedName {
			if frames++; frames > 1 {
				return filepath.SkipDir
			}
		}
		if err == nil && strings.HasSuffix(path, ".html") && d.Name() != missingName {
			rel, _ := filepath.Rel(dir, path)
			out = append(out, filepath.ToSlash(rel))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A console is what pages complain of: messages, exceptions, blocked requests.
type console struct {
	lock sync.Mutex
	said []string
}

func listen(ctx context.Context) *console {
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

// take returns what was said since it was last taken; a message takes a moment to
// come.
func (c *console) take() []string {
	time.Sleep(50 * time.Millisecond)
	c.lock.Lock()
	defer c.lock.Unlock()
	said := c.said
	c.said = nil
	return said
}

// live scrolls to every chart and waits until it is drawn.
const live = `(async () => { for (const f of document.querySelectorAll('figure.chart[data-chart]')) { f.scrollIntoView();
  for (let n = 0; n < 200 && f.dataset.live !== 'ready'; n++) await new Promise((d) => setTimeout(d, 25));
  if (f.dataset.live !== 'ready') return f.id + ' is not drawn'; } return ''; })()`

// Each page as readers meet it, on a desk from a server and on the narrowest phone from the disk: no request leaves it,
// nothing is blocked by its policy, the console stays silent, nothing but table boxes scrolls sideways, and no text of a
// drawing, which is as wide as its place, is smaller than 12 px. On a unit's
// page and that of its captures nothing moves by itself while it loads and its charts go live, and at each point the live
// chart's text, the table and sheet.json say the same.
func TestPagesKeepToThemselves(t *testing.T) {
	t.Parallel() // beside others that wait for other programs
	_, dir := published(t)
	server := httptest.NewServer(hosted(t, dir))
	defer server.Close()
	ctx := inBrowser(t)
	console := listen(ctx)
	units := 0
	for _, way := range []struct {
		base  string
		width int64
	}{{server.URL, 1280}, {"file://" + dir, 320}} {
		pages := htmlPages(t, dir)
		if way.base == server.URL {
			pages = append(pages, missingName, "nowhere/to/be/found/")
		}
		for _, page := range pages {
			at, width := way.base+"/"+page, way.width
			if isEmbed(page) && width == 320 {
				width = 300 // the narrowest frame
			}
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate(at)); err != nil {
				t.Fatal(err)
			}
			for _, small := range js[[]string](t, ctx, smallTexts) {
				t.Errorf("%s at %d px: %s", at, width, small)
			}
			js[bool](t, ctx, watchShifts)
			if undrawn := js[string](t, ctx, live); undrawn != "" {
				t.Errorf("%s: %s", at, undrawn)
			}
			folder, file := path.Split(page)
			ofUnit := strings.HasPrefix(page, "units/") && file == "index.html" && strings.Count(page, "/") == 2
			// Others have tables that are painted while they are read, and whose columns are as wide as what was read of them.
			ofList := page == "index.html" || strings.HasPrefix(page, "loads/") || strings.HasPrefix(page, "list/")
			if ofUnit || ofList || path.Base(folder) == capturesName {
				for _, moved := range js[[]string](t, ctx, shifts) {
					t.Errorf("%s, %d px: shifted by %s", at, width, moved)
				}
			}
			keepsToItself(t, ctx, console, way.base, at)
			if wide := js[float64](t, ctx, `document.documentElement.scrollWidth`); wide > float64(width) {
				t.Errorf("%s is %v px wide at %d px", at, wide, width)
			}
			for _, claim := range js[[]string](t, ctx, quoteUnder) {
				t.Errorf("%s at %d px: the sign for quoting %s lies under its verdict", at, width, claim)
			}
			for _, claim := range js[[]string](t, ctx, correctedUnder) {
				t.Errorf("%s at %d px: what was corrected of %s lies under why, unfolded", at, width, claim)
			}
			if width <= 320 { // wider, rules by width would follow a reader's font and not the page's
				for _, text := range js[[]string](t, ctx, outsideInLarge) {
					t.Errorf("%s at %d px with text twice as large: outside its box is %s", at, width, text)
				}
			}
			if ofUnit && width == 320 {
				for _, claim := range js[[]string](t, ctx, claimsInLarge) {
					t.Errorf("%s with text twice as large: parts of %s cover each other", at, claim)
				}
			}
			if ofUnit && way.base == server.URL {
				units++
				liveChartAgrees(t, ctx, filepath.Join(dir, folder))
			}
		}
	}
	if s, _ := demo(); units != len(s.Sheets) {
		t.Errorf("%d units' pages were looked at", units)
	}
	// The check would see something move.
	js[bool](t, ctx, watchShifts)
	js[bool](t, ctx, `(scrollTo(0, 0), document.body.insertAdjacentHTML('afterbegin', '<p>in<br>the<br>way<br>of<br>all</p>'), true)`)
	if moved := js[[]string](t, ctx, shifts); len(moved) == 0 {
		t.Error("a page that moves passes")
	}
}

// quoteUnder finds verdicts that the sign for quoting lies under.
const quoteUnder = `[...document.querySelectorAll('.claim')].filter((claim) => {
  const [a, b] = ['.quote', '.verdict > *'].map((of) => claim.querySelector(of)?.getBoundingClientRect());
  return a && b && a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom; }).map((claim) => claim.id)`

// correctedUnder finds claims whose correction lies under what is folded, once it is open.
const correctedUnder = `[...document.querySelectorAll('.claim:has(> .corrected-at)')].filter((claim) => {
  const why = claim.querySelector('.evidence');
  why.open = true;
  const [a, b] = ['.corrected-at', '.evidence-body'].map((of) => claim.querySelector(of).getBoundingClientRect());
  why.open = false;
  return a.top < b.bottom && b.top < a.bottom; }).map((claim) => claim.id)`

// claimsInLarge finds claims of which parts cover each other when the text is twice as large.
const claimsInLarge = `(() => {
  document.documentElement.style.fontSize = '200%';
  const found = [...document.querySelectorAll('.claims .claim')].filter((claim) => {
    const boxes = ['.claim-label a', '.quote', '.figure', '.of', '.evidence > summary', '.verdict > *', '.seen', '.corrected-at']
      .flatMap((of) => [...claim.querySelectorAll(':scope ' + of)]).map((e) => e.getBoundingClientRect()).filter((b) => b.width && b.height);
    return boxes.some((a, i) => boxes.slice(i + 1).some((b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 4 && b.top < a.bottom - 4));
  }).map((claim) => claim.id);
  document.documentElement.style.fontSize = '';
  return found; })()`

// outsideInLarge finds texts that leave the page or the frame around them when the text is twice as large. What
// scrolls sideways in a box of its own is left out.
const outsideInLarge = `(() => {
  document.documentElement.style.fontSize = '200%';
  const all = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), found = [];
  const up = (e, is) => { while (e && !is(getComputedStyle(e))) e = e.parentElement; return e; };
  for (let node; (node = all.nextNode());) {
    const e = node.parentElement;
    if (!node.data.trim() || !e.checkVisibility() || e.closest('svg') || up(e, (s) => s.overflowX !== 'visible')) continue;
    const frame = (up(e, (s) => s.borderLeftWidth !== '0px' && s.borderRightWidth !== '0px' && s.display !== 'inline') ?? document.body).getBoundingClientRect();
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const r of range.getClientRects()) {
      if (r.width > 1 && (r.left < frame.left - 1 || r.right > frame.right + 1 || r.right > innerWidth + 1)) found.push(node.data.trim() + ', by ' + (r.right - frame.right));
    }
  }
  document.documentElement.style.fontSize = '';
  return found; })()`

// smallTexts lists the drawings that are seen whose text is smaller than 12 px.
const smallTexts = `[...document.querySelectorAll('svg.still')].filter((svg) => svg.getClientRects().length).flatMap((svg) => {
  const px = parseFloat(getComputedStyle(svg.querySelector('text')).fontSize) * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  return px < 12 ? [svg.querySelector('title').textContent + ': ' + px + ' px'] : []; })`

// keepsToItself asks what a page requested, and what it complained of.
func keepsToItself(t *testing.T, ctx context.Context, console *console, base, at string) {
	t.Helper()
	for _, asked := range js[[]string](t, ctx, `performance.getEntriesByType('resource').map((e) => e.name)`) {
		if !strings.HasPrefix(asked, base+"/") && !strings.HasPrefix(asked, "data:") {
			t.Errorf("%s asks for %s", at, asked)
		}
	}
	if said := console.take(); len(said) > 0 {
		t.Errorf("%s: %s", at, strings.Join(said, "\n"))
	}
}

// liveChartAgrees goes through a unit's live chart by keys: at each point its text, the table and sheet.json say the same.
func liveChartAgrees(t *testing.T, ctx context.Context, folder string) {
	t.Helper()
	said := js[[]string](t, ctx, `(() => { const plot = document.querySelector('#chart-power-by-load .chart-plot'),
  speaks = document.querySelector('#chart-power-by-load .chart-say'), all = [];
  const press = (key) => plot.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
  press('Escape');
  for (let last = ''; ; last = speaks.textContent) { press('ArrowRight'); if (speaks.textContent === last) break; all.push(speaks.textContent); }
  return all; })()`)
	rows := js[[]string](t, ctx, `[...document.querySelectorAll('#chart-power-by-load .chart-table tbody tr')].map((r) => r.textContent.replace(/\s+/g, ' '))`)
	if len(said) == 0 || len(said) != len(rows) {
		t.Fatalf("%s: %d points, %d rows", folder, len(said), len(rows))
	}
	published := publishedPowers(t, folder)
	for i := range said {
		agree(t, fmt.Sprintf("%s, point %d", folder, i+1), said[i], rows[i], published)
	}
}

// A power is what sheet.json says of one channel of a run.
type power struct{ run, channel, text string }

// publishedPowers reads the powers of a unit's sheet.json.
func publishedPowers(t *testing.T, folder string) []power {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder, "sheet.json"))
	if err != nil {
		t.Fatal(err)
	}
	var sheet struct {
		Runs []struct {
			ID       string
			Channels []struct {
				Channel string
				Power   *struct{ Text string }
			}
		}
	}
	if err := json.Unmarshal(data, &sheet); err != nil {
		t.Fatal(err)
	}
	var out []power
	for _, r := range sheet.Runs {
		for _, c := range r.Channels {
			if c.Power != nil {
				out = append(out, power{r.ID, c.Channel, c.Power.Text})
			}
		}
	}
	return out
}

// agree finds the published figure that a spoken point and its table row are.
func agree(t *testing.T, what, said, row string, powers []power) {
	t.Helper()
	if !strings.Contains(said, "run ") {
		return // a claim's stroke
	}
	for _, p := range powers {
		if !strings.Contains(said, p.text) || !strings.Contains(said, "run "+p.run) {
			continue
		}
		value, u, _ := strings.Cut(strings.TrimPrefix(strings.SplitN(p.text, ")", 2)[0], "("), " ± ")
		if strings.Contains(row, value) && strings.Contains(row, u) && strings.Contains(row, p.run) {
			return
		}
		t.Errorf("%s: spoken %q, the row is %q", what, said, row)
		return
	}
	t.Errorf("%s: no figure of sheet.json is what is spoken: %q", what, said)
}

// Without script every value, uncertainty and verdict of the sheet is in the page.
func TestPagesWithoutScript(t *testing.T) {
	s, dir := published(t)
	for _, sheet := range s.Sheets {
		text := withoutScript(t, filepath.Join(dir, "units", sheet.Slug, "index.html"))
		for _, c := range sheet.Claims {
			for _, want := range []string{c.Word, c.Why} {
				if !strings.Contains(text, oneBlank(want)) {
					t.Errorf("%s: the page doesn't say %q of claim %s", sheet.Slug, want, c.ID)
				}
			}
		}
		for _, r := range sheet.Runs {
			for _, c := range r.Channels {
				if c.Power != nil && (!strings.Contains(text, c.Power.ValueText) || !strings.Contains(text, c.Power.UText)) {
					t.Errorf("%s: the page lacks the power of run %s, channel %s: %s", sheet.Slug, r.ID, c.Name, c.Power.Text)
				}
			}
		}
	}
}

// withoutScript is the text of a page as it stands in the file: no script, and no
// data that only a script reads.
func withoutScript(t *testing.T, path string) string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	root, err := html.Parse(file)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for n := range root.Descendants() {
		if n.Type == html.TextNode && (n.Parent == nil || n.Parent.Data != "script" && n.Parent.Data != "style") {
			b.WriteString(n.Data)
		}
	}
	return oneBlank(b.String())
}

// oneBlank writes every run of blanks, no-break ones too, as one.
func oneBlank(s string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(s, "\u00a0", " ")), " ")
}
