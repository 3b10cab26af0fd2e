package preview

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"wattsheet/testdata/lifetime"
)

// On a page of thirty runs, of which much is laid out late, the reader stays where they were: within the table of runs,
// behind it, and at the end.
func TestLongPageKeepsItsPlace(t *testing.T) {
	ctx := inBrowser(t)
	root := t.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		t.Fatal(err)
	}
	slug := lifetime.UnitOf(0).Slug
	record := filepath.Join(root, "content/units", slug, "record.toml")
	text, err := os.ReadFile(record)
	if err != nil {
		t.Fatal(err)
	}
	address := begun(t, withTheme(t, root), root)
	for _, width := range []int64{390, 1440} {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 800), chromedp.Navigate(address+"/units/"+slug+"/")); err != nil {
			t.Fatal(err)
		}
		for i, place := range []string{"run-r20", "notes", "cite", "run-r03"} {
			top := fmt.Sprintf(`document.getElementById(%q).getBoundingClientRect().top`, place)
			js[bool](t, ctx, fmt.Sprintf(`(document.getElementById(%q).scrollIntoView({ behavior: 'instant' }), scrollBy(0, -100 - %d), true)`, place, i))
			time.Sleep(500 * time.Millisecond) // what came near is laid out; the stream is there
			before := js[float64](t, ctx, top)
			model := fmt.Sprintf("W%d-%d", width, i)
			if err := os.WriteFile(record, []byte(modelIs(string(text), model)), 0o666); err != nil {
				t.Fatal(err)
			}
			soon(t, ctx, fmt.Sprintf(`document.readyState === 'complete' && document.title.includes(%q)`, model))
			time.Sleep(300 * time.Millisecond)
			if after := js[float64](t, ctx, top); math.Abs(after-before) > 2 {
				t.Errorf("%d px wide, %s: %.1f px below the window's top before, %.1f after", width, place, before, after)
			}
		}
	}
}
