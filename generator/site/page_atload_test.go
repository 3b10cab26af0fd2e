package site

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"wattsheet/generator/sheet"
)

// atLoadMarkup is the part "at my load" of a unit's page.
func atLoadMarkup(t *testing.T, page []byte) []byte {
	t.Helper()
	return regexp.MustCompile(`(?s)<section class="at-load.*?</script>\n</section>`).Find(page)
}

// Without script each power, U, current, reason, lead and caution is in the page; the part is
// light, and so are its script and style. It is weighed by itself: what a page packs to without
// it depends on all else that is there, by half a kilobyte either way.
func TestAtLoadStandsInThePage(t *testing.T) {
	s, outputs := demo()
	for _, sh := range s.Sheets {
		for _, o := range outputs {
			if o.Path != "units/"+sh.Slug+"/index.html" {
				continue
			}
			part := atLoadMarkup(t, o.Bytes)
			text := oneBlank(content(parse(t, part)))
			says := func(what string) {
				if !strings.Contains(text, oneBlank(what)) {
					t.Errorf("%s: “at my load” doesn't say %q", sh.Slug, what)
				}
			}
			says(sheet.LoadCaution)
			says(sheet.CoilCaution)
			results := 0
			for _, a := range sh.AtLoads {
				results += len(a.Results)
				for _, r := range a.Results {
					if r.Total != nil {
						says(r.Total.ValueText)
						says(r.Total.UText)
					}
					if r.Estimate {
						says("no measurement, and never a reason for a verdict")
					}
				}
				if a.Kind == sheet.LoadNothing {
					says(a.Why)
				}
			}
			if lowest := sh.Record.Unit.LowestOhm; lowest.Given() {
				says("is below the maker's lowest load of " + sheet.Ohms(lowest.Value))
			}
			// Choices, cautions, formulas and the ways to wire coils, the same on every page; then
			// for each result its row, and one of leads by length and metal.
			if n, most := zipped(t, part), 2800+90*results; n > most {
				t.Errorf("%s: “at my load” packs to %d bytes, want at most %d for %d results", sh.Slug, n, most, results)
			}
		}
	}
	for _, o := range outputs {
		if strings.HasPrefix(o.Path, "assets/atload.") && zipped(t, o.Bytes) > 2650 {
			t.Errorf("%s weighs %d bytes, want at most 2,650", o.Path, zipped(t, o.Bytes))
		}
	}
}

// The errand on a phone: from the page's top by two taps to the power at a dual 2 Ω
// coil wired for 1 Ω; then a refusal, an estimate, a lead, and an address that leads
// there again. An address of nonsense does no harm.
func TestAtLoadOnAPhone(t *testing.T) {
	_, dir := published(t)
	ctx := inBrowser(t)
	console := listen(ctx)
	page := "file://" + filepath.Join(dir, "units", "gatherstoat-plumbrook-1", "index.html")
	open := func(hash string) {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 800), chromedp.Navigate("about:blank"), chromedp.Navigate(page+hash)); err != nil {
			t.Fatal(err)
		}
	}
	answer := func() string {
		return js[string](t, ctx, `document.querySelector('.at-answer').textContent`)
	}
	tap := func(selector string) {
		js[bool](t, ctx, `(document.querySelector(`+"`"+selector+"`"+`).click(), true)`)
	}
	holds := func(text string, wants ...string) {
		t.Helper()
		for _, want := range wants {
			if !strings.Contains(oneBlank(text), want) {
				t.Errorf("the answer lacks %q: %s", want, oneBlank(text))
			}
		}
	}
	open("")
	tap(`a[href="#at-my-load"]`)
	tap(`.at-picks input[value="2x2"]`)
	holds(answer(), "Dual 2 Ω in parallel: 1 Ω", "Measured, at 1 % THD+N, r10, r11, r12", "(747 ± 19) W", "Met", "680 W claimed", "(64.5 ± 1.9) A", "70 A", "Lead, 5 m of copper", "mm²")
	address := js[string](t, ctx, `location.hash`)
	tap(`.at-picks input[value="2"][name=speakers]`)
	refused := answer()
	holds(refused, "2 × dual 2 Ω in parallel: 0.5 Ω", "0.5 Ω is below the maker's lowest load of 1 Ω")
	if regexp.MustCompile(`\d\s*[WA]\b`).MatchString(refused) {
		t.Errorf("a refused load has a figure: %s", refused)
	}
	open("#at-my-load?load=3&m=2&metal=copper-clad+aluminium")
	holds(answer(), "3 Ω", "Estimate, at 1 % THD+N, by the load line: no measurement", "about", "Lead, 2 m of copper-clad aluminium")
	if strings.Contains(answer(), "Met") {
		t.Errorf("an estimate has a verdict: %s", answer())
	}
	open("#at-my-load?load=16")
	holds(answer(), "16 Ω has no figure here. Single 4 Ω: 4 Ω") // no load that can be asked for by itself
	tap(`.at-picks input[value="2x2"]`)
	if strings.Contains(answer(), "has no figure") {
		t.Errorf("it goes on about another load: %s", answer())
	}
	open("#at-my-load?coils=2&ohm=3.5")
	holds(answer(), "3.5 Ω has no figure here. Single 4 Ω: 4 Ω")
	for _, well := range []string{"#at-my-load?load=3", "#at-my-load?coils=2&ohm=2", "#at-my-load?speakers=2", "#at-my-load"} {
		if open(well); strings.Contains(answer(), "has no figure") {
			t.Errorf("%s is told to be astray: %s", well, answer())
		}
	}
	open("#at-my-load?speakers=2&coils=1&ohm=8&wired=series")
	holds(answer(), "16 Ω is outside the tested range, 1 to 8 Ω: no number is given for it.")
	open(address)
	holds(answer(), "Dual 2 Ω in parallel: 1 Ω")
	if top := js[float64](t, ctx, `document.querySelector('#at-my-load').getBoundingClientRect().top`); top < -1 || top > 400 {
		t.Errorf("the address leads to %v px from the section", top)
	}
	open(`#at-my-load?load=<img src=x onerror=alert(1)>&coils=']&ohm="&wired=%00&m=999&metal=__proto__&to=`)
	holds(answer(), "Single 4 Ω: 4 Ω")
	if small := js[[]string](t, ctx, `[...document.querySelectorAll('.at-picks label, .at-form select')].filter((e) => { const r = e.getBoundingClientRect(); return r.width && (r.width < 44 || r.height < 44); }).map((e) => e.textContent)`); len(small) > 0 {
		t.Errorf("smaller than 44 px: %v", small)
	}
	if said := console.take(); len(said) > 0 {
		t.Error(strings.Join(said, "\n"))
	}
}
