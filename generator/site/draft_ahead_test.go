package site

import (
	"strings"
	"testing"
)

// What is begun while a change settles comes out as without it, is counted once, and is not made again.
func TestAhead(t *testing.T) {
	root, d := draftedSite(t)
	const page, other, record = "units/fieldfarelug-1/index.html", "units/badgercog-1/index.html", fieldfare + "record.toml"
	made := func(slug string) bool {
		p := d.units[slug].part
		return p != nil && len(p.opened[kindPage].outputs) > 0
	}
	was := openedAt(t, d, page)
	text := tree(t, root)[record]
	put(t, root, record, text[:len(text)/2]+"\"half")
	d.Ahead(today, []string{record}, []string{page, other, "index.html", "units/none/index.html"})
	if openedAt(t, d, page) != was {
		t.Error("half a record makes another page")
	}
	put(t, root, record, strings.Replace(text, "out_v = 23.3", "out_v = 23.4", 1))
	ahead := d.Ahead(today, []string{record}, []string{page, other})
	if !made("fieldfarelug-1") || made("badgercog-1") {
		t.Error("the page of the unit that changed, and no other, should be made")
	}
	part := d.units["fieldfarelug-1"].part
	if got := refreshed(t, d, today, record); got.Evaluated != 1 || got.Problems.Errors() {
		t.Errorf("%d units were evaluated: %v", got.Evaluated, got.Problems)
	}
	if d.units["fieldfarelug-1"].part != part {
		t.Error("the unit is made twice")
	}
	if got := openedAt(t, d, page); got == was || got != afresh(t, root, today)[page] {
		t.Error("the page isn't what a build makes")
	} else if len(ahead) != 1 || ahead[0].Path != page || string(ahead[0].Bytes) != got {
		t.Errorf("ahead came %d pages, or another one", len(ahead))
	}
	if got := refreshed(t, d, today, record); got.Evaluated != 0 {
		t.Errorf("%d units were evaluated for nothing", got.Evaluated)
	}
	was = openedAt(t, d, page)
	replaceIn(t, root, "content/site.toml", "title = \"", "title = \"Late ")
	d.Ahead(today, []string{"content/site.toml"}, []string{page})
	d.Ahead(today, nil, []string{page})
	if openedAt(t, d, page) != was {
		t.Error("what concerns all units was begun")
	}
	refreshed(t, d, today, "content/site.toml")
	if got := openedAt(t, d, page); got == was || got != afresh(t, root, today)[page] {
		t.Error("a page that was opened before stays when what all share changes")
	}
}
