package site

import (
	"path/filepath"
	"testing"
)

// A card is drawn where what it says is another, or where the folder doesn't have it.
func TestCardThatSaysTheSameIsNotDrawn(t *testing.T) {
	root := several(t)
	card := "units/badgercog-1/" + cardName
	cards := func(what string, want int) {
		t.Helper()
		if got := built(t, root, "public", today).Cards; got != want {
			t.Errorf("%s: %d cards were drawn, want %d", what, got, want)
		}
		if odd := unlike(tree(t, filepath.Join(root, "public")), afresh(t, root, today)); len(odd) > 0 {
			t.Errorf("%s: not as a first build makes it: %v", what, odd)
		}
	}
	cards("at first", 6)
	cards("nothing", 0)
	replaceIn(t, root, "content/bench.toml", "[[load]]", "# looked through in autumn\n[[load]]")
	cards("a comment on the bench", 0)
	record := "content/units/badgercog-1/record.toml"
	replaceIn(t, root, record, "[unit]", "# a comment\n[unit]")
	cards("a comment in a record", 0)
	replaceIn(t, root, record, "19.3", "17.3")
	cards("another reading", 1)
	put(t, root, "public/"+card, "not a card")
	cards("a card that was written over", 1)
	replaceIn(t, root, "content/bench.toml", "# looked through in autumn\n", "")
	put(t, root, "public/"+card, "not a card")
	cards("both", 1)
}
