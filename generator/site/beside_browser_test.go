package site

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"wattsheet/generator/sheet"
)

// besideReady tells the headline once the units are beside each other.
const besideReady = `(async () => { for (let n = 0; n < 400; n++) { const head = document.getElementById('beside-head');
  if (head) return head.textContent; await new Promise((d) => setTimeout(d, 25)); } return 'nothing came'; })()`

// Units beside each other, from a disk: by address, by search with the keyboard alone,
// with a slug that isn't there; in the words of the generator, at every width.
func TestUnitsBesideEachOther(t *testing.T) {
	script, err := os.ReadFile(tool(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, dir := published(t)
	a, b, at := comparablePair(t, s)
	want := sheet.Apart(a, b, at).Why
	ctx := inBrowser(t)
	address := "file://" + dir + "/" + besideHref("", &at, a.Slug, b.Slug)
	for _, r := range []struct {
		width  int64
		scheme string
	}{{320, "light"}, {320, "dark"}, {1280, "light"}} {
		visit(t, ctx, "about:blank", r.scheme, r.width)
		visit(t, ctx, address, r.scheme, r.width)
		js[bool](t, ctx, watchShifts)
		if got := js[string](t, ctx, besideReady); got != want {
			t.Errorf("%+v: %q, want %q", r, got, want)
		}
		if moved := js[[]string](t, ctx, shifts); len(moved) > 0 {
			t.Errorf("%+v: shifted by %s", r, strings.Join(moved, "\n"))
		}
		if wide := js[int](t, ctx, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
			t.Errorf("%+v: the page is %d px too wide", r, wide)
		}
		js[bool](t, ctx, string(script)+"\n;true")
		rules := map[string]string{"light": allRules, "dark": colourRules}[r.scheme]
		if said := js[found](t, ctx, fmt.Sprintf(askAxe, rules)); len(said.Wrong)+len(unseen(said.Open)) > 0 || said.Obeyed < 1 {
			t.Errorf("%+v: %s", r, strings.Join(append(said.Wrong, unseen(said.Open)...), "\n"))
		}
	}
	besideChartAnswers(t, ctx, a, b, at)
	if n := js[int](t, ctx, `document.querySelectorAll('.beside-wrong').length`); n > 0 {
		t.Error("something is said to be wrong with the address")
	}
	// A point that neither has leads to another one, which is said.
	visit(t, ctx, "about:blank", "light", 390)
	visit(t, ctx, "file://"+dir+"/"+besideHref("", nil, a.Slug, b.Slug)+"&at=3.7-thd1", "light", 390)
	js[string](t, ctx, besideReady)
	if got := js[string](t, ctx, `document.querySelector('.beside-wrong')?.textContent ?? ''`); got != "None of these has a run at “3.7-thd1”: another point is shown." {
		t.Errorf("a point that isn't there: %q", got)
	}
	visit(t, ctx, "about:blank", "light", 390)
	visit(t, ctx, address, "light", 390)
	js[string](t, ctx, besideReady)
	// every claim of both, and every total
	text := js[string](t, ctx, `document.body.textContent`)
	for _, u := range []*sheet.Sheet{a, b} {
		for _, c := range u.Claims {
			if row := claimRows([]*sheet.Claim{c}, "")[0]; !strings.Contains(text, row.Of) || !strings.Contains(text, row.Figure) {
				t.Errorf("%s: the claim of %s is not there", u.Slug, row.Of)
			}
		}
		for _, p := range sheet.Points([]*sheet.Sheet{u}) {
			if st := sheet.StandingOf(u, p); st.Total != nil && !strings.Contains(text, st.Total.Text) {
				t.Errorf("%s: %s is not there", u.Slug, st.Total.Text)
			}
		}
	}
	besideByKeyboard(t, ctx, dir, s)
}

// besideByKeyboard finds a unit, sets another beside it and takes one out, by keys.
func besideByKeyboard(t *testing.T, ctx context.Context, dir string, s *Site) {
	t.Helper()
	a, b := s.Sheets[0], s.Sheets[len(s.Sheets)-1]
	visit(t, ctx, "file://"+dir+"/"+besideHref("", nil, a.Slug, "constructor"), "light", 390)
	js[string](t, ctx, besideReady)
	if got := js[string](t, ctx, `document.querySelector('.beside-wrong').textContent`); !strings.Contains(got, "“constructor”") {
		t.Errorf("an unknown unit: %q", got)
	}
	if n := js[int](t, ctx, `[...document.scripts].filter((s) => s.src.includes('constructor')).length`); n > 0 {
		t.Error("a path was made of a unit that isn't in the list")
	}
	if err := chromedp.Do(ctx, chromedp.Focus("#beside-search"), chromedp.SendKeys("#beside-search", b.Record.Unit.Maker+" "+b.Record.Unit.Model)); err != nil {
		t.Fatal(err)
	}
	js[bool](t, ctx, `(async () => { for (let n = 0; n < 200 && !document.querySelector('#beside-found button'); n++) await new Promise((d) => setTimeout(d, 25)); return true; })()`)
	js[bool](t, ctx, `(document.getElementById('beside-head')?.remove(), true)`)
	if err := chromedp.Do(ctx, chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter)); err != nil {
		t.Fatal(err)
	}
	js[string](t, ctx, besideReady)
	if got := js[string](t, ctx, `location.hash`); got != "#"+a.Slug+"+"+b.Slug {
		t.Errorf("after adding %s the address says %q", b.Slug, got)
	}
	if got := js[string](t, ctx, `document.activeElement.id + ' / ' + document.getElementById('beside-said').textContent`); !strings.HasPrefix(got, "beside-head / 2 units are beside each other") {
		t.Errorf("after adding: %q", got)
	}
	js[bool](t, ctx, `(document.querySelector('[aria-label^="Take out"]').focus(), true)`)
	if err := chromedp.Do(ctx, chromedp.KeyEvent(kb.Enter)); err != nil {
		t.Fatal(err)
	}
	js[bool](t, ctx, `new Promise((d) => setTimeout(() => d(true), 150))`)
	if got := js[string](t, ctx, `location.hash + ' ' + document.activeElement.id`); got != "#"+b.Slug+" beside-search" {
		t.Errorf("after taking out %s: %q", a.Slug, got)
	}
	// the search has the focus again and offers others, those of its kind before others
	kind := kindOf(&b.Record.Unit)
	kind, _, _ = strings.Cut(kind, ",")
	if first := js[string](t, ctx, `document.querySelector('#beside-found button')?.textContent ?? 'nothing'`); !strings.Contains(first, kind) {
		t.Errorf("beside a unit that is %s it offers %q first", kind, first)
	}
}

// besideChartAnswers asks the first chart by keys and by a button, on the page as it is: of
// two units that both have figures.
func besideChartAnswers(t *testing.T, ctx context.Context, a, b *sheet.Sheet, at sheet.Point) {
	t.Helper()
	js[bool](t, ctx, `(document.querySelector('.beside-box').focus(), true)`)
	var totals []string // by unit, from the highest load down
	for _, u := range []*sheet.Sheet{a, b} {
		for _, p := range sheet.Points([]*sheet.Sheet{u}) {
			if st := sheet.StandingOf(u, p); p.Method == at.Method && !p.Bridged && st.Total != nil {
				totals = append(totals, st.Total.Text+". "+u.Name)
			}
		}
	}
	said := func() string {
		return js[string](t, ctx, `document.querySelector('.beside-box .chart-say').textContent`)
	}
	for _, r := range []struct{ key, want string }{{kb.ArrowRight, totals[0]}, {kb.End, totals[len(totals)-1]}, {kb.ArrowRight, totals[len(totals)-1]}} {
		if err := chromedp.Do(ctx, chromedp.KeyEvent(r.key)); err != nil {
			t.Fatal(err)
		}
		if got := said(); !strings.HasPrefix(got, r.want+". ") {
			t.Errorf("after the key %q the chart says %q, want %q first", r.key, got, r.want)
		}
	}
	inside := `(() => { const tip = document.querySelector('.beside-tip').getBoundingClientRect(), box = document.querySelector('.beside-box').getBoundingClientRect(); return tip.width > 0 && tip.left >= box.left - 1 && tip.right <= box.right + 1; })()`
	if !js[bool](t, ctx, inside) {
		t.Error("what the chart tells isn't seen within it")
	}
	if seen := js[int](t, ctx, `(document.querySelector('.beside-keys button').click(), [...document.querySelector('.beside-box').querySelectorAll('.beside-point')].filter((p) => p.getClientRects().length).length)`); seen < 1 || seen >= len(totals) {
		t.Errorf("with a unit taken out of sight %d of %d marks are seen", seen, len(totals))
	}
}

// comparablePair is the first pair of the demo that both have a figure for at a point,
// and that point.
func comparablePair(t *testing.T, s *Site) (a, b *sheet.Sheet, at sheet.Point) {
	t.Helper()
	for i, a := range s.Sheets {
		for _, b := range s.Sheets[i+1:] {
			points := sheet.Points([]*sheet.Sheet{a, b})
			if n := slices.IndexFunc(points, func(at sheet.Point) bool { return len(sheet.Apart(a, b, at).Corners) > 0 }); n >= 0 {
				return a, b, points[n]
			}
		}
	}
	t.Fatal("no two units of the demo can be compared")
	return nil, nil, at
}
