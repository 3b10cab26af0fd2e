package site

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// The page at an old address leads to the new one, to the same place in it, also from a disk.
func TestMovedPageKeepsThePlace(t *testing.T) {
	root := several(t)
	appended("content/site.toml", otterMoved)(t, root)
	built(t, root, "public", today)
	ctx := inBrowser(t)
	old := "file://" + filepath.ToSlash(filepath.Join(root, "public/units/otter/index.html"))
	for _, place := range []string{"#run-r1", ""} {
		open(t, ctx, old+place)
		got := ""
		for range 100 { // a page that is being left answers nothing
			if got, _ = chromedp.Run(ctx, chromedp.Evaluate[string]("location.href")); strings.Contains(got, "/ottersprocket-20/") {
				break
			}
			time.Sleep(20 * time.Millisecond)
		}
		if !strings.HasSuffix(got, "/units/ottersprocket-20/index.html"+place) {
			t.Errorf("from %q the page leads to %s", place, got)
		}
	}
}
