package preview

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"wattsheet/generator/site"
	"wattsheet/testdata/lifetime"
)

// BenchmarkSaveToRepaintOfADraft measures from a save of a record until the browser paints its unit's page anew, with a
// site of LIFETIME_UNITS units (100 if not said; LIFETIME_SITE names one that stands), beside the bare loop, which has the
// page at hand and only puts the new model into it. What differs is what decoding, checking, evaluating and making the page
// cost, and this room. The bare loop and the preview take turns with each save, as the machine's speed changes within
// seconds, and turns in which of them comes first: more-ms is the median of what the preview took more in a turn. The row
// "template" saves a template of the site's own theme instead.
func BenchmarkSaveToRepaintOfADraft(b *testing.B) {
	units := 100
	if text := os.Getenv("LIFETIME_UNITS"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil {
			b.Fatal(err)
		}
		units = n
	}
	root := b.TempDir()
	if made := os.Getenv("LIFETIME_SITE"); made != "" {
		if err := os.CopyFS(filepath.Join(root, "content"), os.DirFS(filepath.Join(made, "content"))); err != nil {
			b.Fatal(err)
		}
	} else if err := lifetime.Write(root, units); err != nil {
		b.Fatal(err)
	}
	slug := lifetime.UnitOf(units / 2).Slug
	record := filepath.Join(root, "content/units", slug, "record.toml")
	page := "units/" + slug + "/index.html"
	draft := withTheme(b, root)
	made, err := draft.Open(page)
	if err != nil {
		b.Fatal(err)
	}
	ctx := inBrowser(b) // it has its time from here
	settle()
	template := filepath.Join(root, "themes/own/pages/unit.html")
	b.Run("record", func(b *testing.B) {
		text, err := os.ReadFile(record)
		if err != nil {
			b.Fatal(err)
		}
		defer os.WriteFile(record, text, 0o666)
		apart := filepath.Join(b.TempDir(), "record.toml") // of which the draft doesn't hear
		if err := os.WriteFile(apart, text, 0o666); err != nil {
			b.Fatal(err)
		}
		e := &edited{
			fake: &fake{files: map[string]string{page: string(made.Bytes)}, opened: map[string]int{}},
			file: apart, page: page, text: string(made.Bytes), model: modelOf(string(text)),
		}
		for _, o := range assetsOf(b, draft, string(made.Bytes)) {
			e.files[o.Path] = string(o.Bytes)
		}
		bare := saves{apart, string(text), modelIs, withNothing(b, e) + "/" + page}
		preview := saves{record, string(text), modelIs, begun(b, draft, root) + "/" + page}
		var took [2][]float64
		var more []float64
		for n := range b.N {
			for i := range 2 {
				i ^= n % 2 // who comes second has another page to leave
				took[i] = append(took[i], []saves{bare, preview}[i].repainted(b, ctx, 1)...)
			}
			more = append(more, took[1][n]-took[0][n])
		}
		b.ReportMetric(median(took[0]), "bare-ms")
		b.ReportMetric(median(took[1]), "preview-ms")
		b.ReportMetric(median(more), "more-ms")
		b.ReportMetric(0, "ns/op")
	})
	b.Run("template", func(b *testing.B) {
		text, err := os.ReadFile(template)
		if err != nil {
			b.Fatal(err)
		}
		defer os.WriteFile(template, text, 0o666)
		s := saves{template, string(text), headingIs, begun(b, draft, root) + "/" + page}
		b.ReportMetric(median(s.repainted(b, ctx, b.N)), "preview-ms")
		b.ReportMetric(0, "ns/op")
	})
}

// Saves are saves of a file that a page follows.
type saves struct {
	file, text string
	to         func(text, mark string) string
	address    string
}

// repainted opens the page, and gives for each of n saves how long it took until it was painted anew, in milliseconds.
func (s saves) repainted(b *testing.B, ctx context.Context, n int) (took []float64) {
	b.Helper()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1000, 700), chromedp.Navigate(s.address)); err != nil {
		b.Fatal(err)
	}
	time.Sleep(time.Second) // the page has its stream
	for range n {
		saved := time.Now()
		mark := fmt.Sprintf("save-%d", saved.UnixNano())
		if err := os.WriteFile(s.file, []byte(s.to(s.text, mark)), 0o666); err != nil {
			b.Fatal(err)
		}
		took = append(took, paintedWith(b, ctx, mark)-float64(saved.UnixMicro())/1000)
		time.Sleep(500 * time.Millisecond) // nobody saves faster
	}
	return took
}

func median(of []float64) float64 {
	of = slices.Sorted(slices.Values(of))
	return of[len(of)/2]
}

// settle waits until what was written before is on the disk: after a site was made ready for the bench, the system writes
// for minutes beside what is measured.
func settle() {
	exec.Command("sync").Run() // where there is none, the wait has to do
	time.Sleep(2 * time.Second)
}

// withTheme is a draft of a site with a template of its own, looked at.
func withTheme(b testing.TB, root string) *site.Draft {
	b.Helper()
	for name, to := range map[string]string{"content/site.toml": "theme = \"own\"\n", "themes/own/pages/unit.html": ""} {
		path := filepath.Join(root, name)
		from := path
		if strings.HasPrefix(name, "themes") {
			from = "../../themes/default/pages/unit.html"
		}
		text, err := os.ReadFile(from)
		if err == nil {
			err = os.MkdirAll(filepath.Dir(path), 0o777)
		}
		if err == nil {
			err = os.WriteFile(path, append([]byte(to), text...), 0o666)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
	draft, err := site.OpenDraft(root)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(draft.Close)
	if _, err := draft.Refresh(time.Now(), nil); err != nil {
		b.Fatal(err)
	}
	if r, err := draft.Sweep(nil); err != nil || r.Problems.Errors() {
		b.Fatal(err, r.Problems)
	}
	return draft
}

// assetsOf opens what a page's head names.
func assetsOf(b *testing.B, draft *site.Draft, page string) (out []site.Output) {
	b.Helper()
	for _, part := range strings.Split(page, `"../../assets/`)[1:] {
		name, _, _ := strings.Cut(part, `"`)
		if o, err := draft.Open("assets/" + name); err == nil {
			out = append(out, o)
		}
	}
	return out
}

// modelOf is the model of a record.
func modelOf(text string) string {
	_, rest, _ := strings.Cut(text, "model = \"")
	model, _, _ := strings.Cut(rest, "\"")
	return model
}

// modelIs is a record with another model.
func modelIs(text, mark string) string {
	model := modelOf(text)
	return strings.Replace(text, "model = \""+model+"\"", "model = \""+mark+"\"", 1)
}

// headingIs is a template with a word before the unit's name.
func headingIs(text, mark string) string {
	return strings.Replace(text, "<h1", "<p>"+mark+"</p><h1", 1)
}

// paintedWith waits for a page that has a text and gives when it was painted first, in milliseconds since 1970.
func paintedWith(b *testing.B, ctx context.Context, text string) float64 {
	b.Helper()
	script := fmt.Sprintf(`document.body && (document.title + document.body.textContent).includes(%q) && performance.getEntriesByName('first-contentful-paint').length ? performance.timeOrigin + performance.getEntriesByName('first-contentful-paint')[0].startTime : 0`, text)
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if at, err := chromedp.Run(ctx, chromedp.Evaluate[float64](script)); err == nil && at > 0 {
			return at
		}
	}
	b.Fatalf("%q never came", text)
	return 0
}
