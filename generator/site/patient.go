package site

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// A patient is a lock that long work, done in pieces, lets others have in between.
type patient struct {
	sync.Mutex
	waiting atomic.Int32
}

// LockFirst locks it before work that yields.
func (p *patient) LockFirst() {
	p.waiting.Add(1)
	p.Lock()
	p.waiting.Add(-1)
}

// Yield lets those have the lock who wait for it, and takes it again.
func (p *patient) Yield() {
	for p.waiting.Load() > 0 {
		p.Unlock()
		runtime.Gosched()
		p.Lock()
	}
}
