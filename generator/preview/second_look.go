package preview

import (
	"slices"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

const (
	// doubt is how long is waited before a mistake is told that wasn't there before: a save in several pieces, or a file
	// that is deleted and written again, is wrong for a moment only.
	doubt = 120 * time.Millisecond
	// longestDoubt bounds that while one mistake follows another.
	longestDoubt = time.Second
)

// changed are the names of what a watcher told, nil for everything; ok is false where it can't go on.
func (p *preview) changed(b batch, ok bool) []string {
	if !ok {
		p.pollInstead()
		b = batch{all: true}
	}
	return namesBelow(p.Root, b)
}

// settled brings the source up to date, and again where what was found is a mistake that is mended at once.
func (p *preview) settled(names []string) Made {
	m := p.look(names)
	defer p.hub.unsure.Store(false)
	for since := p.Clock(); p.told != nil && p.news(m.Refreshed.Problems) && p.Clock().Sub(since) < longestDoubt; {
		p.hub.unsure.Store(true)
		b, ok, came := p.soon(doubt)
		if !came {
			break
		}
		m = m.and(p.look(p.changed(b, ok)))
	}
	return m
}

// soon waits for the next change: so long, or until it has settled if it began by then.
func (p *preview) soon(wait time.Duration) (b batch, ok, came bool) {
	pause := time.NewTimer(wait)
	defer pause.Stop()
	for {
		select {
		case b, ok = <-p.watcher.batches():
			return b, ok, true
		case <-p.done:
			return b, false, false
		case <-pause.C:
			if !p.watcher.stirs() {
				return b, false, false
			}
		}
	}
}

// publish tells the pages of problems, and notes it.
func (p *preview) publish(problems record.Problems) {
	p.told = map[string]bool{}
	for _, one := range problems {
		if one.Severity == record.Error {
			p.told[one.String()] = true
		}
	}
	p.hub.publish(problems)
}

// look brings the source up to date, once.
func (p *preview) look(names []string) Made {
	start := p.Clock()
	r := survived(func() (site.Refreshed, error) { return p.Source.Refresh(start, names) })
	took := p.Clock().Sub(start) + p.ahead
	p.ahead = 0
	return Made{Names: names, Refreshed: r, Took: took}
}

// and is what two changes came to that are told as one.
func (m Made) and(then Made) Made {
	then.Took += m.Took
	then.Refreshed.Evaluated += m.Refreshed.Evaluated
	if m.Names == nil || then.Names == nil {
		then.Names = nil
		return then
	}
	names := append(m.Names[:len(m.Names):len(m.Names)], then.Names...)
	slices.Sort(names)
	then.Names = slices.Compact(names)
	return then
}

// news reports whether there is an error that pages weren't told of.
func (p *preview) news(problems record.Problems) bool {
	for _, one := range problems {
		if one.Severity == record.Error && !p.told[one.String()] {
			return true
		}
	}
	return false
}
