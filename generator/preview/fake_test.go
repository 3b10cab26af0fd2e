package preview

import (
	"errors"
	"io/fs"
	"maps"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// A fake is a source whose files and problems a test sets.
type fake struct {
	lock      sync.Mutex
	files     map[string]string
	problems  record.Problems
	pending   int
	refreshes [][]string
	begun     [][]string // names and pages that were told ahead
	opened    map[string]int
	shown     string // pages with this text in them …
	shows     string // … show this
	folders   []string
	opens     time.Time
	stays     bool // the opening doesn't go by
	fails     error
	sweeps    int
	slow      chan struct{} // slow/index.html is made when it is closed
	// sweeping, if set, is what Sweep does.
	sweeping func(stop <-chan struct{})
}

func newFake(files map[string]string) *fake {
	return &fake{files: files, opened: map[string]int{}}
}

func (f *fake) Refresh(asOf time.Time, names []string) (site.Refreshed, error) {
	f.lock.Lock()
	defer f.lock.Unlock()
	f.refreshes = append(f.refreshes, names)
	if !f.opens.IsZero() && !f.stays && !asOf.Before(f.opens) {
		f.opens = time.Time{}
	}
	return site.Refreshed{Problems: f.problems, Pending: f.pending, Evaluated: 1}, f.fails
}

func (f *fake) Ahead(_ time.Time, names, pages []string) (made []site.Output) {
	f.lock.Lock()
	defer f.lock.Unlock()
	f.begun = append(f.begun, append(append([]string{}, names...), pages...))
	for _, path := range pages {
		made = append(made, site.Output{Path: path, Bytes: []byte(f.files[path])})
	}
	return made
}

func (f *fake) Shows(page []byte) string {
	f.lock.Lock()
	defer f.lock.Unlock()
	if !strings.Contains(string(page), f.shown) {
		return ""
	}
	return f.shows
}

func (f *fake) Sweep(stop <-chan struct{}) (site.Refreshed, error) {
	f.lock.Lock()
	sweeping := f.sweeping
	f.sweeps++
	f.lock.Unlock()
	if sweeping != nil {
		sweeping(stop)
	}
	f.lock.Lock()
	defer f.lock.Unlock()
	select {
	case <-stop:
		return site.Refreshed{Problems: f.problems, Pending: f.pending}, nil
	default:
	}
	f.pending = 0
	return site.Refreshed{Problems: f.problems, Evaluated: 2}, nil
}

func (f *fake) Open(path string) (site.Output, error) {
	if path == "slow/index.html" {
		<-f.slow
	}
	f.lock.Lock()
	defer f.lock.Unlock()
	f.opened[path]++
	switch text, ok := f.files[path]; {
	case !ok:
		return site.Output{}, fs.ErrNotExist
	case text == "panic":
		panic("spoiled <template>")
	case text == "error":
		return site.Output{}, errors.New("the template is wrong")
	case text == "mistake":
		return site.Output{}, record.Problems{{File: "themes/paper/pages/unit.html", Line: 2, Column: 3, Length: 1, Summary: "no field Nothing"}}
	default:
		return site.Output{Path: path, Bytes: []byte(text)}, nil
	}
}

func (f *fake) Folders() []string {
	f.lock.Lock()
	defer f.lock.Unlock()
	return f.folders
}

func (f *fake) Opens() (time.Time, bool) {
	f.lock.Lock()
	defer f.lock.Unlock()
	return f.opens, !f.opens.IsZero()
}

// set changes files; an empty text removes one.
func (f *fake) set(files map[string]string, problems ...record.Problem) {
	f.lock.Lock()
	defer f.lock.Unlock()
	maps.Copy(f.files, files)
	maps.DeleteFunc(f.files, func(_, text string) bool { return text == "" })
	f.problems = problems
}

func (f *fake) looked() [][]string {
	f.lock.Lock()
	defer f.lock.Unlock()
	return append([][]string(nil), f.refreshes...)
}

// A notes keeps what a teller is told.
type notes struct {
	lock        sync.Mutex
	own, shared []string
	made        []Made
	trouble     []string
	mended      []string
}

func (n *notes) Listening(own, shared []string) {
	n.lock.Lock()
	defer n.lock.Unlock()
	n.own, n.shared = own, shared
}

func (n *notes) Made(m Made) {
	n.lock.Lock()
	defer n.lock.Unlock()
	n.made = append(n.made, m)
}

func (n *notes) Trouble(err error) {
	n.lock.Lock()
	defer n.lock.Unlock()
	n.trouble = append(n.trouble, err.Error())
}

func (n *notes) Mended(path string) {
	n.lock.Lock()
	defer n.lock.Unlock()
	n.mended = append(n.mended, path)
}

func (n *notes) all() (own, shared []string, made []Made, trouble []string) {
	n.lock.Lock()
	defer n.lock.Unlock()
	return n.own, n.shared, append([]Made(nil), n.made...), append([]string(nil), n.trouble...)
}

// patience is how long a test waits for what has to come: long, for machines with much else to do.
const patience = 30 * time.Second

// eventually waits until something is so.
func eventually(t *testing.T, what string, so func() bool) {
	t.Helper()
	for end := time.Now().Add(patience); !so(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%s: not within %v", what, patience)
		}
	}
}

// served starts a server with a source in it, without watching: a test publishes.
func served(t *testing.T, f *fake) (*hub, *httptest.Server, *notes) {
	t.Helper()
	n := &notes{}
	h := newHub(f, &oneAtATime{to: n})
	guard := &guard{next: &pages{hub: h}}
	server := httptest.NewUnstartedServer(guard)
	server.Config = answering(guard)
	guard.hosts = []string{server.Listener.Addr().String(), strings.Replace(server.Listener.Addr().String(), "127.0.0.1", "localhost", 1)}
	server.Start()
	t.Cleanup(func() { server.CloseClientConnections(); server.Close() })
	return h, server, n
}
