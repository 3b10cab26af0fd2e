package preview

import (
	"errors"
	"fmt"
	"slices"

	"wattsheet/generator/record"
)

// Faults are what keeps single pages from being made though the content is right: as a rule mistakes in a theme's
// templates, which are only met when a page is made. As with mistakes in the content, the last good page stays.
type faults struct {
	good []page         // the last pages that were made, the latest last; under the hub's lock
	told map[string]int // what the teller was told: the text, by the last state that had it; under the hub's lock
	// broken are the pages that couldn't be made when they were last asked for, with why; under the hub's lock
	broken map[string]string
	tell   Teller
}

// mostGood is how many pages are remembered as they were made last: those that are open, with what they load.
const mostGood = 64

// remember notes that a page was made, or, where there is none any more, forgets it.
func (h *hub) remember(path string, p *page) {
	h.lock.Lock()
	defer h.lock.Unlock()
	h.good = slices.DeleteFunc(h.good, func(one page) bool { return one.path == path })
	if p == nil {
		return
	}
	if len(h.good) == mostGood {
		h.good = slices.Delete(h.good, 0, 1)
	}
	h.good = append(h.good, *p)
}

// lastGood is a page as it was made last.
func (h *hub) lastGood(path string) (last page, was bool) {
	h.lock.Lock()
	defer h.lock.Unlock()
	if i := slices.IndexFunc(h.good, func(one page) bool { return one.path == path }); i >= 0 {
		return h.good[i], true
	}
	return last, false
}

// faulty is what is served for a page that can't be made: the last good one, as far as there was one, or one that says
// what is wrong. The teller hears of it, once while it lasts.
func (h *hub) faulty(s *state, path string, err error) page {
	p := ownPage(s, path, err)
	if last, was := h.lastGood(path); was {
		p = last
	}
	h.lock.Lock()
	text := err.Error()
	last, known := h.told[text]
	if h.told == nil {
		h.told, h.broken = map[string]int{}, map[string]string{}
	}
	h.told[text], h.broken[path] = s.number, text
	h.lock.Unlock()
	p.wrong = wrongIn(path, err)
	if known && last >= s.number-1 {
		return p
	}
	if problems, are := errors.AsType[record.Problems](err); are {
		h.tell.Trouble(problems)
	} else {
		h.tell.Trouble(fmt.Errorf("%s can't be made: %w", path, err))
	}
	return p
}

// mended notes that a page is made. The teller hears of it where that page was broken, once for all that were for the same
// reason.
func (h *hub) mended(s *state, path string) {
	h.lock.Lock()
	text, was := h.broken[path]
	last, told := h.told[text]
	delete(h.broken, path)
	if was = was && told && last < s.number; was {
		delete(h.told, text)
	}
	h.lock.Unlock()
	if was {
		h.tell.Mended(path)
	}
}

// wrongIn is what keeps a page from being made, as problems are shown.
func wrongIn(path string, err error) (shown []record.Shown) {
	problems, are := errors.AsType[record.Problems](err)
	if !are {
		p := whole(err)
		p.Summary = path + " can't be made: " + p.Summary
		problems = record.Problems{p}
	}
	for _, p := range problems {
		if p.Severity == record.Error {
			shown = append(shown, p.Shown())
		}
	}
	return shown
}
