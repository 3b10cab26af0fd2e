// Package preview shows a site while it is written: it watches the content's folders, has what changed made again, serves
// pages to browsers on this machine, and tells each page that is open what became of it.
package preview

import (
	"context"
	"fmt"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// A Source is a site in memory that is brought up to date piece by piece. Refresh and Sweep are never called at the same
// time; the others are called at any time, Open by many at once.
type Source interface {
	// Refresh brings the site up to date with the disk as it may be seen at an instant. names are the paths that may
	// have changed, relative to the root with slashes, a folder standing for all below it; nil looks at everything,
	// and none at all (not nil) says that only the time went on. The error is one for people: there is no content.
	Refresh(asOf time.Time, names []string) (site.Refreshed, error)
	// Ahead begins with what a Refresh with these names will do, and with opening those of the pages that it
	// concerns, as far as that is quickly done, and tells nothing: the Refresh follows. It gives the pages that it made,
	// as Open will if nothing else comes. It is never called at the same time as Refresh or Sweep.
	Ahead(asOf time.Time, names, pages []string) []site.Output
	// Sweep looks at the units that are pending until there are none or stop is closed, and reports as Refresh does.
	Sweep(stop <-chan struct{}) (site.Refreshed, error)
	// Open makes one output by its path below public, "units/otter/index.html". While the content has errors it is the
	// last good one. The error is fs.ErrNotExist where the site has no such file, or nothing good yet.
	Open(path string) (site.Output, error)
	// Shows is a text that is another once what a page shows is, as a picture, though the page's bytes are the same.
	Shows(page []byte) string
	// Folders are the folders to watch, absolute.
	Folders() []string
	// Opens is when the next held thing opens by itself; ok is false if none does.
	Opens() (at time.Time, ok bool)
}

// A Teller is told what happens, one thing at a time.
type Teller interface {
	// Listening gives the addresses of the site: those for this machine, and those for others in its network.
	Listening(own, shared []string)
	// Made tells of a change that the site was brought up to date with.
	Made(Made)
	// Trouble tells of what went wrong beside the content: an error for people, and the preview goes on.
	Trouble(error)
	// Mended tells that a page, by its path below public, is made again of which Trouble told that it can't be made.
	Mended(path string)
}

// A Made is what one change came to.
type Made struct {
	Names     []string // what may have changed, relative to the root; nil when everything was looked at
	Opening   bool     // no file changed: something that was held may be seen now
	Swept     bool     // units that were left for later were looked at
	Refreshed site.Refreshed
	Took      time.Duration
}

// Options are what a preview needs.
type Options struct {
	Source Source
	// Root is the folder that names of changed files are relative to, absolute.
	Root string
	// Port is the port to listen on; 0 takes [UsualPort], or the next one that is free.
	Port int
	// Share listens on this machine's address in the local network too, for whoever knows the address with its token.
	Share bool
	// Poll looks at all files again and again after so long, instead of being told of changes; 0 is told.
	Poll time.Duration
	// Clock tells the time: what is held opens by it.
	Clock func() time.Time
	// Write, if there is one, is called after each change when the content has no errors and nothing is pending; never
	// while Refresh or Sweep runs.
	// It may end early, without an error, when stop is closed: something changed already. That happens for [longestPutOff]
	// at most; then what changes waits until all is written. After [site.ErrBusy] it is called again.
	Write func(stop <-chan struct{}) error
	// Teller is told what happens.
	Teller Teller
}

// Run watches and serves until the context ends, which is no error.
func Run(ctx context.Context, o Options) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	p := &preview{Options: o, say: &oneAtATime{to: o.Teller}}
	s, err := listen(o, p.say)
	if err != nil {
		return err
	}
	p.hub = s.hub
	p.say.Listening(s.own, s.shared)
	served := make(chan error, 1)
	go func() {
		defer cancel() // without a server there is nobody to watch for
		served <- s.serve(ctx)
	}()
	p.loop(ctx)
	cancel()
	return <-served
}

// A preview is the loop between what changes and what is made.
type preview struct {
	Options
	say *oneAtATime
	hub *hub

	watcher  watcher
	done     <-chan struct{} // closed when the preview is to end
	told     map[string]bool // the errors that pages were told of last; nil before the first
	folders  []string        // that are watched
	warned   bool            // of file systems that may tell of nothing
	sweeping *sweep          // what runs beside the loop; nil when nothing does
	putOff   time.Time       // when the first change came that isn't written; zero when all is, or can't be
	opens    *time.Timer
	ahead    time.Duration // what was done before a change had settled
	opened   time.Time     // the opening that was looked at last: a source that can't get past it isn't asked all the time
}

// wakeEvery bounds how long a timer sleeps: one that runs over a machine's own sleep comes late.
const wakeEvery = time.Minute

func (p *preview) loop(ctx context.Context) {
	p.done = ctx.Done()
	p.watch()
	defer func() { p.watcher.close() }()
	p.opens = time.NewTimer(wakeEvery)
	defer p.opens.Stop()
	defer p.stopSweep()
	p.refresh(nil, false)
	for {
		var swept <-chan struct{}
		if p.sweeping != nil {
			swept = p.sweeping.done
		}
		select {
		case <-ctx.Done():
			return
		case b, ok := <-p.watcher.batches():
			p.refresh(p.changed(b, ok), false)
		case b := <-p.watcher.early():
			p.begin(namesBelow(p.Root, b))
		case <-swept:
			p.endSweep()
		case <-p.opens.C:
			if at, ok := p.Source.Opens(); ok && !p.Clock().Before(at) {
				p.opened = at
				p.refresh([]string{}, true)
			}
			p.sleepUntilOpening()
		}
	}
}

// begin uses the time until a change has settled for what will have to be done if nothing else comes.
func (p *preview) begin(names []string) {
	p.stopSweep()
	start := p.Clock()
	_ = survived(func() (site.Refreshed, error) { // what is wrong is met again
		p.hub.expect(p.Source.Ahead(start, names, p.hub.listened()))
		return site.Refreshed{}, nil
	})
	p.ahead += p.Clock().Sub(start)
}

// refresh brings the site up to date and tells the pages and the teller.
func (p *preview) refresh(names []string, opening bool) {
	p.stopSweep()
	m := p.settled(names)
	m.Opening = opening
	r := m.Refreshed
	p.publish(r.Problems)
	p.say.Made(m)
	p.sleepUntilOpening()
	if p.watchAgain() {
		p.refresh(nil, false) // what changed in the new folders before they were watched
		return
	}
	p.startSweep(r)
}

// survived does a piece of the source's work. An error of it, and a fault of the program, is a problem like others: what
// is being edited may be mended, and the preview is still there.
func survived(work func() (site.Refreshed, error)) (r site.Refreshed) {
	defer func() {
		if fault := recover(); fault != nil {
			r = site.Refreshed{Problems: record.Problems{whole(fmt.Errorf("the program failed: %w\nhint: that is its mistake, not yours; what was edited last may have led to it", faultOf(fault)))}}
		}
	}()
	r, err := work()
	if err != nil {
		r.Problems = append(r.Problems, whole(err))
	}
	return r
}

// whole makes an error that concerns no file a problem.
func whole(err error) record.Problem {
	summary, hint := cutHint(err)
	return record.Problem{Severity: record.Error, Summary: summary, Hint: hint}
}

func (p *preview) sleepUntilOpening() {
	wait := wakeEvery
	if at, ok := p.Source.Opens(); ok && !at.Equal(p.opened) {
		wait = min(wait, max(at.Sub(p.Clock()), time.Millisecond))
	}
	p.opens.Reset(wait)
}
