package charts

import "testing"

// Of a thousand marks at one place each is held against all before it: none of them takes
// room of its own for that.
func TestDodgingManyMarksTakesNoRoom(t *testing.T) {
	placed := make([]box, 1000)
	for i := range placed {
		placed[i] = box{float64(i % 50), 0, float64(i%50) + 8, 8}
	}
	beside := make([]box, 0, len(placed))
	at := box{20, 0, 28, 8}
	if n := testing.AllocsPerRun(10, func() { freeOffset(at, placed, beside) }); n > 0 {
		t.Errorf("%g pieces of memory a mark", n)
	}
	if got := freeOffset(at, placed, beside); got != -28 {
		t.Errorf("the mark is moved by %g, want 28 to the left: free of those from 0 on", got)
	}
}
