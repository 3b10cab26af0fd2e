package publication

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// Has reports whether the folder has some outputs, as this program wrote them. Without
// stamp their bytes are read.
func (p *Publisher) Has(outputs Roll, stamp bool) bool {
	written := p.written.below(outputs.begin())
	for name, sum := range outputs.All() {
		sums := written.digests(name)
		if !slices.Contains(sums, sum) {
			return false
		}
		if (!stamp || len(sums) > 1) && !p.asWritten(name, []Digest{sum}) {
			return false
		}
	}
	return true
}

// Stamp tells how outputs stand in the folder, as a digest of the paths, sizes and times of
// them and of what is packed of them; empty where one isn't there.
func (p *Publisher) Stamp(outputs []Roll) Digest {
	var b strings.Builder
	for _, some := range outputs {
		for name := range some.Paths() {
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
	return DigestOf([]byte(b.String()))
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
func (p *Publisher) stood(name string, info fs.FileInfo) {
	p.mu.Lock()
	p.stands[name] = standOf(info)
	p.mu.Unlock()
}

// StampKnown is stamp by how the outputs stood when this run knew their bytes, which it
// then forgets; empty where it doesn't know some.
func (p *Publisher) StampKnown(outputs []Roll) Digest {
	p.mu.Lock()
	defer p.mu.Unlock()
	var b strings.Builder
	known := true
	line := func(name string) (size int64) {
		s, written := p.stands[Hidden(name)]
		if !written {
			was, read := p.stands[name]
			s, known = was, known && read
		}
		delete(p.stands, Hidden(name))
		delete(p.stands, name)
		s.appendTo(&b, name)
		return s.size
	}
	for _, some := range outputs {
		for name := range some.Paths() {
			for _, packed := range p.packedNames(name, line(name)) {
				line(packed)
			}
		}
	}
	if !known {
		return ""
	}
	return DigestOf([]byte(b.String()))
}
