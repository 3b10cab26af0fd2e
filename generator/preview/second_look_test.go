package preview

import (
	"slices"
	"testing"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// A steps is a source that finds another thing each time it looks.
type steps struct {
	*fake
	next []func()
}

func (s *steps) Refresh(asOf time.Time, names []string) (site.Refreshed, error) {
	if len(s.next) > 0 {
		s.next[0]()
		s.next = s.next[1:]
	}
	return s.fake.Refresh(asOf, names)
}

// A given is a watcher that tells what it was given.
type given struct {
	told chan batch
	busy bool
}

func (g *given) batches() <-chan batch { return g.told }
func (g *given) stirs() bool           { return g.busy }
func (g *given) early() <-chan batch   { return nil }
func (g *given) failed() error         { return nil }
func (g *given) close()                {}

// A mistake that is gone with the next change, as in a save in pieces or with the file away meanwhile, is told to nobody,
// and no page is gone for it; one that stays is told soon, and one that is known at once.
func TestMistakeOfAMoment(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{"index.html": "good"})
	cut := aProblem("a", "a", "the file is cut short", "")
	away := aProblem("a", "a", "the file is missing", "")
	told := make(chan batch, 100)
	w := &given{told: told}
	s := &steps{fake: f}
	p := &preview{Options: Options{Source: s, Root: "/root", Clock: time.Now}, hub: newHub(s, nil), watcher: w, done: make(chan struct{})}
	change := func(name string) batch { return batch{paths: []string{"/root/content/" + name}} }
	p.publish(p.settled(nil).Refreshed.Problems)
	shown := func() string { return string(p.hub.open(p.hub.now, "index.html").body) }
	if shown() != "good" {
		t.Fatal("there is no page")
	}

	told <- change("b")
	told <- change("c")
	s.next = []func(){
		func() { f.set(nil, cut) },
		func() {
			f.set(map[string]string{"index.html": ""}, away)
			if shown() != "good" {
				t.Error("the page is gone while the file is away")
			}
		},
		func() { f.set(map[string]string{"index.html": "better"}) },
	}
	m := p.settled([]string{"content/a"})
	if m.Refreshed.Problems != nil || !slices.Equal(m.Names, []string{"content/a", "content/b", "content/c"}) || m.Refreshed.Evaluated != 3 {
		t.Errorf("told %+v", m)
	}
	p.publish(m.Refreshed.Problems)
	if shown() != "better" || p.hub.unsure.Load() {
		t.Error("the page isn't the new one")
	}

	began := time.Now()
	s.next = []func(){func() { f.set(nil, cut) }}
	m = p.settled([]string{"content/a"})
	if took := time.Since(began); len(m.Refreshed.Problems) != 1 || took < doubt || took > longestDoubt {
		t.Errorf("told %+v after %v", m, took)
	}
	p.publish(m.Refreshed.Problems)
	told <- change("b")
	if m = p.settled([]string{"content/a"}); !slices.Equal(m.Names, []string{"content/a"}) {
		t.Errorf("a mistake that is known waits: %+v", m)
	}
	<-told

	// What began to change by then is waited for until it has settled.
	p.publish(nil)
	w.busy = true
	s.next = []func(){func() { f.set(nil, cut) }, func() { f.set(nil) }}
	time.AfterFunc(doubt+50*time.Millisecond, func() { told <- change("b") })
	if m = p.settled([]string{"content/a"}); m.Refreshed.Problems != nil {
		t.Errorf("told %+v", m)
	}
	w.busy = false

	// One mistake after the other doesn't keep them from being told.
	began = time.Now()
	s.next = nil
	for i := range 100 {
		s.next = append(s.next, func() {
			f.set(nil, aProblem("a", "a", "mistake "+string(rune('a'+i)), ""))
			time.Sleep(20 * time.Millisecond)
			select {
			case told <- change("b"):
			default:
			}
		})
	}
	if m = p.settled([]string{"content/a"}); time.Since(began) > 3*longestDoubt || len(m.Refreshed.Problems) != 1 || m.Refreshed.Problems[0].Severity != record.Error {
		t.Errorf("told %+v after %v", m, time.Since(began))
	}
}
