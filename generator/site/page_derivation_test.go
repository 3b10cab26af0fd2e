package site

import (
	"bytes"
	"compress/gzip"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"

	"wattsheet/generator/sheet"
)

// unbroken is a text without any blank: lines that a page breaks elsewhere compare.
func unbroken(s string) string { return strings.Join(strings.Fields(s), "") }

// lines are the passages of a derivation as the command prints them.
func lines(passages []sheet.Passage) string {
	var b strings.Builder
	for _, p := range passages {
		b.WriteString(p.Head + "\n" + strings.Join(p.Lines, "\n") + "\n")
	}
	return b.String()
}

// TestDerivationsAreWhole: each claim's derivation is folded on its unit's page,
// each run's on the page of runs, word for word what the command explain prints.
func TestDerivationsAreWhole(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		unit, steps := document(t, "units/"+sh.Slug+"/index.html"), document(t, "units/"+sh.Slug+"/derivation/index.html")
		for _, c := range sh.Claims {
			wordForWord(t, unit, sh.Slug, "derived-"+c.ID, sh.DeriveClaim(c))
			if to := attributesOf(unit, "#claim-"+c.ID+" details .to-steps a", "href"); !slices.Equal(to, []string{"#derived-" + c.ID}) {
				t.Errorf("%s: claim %s leads to %q for its derivation", sh.Slug, c.ID, to)
			}
		}
		for _, r := range sh.Runs {
			wordForWord(t, steps, sh.Slug, "run-"+r.ID, sh.DeriveRun(r))
			if to := attributesOf(unit, "#run-"+r.ID+" a[href^='derivation/']", "href"); !slices.Equal(to, []string{"derivation/index.html#run-" + r.ID}) {
				t.Errorf("%s: run %s leads to %q for its derivation", sh.Slug, r.ID, to)
			}
		}
	}
}

func wordForWord(t *testing.T, doc *html.Node, slug, id string, passages []sheet.Passage) {
	t.Helper()
	found := cascadia.QueryAll(doc, cascadia.MustCompile("details > section.steps#"+id))
	if len(found) != 1 {
		t.Errorf("%s: %d derivations %s are folded, want one", slug, len(found), id)
		return
	}
	got, want := unbroken(content(found[0])), unbroken(lines(passages))
	if got != want {
		at := 0
		for at < len(got) && at < len(want) && got[at] == want[at] {
			at++
		}
		t.Errorf("%s: the derivation %s is another from %q on, want %q", slug, id, near60(got, at), near60(want, at))
	}
}

// near60 is what stands around a place of a text.
func near60(s string, at int) string { return s[max(0, at-20):min(len(s), at+40)] }

// TestClaimDerivationsLeadToTheirRuns: a run named in a claim's derivation is a link
// to its own, a formula spelled out one to the catalogue.
func TestClaimDerivationsLeadToTheirRuns(t *testing.T) {
	s, _ := demo()
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			at := "#derived-" + c.ID
			leads := attributesOf(doc, at+" a[href*='derivation/']", "href")
			var want []string
			for _, ch := range c.Channels {
				for _, id := range ch.Runs {
					want = append(want, "derivation/index.html#run-"+id)
				}
			}
			if !slices.Equal(leads, want) {
				t.Errorf("%s, claim %s: leads to %q, want %q", sh.Slug, c.ID, leads, want)
			}
			if len(c.Corners) > 0 && len(attributesOf(doc, at+" a[href$='#formula-carried-to-claim']", "href")) != 1 {
				t.Errorf("%s, claim %s: the formula that carries isn't a link", sh.Slug, c.ID)
			}
		}
	}
}

// zipped is how many bytes a text takes on the way to a reader.
func zipped(t *testing.T, texts ...[]byte) int {
	t.Helper()
	n := 0
	for _, text := range texts {
		var b bytes.Buffer
		w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(text); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		n += b.Len()
	}
	return n
}

// TestPagesAreLight: a unit's page reaches its first chart within the first 14,000
// bytes, about what a server sends before it waits for an answer (ten segments, RFC
// 6928); with styles and script, but without pictures and the chart library, a page
// stays within 100 kB.
func TestPagesAreLight(t *testing.T) {
	s, outputs := demo()
	var shared [][]byte
	for _, o := range outputs {
		if strings.HasPrefix(o.Path, "assets/") && !strings.Contains(o.Path, "echarts") && !strings.HasSuffix(o.Path, ".txt") {
			shared = append(shared, o.Bytes)
		}
	}
	if len(shared) < 3 {
		t.Fatalf("the pages share %d styles and scripts", len(shared))
	}
	assets := zipped(t, shared...)
	for _, sh := range s.Sheets {
		for _, o := range outputs {
			if !strings.HasPrefix(o.Path, "units/"+sh.Slug+"/") || !strings.HasSuffix(o.Path, ".html") {
				continue
			}
			if n := assets + zipped(t, o.Bytes); n > 100_000 {
				t.Errorf("%s weighs %d bytes with styles and script, want at most 100,000", o.Path, n)
			}
			if top, _, chart := bytes.Cut(o.Bytes, []byte(`<figure class="chart"`)); chart && zipped(t, top) > 14_000 {
				t.Errorf("%s reaches its first chart after %d bytes, want at most 14,000", o.Path, zipped(t, top))
			}
		}
	}
}

// TestAddressesUnfold: an address that names a derivation unfolds it, and only it
// (HTML Living Standard, "ancestor details revealing algorithm"); on a phone no
// sentence of it is cut, and only its own box scrolls sideways.
func TestAddressesUnfold(t *testing.T) {
	s, dir := published(t)
	ctx := inBrowser(t)
	sh := s.Sheets[0]
	for _, address := range []string{
		"index.html#derived-" + sh.Claims[0].ID, "derivation/index.html#run-" + sh.Runs[0].ID,
	} {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 800), chromedp.Navigate("about:blank"), chromedp.Navigate("file://"+filepath.Join(dir, "units", sh.Slug)+"/"+address)); err != nil {
			t.Fatal(err)
		}
		if n := js[float64](t, ctx, `document.querySelectorAll('details.derivation[open]').length`); n != 1 {
			t.Errorf("%s: %v derivations are unfolded, want one", address, n)
		}
		cut := js[[]string](t, ctx, `[...document.querySelectorAll('details[open] .steps p')].filter((p) => p.getBoundingClientRect().right > innerWidth || p.scrollWidth > p.clientWidth + 1).map((p) => p.textContent)`)
		for _, text := range cut {
			t.Errorf("%s: cut at 390 px: %q", address, text)
		}
		if scrolls := js[bool](t, ctx, `(() => { const box = document.querySelector('details[open] .steps'); return box.scrollWidth > box.clientWidth && document.documentElement.scrollWidth <= innerWidth && box.tabIndex === 0; })()`); !scrolls {
			t.Errorf("%s: the rows of figures don't scroll in a box that the keyboard reaches", address)
		}
	}
}

// TestIncompleteUncertaintyIsSaid: where a verdict rests on a reading without an
// instrument, or a method without a pool, it says so beside the verdict, at the
// headline, in the list and in the data; else nowhere.
func TestIncompleteUncertaintyIsSaid(t *testing.T) {
	methods := tinyFile(t, "content/methods.toml")
	without, _, found := strings.Cut(methods, "[method.pool]")
	if !found {
		t.Fatal("the tiny site's method has no pool to leave out")
	}
	const lacks = "the method has no pool: its repeatability is not known"
	for name, want := range map[string]bool{methods: false, without: true} {
		root := tiny(t, map[string]string{"content/methods.toml": name})
		s, problems, err := Load(root)
		if err != nil || problems.Errors() {
			t.Fatal(err, problems)
		}
		outputs, _, err := s.Outputs()
		if err != nil {
			t.Fatal(err)
		}
		sh := s.Sheets[0]
		for _, o := range outputs {
			switch o.Path {
			case "units/" + sh.Slug + "/index.html":
				doc := parse(t, o.Bytes)
				if got := pick(doc, "h1 + .subline > .lacking"); (len(got) == 1 && strings.Contains(got[0], lacks)) != want {
					t.Errorf("at the headline: %q, want it said: %v", got, want)
				}
				for _, c := range sh.Claims {
					beside := pick(doc, "#claim-"+c.ID+" > .figures .lacks")
					if (len(beside) == 1) != (want && len(c.Channels) > 0) {
						t.Errorf("claim %s: beside the verdict: %q, want it said: %v", c.ID, beside, want)
					}
				}
			case "index.html":
				if got := pick(parse(t, o.Bytes), ".sheet-row > .lacking"); (len(got) == 1) != want {
					t.Errorf("in the list: %q, want it said: %v", got, want)
				}
			case "units/" + sh.Slug + "/sheet.json":
				if got := strings.Count(string(o.Bytes), "\n      \"incomplete\": [\n        \""+lacks); (got > 0) != want {
					t.Errorf("sheet.json says it of %d claims, want it said: %v", got, want)
				}
			}
		}
	}
}

// TestUsualRulesAreFolded: under each claim decided by numbers stands what each of
// the usual rules says, with the site's own marked.
func TestUsualRulesAreFolded(t *testing.T) {
	s, _ := demo()
	several := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			rows := queryAll(doc, "#claim-"+c.ID+" details .other-rules tbody tr")
			if len(rows) != len(c.Rules) {
				t.Errorf("%s, claim %s: %d rules, want %d", sh.Slug, c.ID, len(rows), len(c.Rules))
				continue
			}
			says := map[string]bool{}
			for i, r := range c.Rules {
				says[string(r.Verdict)] = true
				text := content(rows[i])
				if got := strings.Contains(text, "this site's rule"); got != r.Own {
					t.Errorf("%s, claim %s, %s: marked as the site's: %v", sh.Slug, c.ID, r.Name, got)
				}
				if len(queryAll(rows[i], ".verdict."+string(r.Verdict)+" svg.mark")) != 1 || !strings.Contains(text, squeeze(capital(r.Name))) {
					t.Errorf("%s, claim %s: the row of %s reads %q", sh.Slug, c.ID, r.Name, text)
				}
				if r.Own && !strings.HasSuffix(text, c.Word) {
					t.Errorf("%s, claim %s: by its own rule the site says %q, want %q", sh.Slug, c.ID, text, c.Word)
				}
			}
			said := strings.Join(pick(doc, "#claim-"+c.ID+" .other-rules > p"), "")
			if strings.Contains(said, "makes a difference") != (len(says) > 1) {
				t.Errorf("%s, claim %s: the rules say %v, the sentence %q", sh.Slug, c.ID, says, said)
			}
			if len(says) > 1 {
				several++
			}
		}
	}
	if several == 0 {
		t.Error("the demo has no claim on which the usual rules differ")
	}
}

// TestLoadLinesArePrinted: each point of a load line stands in its table with its
// mean, U and how far it lies off; estimates only where the line fits.
func TestLoadLinesArePrinted(t *testing.T) {
	s, _ := demo()
	fits := map[bool]int{}
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		folded := queryAll(doc, "details.load-line")
		if len(folded) != len(sh.Lines) {
			t.Errorf("%s: %d load lines, want %d", sh.Slug, len(folded), len(sh.Lines))
			continue
		}
		for i, l := range sh.Lines {
			fits[l.Fits]++
			tables := queryAll(folded[i], "table")
			if want := map[bool]int{true: 2, false: 1}[l.Fits]; len(tables) != want {
				t.Errorf("%s: a line that fits %v has %d tables, want %d", sh.Slug, l.Fits, len(tables), want)
			}
			rows := queryAll(tables[0], "tbody tr")
			if len(rows) != len(l.Points) {
				t.Fatalf("%s: %d points, want %d", sh.Slug, len(rows), len(l.Points))
			}
			for j, p := range l.Points {
				text := " " + content(rows[j]) + " "
				for _, w := range append([]string{p.Power.ValueText, p.Power.UText, residual(p.ResidualW)}, p.Runs...) {
					if !strings.Contains(text, w) {
						t.Errorf("%s: point %d reads %q, without %q", sh.Slug, j, text, w)
					}
				}
			}
			if said := strings.Join(pick(doc, ".estimates li"), "\n"); !strings.Contains(said, squeeze(l.Text)) {
				t.Errorf("%s: %q isn't said among the estimates", sh.Slug, l.Text)
			}
		}
	}
	if fits[true] == 0 || fits[false] == 0 {
		t.Errorf("the demo has %d lines that fit and %d that don't: both are needed", fits[true], fits[false])
	}
}

// TestBracketingIsExplained: the methodology works through a claim whose runs stood
// off its supply voltage, and every claim that was carried leads there.
func TestBracketingIsExplained(t *testing.T) {
	s, _ := demo()
	doc := document(t, "methodology/index.html")
	section := cascadia.Query(doc, cascadia.MustCompile("section[aria-labelledby='bracketing']"))
	if section == nil || len(queryAll(section, "tbody tr")) < 4 || len(queryAll(section, ".verdict svg.mark")) != 1 {
		t.Fatal("no example is worked through")
	}
	for _, sh := range s.Sheets {
		unit := document(t, "units/"+sh.Slug+"/index.html")
		for _, c := range sh.Claims {
			leads := attributesOf(unit, "#claim-"+c.ID+" .bracket a[href$='#bracketing']", "href")
			if (len(leads) == 1) != (len(c.Corners) > 1) {
				t.Errorf("%s, claim %s: %d links to the explanation, %d corners", sh.Slug, c.ID, len(leads), len(c.Corners))
			}
		}
	}
}
