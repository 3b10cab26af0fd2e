package preview

import (
	"context"
	"errors"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// freePort is one that nobody listens on at the moment.
func freePort(t *testing.T) int {
	t.Helper()
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

// running runs a preview of a source on a folder; end ends it and gives what Run returned.
func running(t *testing.T, f *fake, change func(*Options)) (address, root string, n *notes, end func() error) {
	t.Helper()
	root = t.TempDir()
	f.folders = []string{filepath.Join(root, "content")}
	must(t, os.Mkdir(f.folders[0], 0o777))
	n = &notes{}
	o := Options{Source: f, Root: root, Port: freePort(t), Clock: time.Now, Teller: n}
	if change != nil {
		change(&o)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- Run(ctx, o) }()
	end = sync.OnceValue(func() error { cancel(); return <-ended })
	t.Cleanup(func() { _ = end() })
	eventually(t, "the first build", func() bool { _, _, made, _ := n.all(); return len(made) > 0 })
	return "http://localhost:" + strconv.Itoa(o.Port), root, n, end
}

// A save reaches the source by its name, the browser by an event, and the teller with the time it took.
func TestFromSaveToEvent(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{"index.html": "one"})
	address, root, n, end := running(t, f, nil)
	if got := f.looked(); len(got) != 1 || got[0] != nil {
		t.Errorf("the first look is at %q", got)
	}
	s := hears(t, address, asHad("1", "index.html", "one"))
	s.next(t)
	f.set(map[string]string{"index.html": "two"})
	must(t, os.MkdirAll(filepath.Join(root, "content", "units", "otter"), 0o777))
	must(t, write(filepath.Join(root, "content", "units", "otter", "record.toml"), "x"))
	if told := s.next(t); told.Pages["1"].Kind != "reload" {
		t.Errorf("told %+v", told)
	}
	eventually(t, "the word of it", func() bool { _, _, made, _ := n.all(); return len(made) >= 2 })
	if names := f.looked()[1]; !slices.Contains(names, "content/units") {
		t.Errorf("the second look is at %q", names)
	}
	own, shared, made, trouble := n.all()
	if len(own) != 1 || shared != nil || trouble != nil || made[1].Refreshed.Evaluated != 1 || made[1].Names == nil {
		t.Errorf("told %v %v %v %+v", own, shared, trouble, made)
	}
	began := time.Now()
	if err := end(); err != nil || time.Since(began) > 2*time.Second {
		t.Errorf("ended with %v after %v, with a stream open", err, time.Since(began))
	}
}

// While a change settles, its names and the pages that are open are told to the source; it is looked at once.
func TestBeginsWhileItSettles(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{"index.html": "one", "units/otter/index.html": "page"})
	address, root, n, _ := running(t, f, nil)
	s := hears(t, address, asHad("1", "units/otter/index.html", "page"), asHad("2", "index.html", "one"))
	s.next(t)
	record := filepath.Join(root, "content", "record.toml")
	begun := func() [][]string {
		f.lock.Lock()
		defer f.lock.Unlock()
		return f.begun
	}
	for saves := 0; len(begun()) == 0 && saves < 20; saves++ { // on a machine with much else to do it may be passed over
		_, _, was, _ := n.all()
		must(t, write(record, strconv.Itoa(saves)))
		eventually(t, "the word of it", func() bool { _, _, made, _ := n.all(); return len(made) > len(was) })
	}
	if got := begun(); len(got) == 0 || !slices.Equal(got[0], []string{"content/record.toml", "index.html", "units/otter/index.html"}) {
		t.Errorf("begun with %q", got)
	}
	if _, _, made, _ := n.all(); len(f.looked()) != len(made) {
		t.Errorf("looked %d times, told %d", len(f.looked()), len(made))
	}
}

// When something that was held opens, the source is told so, at that time and once.
func TestHeldThingOpens(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{})
	at := time.Now().Add(400 * time.Millisecond)
	f.opens = at
	_, _, n, _ := running(t, f, nil)
	eventually(t, "the opening", func() bool { return len(f.looked()) == 2 })
	if time.Now().Before(at) {
		t.Error("it opened too early")
	}
	if names := f.looked()[1]; names == nil || len(names) != 0 {
		t.Errorf("the look is at %q, want at nothing", names)
	}
	time.Sleep(100 * time.Millisecond)
	if _, _, made, _ := n.all(); len(made) != 2 || !made[1].Opening {
		t.Errorf("told %+v", made)
	}
}

// A source that stays behind an opening isn't asked again and again.
func TestOpeningThatDoesNotCome(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{})
	f.opens, f.stays = time.Now().Add(-time.Hour), true
	_, _, _, _ = running(t, f, nil)
	time.Sleep(200 * time.Millisecond)
	if n := len(f.looked()); n > 2 {
		t.Errorf("asked %d times", n)
	}
}

// What is pending is looked at beside the loop, until something changes; then the folder is written, but not with
// errors, and never while the source is at work.
func TestSweepAndWrite(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{})
	f.pending = 3
	stopped := make(chan bool, 10)
	f.sweeping = func(stop <-chan struct{}) {
		select {
		case <-stop:
			stopped <- true
		case <-time.After(150 * time.Millisecond):
			stopped <- false
		}
	}
	var lock sync.Mutex
	written := 0
	wrote := func() int { lock.Lock(); defer lock.Unlock(); return written }
	_, root, n, _ := running(t, f, func(o *Options) {
		o.Write = func(<-chan struct{}) error {
			lock.Lock()
			defer lock.Unlock()
			written++
			return errors.New("the disk is full")
		}
	})
	if <-stopped {
		t.Error("the sweep was stopped")
	}
	eventually(t, "the writing", func() bool { return wrote() == 1 })
	eventually(t, "the trouble", func() bool { _, _, _, trouble := n.all(); return slices.Contains(trouble, "the disk is full") })
	if _, _, made, _ := n.all(); len(made) != 2 || !made[1].Swept || made[1].Refreshed.Evaluated != 2 {
		t.Errorf("told %+v", made)
	}
	// A change stops the sweep of the one before.
	f.lock.Lock()
	f.pending = 3
	f.sweeping = func(stop <-chan struct{}) { <-stop; stopped <- true }
	f.lock.Unlock()
	must(t, write(filepath.Join(root, "content", "a.toml"), "1"))
	eventually(t, "the sweep", func() bool { f.lock.Lock(); defer f.lock.Unlock(); return f.sweeps == 2 })
	f.set(nil, aProblem("x = 1", "1", "wrong", ""))
	must(t, write(filepath.Join(root, "content", "a.toml"), "2"))
	if !<-stopped {
		t.Error("the sweep wasn't stopped")
	}
	time.Sleep(100 * time.Millisecond)
	if wrote() != 1 {
		t.Errorf("written %d times, though there is an error", wrote())
	}
	if _, _, made, _ := n.all(); slices.ContainsFunc(made, func(m Made) bool { return m.Swept && m.Refreshed.Evaluated == 0 }) {
		t.Errorf("a sweep that came to nothing is told of: %+v", made)
	}
}

// While another run writes to the folder it is waited for, and that is told once; what else goes wrong waits for a change.
func TestWriteAfterAnotherRun(t *testing.T) {
	t.Parallel()
	var lock sync.Mutex
	answers := []error{site.ErrBusy, site.ErrBusy, errors.New("the disk is full")}
	left := func() int { lock.Lock(); defer lock.Unlock(); return len(answers) }
	_, _, n, _ := running(t, newFake(map[string]string{}), func(o *Options) {
		o.Write = func(<-chan struct{}) error {
			lock.Lock()
			defer lock.Unlock()
			if len(answers) == 0 {
				t.Error("it is written again, though nothing changed")
				return nil
			}
			defer func() { answers = answers[1:] }()
			return answers[0]
		}
	})
	eventually(t, "three tries", func() bool { return left() == 0 })
	time.Sleep(writeAgain + writeAgain/2)
	if _, _, _, trouble := n.all(); !slices.Equal(trouble, []string{site.ErrBusy.Error(), "the disk is full"}) {
		t.Errorf("told %q", trouble)
	}
}

// Saves that keep coming put writing off, but not for longer than is said: then it goes on to its end, and a save waits.
func TestWritingIsNotPutOffForGood(t *testing.T) {
	t.Parallel()
	var later atomic.Int64 // by how much the clock is ahead
	began, ended, goOn := make(chan bool), make(chan string, 10), make(chan bool)
	f := newFake(map[string]string{})
	_, root, _, end := running(t, f, func(o *Options) {
		o.Clock = func() time.Time { return time.Now().Add(time.Duration(later.Load())) }
		o.Write = func(stop <-chan struct{}) error {
			began <- true
			select {
			case <-stop:
				ended <- "stopped"
			case <-goOn:
				ended <- "written"
			}
			return nil
		}
	})
	saves := 0
	save := func() {
		saves++
		must(t, write(filepath.Join(root, "content", "a.toml"), strconv.Itoa(saves)))
	}
	for _, row := range []struct {
		want  string        // what becomes of a writing
		later time.Duration // until the save after it
	}{
		{"stopped", longestPutOff - time.Minute}, {"stopped", time.Minute}, {"written", 0}, // the bound counts from the first change
		{"stopped", longestPutOff}, {"written", 0}, {"stopped", longestPutOff},
	} {
		<-began
		looks := len(f.looked())
		later.Add(int64(row.later))
		save()
		if row.want == "written" {
			time.Sleep(300 * time.Millisecond) // for long enough that it would have been stopped
			if n := len(f.looked()); n != looks {
				t.Error("the save didn't wait")
			}
			goOn <- true
		}
		if got := <-ended; got != row.want {
			t.Errorf("save %d: the writing was %s, want %s", saves, got, row.want)
		}
		eventually(t, "the save", func() bool { return len(f.looked()) > looks })
	}
	// What is due ends with the preview all the same.
	<-began
	save()
	time.Sleep(300 * time.Millisecond)
	if err := end(); err != nil || <-ended != "stopped" {
		t.Errorf("it ends with %v", err)
	}
}

// Content that can't be read at all is a problem like others while it is edited.
func TestContentThatIsGone(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{"index.html": "one"})
	_, root, n, _ := running(t, f, nil)
	f.lock.Lock()
	f.fails = errors.New("there is no folder content\nhint: make one")
	f.lock.Unlock()
	must(t, write(filepath.Join(root, "content", "a.toml"), "1"))
	eventually(t, "the problem", func() bool {
		_, _, made, _ := n.all()
		last := made[len(made)-1].Refreshed.Problems
		return len(last) == 1 && last[0].Severity == record.Error && last[0].Summary == "there is no folder content" && last[0].Hint == "make one"
	})
}

// A fault of the program while it evaluates is a problem like others; the next save is looked at again.
func TestFaultWhileEvaluating(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{"index.html": "one"})
	f.pending, f.sweeping = 1, func(<-chan struct{}) { panic("out of range") }
	_, root, n, _ := running(t, f, nil)
	failed := func() bool {
		_, _, made, _ := n.all()
		last := made[len(made)-1].Refreshed.Problems
		return len(last) == 1 && last[0].Summary == "the program failed: out of range" && last[0].Hint != ""
	}
	eventually(t, "the problem", failed)
	f.lock.Lock()
	f.pending = 0
	f.lock.Unlock()
	must(t, write(filepath.Join(root, "content", "a.toml"), "1"))
	eventually(t, "another look", func() bool { return len(f.looked()) == 2 && !failed() })
}

// A source that reads other folders has them watched; where the system tells nothing any more, files are looked at.
func TestOtherFoldersAndNoEvents(t *testing.T) {
	t.Parallel()
	f := newFake(map[string]string{})
	_, root, _, _ := running(t, f, nil)
	theme := filepath.Join(root, "theme")
	must(t, os.Mkdir(theme, 0o777))
	f.lock.Lock()
	f.folders = append(f.folders, theme)
	f.lock.Unlock()
	must(t, write(filepath.Join(root, "content", "site.toml"), "theme"))
	eventually(t, "a look at everything", func() bool { got := f.looked(); return len(got) >= 3 && got[len(got)-1] == nil })
	must(t, write(filepath.Join(theme, "style.css"), "a{}"))
	eventually(t, "the theme", func() bool { got := f.looked(); return slices.Contains(got[len(got)-1], "theme/style.css") })
}

func TestWatcherThatFailsIsReplaced(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	n := &notes{}
	p := &preview{Options: Options{Clock: time.Now}, say: &oneAtATime{to: n}, folders: []string{dir}}
	w, err := newEventWatcher(p.folders, time.Now)
	must(t, err)
	p.watcher = w
	w.system.Errors <- errors.New("no more")
	<-w.batches()
	p.pollInstead()
	defer p.watcher.close()
	must(t, write(filepath.Join(dir, "a"), "1"))
	told(t, p.watcher, filepath.Join(dir, "a"))
	if _, _, _, trouble := n.all(); len(trouble) != 1 || !strings.Contains(trouble[0], "no more") {
		t.Errorf("told %q", trouble)
	}
}
