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
		b.WriteString(p.Head + "\n" + strings.Join(p.Lines(), "\n") + "\n")
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
			leads := attributesOf(doc, at+" a[href^='derivation/']", "href")
			for _, u := range c.Uses {
				if !slices.Contains(leads, "derivation/index.html#run-"+u.Run) {
					t.Errorf("%s, claim %s: run %s is named without a link to its derivation", sh.Slug, c.ID, u.Run)
				}
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
