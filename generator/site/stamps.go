package site

import (
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"
)

// stampsFolder is where is kept, of each folder that was published into, how its files
// stood afterwards.
const stampsFolder = ".wattsheet/cache/published"

// Stamps tell without reading files whether a folder still has what was put there.
//
// Invariant: a unit's stamp is the digest of the paths, sizes and times of its outputs as
// they stood when their bytes were known: as they were written, or just before they were
// read. So what others do to a file while a site is made is seen by the next run. While a
// stamp is the same, and the folder's manifest has the digests that are looked for, the
// bytes are taken to be the same; else they are read.
type stamps struct {
	memory *memory
	name   string // of the file
	units  map[string]digest

	mu   sync.Mutex
	same map[string]bool   // units whose files stand as their stamps say
	now  map[string]digest // the stamps after this run
}

// openStamps gives the stamps of a folder.
func (d *Draft) openStamps(dir string) *stamps {
	s := &stamps{memory: d.memory, units: map[string]digest{}, same: map[string]bool{}, now: map[string]digest{}}
	if at, err := resolved(dir); err == nil {
		dir = at
	}
	s.name = path.Join(stampsFolder, string(digestOf([]byte(dir))))
	if s.memory != nil {
		s.memory.load(s.name, &s.units)
	}
	return s
}

// holds reports of each kind whether the folder has all its outputs.
func (s *stamps) holds(unit string, e *entry, p *publisher) func(kind) bool {
	here := sync.OnceValue(func() map[kind]bool {
		here := map[kind]bool{}
		stamp := s.units[unit]
		same := stamp != "" && stamp == stampOf(e, p)
		if same {
			s.mu.Lock()
			s.same[unit] = true
			s.mu.Unlock()
		} else {
			p.doubtPacked(e)
		}
		for k, made := range e.Kinds {
			here[k] = p.has(made.Outputs, same)
		}
		return here
	})
	return func(k kind) bool { return here()[k] }
}

// has reports whether the folder has some outputs, as this program wrote them. Without
// stamp their bytes are read.
func (p *publisher) has(outputs roll, stamp bool) bool {
	for name, sum := range outputs.all() {
		if !slices.Contains(p.written[name], sum) {
			return false
		}
		if (!stamp || len(p.written[name]) > 1) && !p.asWritten(name, []digest{sum}) {
			return false
		}
	}
	return true
}

// stampOf is the stamp of all outputs of an entry as they stand.
func stampOf(e *entry, p *publisher) digest {
	var b strings.Builder
	for _, k := range slices.Sorted(maps.Keys(e.Kinds)) {
		for name := range e.Kinds[k].Outputs.paths() {
			info, err := p.lstat(name)
			if err != nil {
				return ""
			}
			standOf(info).appendTo(&b, name)
			for _, name := range p.packedNames(name, info.Size()) {
				if info, err := p.lstat(name); err == nil {
					standOf(info).appendTo(&b, name)
				}
			}
		}
	}
	return digestOf([]byte(b.String()))
}

// take takes over how the outputs of a unit stand, when all of them are in the folder or
// staged; other says that some of them were made.
func (s *stamps) take(unit string, e *entry, p *publisher, other bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.same[unit] && !other {
		s.now[unit] = s.units[unit]
		return
	}
	s.now[unit] = p.stampKnown(e)
}

// save keeps the stamps, once all that was staged is in its place.
func (s *stamps) save() {
	if s.memory != nil {
		s.memory.save(s.name, s.now)
	}
}

// A stand is how a file stood when its bytes were known.
type stand struct {
	size, time int64
	mode       fs.FileMode
}

func standOf(info fs.FileInfo) stand {
	return stand{info.Size(), info.ModTime().UnixNano(), info.Mode()}
}

// appendTo appends a line of what a stamp is the digest of.
func (s stand) appendTo(b *strings.Builder, name string) {
	fmt.Fprintf(b, "%s %d %d %v\n", name, s.size, s.time, s.mode)
}

// stood notes how a file stood when its bytes were known.
func (p *publisher) stood(name string, info fs.FileInfo) {
	p.mu.Lock()
	p.stands[name] = standOf(info)
	p.mu.Unlock()
}

// stampKnown is stampOf by how the outputs stood when this run knew their bytes, which it
// then forgets; empty where it doesn't know some.
func (p *publisher) stampKnown(e *entry) digest {
	p.mu.Lock()
	defer p.mu.Unlock()
	var b strings.Builder
	known := true
	line := func(name string) (size int64) {
		s, written := p.stands[hidden(name)]
		if !written {
			was, read := p.stands[name]
			s, known = was, known && read
		}
		delete(p.stands, hidden(name))
		delete(p.stands, name)
		s.appendTo(&b, name)
		return s.size
	}
	for _, k := range slices.Sorted(maps.Keys(e.Kinds)) {
		for name := range e.Kinds[k].Outputs.all() {
			for _, packed := range p.packedNames(name, line(name)) {
				line(packed)
			}
		}
	}
	if !known {
		return ""
	}
	return digestOf([]byte(b.String()))
}
