package site

import (
	"encoding/json"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/datafile"

	"github.com/andybalholm/cascadia"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"
)

// quotedUnit is a unit of the demo as its sheet.json says, and its page.
func quotedUnit(t *testing.T, slug string) (datafile.Sheet, *html.Node) {
	t.Helper()
	var d datafile.Sheet
	_, outputs := demo()
	for _, o := range outputs {
		if o.Path == "units/"+slug+"/sheet.json" {
			if err := json.Unmarshal(o.Bytes, &d); err != nil {
				t.Fatal(err)
			}
		}
	}
	return d, document(t, "units/"+slug+"/index.html")
}

// kOf is a figure's coverage factor, to two decimals.
func kOf(f *datafile.Figure) string {
	return strconv.FormatFloat(float64(*f.K), 'f', 2, 64)
}

// Each claim's sentence, without script, has what sheet.json says of it: figure, U, k,
// what is claimed and under which conditions, verdict, sheet and version, and an
// address that leads to the claim on the page named.
func TestClaimSentencesReadBack(t *testing.T) {
	s, _ := demo()
	sealed := 0
	for _, sh := range s.Sheets {
		d, doc := quotedUnit(t, sh.Slug)
		page := "units/" + sh.Slug + "/"
		of := "sheet " + d.Sheet + ", not sealed: "
		if st := s.Ledger(sh.Slug); st.Sealed() && len(st.Unsealed) == 0 {
			sealed++
			page += "v/" + itoa(len(st.Versions)) + "/"
			of = "sheet " + d.Sheet + ", version " + itoa(len(st.Versions)) + ": "
		}
		ids := idsOf(t, Output{Path: page + "index.html", Bytes: pageBytes(t, page+"index.html")})
		for _, c := range d.Claims {
			row := cascadia.Query(doc, cascadia.MustCompile("#cite-"+c.ID))
			if row == nil {
				t.Errorf("%s: claim %s has no sentence", sh.Slug, c.ID)
				continue
			}
			text := content(row)
			wants := append([]string{d.Name + ", " + c.Label + ": ", c.Conditions, strings.ToLower(c.Word) + ".", s.Content.Site.Tester, of}, c.Assumed...)
			for _, ch := range c.Channels {
				if ch.Channel == c.Weakest && ch.Mean != nil {
					wants = append(wants, ch.Mean.Text+" measured (", "95 % uncertainty, k = "+kOf(ch.Mean))
				}
			}
			for _, want := range wants {
				if !strings.Contains(text, squeeze(want)) {
					t.Errorf("%s: the sentence of claim %s lacks %q: %s", sh.Slug, c.ID, want, text)
				}
			}
			link := cascadia.Query(row, cascadia.MustCompile("a"))
			if at := strings.TrimSuffix(s.Content.Site.Address, "/") + "/" + page + "#claim-" + c.ID; attr(link, "href") != at || !strings.HasSuffix(text, ": "+at) || !ids["claim-"+c.ID] {
				t.Errorf("%s: the sentence of claim %s leads to %s, want %s", sh.Slug, c.ID, attr(link, "href"), at)
			}
			if sign := cascadia.Query(doc, cascadia.MustCompile("#claim-"+c.ID+` > a.quote[href="#cite-`+c.ID+`"]`)); sign == nil {
				t.Errorf("%s: claim %s has no sign that leads to its sentence", sh.Slug, c.ID)
			}
		}
		for _, r := range d.Runs {
			if n := len(pick(doc, "tr#run-"+r.ID+` a.quote[href="#run-`+r.ID+`"]`)); n != 1 {
				t.Errorf("%s: run %s has %d links to itself, want one", sh.Slug, r.ID, n)
			}
		}
		for _, chart := range cascadia.QueryAll(doc, cascadia.MustCompile("figure.chart[id]")) {
			if n := len(pick(chart, `figcaption a.quote[href="#`+attr(chart, "id")+`"]`)); n != 1 {
				t.Errorf("%s: %s has %d links to itself, want one", sh.Slug, attr(chart, "id"), n)
			}
		}
	}
	if sealed == 0 {
		t.Error("no unit of the demo is sealed with all of it")
	}
}

func pageBytes(t *testing.T, at string) []byte {
	t.Helper()
	_, outputs := demo()
	for _, o := range outputs {
		if o.Path == at {
			return o.Bytes
		}
	}
	t.Fatalf("there is no page %s", at)
	return nil
}

// What quoting adds to a page, and its script, are light.
func TestQuotesAreLight(t *testing.T) {
	parts := regexp.MustCompile(`(?s)<section class="cite.*?</section>\n|<a class="quote".*?</a>`)
	s, outputs := demo()
	most := 0
	for _, sh := range s.Sheets {
		page := pageBytes(t, "units/"+sh.Slug+"/index.html")
		most = max(most, zipped(t, page)-zipped(t, parts.ReplaceAll(page, nil)))
	}
	if most > 1500 || most < 500 {
		t.Errorf("quoting adds %d bytes to a page, want at most 1,500", most)
	}
	for _, o := range outputs {
		if strings.HasPrefix(o.Path, "assets/quote.") && zipped(t, o.Bytes) > 1600 {
			t.Errorf("%s weighs %d bytes, want at most 1,600", o.Path, zipped(t, o.Bytes))
		}
	}
}

// What the script says of each run agrees with sheet.json: power in all and of each
// channel, efficiency and heat, each with U and k; a run that doesn't count has its reason and no
// figure. Then by keyboard alone, on a phone: the sign opens the bar, another figure
// takes its place, both can be copied from a disk, Escape leads back.
func TestQuoteBar(t *testing.T) {
	_, dir := published(t)
	ctx := inBrowser(t)
	console := listen(ctx)
	at := func(slug string) {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 800), chromedp.Navigate("file://"+filepath.Join(dir, "units", slug, "index.html"))); err != nil {
			t.Fatal(err)
		}
	}
	for _, slug := range []string{"brindlecask-marlhopper-5", "oxbramble-dredgelark-3"} {
		at(slug)
		d, _ := quotedUnit(t, slug)
		said := js[map[string]string](t, ctx, quoteAll)
		for _, r := range d.Runs {
			runQuoted(t, d, r, said)
		}
	}
	at("gatherstoat-plumbrook-1")
	says := func() string {
		return oneBlank(js[string](t, ctx, `document.querySelector('.quote-says').textContent`))
	}
	active := func() string { return js[string](t, ctx, `document.activeElement.textContent`) }
	press := func(key string) {
		if err := chromedp.Do(ctx, chromedp.KeyEvent(key)); err != nil {
			t.Fatal(err)
		}
	}
	js[bool](t, ctx, `(document.querySelector('#claim-2-ohm > .quote').focus(), true)`)
	press("\r")
	if got := says(); !strings.HasPrefix(got, "Gatherstoat Plumbrook 1, 2 Ω: ") || active() != "Copy sentence" {
		t.Errorf("Enter at the sign says %q and leads to %q", got, active())
	}
	js[bool](t, ctx, `(document.querySelector('#run-r01 td.n a').focus(), true)`)
	press("\r")
	if got := says(); !strings.Contains(got, "run r01)") {
		t.Errorf("Enter at a figure while the bar is open says %q", got)
	}
	press("\x1b")
	if !js[bool](t, ctx, `document.querySelector('.quote-bar').hidden && !document.querySelector('.quoted') && document.activeElement.closest('#run-r01') !== null`) {
		t.Error("Escape doesn't close the bar and lead back")
	}
	js[bool](t, ctx, `(Object.defineProperty(navigator, 'clipboard', { value: undefined, configurable: true }), document.querySelector('#chart-power-by-load .quote').click(), document.querySelectorAll('.quote-acts button')[1].click(), true)`)
	if got := js[string](t, ctx, `getSelection().toString()`); got != "https://pewterwhelk.example/units/gatherstoat-plumbrook-1/#chart-power-by-load" {
		t.Errorf("without a clipboard %q is selected", got)
	}
	if small := js[[]string](t, ctx, `[...document.querySelectorAll('.quote-acts button, a.quote')].filter((e) => { const r = e.getBoundingClientRect(), m = e.closest('p.quote-acts') ? 44 : 24; return r.width && (r.width < m || r.height < m); }).map((e) => e.getAttribute('aria-label') || e.textContent)`); len(small) > 0 {
		t.Errorf("too small to hit: %v", small)
	}
	if over := js[float64](t, ctx, `document.documentElement.scrollWidth`); over > 390 {
		t.Errorf("the page is %v px wide", over)
	}
	if lines := console.take(); len(lines) > 0 {
		t.Error(strings.Join(lines, "\n"))
	}
}

// quoteAll quotes each run's rows, and what it has once, and tells the sentences.
const quoteAll = `(() => {
	const out = {};
	const says = () => document.querySelector('.quote-says').textContent;
	for (const group of document.querySelectorAll('.runs tbody')) {
		const id = group.rows[0].id.slice(4);
		const say = (name, node) => { document.querySelector('.quote-says').replaceChildren(); node.click(); out[id + name] = says(); };
		say('', group.querySelector('.quote'));
		[...group.rows].forEach((row, i) => say(' ' + row.cells[i ? 1 : 3].textContent, row.querySelector('td.n')));
		if (group.rows[0].cells.length > 12) {
			say(' efficiency', group.rows[0].cells[11]);
			say(' heat', group.rows[0].cells[12]);
		}
	}
	return out;
})()`

func runQuoted(t *testing.T, d datafile.Sheet, r datafile.Run, said map[string]string) {
	t.Helper()
	holds := func(key string, wants ...string) {
		t.Helper()
		for _, want := range wants {
			if !strings.Contains(oneBlank(said[r.ID+key]), oneBlank(want)) {
				t.Errorf("%s: the sentence of %s%s lacks %q: %q", d.Sheet, r.ID, key, want, said[r.ID+key])
			}
		}
	}
	if r.Invalid != "" {
		holds("", "run "+r.ID+" doesn't count: "+strings.TrimRight(r.Invalid, "."))
		if regexp.MustCompile(`±`).MatchString(said[r.ID]) {
			t.Errorf("a run that doesn't count is quoted with a figure: %q", said[r.ID])
		}
		return
	}
	holds("", d.Name+": ", "run "+r.ID+"). Measured by ", "; sheet "+d.Sheet+", ", "#run-"+r.ID)
	figure := func(key string, f *datafile.Figure, more ...string) {
		t.Helper()
		if f == nil {
			return
		}
		holds(key, append(more, f.Text)...)
		if f.K != nil {
			holds(key, "95 % uncertainty, k = "+kOf(f))
		}
	}
	for _, c := range r.Channels {
		if c.Power == nil {
			continue
		}
		figure(" "+c.Channel, c.Power, "channel")
		if len(r.Channels) > 1 {
			holds(" "+c.Channel, ", channel "+c.Channel+" (")
		}
	}
	if len(r.Channels) > 1 {
		figure(" sum", r.Total, " in all at ")
		figure("", r.Total)
	}
	figure(" efficiency", r.Efficiency, ": efficiency ")
	figure(" heat", r.Heat, ": heat in the unit ")
}
