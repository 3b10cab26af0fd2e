package preview

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/fsnotify/fsnotify"

	"wattsheet/generator/site"
)

// BenchmarkSaveToRepaint measures from a save until the browser paints the page anew: of this preview, and of the least
// that can do it with the same settling time (one watch, one stream, one reload). Both serve the demo's fullest page, made
// anew by putting in a text; so what differs is what this room costs.
func BenchmarkSaveToRepaint(b *testing.B) {
	ctx := inBrowser(b)
	whole := demo(b).files
	const name = "units/copperdaub-hedgeclank-900/index.html"
	for kind, begin := range map[string]func(*testing.B, *edited) string{"preview": withPreview, "bare": withNothing} {
		b.Run(kind, func(b *testing.B) {
			dir := b.TempDir()
			e := &edited{fake: &fake{files: whole, opened: map[string]int{}, folders: []string{dir}}, file: filepath.Join(dir, "record.toml"), page: name, text: whole[name]}
			if err := e.save("began"); err != nil {
				b.Fatal(err)
			}
			address := begin(b, e)
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(1000, 700), chromedp.Navigate(address+"/units/copperdaub-hedgeclank-900/index.html")); err != nil {
				b.Fatal(err)
			}
			time.Sleep(time.Second)
			var took []float64
			for i := range b.N {
				title := fmt.Sprintf("save %d", i)
				saved := time.Now()
				if err := e.save(title); err != nil {
					b.Fatal(err)
				}
				took = append(took, paintedAt(b, ctx, title)-float64(saved.UnixMicro())/1000)
				time.Sleep(500 * time.Millisecond) // nobody saves faster, and the page has its stream again
			}
			slices.Sort(took)
			b.ReportMetric(took[len(took)/2], "ms-median")
			b.ReportMetric(took[len(took)*9/10], "ms-p90")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// paintedAt waits for a page of this title and gives when it was painted first, in milliseconds since 1970.
func paintedAt(b *testing.B, ctx context.Context, title string) float64 {
	script := fmt.Sprintf(`document.title === %q && performance.getEntriesByName('first-contentful-paint').length ? performance.timeOrigin + performance.getEntriesByName('first-contentful-paint')[0].startTime : 0`, title)
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if at, err := chromedp.Run(ctx, chromedp.Evaluate[float64](script)); err == nil && at > 0 {
			return at
		}
	}
	b.Fatalf("%q never came", title)
	return 0
}

// An edited source has one page, whose title is what its file holds; or, where the file is a record, which has that
// record's model in all places that had model.
type edited struct {
	*fake
	file, page, text, model string
}

func (e *edited) save(title string) error { return os.WriteFile(e.file, []byte(title), 0o666) }

func (e *edited) made() string {
	title, _ := os.ReadFile(e.file)
	if e.model != "" {
		return strings.ReplaceAll(e.text, e.model, modelOf(string(title)))
	}
	before, rest, _ := strings.Cut(e.text, "<title>")
	_, after, _ := strings.Cut(rest, "</title>")
	return before + "<title>" + string(title) + "</title>" + after
}

func (e *edited) Refresh(asOf time.Time, names []string) (site.Refreshed, error) {
	e.set(map[string]string{e.page: e.made()})
	return e.fake.Refresh(asOf, names)
}

func withPreview(b *testing.B, e *edited) string { return begun(b, e, filepath.Dir(e.file)) }

// begun begins a preview of a source, and gives its address once it has a first state.
func begun(b testing.TB, source Source, root string) string {
	b.Helper()
	n := &notes{}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() {
		ended <- Run(ctx, Options{Source: source, Root: root, Clock: time.Now, Teller: n})
	}()
	b.Cleanup(func() { cancel(); <-ended })
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(time.Millisecond) {
		if own, _, made, _ := n.all(); len(made) > 0 {
			return strings.TrimSuffix(own[0], "/")
		}
	}
	b.Fatal("the preview never began")
	return ""
}

// withNothing is the bare loop: after each change, once it has settled, every page is told to load itself again.
func withNothing(b *testing.B, e *edited) string {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { w.Close() })
	if err := w.Add(filepath.Dir(e.file)); err != nil {
		b.Fatal(err)
	}
	changed := make(chan bool)
	go func() {
		var settled <-chan time.Time
		for {
			select {
			case _, ok := <-w.Events:
				if !ok {
					return
				}
				settled = time.After(quiet)
			case <-settled:
				settled = nil
				changed <- true
			}
		}
	}()
	server := httptest.NewServer(http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		rw.Header().Set("Cache-Control", "no-store")
		path := strings.TrimPrefix(r.URL.Path, "/")
		switch path {
		case "events":
			rw.Header().Set("Content-Type", "text/event-stream")
			_ = http.NewResponseController(rw).Flush()
			select {
			case <-changed:
				fmt.Fprint(rw, "data: x\n\n")
				_ = http.NewResponseController(rw).Flush()
			case <-r.Context().Done():
			}
		case "reload.js":
			rw.Header().Set("Content-Type", contentType(path))
			fmt.Fprint(rw, `new EventSource('/events').onmessage = () => location.reload()`)
		case e.page:
			rw.Header().Set("Content-Type", contentType(path))
			fmt.Fprint(rw, strings.Replace(strings.Replace(e.made(), "default-src 'none'", "default-src 'none'; connect-src 'self'", 1), "</head>", `<script defer src="/reload.js"></script></head>`, 1))
		default:
			rw.Header().Set("Content-Type", contentType(path))
			fmt.Fprint(rw, e.files[path])
		}
	}))
	b.Cleanup(func() { server.CloseClientConnections(); server.Close() })
	return server.URL
}
