package preview

import (
	"errors"
	"time"

	"wattsheet/generator/site"
)

// longestPutOff bounds how long writing is put off by changes that keep coming. A folder that is written stays behind by that
// at most, and pages wait no more often for it.
const longestPutOff = 2 * time.Minute

// A sweep is what goes on beside the loop after a change: looking at what is pending, then writing.
type sweep struct {
	stop   chan struct{} // closed to end it early
	wanted chan struct{} // closed when somebody waits for its end
	done   chan struct{}
	due    bool // it may not be ended early: writing was put off for long enough
	wrote  bool // what it was to write is written; known when it is done
}

// startSweep begins what a state of the source asks for, if anything.
func (p *preview) startSweep(r site.Refreshed) {
	writes := p.Write != nil && !r.Problems.Errors()
	now := p.Clock()
	switch {
	case !writes:
		p.putOff = time.Time{}
	case p.putOff.IsZero():
		p.putOff = now
	}
	if r.Pending == 0 && !writes {
		return
	}
	s := &sweep{stop: make(chan struct{}), wanted: make(chan struct{}), done: make(chan struct{})}
	s.due = writes && now.Sub(p.putOff) >= longestPutOff
	p.sweeping = s
	go func() {
		defer close(s.done)
		if r.Pending > 0 {
			start := p.Clock()
			r = survived(func() (site.Refreshed, error) { return p.Source.Sweep(s.stop) })
			if r.Evaluated == 0 && r.Pending > 0 && s.stopped() {
				return // it had come to nothing when something changed
			}
			p.publish(r.Problems)
			p.say.Made(Made{Swept: true, Names: []string{}, Refreshed: r, Took: p.Clock().Sub(start)})
		}
		if p.Write == nil || r.Pending > 0 || r.Problems.Errors() {
			return
		}
		if !s.stopped() {
			p.write(s)
		}
	}()
}

// stopped reports whether a sweep is to end: something changed already.
func (s *sweep) stopped() bool {
	select {
	case <-s.stop:
		return true
	default:
		return false
	}
}

// writeAgain is how long is waited until another run has written to the folder.
const writeAgain = time.Second

// write writes the site, after another run that is writing it.
func (p *preview) write(s *sweep) {
	for told := ""; ; {
		err := p.Write(s.stop)
		if err != nil && err.Error() != told {
			told = err.Error()
			p.say.Trouble(err)
		}
		if !errors.Is(err, site.ErrBusy) {
			s.wrote = !s.stopped() // else it may have ended early
			return
		}
		select {
		case <-s.wanted:
			return
		case <-time.After(writeAgain):
		}
	}
}

// stopSweep ends what goes on beside the loop, and waits for it. What is due is waited for, unless the preview ends.
func (p *preview) stopSweep() {
	s := p.sweeping
	if s == nil {
		return
	}
	close(s.wanted)
	if s.due {
		select {
		case <-s.done:
		case <-p.done:
		}
	}
	close(s.stop)
	<-s.done
	p.endSweep()
}

// endSweep takes over what a sweep that is done came to.
func (p *preview) endSweep() {
	if p.sweeping.wrote {
		p.putOff = time.Time{}
	}
	p.sweeping = nil
}
