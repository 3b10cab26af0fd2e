package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"
)

const (
	correctedSlug = "ottersprocket-20"
	firstReading  = "out_v = 20.00"
	// The unit's own correction, on its page, on a version's, and on that of all.
	itsCorrection = "article.correction[id^='correction-'], article.correction[id^='" + correctedSlug + "-']"
)

// A rewritten is a copy of a small site whose record is edited and sealed.
type rewritten struct {
	t    *testing.T
	root string
}

func rewrittenSite(t *testing.T) *rewritten {
	t.Helper()
	root := t.TempDir()
	if err := os.CopyFS(filepath.Join(root, "content"), os.DirFS("testdata/tiny/content")); err != nil {
		t.Fatal(err)
	}
	return &rewritten{t, root}
}

// edit changes the record of the unit; old becomes new, and added comes at its end.
func (r *rewritten) edit(old, new, added string) {
	r.t.Helper()
	name := filepath.Join(r.root, "content/units", correctedSlug, "record.toml")
	text, err := os.ReadFile(name)
	if err != nil {
		r.t.Fatal(err)
	}
	if strings.Count(string(text), old) != 1 {
		r.t.Fatalf("%q stands %d times in the record", old, strings.Count(string(text), old))
	}
	if err := os.WriteFile(name, []byte(strings.Replace(string(text), old, new, 1)+added), 0o644); err != nil {
		r.t.Fatal(err)
	}
}

func (r *rewritten) site() *Site {
	r.t.Helper()
	s, problems, err := Inspect(r.root, today)
	if err != nil || problems.Errors() {
		r.t.Fatal(err, problems)
	}
	return s
}

func (r *rewritten) seal(date string) {
	r.t.Helper()
	if _, err := r.site().Seal(correctedSlug, date, ""); err != nil {
		r.t.Fatal(err)
	}
}

// pages are the outputs by path.
func (r *rewritten) pages() map[string]string {
	r.t.Helper()
	outputs, problems, err := r.site().Outputs()
	if err != nil || problems.Errors() {
		r.t.Fatal(err, problems)
	}
	out := map[string]string{}
	for _, o := range outputs {
		out[o.Path] = string(o.Bytes)
	}
	return out
}

func correctionText(changes, effect string) string {
	return "\n[[correction]]\ndate = 2026-11-03\nkind = \"mistake\"\nreason = \"The camera shows another figure.\"\n" +
		"noticed_by = \"a viewer\"\neffect = \"" + effect + "\"\nchanges = [" + changes + "]\n"
}

func one(t *testing.T, page, selector string) *html.Node {
	t.Helper()
	found := cascadia.QueryAll(parse(t, []byte(page)), cascadia.MustCompile(selector))
	if len(found) != 1 {
		t.Fatalf("%d of %s", len(found), selector)
	}
	return found[0]
}

// TestCorrectionOfAVerdict: the page says so at its top, the claim beside it, the
// corrections page has it, and both versions stay at their addresses, linked both
// ways.
func TestCorrectionOfAVerdict(t *testing.T) {
	r := rewrittenSite(t)
	r.seal("2026-11-01T10:00:00+01:00")
	before := r.pages()
	r.edit(firstReading, "out_v = 18.90", correctionText(`"claim modest", "claim bold", "run r1"`, "It was called met; it is too close to call."))
	unit := "units/" + correctedSlug + "/"
	pending := r.pages()
	if got := content(one(t, pending[unit+"index.html"], "aside.corrected")); !strings.Contains(got, "3 November 2026: a verdict changed") || !strings.Contains(got, "version 1, as it was") {
		t.Errorf("the head says %q", got)
	}
	r.seal("2026-11-04T10:00:00+01:00")
	after := r.pages()
	page := after[unit+"index.html"]
	if got := content(one(t, page, "#claim-modest .corrected-at")); got != "Corrected: 3 November 2026" {
		t.Errorf("the claim says %q", got)
	}
	if got := content(one(t, page, ".sheet-number")); !strings.HasSuffix(got, "version 2 of 4 November 2026") {
		t.Errorf("the head has %q", got)
	}
	for _, at := range []string{page, after["corrections/index.html"]} {
		if got := content(one(t, at, itsCorrection)); !strings.Contains(got, "was met, now open (too close to call)") || !strings.Contains(got, "a viewer") || !strings.Contains(got, "A mistake was mended") {
			t.Errorf("the correction reads %q", got)
		}
	}
	first, second := after[unit+"v/1/index.html"], after[unit+"v/2/index.html"]
	if !strings.Contains(content(one(t, first, "main")), "(100.0 ± 3.3) W") || !strings.Contains(content(one(t, second, "main")), "(89.3 ± 2.9) W") {
		t.Error("the versions don't have what was sealed")
	}
	for at, want := range map[string]string{first: "a[rel=successor-version][href='../2/index.html']", second: "a[rel=predecessor-version][href='../1/index.html']"} {
		one(t, at, want)
	}
	for _, at := range []string{first, second} {
		one(t, at, "a[rel=latest-version][href='../../index.html']")
	}
	if before[unit+"v/1/sheet.json"] != after[unit+"v/1/sheet.json"] || before[unit+"v/1/sheet.json"] == "" {
		t.Error("a sealed sheet changed")
	}
}

// TestCorrectionWithoutAVerdict: it stands with the claim and in the list, and not
// at the top.
func TestCorrectionWithoutAVerdict(t *testing.T) {
	r := rewrittenSite(t)
	r.seal("2026-11-01T10:00:00+01:00")
	r.edit(firstReading, "out_v = 20.01", correctionText(`"claim modest", "claim bold", "run r1"`, "Nothing but the last digit."))
	page := r.pages()["units/"+correctedSlug+"/index.html"]
	if n := len(cascadia.QueryAll(parse(t, []byte(page)), cascadia.MustCompile("aside.corrected"))); n > 0 {
		t.Errorf("%d notes at the top", n)
	}
	one(t, page, "#claim-modest .corrected-at")
	one(t, page, itsCorrection)
}

// TestSealedThenUnchanged: without a correction nothing speaks of one, and what is
// published says which version it is.
func TestSealedThenUnchanged(t *testing.T) {
	r := rewrittenSite(t)
	r.seal("2026-11-01T10:00:00Z")
	pages := r.pages()
	page := pages["units/"+correctedSlug+"/index.html"]
	for _, selector := range []string{"aside.corrected", "article.correction", ".corrected-at"} {
		if n := len(cascadia.QueryAll(parse(t, []byte(page)), cascadia.MustCompile(selector))); n > 0 {
			t.Errorf("%d of %s", n, selector)
		}
	}
	if got := content(one(t, page, ".versions time")); got != "1 November 2026, 10:00 UTC" {
		t.Errorf("sealed %q", got)
	}
	if strings.Contains(pages["corrections/index.html"], correctedSlug) {
		t.Error("the corrections page has a unit without corrections")
	}
}

// TestCorrectionsPolicy: a site's own policy takes the place of the one that comes
// with the program; how to report an error stays.
func TestCorrectionsPolicy(t *testing.T) {
	r := rewrittenSite(t)
	name := filepath.Join(r.root, "content/prose/corrections.md")
	os.Remove(name)
	page := r.pages()["corrections/index.html"]
	one(t, page, "#policy")
	if err := os.WriteFile(name, []byte("# Mistakes\n\nWe *mend* them.\n\n## When\n\nAt once.\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	page = r.pages()["corrections/index.html"]
	if got := content(one(t, page, "h1")); got != "Mistakes" {
		t.Errorf("the heading is %q", got)
	}
	one(t, page, "#report")
	if strings.Contains(page, `id="policy"`) || !strings.Contains(page, "We <em>mend</em> them.") {
		t.Error("the site's own policy isn't there, or not alone")
	}
}

// TestHostileCorrections: what is typed into a correction, and kept in a ledger, is
// shown as it was written.
func TestHostileCorrections(t *testing.T) {
	r := rewrittenSite(t)
	r.seal("2026-11-01T10:00:00Z")
	r.edit(firstReading, "out_v = 18.90", strings.ReplaceAll(correctionText(`"claim modest", "claim bold", "run r1"`, "<script>alert(1)</script> {{.}}"), "a viewer", "<img src=x onerror=alert(1)>"))
	r.seal("2026-11-04T10:00:00Z")
	pages := r.pages()
	for _, at := range []string{"units/" + correctedSlug + "/index.html", "units/" + correctedSlug + "/v/2/index.html", "corrections/index.html"} {
		page := pages[at]
		if strings.Contains(page, "<script>alert") || strings.Contains(page, "<img src=x") {
			t.Errorf("%s: not escaped", at)
		}
		if got := content(one(t, page, itsCorrection)); !strings.Contains(got, "<script>alert(1)</script> {{.}}") || !strings.Contains(got, "<img src=x onerror=alert(1)>") {
			t.Errorf("%s: not as written: %q", at, got)
		}
	}
}
