package site

import (
	"os"
	"path/filepath"
	"testing"

	"wattsheet/generator/plan"
)

// A bench plan's checklist keeps to a phone's screen, too, at the bench: nothing of it lies
// outside, and its text not at the very edge.
func TestChecklistOnAPhone(t *testing.T) {
	t.Parallel() // beside others that wait for other programs
	s, _ := demo()
	ctx := inBrowser(t)
	file := filepath.Join(t.TempDir(), "plan.html")
	for _, one := range s.Sheets {
		if err := os.WriteFile(file, plan.Make(s.Content, one.Record, "2026-11-26").Page(), 0o666); err != nil {
			t.Fatal(err)
		}
		visit(t, ctx, "file://"+file, "light", 390)
		if wide := js[float64](t, ctx, `document.documentElement.scrollWidth`); wide > 390 {
			t.Errorf("%s: %v px wide at 390 px", one.Slug, wide)
		}
		if left := js[float64](t, ctx, `document.querySelector("h1").getBoundingClientRect().left`); left < 8 {
			t.Errorf("%s: the text begins %v px from the edge", one.Slug, left)
		}
	}
}
