package site

import (
	"fmt"
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
// they stood when their bytes were known. While it is the same, and the folder's manifest
// has the digests that are looked for, the bytes are taken to be the same; else they are
// read.
type stamps struct {
	memory *memory
	name   string // of the file
	units  map[string]digest
}

// openStamps gives the stamps of a folder.
func (d *Draft) openStamps(dir string) *stamps {
	s := &stamps{memory: d.memory, units: map[string]digest{}}
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
		if !same {
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
			fmt.Fprintf(&b, "%s %d %d %v\n", name, info.Size(), info.ModTime().UnixNano(), info.Mode())
			for _, name := range p.packedNames(name, info.Size()) {
				if info, err := p.lstat(name); err == nil {
					fmt.Fprintf(&b, "%s %d %d %v\n", name, info.Size(), info.ModTime().UnixNano(), info.Mode())
				}
			}
		}
	}
	return digestOf([]byte(b.String()))
}

// save keeps how the folder stands now.
func (s *stamps) save(p *publisher, d *Draft) {
	if s.memory == nil {
		return
	}
	names := append(slices.Clone(d.slugs), listsName)
	stamped := make([]digest, len(names))
	each(len(names), func(i int) {
		e := d.lists
		if i < len(d.slugs) {
			e = d.units[names[i]].entry
		}
		stamped[i] = stampOf(e, p)
	})
	s.units = make(map[string]digest, len(names))
	for i, name := range names {
		s.units[name] = stamped[i]
	}
	s.memory.save(s.name, s.units)
}
