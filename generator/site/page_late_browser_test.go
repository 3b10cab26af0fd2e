package site

import (
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// laidOutLate are the parts of a page that are laid out only near the window: how high each is before, as the style guesses,
// and how high it is. The first items of a list aren't among them, nor a table of few runs: each is made longer by its own items.
const laidOutLate = `(() => {
	for (const item of document.querySelectorAll('.unit, .sheet-row, .ranked-row, .wide > .table-box tbody')) {
		for (let n = 0; n < 3; n++) item.after(item.cloneNode(true));
	}
	const late = [...document.querySelectorAll('main *')].filter((one) => getComputedStyle(one).contentVisibility === 'auto' && one.checkVisibility());
	const heights = () => late.map((one) => one.getBoundingClientRect().height);
	for (const one of late) one.style.contentVisibility = 'visible';
	const is = heights();
	for (const one of late) one.style.contentVisibility = 'hidden';
	return [heights(), is];
})()`

// What is laid out late has about the height before that it has then, so that neither the page's length nor a place in it
// moves while it is read.
func TestLatePartsHaveTheirHeightBefore(t *testing.T) {
	_, dir := published(t)
	ctx := inBrowser(t)
	for _, page := range []string{"index.html", "loads/4-ohm/index.html", "makers/copperdaub/index.html", "methodology/index.html", "units/copperdaub-hedgeclank-900/index.html"} {
		for _, width := range []int64{390, 1440} {
			open(t, ctx, "file://"+filepath.ToSlash(filepath.Join(dir, page)))
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 900)); err != nil {
				t.Fatal(err)
			}
			got, err := chromedp.Run(ctx, chromedp.Evaluate[[2][]float64](laidOutLate))
			if err != nil {
				t.Fatal(err)
			}
			guessed, is := got[0], got[1]
			if len(is) < 3 {
				t.Errorf("%s at %d px: only %d parts are laid out late", page, width, len(is))
				continue
			}
			of, all := 0., 0.
			for i := range is {
				of, all = of+guessed[i], all+is[i]
				if ratio := guessed[i] / is[i]; ratio < 0.35 || ratio > 2.5 {
					t.Errorf("%s at %d px: part %d is guessed %.0f px high, and is %.0f", page, width, i+1, guessed[i], is[i])
				}
			}
			if ratio := of / all; ratio < 0.8 || ratio > 1.25 {
				t.Errorf("%s at %d px: all are guessed %.0f px high, and are %.0f", page, width, of, all)
			}
		}
	}
}
