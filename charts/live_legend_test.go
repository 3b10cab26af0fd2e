package charts

import (
	"encoding/json"
	"slices"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
)

// What has no room at its line is named at the foot of the live drawing as in the still, in each
// view as that view lies, and goes with its series.
func TestALegendIsLiveToo(t *testing.T) {
	ctx := browser(t)
	complaints := listen(ctx)
	for _, s := range demo(t) {
		if s.Slug != "dunnocrake-gorsehoop-2" { // with legends in both shapes, and names in two lines
			continue
		}
		all := All(s)
		address := pageOf(t, all...)
		for _, width := range []int64{1280, 390} {
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 1400), chromedp.Navigate(address)); err != nil {
				t.Fatal(err)
			}
			seen := 0
			for _, c := range all {
				id := "chart-" + c.ID
				evaluate[[]string](t, ctx, liveOf(id))
				sameMarks(t, ctx, id, width)
				var l liveChart
				if err := json.Unmarshal(c.Live, &l); err != nil {
					t.Fatal(err)
				}
				for v, view := range l.Views {
					legend := view.Wide.Legend
					if width < 700 {
						legend = view.Tall.Legend
					}
					names, kept := []string{}, []string{}
					for _, item := range legend {
						names = append(names, item.Text)
						if item.Series != legend[0].Series {
							kept = append(kept, item.Text)
						}
					}
					press := func(group string, n int) {
						evaluate[any](t, ctx, `document.querySelectorAll('#`+id+` .chart-`+group+` button')[`+strconv.Itoa(n)+`]?.click()`)
					}
					rows := func() []string {
						return evaluate[[]string](t, ctx, `[...document.querySelectorAll('#`+id+` .chart-legend text')].map((e) => e.textContent)`)
					}
					press("scales", v)
					if got := rows(); !slices.Equal(got, names) {
						t.Errorf("%s %s, %d px, in %s: the legend says %q, want %q", s.Slug, c.ID, width, view.ID, got, names)
					}
					if len(legend) == 0 || len(l.Series) < 2 {
						continue
					}
					seen++
					press("parts", legend[0].Series)
					if got := rows(); !slices.Equal(got, kept) {
						t.Errorf("%s %s, %d px, in %s: with a series off the legend says %q, want %q", s.Slug, c.ID, width, view.ID, got, kept)
					}
					press("parts", legend[0].Series)
				}
			}
			if seen == 0 {
				t.Errorf("%s, %d px: no legend was seen", s.Slug, width)
			}
		}
	}
	if text := complaints.String(); text != "" {
		t.Error(text)
	}
}
