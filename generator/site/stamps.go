package site

import (
	"maps"
	"path"
	"slices"
	"sync"

	"wattsheet/generator/publication"
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
	s.name = path.Join(stampsFolder, string(publication.DigestOf([]byte(dir))))
	if s.memory != nil {
		s.memory.load(s.name, &s.units)
	}
	return s
}

// holds reports of each kind whether the folder has all its outputs.
func (s *stamps) holds(unit string, e *entry, p *publication.Publisher) func(kind) bool {
	here := sync.OnceValue(func() map[kind]bool {
		here := map[kind]bool{}
		stamp := s.units[unit]
		same := stamp != "" && stamp == p.Stamp(e.outputs())
		if same {
			s.mu.Lock()
			s.same[unit] = true
			s.mu.Unlock()
		} else {
			for _, outputs := range e.outputs() {
				p.DoubtPacked(outputs)
			}
		}
		for k, made := range e.Kinds {
			here[k] = p.Has(made.Outputs, same)
		}
		return here
	})
	return func(k kind) bool { return here()[k] }
}

// take takes over how the outputs of a unit stand, when all of them are in the folder or
// staged; other says that some of them were made.
func (s *stamps) take(unit string, e *entry, p *publication.Publisher, other bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.same[unit] && !other {
		s.now[unit] = s.units[unit]
		return
	}
	s.now[unit] = p.StampKnown(e.outputs())
}

// save keeps the stamps, once all that was staged is in its place.
func (s *stamps) save() {
	if s.memory != nil {
		s.memory.save(s.name, s.now)
	}
}

// outputs are those of an entry, by kind.
func (e *entry) outputs() (all []publication.Roll) {
	for _, k := range slices.Sorted(maps.Keys(e.Kinds)) {
		all = append(all, e.Kinds[k].Outputs)
	}
	return all
}
