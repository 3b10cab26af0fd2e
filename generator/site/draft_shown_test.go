package site

import (
	"strings"
	"testing"
)

// A picture of another content, with the name and the size of the one before, leaves the pages that show it as they were:
// what they show is another all the same, and no other page's. A picture that is cut short counts for nothing until it is
// whole, and the same one again is the same.
func TestShowsIsAnotherWithThePicture(t *testing.T) {
	root, d := draftedSite(t)
	page, other := dormousePage(t, d), openedAt(t, d, "units/badgercog-1/index.html")
	if !strings.Contains(page, "/pictures/top-") || d.Shows([]byte(other)) != "" {
		t.Fatalf("the pages show %q and %q", d.Shows([]byte(page)), d.Shows([]byte(other)))
	}
	first := d.Shows([]byte(page))
	was := string(pngOf(t, 40, 30))
	step := func(what, picture string, same bool) {
		t.Helper()
		before := d.Shows([]byte(page))
		put(t, root, dormouse+"top.png", picture)
		refreshed(t, d, today, dormouse+"top.png")
		if now := dormousePage(t, d); now != page {
			t.Fatalf("%s: the page is another", what)
		}
		if (d.Shows([]byte(page)) == before) != same {
			t.Errorf("%s: shows %q after %q", what, d.Shows([]byte(page)), before)
		}
	}
	step("as it is", was, true)
	step("another", pngText(t, slope(40, 30)), false)
	step("half of one", was[:len(was)/2], true)
	step("the first again", was, false)
	if d.Shows([]byte(page)) != first {
		t.Errorf("shows %q, and %q at first", d.Shows([]byte(page)), first)
	}
}

func dormousePage(t *testing.T, d *Draft) string {
	t.Helper()
	return openedAt(t, d, strings.TrimPrefix(dormouse, "content/")+"index.html")
}
