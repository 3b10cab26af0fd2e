package preview

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// A hub knows the state of the site and wakes who waits for a change of it.
type hub struct {
	source Source
	ready  chan struct{} // closed when there is a first state
	unsure atomic.Bool   // the source has a mistake that may be one for a moment: nothing is gone for good meanwhile

	lock    sync.Mutex
	now     *state
	waiting map[chan struct{}][]string // the paths of the pages that each waits for
	ahead   []page                     // what pages will be, as it seems: see expect
	faults
}

// A state is the site between two changes. What is made of it is kept until the next: a page that was compared is the
// page that is served then.
type state struct {
	number   int
	problems []byte // as pages get them
	list     []record.Shown
	errors   int

	lock  sync.Mutex
	pages map[string]*making
}

// A making is one page that is made once, for all who want it.
type making struct {
	once sync.Once
	page page
}

func newHub(source Source, tell Teller) *hub {
	return &hub{source: source, ready: make(chan struct{}), waiting: map[chan struct{}][]string{}, faults: faults{tell: tell}}
}

// publish begins a new state of the site.
func (h *hub) publish(problems record.Problems) {
	s := &state{pages: map[string]*making{}}
	for _, severity := range []record.Severity{record.Error, record.Warning} {
		for _, p := range problems {
			if p.Severity == severity {
				s.list = append(s.list, p.Shown())
			}
		}
		if severity == record.Error {
			s.errors = len(s.list)
		}
	}
	s.problems = problemsJSON(s.list)
	h.lock.Lock()
	defer h.lock.Unlock()
	if h.now == nil {
		close(h.ready)
	} else {
		s.number = h.now.number + 1
	}
	h.now = s
	for wake := range h.waiting {
		select {
		case wake <- struct{}{}:
		default: // it will see this state too when it wakes
		}
	}
}

// most is how many problems a page shows; there are more only in files that are something else altogether.
const most = 200

// problemsJSON writes problems for the script: it shows them as text only.
func problemsJSON(list []record.Shown) []byte {
	more := max(0, len(list)-most)
	if list == nil {
		list = []record.Shown{}
	}
	data, err := json.Marshal(struct {
		List []record.Shown
		More int
	}{list[:len(list)-more], more})
	if err != nil {
		panic(err) // texts and numbers only
	}
	return data
}

// current waits for the first state and gives the present one; nil when the context ended before.
func (h *hub) current(ctx context.Context) *state {
	select {
	case <-h.ready:
	case <-ctx.Done():
		return nil
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	return h.now
}

// listened are the paths of the pages that are open anywhere.
func (h *hub) listened() (paths []string) {
	h.lock.Lock()
	defer h.lock.Unlock()
	for _, some := range h.waiting {
		paths = append(paths, some...)
	}
	slices.Sort(paths)
	return slices.Compact(paths)
}

// listen gives a channel that is woken when there is a new state of these pages, and what ends that.
func (h *hub) listen(pages []string) (wake chan struct{}, end func()) {
	wake = make(chan struct{}, 1)
	h.lock.Lock()
	defer h.lock.Unlock()
	h.waiting[wake] = pages
	return wake, func() {
		h.lock.Lock()
		defer h.lock.Unlock()
		delete(h.waiting, wake)
	}
}

// kept gives a page of a state that is made once, for listeners and whoever asks for it afterwards.
func (h *hub) kept(s *state, path string) page {
	s.lock.Lock()
	m := s.pages[path]
	if m == nil {
		m = &making{}
		s.pages[path] = m
	}
	s.lock.Unlock()
	m.once.Do(func() { m.page = h.make(s, path) })
	return m.page
}

// open gives a page: the kept one where a listener had it made already.
func (h *hub) open(s *state, path string) page {
	s.lock.Lock()
	_, there := s.pages[path]
	s.lock.Unlock()
	if there {
		return h.kept(s, path)
	}
	return h.make(s, path)
}

// make makes the file of a path below the site's root, or the page that says why there is none.
func (h *hub) make(s *state, path string) (made page) {
	defer func() {
		if fault := recover(); fault != nil {
			made = h.faulty(s, path, faultOf(fault))
		}
	}()
	out, err := h.source.Open(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if last, was := h.lastGood(path); was && (s.errors > 0 || h.unsure.Load()) {
			return last
		}
		h.remember(path, nil)
		return ownPage(s, path, nil)
	case err != nil:
		return h.faulty(s, path, err)
	}
	made = h.expected(out)
	h.remember(path, &made)
	h.mended(s, path)
	return made
}

// expect makes ready what the source will give when a change has settled, if nothing else comes.
func (h *hub) expect(outputs []site.Output) {
	ahead := make([]page, len(outputs))
	for i, out := range outputs {
		ahead[i] = sitePage(out, h.shows(out))
	}
	h.lock.Lock()
	defer h.lock.Unlock()
	h.ahead = ahead
}

// expected is a file of the site as it is served: made ready before, if it came as expected.
func (h *hub) expected(out site.Output) page {
	shows := h.shows(out)
	h.lock.Lock()
	ahead := h.ahead
	h.lock.Unlock()
	for _, p := range ahead {
		if p.path == out.Path && p.shows == shows && bytes.Equal(p.body, out.Bytes) {
			return p
		}
	}
	return sitePage(out, shows)
}

// shows is what a page shows beside its bytes; of other files nothing.
func (h *hub) shows(out site.Output) string {
	if !strings.HasPrefix(contentType(out.Path), "text/html") {
		return ""
	}
	return h.source.Shows(out.Bytes)
}

// sitePage is a file of the site as it is served.
func sitePage(out site.Output, shows string) page {
	p := page{status: 200, kind: contentType(out.Path), path: out.Path, body: out.Bytes, shows: shows}
	if p.isHTML() {
		p.digest, p.look, p.styles = marksOf(out.Bytes)
		if shows != "" {
			p.digest, p.look = short([]byte(p.digest+shows)), short([]byte(p.look+shows))
		}
		return p.dressed()
	}
	return p
}
