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

	"wattsheet/generator/sheet"
)

// tool gives the path of a file below testdata/tools/node_modules. Where the tools
// are not installed the test is skipped, but not where changes are checked.
func tool(t *testing.T, name string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("another program: left out in short runs")
	}
	path, err := filepath.Abs(filepath.Join("../../testdata/tools/node_modules", name))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("%s is needed: sh .ci/setup installs it", name)
	} else if err != nil {
		t.Skipf("%s is not installed: sh .ci/setup installs it", name)
	}
	return path
}

// A found is what axe-core says of a page: what is wrong, what is left to a person (see
// [unseen]), and how many rules were obeyed.
type found struct {
	Wrong, Open []string
	Obeyed      int
}

// The rules are those of WCAG 2.0, 2.1 and 2.2, levels A and AA (W3C), and the
// checker's own good practice. Once they hold in a light scheme, a dark one can only
// fail those about colours.
const (
	allRules    = `{ type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }`
	colourRules = `{ type: 'rule', values: ['color-contrast', 'link-in-text-block'] }`
	askAxe      = `(async () => { const r = await axe.run(document, { runOnly: %s, resultTypes: ['violations', 'incomplete'], elementRef: true });
  ` + lookAt + `
  const tell = (list, seen = () => false) => list.flatMap((v) => v.nodes.filter((n) => !seen(v, n)).map((n) => v.id + ' at ' + (n.element?.getAttribute('class') ?? '') + ' ' + n.target.join(' ')
    + ': ' + n.any.concat(n.all, n.none).map((c) => c.message).join('; ')));
  return { Wrong: tell(r.violations), Open: tell(r.incomplete, looked), Obeyed: r.passes.length }; })()`
)

// fold opens or closes whatever can be folded, and opens the bar that quotes.
func fold(t *testing.T, ctx context.Context, open bool) {
	t.Helper()
	js[bool](t, ctx, fmt.Sprintf(`document.querySelectorAll('details').forEach((d) => { d.open = %v; }), true`, open))
	if open {
		js[bool](t, ctx, `(document.querySelector('a.quote')?.click(), true)`)
	}
}

// eachKind gives one page of every kind, of units three: the fullest, one that was
// corrected, with its versions and its runs' derivations, and one with a reply; one load
// and one maker.
func eachKind(t *testing.T, s *Site, dir string) []string {
	t.Helper()
	if len(s.Sheets) < 2 { // no language, and these letters
		t.Fatal("the demo has fewer than two units")
	}
	fullest := slices.MaxFunc(s.Sheets, func(a, b *sheet.Sheet) int { return len(a.Claims) - len(b.Claims) })
	var corrected, replied string
	for _, sh := range s.Sheets {
		if len(s.Ledger(sh.Slug).Corrections) > 0 && sh.Record.Unit.Follows.ID != "" {
			corrected = sh.Slug
		}
		if sh.Record.Reply.Given() && replied == "" {
			replied = sh.Slug
		}
	}
	if corrected == "" || replied == "" {
		t.Fatal("the demo has no corrected unit that follows another, or no reply")
	}
	maker := makerSlug(s.Sheets[slices.IndexFunc(s.Sheets, func(sh *sheet.Sheet) bool { return sh.Slug == replied })].Record.Unit.Maker)
	var out []string
	framed := false // there is a claim for a frame
	for _, page := range htmlPages(t, dir) {
		parts := strings.Split(page, "/")
		alone := len(parts) == 3 && (parts[1] == fullest.Slug || parts[1] == replied)
		if len(parts) == 5 && parts[2] == embedName {
			claim := strings.HasPrefix(parts[3], "claim-")
			if parts[3] == embedOfSheet || parts[3] == "power-by-load" || claim && !framed {
				out, framed = append(out, page), framed || claim
			}
			continue
		}
		another := len(parts) == 3 && (parts[0] == loadsFolder && parts[1] != "4-ohm" || parts[0] == makersFolder && parts[1] != maker)
		recorded := len(parts) == 4 && parts[2] == capturesName
		if !another && parts[0] != "units" || parts[1] == corrected || alone || recorded {
			out = append(out, page)
		}
	}
	return out
}

// axe-core finds nothing wrong in any kind of page: in light and dark schemes, on
// the narrowest phone and on a desk, folded and opened. What it leaves to a person
// somebody has looked at.
func TestPagesAreAccessible(t *testing.T) {
	t.Parallel() // beside others that wait for other programs
	script, err := os.ReadFile(tool(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	s, dir := published(t)
	pages := eachKind(t, s, dir)
	for _, width := range []int64{320, 1280} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			t.Parallel() // in a tab of its own
			ctx := inBrowser(t)
			for _, page := range pages {
				isAccessible(t, ctx, "file://"+dir+"/"+page, string(script), width)
			}
		})
	}
	t.Run("mistakes", func(t *testing.T) {
		t.Parallel()
		ctx := inBrowser(t)
		// In a page that is dark from the start the check sees colours, and finds nothing either.
		visit(t, ctx, "file://"+dir+"/index.html", "dark", 320)
		js[bool](t, ctx, string(script)+"\n;true")
		if said := js[found](t, ctx, fmt.Sprintf(askAxe, allRules)); len(said.Wrong)+len(unseen(said.Open)) > 0 || said.Obeyed < 10 {
			t.Errorf("dark from the start: %q, %q", said.Wrong, unseen(said.Open))
		}
		// The check would see something wrong: a page that names no language (WCAG 2.2,
		// 3.1.1).
		if said := js[found](t, ctx, `(document.documentElement.removeAttribute('lang'), `+fmt.Sprintf(askAxe, allRules)+`)`); len(said.Wrong) == 0 {
			t.Error("a page without a language passes")
		}
		// So it would letters too faint for a dark page in a drawing (1.4.3), which axe-core leaves to a person.
		faint := `(document.querySelector('main').insertAdjacentHTML('beforeend', '<svg role="img" aria-label="faint"><text y="20" fill="#4a4a4a">faint letters</text></svg>'), document.querySelector('main > svg:last-child').scrollIntoView(), `
		if said := js[found](t, ctx, faint+fmt.Sprintf(askAxe, allRules)+`)`); len(unseen(said.Open))+len(said.Wrong) < 2 { // no language, and these letters
			t.Errorf("faint letters pass: %q, %q", said.Wrong, unseen(said.Open))
		}
	})
}

// isAccessible asks axe-core about one page in one width: folded, unfolded, and dark.
func isAccessible(t *testing.T, ctx context.Context, page, script string, width int64) {
	t.Helper()
	visit(t, ctx, page, "light", width)
	js[bool](t, ctx, script+"\n;true")
	for _, row := range []struct {
		scheme   string
		unfolded bool
		rules    string
		least    int
	}{
		{"light", false, allRules, 10}, {"light", true, allRules, 10},
		// What is folded away only leaves colours out. The page is there already: a reader's
		// day turns into evening.
		{"dark", true, colourRules, 1},
	} {
		at := fmt.Sprintf("%s, %s, %d px, unfolded %v", page, row.scheme, width, row.unfolded)
		inScheme(t, ctx, row.scheme)
		fold(t, ctx, row.unfolded)
		if undrawn := js[string](t, ctx, live); undrawn != "" {
			t.Errorf("%s: %s", at, undrawn)
		}
		said := js[found](t, ctx, fmt.Sprintf(askAxe, row.rules))
		if said.Obeyed < row.least {
			t.Errorf("%s: only %d rules were checked", at, said.Obeyed)
		}
		for _, wrong := range said.Wrong {
			t.Errorf("%s: %s", at, wrong)
		}
		for _, what := range unseen(said.Open) {
			t.Errorf("%s: left to a person: %s", at, what)
		}
	}
}

// visit opens a page in one scheme and width.
func visit(t *testing.T, ctx context.Context, address, scheme string, width int64) {
	t.Helper()
	preferScheme(t, ctx, scheme)
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
	takesScheme(t, ctx, scheme)
}

// inScheme has the page that is open taken by readers of a scheme, its charts drawn anew.
func inScheme(t *testing.T, ctx context.Context, scheme string) {
	t.Helper()
	preferScheme(t, ctx, scheme)
	takesScheme(t, ctx, scheme)
	js[bool](t, ctx, `new Promise((d) => requestAnimationFrame(() => requestAnimationFrame(() => d(true))))`)
}

func preferScheme(t *testing.T, ctx context.Context, scheme string) {
	t.Helper()
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}},
	}); err != nil {
		t.Fatal(err)
	}
}

func takesScheme(t *testing.T, ctx context.Context, scheme string) {
	t.Helper()
	if dark := js[bool](t, ctx, `matchMedia('(prefers-color-scheme: dark)').matches`); dark != (scheme == "dark") {
		t.Fatalf("the browser didn't take the %s scheme", scheme)
	}
}

// watchShifts sums what moves without the reader's doing (W3C Layout Instability),
// from the page's beginning on.
const watchShifts = `(window.shifted = [], window.sum = (list) => list.forEach((e) => { if (!e.hadRecentInput && e.value > 0) shifted.push(e); }),
  window.watching = new PerformanceObserver((list) => sum(list.getEntries())), watching.observe({ type: 'layout-shift', buffered: true }), true)`

// shifts tells what moved by how much, once two frames are painted.
const shifts = `(async () => { for (let n = 0; n < 3; n++) await new Promise((d) => requestAnimationFrame(() => setTimeout(d, 30)));
  sum(watching.takeRecords());
  return shifted.map((e) => e.value.toFixed(5) + ' ' + e.sources.map((s) => { const n = s.node; if (!n) return '?';
    return (n.nodeName + '.' + (n.className?.baseVal ?? n.className)) + ' ' + Math.round(s.previousRect.y) + '→' + Math.round(s.currentRect.y); }).join(', ')); })()`
