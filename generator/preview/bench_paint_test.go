package preview

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"wattsheet/testdata/lifetime"
)

// BenchmarkFirstPaint measures until a browser paints the pages of a site of 100 units first, as readers load them, in
// turns with the same pages whose style lays out all of them at once.
func BenchmarkFirstPaint(b *testing.B) {
	root := b.TempDir()
	if err := lifetime.Write(root, 100); err != nil {
		b.Fatal(err)
	}
	draft := withTheme(b, root)
	ctx := inBrowser(b)
	server := httptest.NewServer(http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		path, whole := strings.CutPrefix(r.URL.Path, "/whole/")
		if !whole {
			path = strings.TrimPrefix(r.URL.Path, "/late/")
		}
		made, err := draft.Open(path)
		if err != nil {
			http.NotFound(rw, r)
			return
		}
		text := string(made.Bytes)
		if whole && strings.HasSuffix(path, ".css") {
			text = strings.ReplaceAll(text, "content-visibility: auto", "content-visibility: visible")
		}
		rw.Header().Set("Content-Type", contentType(path))
		rw.Header().Set("Cache-Control", "no-store")
		_, _ = rw.Write([]byte(text))
	}))
	b.Cleanup(server.Close)
	settle()
	unit := lifetime.UnitOf(50).Slug
	maker, _, _ := strings.Cut(unit, "-")
	for kind, page := range map[string]string{"unit": "units/" + unit + "/", "front": "", "load": "loads/4-ohm/", "maker": "makers/" + maker + "/", "methodology": "methodology/"} {
		b.Run(kind, func(b *testing.B) {
			var took [2][]float64
			for range b.N {
				for i, how := range []string{"/whole/", "/late/"} {
					if err := chromedp.Do(ctx, chromedp.EmulateViewport(1000, 700), chromedp.Navigate(server.URL+how+page+"index.html")); err != nil {
						b.Fatal(err)
					}
					took[i] = append(took[i], firstPaint(b, ctx))
				}
			}
			b.ReportMetric(median(took[0]), "whole-ms")
			b.ReportMetric(median(took[1]), "late-ms")
			b.ReportMetric(median(took[1])/median(took[0]), "of-whole")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// firstPaint is how long the page that is open took until it was painted first, in milliseconds.
func firstPaint(b *testing.B, ctx context.Context) float64 {
	b.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		script := `performance.getEntriesByType('navigation')[0].loadEventEnd && performance.getEntriesByName('first-contentful-paint')[0]?.startTime || 0`
		if took, err := chromedp.Run(ctx, chromedp.Evaluate[float64](script)); err == nil && took > 0 {
			return took
		}
	}
	b.Fatal("the page was never painted")
	return 0
}
